"""Lesson 02: find the taper, and which end is large."""
