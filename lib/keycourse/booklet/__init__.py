"""What is to be kept of each lesson, on one sheet each, and the tables of the trade, to print."""
