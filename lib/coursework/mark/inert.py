"""What an apprentice typed, as text that can be shown anywhere and does nothing."""

from __future__ import annotations

__all__ = ["inert", "shown"]


def shown(text: str) -> str:
    """Return the text with one kind of line end and no control characters."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(
        sign if sign in "\n\t" or (sign >= " " and not "\x7f" <= sign <= "\x9f") else "\ufffd"
        for sign in lines
    )


def inert(text: str) -> str:
    """Return text as HTML in which nothing is left to interpret.

    All but letters and digits is written as a numbered character, so neither HTML nor markdown
    nor mathematics nor one of nbgrader's marks can begin, and the whole is one line. It belongs
    in a ``<pre>``.

    Examples
    --------
    >>> inert("a < b")
    'a&#32;&#60;&#32;b'
    """
    return "".join(sign if sign.isalnum() else f"&#{ord(sign)};" for sign in shown(text))
