"""The energies of a bucket elevator, drawn as somebody left them: off and held, or not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coursework.draws import Draws
from coursework.ink.drawing import (
    FINE,
    HEAVY,
    INK,
    LARGE,
    MEDIUM,
    MUTED,
    OCHRE,
    PAPER,
    SHADE,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    Picture,
    Sheet,
    circle_points,
)
from keycourse.card import JobCard

__all__ = ["PLACES", "STATES", "Energies", "draw_energies", "energies_of"]

#: Each place on the picture, what it is, and how it may have been left: held first, then not.
STATES: dict[str, tuple[str, tuple[str, ...]]] = {
    "A": ("drive motor, disconnect", ("locked", "tagged", "their-lock", "on")),
    "B": ("slow drive, disconnect", ("locked", "on")),
    "C": ("loaded buckets", ("pinned", "free")),
    "D": ("air of the gate", ("let-off", "shut-in")),
    "E": ("take-up weight", ("set-down", "hanging")),
}
PLACES = tuple(STATES)
#: Which places are still live, each set as often as the others: one, two or three of the five.
_LIVE = (
    "A",
    "B",
    "C",
    "D",
    "E",
    "AD",
    "AE",
    "BC",
    "BD",
    "BE",
    "CD",
    "CE",
    "DE",
    "ABE",
    "CDE",
    "BCD",
)

_SEEN = {
    "locked": "handle at OFF, your own lock and tag on it",
    "tagged": "handle at OFF, your tag on it, no lock",
    "their-lock": "handle at OFF, the day shift's lock and tag on it, none of yours",
    "on": "handle at ON, no lock",
    "pinned": "a pin through the sprocket holds them to the frame",
    "free": "the pin hangs on its hook beside the sprocket",
    "let-off": "valve shut and locked by you, gauge at 0",
    "shut-in": "valve shut and locked by you, gauge at 90 psi (6 bar)",
    "set-down": "it rests on its stand, the rope is slack",
    "hanging": "it hangs on its rope",
}

Lock = Literal["", "yours", "theirs"]


@dataclass(frozen=True)
class Energies:
    """How each place was left, by its letter."""

    left: dict[str, str]

    @property
    def live(self) -> tuple[str, ...]:
        """The places that are not off and held."""
        return tuple(one for one in PLACES if self.left[one] != STATES[one][1][0])

    def seen(self, place: str) -> str:
        """Return what is to be seen at a place, in words that leave the judgment open."""
        return _SEEN[self.left[place]]


def energies_of(card: JobCard) -> Energies:
    """Return how the energies of a card were left; the same for the same card."""
    draws = Draws(f"{card.class_code}/{card.exercise}/{card.number}/{card.attempt}/energies")
    live = _LIVE[draws.whole(low=0, high=len(_LIVE) - 1)]
    left = {}
    for place, (_, states) in STATES.items():
        turn = draws.whole(low=1, high=len(states) - 1)
        left[place] = states[turn if place in live else 0]
    return Energies(left)


def draw_energies(energies: Energies) -> Picture:
    """Draw the elevator with its five places, and each of them near."""
    sheet = Sheet(height=502)
    sheet.text(14, 28, "Bucket elevator: five energies", size=LARGE, bold=True)
    _head(sheet)
    spots = {"A": (236, 44), "B": (466, 44), "C": (236, 196), "D": (466, 196), "E": (236, 348)}
    for place, (x, y) in spots.items():
        what, _ = STATES[place]
        sheet.rect(x, y, 222, 144, fill="none", ink=MUTED, weight=FINE)
        _letter(sheet, x + 18, y + 20, place)
        sheet.text(x + 36, y + 25, what[0].upper() + what[1:], size=SMALL)
        _NEAR[place](sheet, x, y, energies.left[place])
    x, y = 466, 348
    sheet.text(x + 12, y + 25, "How to read it", size=SMALL, bold=True)
    _padlock(sheet, x + 30, y + 44, "yours")
    sheet.text(x + 60, y + 64, "your lock: solid", size=SMALL)
    _padlock(sheet, x + 30, y + 80, "theirs")
    sheet.text(x + 60, y + 100, "another's: striped", size=SMALL)
    _tag(sheet, x + 18, y + 114, "")
    sheet.text(x + 78, y + 130, "a tag", size=SMALL)
    seen = ". ".join(f"{one}, {STATES[one][0]}: {energies.seen(one)}" for one in PLACES)
    return sheet.picture(f"Bucket elevator with five places. {seen}.")


def _letter(sheet: Sheet, x: float, y: float, letter: str) -> None:
    sheet.circle(x, y, 12, fill=PAPER, weight=HEAVY)
    sheet.text(x, y + 5, letter, anchor="middle", bold=True)


def _head(sheet: Sheet) -> None:
    """Draw the whole small, each place with its letter."""
    sheet.rect(14, 44, 212, 448, ink=MUTED, weight=FINE)
    for x in (84, 176):  # the two runs of the belt with their buckets
        sheet.line(x, 150, x, 330, weight=MEDIUM)
    sheet.circle(130, 150, 46, fill=STEEL_LIGHT, weight=HEAVY)
    sheet.circle(130, 150, 12, fill=STEEL)
    for y in (180, 230, 280):
        sheet.path([[(84, y), (58, y), (64, y + 26), (84, y + 26)]], fill=OCHRE)
        sheet.path([[(176, y), (202, y + 4), (196, y + 26), (176, y + 26)]], fill=PAPER)
    sheet.rect(24, 66, 56, 34, fill=STEEL)  # motor
    sheet.text(52, 88, "motor", size=SMALL, anchor="middle")
    sheet.line(80, 83, 118, 140, weight=MEDIUM)
    sheet.rect(152, 66, 64, 34, fill=STEEL_LIGHT)
    sheet.text(184, 88, "slow", size=SMALL, anchor="middle")
    sheet.line(160, 100, 142, 140, weight=MEDIUM)
    sheet.line(64, 350, 196, 350, weight=MEDIUM)  # boot shaft and take-up
    sheet.circle(130, 350, 34, fill=STEEL_LIGHT)
    sheet.line(130, 350, 130, 420, weight=FINE)
    sheet.rect(108, 420, 44, 40, fill=SHADE)
    sheet.rect(176, 380, 40, 18, fill=STEEL)  # the gate's cylinder
    sheet.line(176, 389, 156, 389, weight=HEAVY)
    for letter, x, y in (
        ("A", 52, 118),
        ("B", 196, 118),
        ("C", 38, 222),
        ("D", 196, 416),
        ("E", 88, 440),
    ):
        _letter(sheet, x, y, letter)


def _padlock(sheet: Sheet, x: float, y: float, whose: Lock) -> None:
    if not whose:
        return
    bow = [p for p in circle_points(cx=x, cy=y + 9, radius=8) if p[1] <= y + 9.01]
    sheet.path([bow], closed=False, weight=HEAVY)
    sheet.rect(x - 12, y + 9, 24, 18, fill=INK if whose == "yours" else PAPER, weight=MEDIUM)
    if whose == "theirs":
        for step in (-6, 0, 6):
            sheet.line(x + step, y + 10, x + step, y + 26, weight=MEDIUM)


def _tag(sheet: Sheet, x: float, y: float, words: str) -> None:
    corners = [(x, y + 11), (x + 10, y), (x + 52, y), (x + 52, y + 22), (x + 10, y + 22)]
    sheet.path([corners], fill=PAPER, weight=MEDIUM)
    sheet.circle(x + 9, y + 11, 2.5, fill=INK)
    sheet.text(x + 33, y + 16, words, anchor="middle", size=SMALL)


def _disconnect(sheet: Sheet, x: float, y: float, state: str) -> None:
    sheet.rect(x + 20, y + 40, 76, 92, fill=STEEL_LIGHT, weight=HEAVY)
    sheet.text(x + 58, y + 58, "ON", anchor="middle", size=SMALL, bold=True)
    sheet.text(x + 58, y + 126, "OFF", anchor="middle", size=SMALL, bold=True)
    end = y + 66 if state == "on" else y + 106
    sheet.line(x + 96, y + 86, x + 122, end, weight=6)
    sheet.circle(x + 96, y + 86, 6, fill=STEEL, weight=HEAVY)
    whose: Lock = {"locked": "yours", "their-lock": "theirs"}.get(state, "")  # type: ignore[assignment]
    _padlock(sheet, x + 124, y + 98, whose)
    if state != "on":
        _tag(sheet, x + 146, y + 100, "DAY" if state == "their-lock" else "YOU")


def _buckets(sheet: Sheet, x: float, y: float, state: str) -> None:
    sheet.circle(x + 84, y + 84, 40, fill=STEEL_LIGHT, weight=HEAVY)
    sheet.circle(x + 84, y + 84, 9, fill=STEEL)
    for turn in (0, 1, 2):
        sheet.circle(x + 84 + (-26, 13, 13)[turn], y + 84 + (0, -22, 22)[turn], 6, fill=PAPER)
    sheet.line(x + 44, y + 84, x + 44, y + 140, weight=MEDIUM)
    sheet.path([[(x + 44, y + 104), (x + 16, y + 104), (x + 22, y + 130), (x + 44, y + 130)]],
               fill=OCHRE)  # fmt: skip
    sheet.rect(x + 150, y + 44, 14, 92, fill=SHADE)  # the frame
    sheet.text(x + 170, y + 136, "frame", size=SMALL)
    if state == "pinned":
        sheet.rect(x + 90, y + 101, 76, 10, fill=INK)
        sheet.text(x + 170, y + 108, "pin", size=SMALL)
    else:
        sheet.line(x + 164, y + 58, x + 174, y + 58, weight=MEDIUM)
        sheet.line(x + 174, y + 58, x + 174, y + 64, weight=MEDIUM)
        sheet.rect(x + 170, y + 64, 9, 46, fill=INK)
        sheet.text(x + 184, y + 92, "pin", size=SMALL)


def _air(sheet: Sheet, x: float, y: float, state: str) -> None:
    sheet.rect(x + 14, y + 104, 190, 12, fill=STEEL)
    sheet.path([[(x + 44, y + 96), (x + 74, y + 124), (x + 74, y + 96), (x + 44, y + 124)]],
               fill=STEEL_LIGHT)  # fmt: skip
    sheet.line(x + 59, y + 110, x + 59, y + 78, weight=5)  # handle across the pipe: shut
    sheet.text(x + 20, y + 66, "shut", size=SMALL)
    _padlock(sheet, x + 84, y + 66, "yours")
    sheet.circle(x + 158, y + 72, 27, fill=PAPER, weight=HEAVY)
    sheet.line(x + 158, y + 99, x + 158, y + 104, weight=HEAVY)
    sheet.text(x + 122, y + 92, "0", size=SMALL, anchor="middle")
    sheet.text(x + 190, y + 56, "90", size=SMALL)
    if state == "let-off":
        sheet.line(x + 158, y + 72, x + 142, y + 80, weight=HEAVY)
    else:
        sheet.line(x + 158, y + 72, x + 175, y + 61, weight=HEAVY)
    sheet.circle(x + 158, y + 72, 3, fill=INK)
    sheet.text(x + 204, y + 136, "to the cylinder", size=SMALL, anchor="end", ink=MUTED)


def _weight(sheet: Sheet, x: float, y: float, state: str) -> None:
    sheet.circle(x + 110, y + 50, 9, fill=STEEL)
    hanging = state == "hanging"
    top = y + 78 if hanging else y + 92
    if hanging:
        sheet.line(x + 110, y + 59, x + 110, top, weight=MEDIUM)
    else:
        sheet.path(
            [[(x + 110, y + 59), (x + 118, y + 68), (x + 104, y + 78), (x + 114, top)]],
            closed=False,
        )
        sheet.text(x + 126, y + 76, "slack", size=SMALL)
    sheet.rect(x + 84, top, 52, 30, fill=SHADE, weight=HEAVY)
    for foot in (x + 66, x + 146):
        sheet.line(foot, y + 122, foot, y + 138, weight=HEAVY)
    sheet.line(x + 62, y + 122, x + 150, y + 122, weight=HEAVY)
    sheet.text(x + 158, y + 134, "stand", size=SMALL)


_NEAR = {"A": _disconnect, "B": _disconnect, "C": _buckets, "D": _air, "E": _weight}
