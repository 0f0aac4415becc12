"""How many of a thing, in words: "1 stroke", "15 strokes", decided here only."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["counted", "either", "plural"]


def plural(what: str, count: float) -> str:
    """Return the word for one thing as it stands beside a count.

    Examples
    --------
    >>> plural("stroke", 1), plural("stroke", 0), plural("pass", 2), plural("entry", 2)
    ('stroke', 'strokes', 'passes', 'entries')
    >>> plural("day", 3), plural("feedback page", 1.5)
    ('days', 'feedback pages')
    """
    if count == 1:
        return what
    if what.endswith(("s", "x", "ch", "sh")):
        return f"{what}es"
    if what.endswith("y") and what[-2:-1] not in tuple("aeiou"):
        return f"{what[:-1]}ies"
    return f"{what}s"


def counted(count: int, what: str) -> str:
    """Return a count with its thing.

    Examples
    --------
    >>> counted(1, "stroke"), counted(1200, "hand-in")
    ('1 stroke', '1,200 hand-ins')
    """
    return f"{count:,} {plural(what, count)}"


def either(words: Sequence[str]) -> str:
    """Return words to choose one of.

    Examples
    --------
    >>> either(["learn", "demo", "mark"]), either(["mark"])
    ('learn, demo or mark', 'mark')
    """
    return " or ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)
