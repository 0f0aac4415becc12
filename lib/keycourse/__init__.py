"""A course in measuring, making, fitting and pulling taper keys, a folder a lesson.

A lesson's folder holds what it has: ``card`` draws the readings, ``values`` reckons, ``words.toml``
says, ``questions`` joins them; pictures, a ``bench`` and ``faces`` where it has them. A folder may
lean on an earlier lesson's, never on a later one.
"""
