"""Lesson 03: size the key, find its blank and its cuts, see whether it is strong enough."""
