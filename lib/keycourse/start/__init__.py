"""Lesson 00: read the tools, write numbers with their units, know what comes first."""
