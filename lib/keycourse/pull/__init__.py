"""Lesson 05: work out the pull, choose the rig, draw the key."""
