"""Lesson 04: fit the key by blue, file and push."""
