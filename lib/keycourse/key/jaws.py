"""Practice of the vise: what held this key, read from its face."""

from __future__ import annotations

from coursework.draws import Draws
from coursework.ink.drawing import (
    HEAVY,
    LARGE,
    MEDIUM,
    SHADE,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    VERMILION,
    Picture,
    Point,
    Sheet,
)
from coursework.question import Answer, Choice, Question, WorkedLine
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, narrow

__all__ = ["JAWS", "draw_held_face"]

WORDS = words_beside(__file__)
_SAID = WORDS.options("03-jaws")
_HELD = ("bare", "chip", "clean")
_WIDE = 384.0  # so that a phone shows all of it
_WHY = {
    "bare": "Dents in even rows, as far as the jaw reached: that is the jaw's own pattern. The "
    "metal beside each dent stands up.",
    "chip": "One dent, and no other: something lay between jaw and key. Its rim stands up.",
    "clean": "No dent, and no light under the straightedge but at the ends: nothing stands up.",
}
_SEEN = {
    "bare": "Small dents in even rows over the middle of the face. Under a straightedge each "
    "dent has a rim on both sides, and the straightedge rides on the rims.",
    "chip": "One single dent. Under a straightedge it has a rim on both sides, and the "
    "straightedge rocks on it.",
    "clean": "No dents. The straightedge lies on the face all along.",
}


def _held(card: JobCard) -> tuple[str, float]:
    """Return what held the key of a card, and where along the face."""
    draws = Draws(f"{card.class_code}/{card.exercise}/{card.number}/{card.attempt}/jaws")
    return _HELD[draws.whole(low=0, high=2)], draws.uniform(low=0.35, high=0.62)


def draw_held_face(held: str, where: float) -> Picture:
    """Draw the face of a key out of the vise, and a straightedge on it, much enlarged.

    Parameters
    ----------
    held : str
        "bare", "chip" or "clean".
    where : float
        Place of the mark along the face, 0 to 1.
    """
    sheet = Sheet(height=296, width=_WIDE)
    sheet.text(14, 28, "Face of the key, out of the vise", size=LARGE, bold=True)
    left, right, top, low = 14.0, _WIDE - 14.0, 48.0, 128.0
    sheet.rect(left, top, right - left, low - top, fill=STEEL_LIGHT, weight=HEAVY)
    for trace in range(int(left) + 14, int(right), 26):  # of the cutter
        sheet.line(trace, top + 4, trace + 6, low - 4, ink=SHADE, weight=0.8)
    middle = left + where * (right - left)
    if held == "bare":
        for across in range(-6, 7):
            for up in range(4):
                x, y = middle + across * 14 + (up % 2) * 7, top + 14.0 + up * 17
                sheet.path([[(x - 4, y), (x, y - 4), (x + 4, y), (x, y + 4)]], fill=SHADE)
    elif held == "chip":
        y = top + 34
        sheet.path([[(middle - 9, y), (middle - 1, y - 5), (middle + 8, y + 1), (middle, y + 6)]],
                   fill=SHADE)  # fmt: skip
    sheet.text(14, 162, "Cut open, a straightedge on it", size=LARGE, bold=True)
    face = 226.0
    profile: list[Point] = [(left, face)]
    dents = {"bare": [84.0, 192.0, 300.0], "chip": [192.0], "clean": []}[held]
    for x in dents:
        profile += [(x - 30, face), (x - 18, face - 9), (x - 11, face - 6), (x, face + 22)]
        profile += [(x + 11, face - 6), (x + 18, face - 9), (x + 30, face)]
    profile.append((right, face))
    sheet.cut_metal([[*profile, (right, 286), (left, 286)]], fill=STEEL_LIGHT, weight=MEDIUM)
    rides = face - 9 if dents else face
    sheet.rect(left, rides - 26, right - left, 26, fill=STEEL, weight=MEDIUM)
    sheet.text(right - 8, rides - 8, "straightedge", anchor="end", size=SMALL)
    if dents:
        x = dents[len(dents) // 2]
        sheet.leader(x + 18, face - 8, x + 30, face + 42, "this rim stands up", ink=VERMILION)
    return sheet.picture(f"Face of a key out of the vise. {_SEEN[held]}")


def _answer(card: JobCard, given: Given) -> Answer:
    return _SAID[_held(card)[0]]


def _rims_left(card: JobCard, given: Given) -> Answer | None:
    return None if _held(card)[0] == "clean" else _SAID["clean"]


def _other_cause(card: JobCard, given: Given) -> Answer | None:
    other = {"bare": "chip", "chip": "bare"}.get(_held(card)[0])
    return None if other is None else _SAID[other]


def _work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    held, _ = _held(card)
    return (WorkedLine(why=_WHY[held], result=_SAID[held]),)


JAWS: Question = WORDS.question(
    "03-jaws",
    kind=Choice(options=tuple(_SAID.values())),
    expected=_answer,
    slips={"rims left standing": _rims_left, "cause mistaken": _other_cause},
    worked=_work,
    picture=lambda card: narrow(draw_held_face(*_held(card))),
)
