"""The one style sheet of the course, and its colors for whoever draws.

``look.css`` holds every color once, as a pair of light and dark, with sizes, distances and the
blocks of a page. Pages load it as it is (`style`); a sheet that stands alone takes it into its
head. Drawings carry the light color in each part, so that they can stand anywhere; on a page the
rules of `drawing_rules` turn it into the token of that color, and so into its dark pair.
"""

from __future__ import annotations

import functools
import re
from pathlib import Path

__all__ = ["drawing_rules", "light", "on_page", "style", "token_style", "tokens"]

_FILE = Path(__file__).with_name("look.css")
_PAIR = re.compile(r"--tk-([\w-]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\);")

#: Colors that a drawing may carry, by their token; where two tokens share one, the first is meant.
_DRAWN = (
    *("paper", "sheet", "ink", "muted", "link", "vermilion", "key", "wash", "blue"),
    *("steel-light", "steel", "shade", "hair", "ochre", "band", "lit", "parted"),
)


@functools.cache
def style() -> str:
    """Return the style sheet as text."""
    return _FILE.read_text(encoding="utf-8")


def token_style() -> str:
    """Return the tokens alone, for a sheet that has blocks of its own."""
    return style().partition("/* Figures:")[0]


@functools.cache
def tokens() -> dict[str, tuple[str, str]]:
    """Return every color by its name: the light one and the dark one."""
    first: dict[str, tuple[str, str]] = {}
    for name, bright, dark in _PAIR.findall(style()):
        first.setdefault(name, (bright, dark))
    return first


def light(name: str) -> str:
    """Return the light color of a token.

    Examples
    --------
    >>> light("ink")
    '#1e2b33'
    """
    return tokens()[name][0]


def on_page(name: str) -> str:
    """Return how a page names a token's color in a style of its own."""
    tokens()[name]
    return f"var(--tk-{name})"


def drawing_rules() -> str:
    """Return the rules that turn a drawing's colors into tokens on a page."""
    by_color: dict[str, str] = {}
    for name in _DRAWN:
        by_color.setdefault(light(name), name)
    return "\n".join(
        f'svg[role] [{part}="{color}"] {{ {part}: var(--tk-{name}); }}'
        for color, name in by_color.items()
        for part in ("fill", "stroke")
    )
