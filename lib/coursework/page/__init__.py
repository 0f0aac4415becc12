"""The pages: what an apprentice types into, moves, practices and hands in.

``entries`` and ``handin`` keep what was typed, ``forms``, ``controls`` and ``practice`` ask for it,
``faces_*`` are the live figures and benches, ``*_book`` turn bench acts into words, ``lesson`` is
what a page calls.
"""
