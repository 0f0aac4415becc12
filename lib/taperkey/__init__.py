"""The math of taper keys: measure, make, fit and pull the keys that hold a drive together.

The rooms, left to right; each imports only rooms to its left.

- ``files``, ``names``, ``counts``: writing that leaves a file whole, clean names, "1 key, 2 keys"
- ``units``: the border; text such as "1-3/8 in" to a float in inches, and back
- ``said``: a sentence with its numbers beside it
- ``checks``: one wording for bad input
- ``tables``: published tables with their sources, and their reader
- ``practice``: the rules of thumb of the trade, each once
- ``formulas``: the math of the job as pure functions
"""

__version__ = "0.1.0"
