"""A blued key after a push, both faces in plan, in lettered zones: to read marks from.

The same blue, hatching and outlines as on the fitting bench. The words with it
say what the film looks like in each zone, not what that means.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from coursework.draws import Draws
from coursework.ink.drawing import (
    BEARING_BLUE,
    FINE,
    HEAVY,
    LARGE,
    MUTED,
    PAPER,
    SMALL,
    TEAL,
    Picture,
    Point,
    Sheet,
)
from keycourse.fit.marks import (
    _BRIGHT_METAL,
    _THIN_BLUE,
    BRIGHT,
    THINNED,
    _bright,
)

__all__ = ["draw_marked_zones", "zone_letters"]

_LETTERS = "ABCDEFGHJKLMNPQRSTUVWX"  # without I and O, which read as figures
_LEFT, _LONG, _TALL = 58.0, 600.0, 84.0
_WORDS = ("the blue is untouched", "the blue is thin, no metal shows", "metal shines through")


def zone_letters(*, count: int) -> tuple[str, ...]:
    """Return the letters of so many zones, both faces counted through.

    Examples
    --------
    >>> zone_letters(count=10)
    ('A', 'B', 'C', 'D', 'E', 'F', 'G', 'H', 'J', 'K')
    """
    return tuple(_LETTERS[:count])


def draw_marked_zones(
    *, top: Sequence[int], bottom: Sequence[int], seed: str, title: str = ""
) -> Picture:
    """Draw both faces of the key after a push.

    Parameters
    ----------
    top, bottom : sequence of int
        One level a zone, the large end first: 0 blue untouched, 1 thinned, 2 bright.
    seed : str
        Decides the shapes of the marks.
    title : str
        What push it was, written above.

    Returns
    -------
    Picture
        Top face above, bottom face below, large end on the left.
    """
    letters = zone_letters(count=len(top) + len(bottom))
    draws = Draws(f"{seed}:marks")
    down = 30.0 if title else 0.0
    sheet = Sheet(height=2 * _TALL + 184 + down)
    if title:
        sheet.text(14, 26, title, size=LARGE, bold=True)
    told = []
    faces = (
        ("Top face, bears in the hub", top, letters[: len(top)], 52 + down),
        ("Bottom face, on the shaft; key turned over", bottom, letters[len(top) :], 188 + down),
    )
    for words, levels, names, y in faces:
        sheet.text(_LEFT, y - 24, words, bold=True)
        _face(sheet, draws, levels, names, y)
        zones = "; ".join(
            f"{name}, {_WORDS[level]}" for name, level in zip(names, levels, strict=True)
        )
        told.append(f"{words}, zones from the large end: {zones}.")
    _legend(sheet, y=2 * _TALL + 146 + down)
    return sheet.picture(" ".join([f"{title}." if title else "A blued key after a push.", *told]))


def _face(
    sheet: Sheet, draws: Draws, levels: Sequence[int], names: Sequence[str], y: float
) -> None:
    wide = _LONG / len(levels)
    frame = [(_LEFT, y), (_LEFT + _LONG, y), (_LEFT + _LONG, y + _TALL), (_LEFT, y + _TALL)]
    sheet.path([frame], fill=BEARING_BLUE, ink="none", weight=0)
    for place, level in enumerate(levels):
        x = _LEFT + place * wide
        if level >= THINNED:
            spots = [_spot(draws, x, y, wide, part) for part in _parts(draws, level)]
            sheet.path([_ring(*spot, 1.0) for spot in spots], fill=_THIN_BLUE, ink="none", weight=0)
            if level >= BRIGHT:
                _bright(sheet, [_ring(*spot, 0.8) for spot in spots])
    for place, name in enumerate(names):
        x = _LEFT + place * wide
        if place:
            sheet.line(x, y, x, y + _TALL, ink=PAPER, weight=FINE, dash=(4, 4))
            sheet.line(x, y - 8, x, y, weight=FINE)
        sheet.text(x + wide / 2, y - 5, name, anchor="middle", bold=True, ink=TEAL, halo=True)
    sheet.path([frame], weight=HEAVY)
    middle = y + _TALL / 2
    sheet.text(_LEFT - 14, middle, "large end", anchor="middle", turn_deg=-90, size=SMALL)
    sheet.text(
        _LEFT + _LONG + 22,
        middle,
        "small end",
        anchor="middle",
        turn_deg=-90,
        size=SMALL,
        ink=MUTED,
    )


def _parts(draws: Draws, level: int) -> tuple[float, ...]:
    """Return where across the face the spots of a zone sit: one, or two."""
    if level >= BRIGHT and draws.uniform(low=0.0, high=1.0) < 0.4:
        return (-0.23, 0.23)
    return (draws.uniform(low=-0.12, high=0.12),)


def _spot(
    draws: Draws, x: float, y: float, wide: float, part: float
) -> tuple[float, float, float, float, float, float]:
    """Return middle, half sizes and unevenness of a spot that stays inside its zone."""
    tall = 0.19 if abs(part) > 0.15 else 0.32
    return (
        x + wide * (0.5 + draws.uniform(low=-0.03, high=0.03)),
        y + _TALL * (0.5 + part),
        wide * draws.uniform(low=0.33, high=0.40),
        _TALL * tall * draws.uniform(low=0.85, high=1.0),
        draws.uniform(low=0.0, high=2 * math.pi),
        draws.uniform(low=0.04, high=0.10),
    )


def _ring(
    x: float, y: float, half_x: float, half_y: float, turn: float, uneven: float, size: float
) -> list[Point]:
    ring = []
    for place in range(40):
        angle = 2 * math.pi * place / 40
        out = size * (1 + uneven * math.sin(3 * angle + turn) + 0.04 * math.sin(5 * angle))
        ring.append((x + half_x * out * math.cos(angle), y + half_y * out * math.sin(angle)))
    return ring


def _legend(sheet: Sheet, *, y: float) -> None:
    x = _LEFT
    for fill, words in ((BEARING_BLUE, "untouched"), (_THIN_BLUE, "thinned"), ("", "bright")):
        box = [(x, y), (x + 30, y), (x + 30, y + 16), (x, y + 16)]
        if fill:
            sheet.path([box], fill=fill, weight=FINE)
        else:
            sheet.path([box], fill=_BRIGHT_METAL, weight=FINE)
            _bright(sheet, [box])
        sheet.text(x + 37, y + 13, words, size=SMALL)
        x += 130
    sheet.text(x, y + 13, "width drawn larger than the length", size=SMALL, ink=MUTED)
