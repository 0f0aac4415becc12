"""The check before and after: ten questions on the whole course, in three forms."""
