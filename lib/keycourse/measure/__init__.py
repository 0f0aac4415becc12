"""Lesson 01: measure the opening."""
