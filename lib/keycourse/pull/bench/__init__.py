"""The bench of this lesson: its steps, its record, and what it tells."""
