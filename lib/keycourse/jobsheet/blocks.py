"""What a sheet is made of: sections of a few kinds of blocks, the same for screen and paper.

A block that is `near` is read at the machine, at arm's length: on paper its letters have 11 points.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from coursework.ink.drawing import Picture

__all__ = ["Block", "Drawing", "Facts", "Grid", "Points", "Section", "Sheet", "Words", "Worked"]


@dataclass(frozen=True, kw_only=True)
class Words:
    """A paragraph; `strong` for the sentence that counts."""

    text: str
    strong: bool = False
    near: bool = False


@dataclass(frozen=True, kw_only=True)
class Points:
    """A list; `kind` is "plain", "tick" (boxes), "steps" (numbered) or a level of hazard."""

    items: tuple[str, ...]
    kind: str = "plain"
    near: bool = False


@dataclass(frozen=True, kw_only=True)
class Facts:
    """Lines of what and how much; `two` sets short ones in two columns."""

    rows: tuple[tuple[str, str], ...]
    near: bool = False
    two: bool = False


@dataclass(frozen=True, kw_only=True)
class Grid:
    """A table; `shares` are the widths of its columns, `blank` rows are left to fill in."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...]
    blank: int = 0
    strong_row: int | None = None
    near: bool = False


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """A drawing over the whole width, with facts below it."""

    picture: Picture
    beside: Facts


Block = Words | Points | Facts | Grid | Drawing


@dataclass(frozen=True, kw_only=True)
class Section:
    """A part of the sheet; `page` begins a new page there."""

    title: str
    blocks: tuple[Block, ...]
    page: bool = False


@dataclass(frozen=True, kw_only=True)
class Worked:
    """One line of the appendix: a number, how it came about, and from what."""

    key: str
    what: str
    value: str
    kind: str
    formula: str
    inputs: tuple[tuple[str, str, str], ...]
    source: str


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """A job sheet.

    Attributes
    ----------
    title, under : str
        Head of the sheet.
    head : tuple of pairs
        Who, where, when.
    stops, looks : tuple of str
        What stops the work, and where to look; stops come first and large.
    sections : tuple of Section
        The body.
    appendix : tuple of Worked
        Every number with its origin.
    foot : str
        On every page.
    """

    title: str
    under: str
    head: tuple[tuple[str, str], ...]
    stops: tuple[str, ...]
    looks: tuple[str, ...]
    sections: tuple[Section, ...]
    appendix: tuple[Worked, ...] = field(default=())
    foot: str = ""
