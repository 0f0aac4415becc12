"""Lesson 06: one job, from readings to pull."""
