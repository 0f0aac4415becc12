"""Practice of exercise 04: which pot for which job, lead on the hands, and torque to pull."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from coursework.draws import Draws
from coursework.ink.drawing import (
    FINE,
    HEAVY,
    INK,
    LARGE,
    MEDIUM,
    PAPER,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    Picture,
    Sheet,
)
from coursework.question import Answer, Fact, Ordering, PictureMarks, WorkedLine, letters_of
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import FORCE, Given, Wrong, force_text, lettered, narrow, only_if, within
from taperkey import practice
from taperkey.formulas.gauge import nut_torque_lbf_in
from taperkey.tables.threads import Thread, thread
from taperkey.units import from_internal, number_text

__all__ = ["POTS", "draw_shelf"]

WORDS = words_beside(__file__)

ANTI_SEIZE, LEAD, PENETRANT, BLUE, GREASE, LOCKER = (
    "anti-seize", "white lead", "penetrant", "blue", "grease", "locker",
)  # fmt: skip
_LABELS: Mapping[str, tuple[str, str]] = {
    ANTI_SEIZE: ("anti-seize,", "lead-free"),
    LEAD: ("paste,", "white lead"),
    PENETRANT: ("penetrant,", "thin oil"),
    BLUE: ("high-spot", "blue"),
    GREASE: ("bearing", "grease"),
    LOCKER: ("thread", "locker"),
}
_SAYS = WORDS.sayings("pot-drive", "pot-rod", "pot-soak", "pot-blue", "pot-why-drive",
                      "pot-why-rod", "pot-why-soak", "pot-why-blue")  # fmt: skip
_JOBS = {"drive": ANTI_SEIZE, "rod": ANTI_SEIZE, "soak": PENETRANT, "blue": BLUE}
_SHELF = 384.0  # width of its picture
_GREASED, _DRY = practice.values("nut_factor")


def _draws(card: JobCard, key: str) -> Draws:
    return Draws(f"{card.class_code}/{card.exercise}/{card.number}/{key}")


# which pot


def _job(card: JobCard) -> str:
    return tuple(_JOBS)[_draws(card, "04-pots").whole(low=0, high=len(_JOBS) - 1)]


def _letters(card: JobCard) -> dict[str, str]:
    return lettered(card, "04-pots", tuple(_LABELS))


def draw_shelf(letters: Mapping[str, str]) -> Picture:
    """Draw the pots on their shelf, each with its label and its letter.

    Parameters
    ----------
    letters : mapping of str to str
        Letter of each pot, A to F.

    Returns
    -------
    Picture
        The pots from left to right, by letter.
    """
    row = sorted(letters, key=lambda name: letters[name])
    sheet = Sheet(height=334, width=_SHELF)
    wide = (_SHELF - 10) / 3
    for place, name in enumerate(row):  # two boards of three, so that a phone can show them
        middle = 5 + wide * (place % 3 + 0.5)
        left, top = middle - 54, 16.0 + 164 * (place // 3)
        sheet.rect(left, top + 10, 108, 94, fill=STEEL_LIGHT, weight=HEAVY, round_by=5)
        sheet.rect(left - 3, top, 114, 15, fill=STEEL, weight=MEDIUM, round_by=4)
        sheet.rect(left + 3, top + 28, 102, 54, fill=PAPER, weight=FINE)
        for line, words in enumerate(_LABELS[name]):
            sheet.text(middle, top + 50 + 21 * line, words, anchor="middle")
        sheet.text(
            middle, top + 138, letters[name], anchor="middle", bold=True, ink=TEAL, size=LARGE
        )
        sheet.line(5, top + 106, _SHELF - 5, top + 106, weight=HEAVY)
        sheet.line(5, top + 114, _SHELF - 5, top + 114, weight=FINE, ink=INK)
    told = "; ".join(f"{letters[name]}, {' '.join(_LABELS[name])}" for name in row)
    return sheet.picture(f"Six pots on a shelf, two boards of three, with their labels: {told}.")


def _pot(card: JobCard, given: Given) -> Answer:
    return (_letters(card)[_JOBS[_job(card)]],)


def _took(pot: str, *jobs: str) -> Wrong:
    """Return a pot taken for one of these jobs; for any where none is named."""
    return lambda card, given: only_if(
        (not jobs or _job(card) in jobs) and _JOBS[_job(card)] != pot, (_letters(card)[pot],)
    )


def _pot_facts(card: JobCard) -> tuple[Fact, ...]:
    return (Fact("The job", _SAYS(f"pot-{_job(card)}")),)


def _pot_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    name = _JOBS[_job(card)]
    return (
        WorkedLine(
            why=_SAYS(f"pot-why-{_job(card)}"),
            result=f"{_letters(card)[name]}, {' '.join(_LABELS[name])}",
        ),
    )


# torque to pull


@dataclass(frozen=True, kw_only=True)
class _Nut:
    """A nut to be turned by a torque that was worked out for another thread."""

    size: Thread
    planned_lbf: float
    torque_lbf_in: float
    greased: bool  # as it is now

    @property
    def factor(self) -> float:
        return _GREASED if self.greased else _DRY

    @property
    def other(self) -> float:
        return _DRY if self.greased else _GREASED


def _nut(card: JobCard) -> _Nut:
    draws = _draws(card, "04-nut")
    names = ("M16", "M20", "M24") if card.metric else ("5/8-11 UNC", "3/4-10 UNC", "1-8 UNC")
    size = thread(name=names[draws.whole(low=0, high=2)])
    greased = bool(draws.whole(low=0, high=1))
    planned = 1000.0 * draws.whole(low=6, high=14)
    torque = nut_torque_lbf_in(
        pull_lbf=planned, diameter_in=size.diameter_in, nut_factor=_DRY if greased else _GREASED
    )
    per = 1.0 / from_internal(1.0, dimension="torque", unit="N m") if card.metric else 12.0
    torque = 10 * round(torque / per / 10) * per  # as a wrench is set: tens of lbf ft, or of N m
    return _Nut(size=size, planned_lbf=planned, torque_lbf_in=torque, greased=greased)


def _pull(card: JobCard, given: Given) -> float:
    """Return the pull of the nut: torque over factor and diameter [lbf]."""
    nut = _nut(card)
    return nut.torque_lbf_in / (nut.factor * nut.size.diameter_in)


def _torque_text(card: JobCard, torque_lbf_in: float) -> str:
    if card.metric:
        newton_m = from_internal(torque_lbf_in, dimension="torque", unit="N m")
        return f"{number_text(round(newton_m))} N m"
    return f"{number_text(round(torque_lbf_in / 12))} lbf ft"


def _diameter_text(card: JobCard, nut: _Nut) -> str:
    return f"{nut.size.diameter_in * 25.4:g} mm" if card.metric else f"{nut.size.diameter_in:g} in"


def _nut_facts(card: JobCard) -> tuple[Fact, ...]:
    nut = _nut(card)
    now, then = ("greased", "dry") if nut.greased else ("dry", "greased")
    return (
        Fact("Thread of rod and nut", f"{nut.size.name}, {_diameter_text(card, nut)} across"),
        Fact(
            "Torque on the sheet", f"{_torque_text(card, nut.torque_lbf_in)}, for a {then} thread"
        ),
        Fact("Thread as you find it", now),
        Fact("Nut factor", f"greased {_GREASED:g}, dry {_DRY:.2f} (from memory)"),
    )


def _nut_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    nut = _nut(card)
    torque = _torque_text(card, nut.torque_lbf_in)
    long = f"{nut.size.diameter_in * 0.0254:.3f} m" if card.metric else (
        f"{nut.size.diameter_in / 12:.4f} ft"
    )  # fmt: skip
    planned = nut.torque_lbf_in / (nut.other * nut.size.diameter_in)
    more = "more" if nut.greased else "less"
    return (
        WorkedLine(
            why="Most of the torque is spent on friction; the nut factor says how much is left.",
            formula="pull = torque ÷ (nut factor × diameter)",
            numbers=f"{torque} ÷ ({nut.factor:.2f} × {long})",
            result=force_text(card, _pull(card, given)),
        ),
        WorkedLine(
            why=f"On the thread that the sheet was written for it is {force_text(card, planned)}: "
            f"the same torque pulls {more} here.",
        ),
    )


def _other_factor(card: JobCard, given: Given) -> float:
    nut = _nut(card)
    return nut.torque_lbf_in / (nut.other * nut.size.diameter_in)


def _no_factor(card: JobCard, given: Given) -> float:
    nut = _nut(card)
    return nut.torque_lbf_in / nut.size.diameter_in


def _radius_taken(card: JobCard, given: Given) -> float:
    return 2 * _pull(card, given)


def _lead_facts(card: JobCard) -> tuple[Fact, ...]:
    return (Fact("What you find", "an old key with dried white paste on it"),)


def _lead_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    return tuple(
        WorkedLine(why=step) for step in (WORDS.steps("04-lead")[ord(one) - 65] for one in _LEAD)
    )


_LEAD = "CFADBE"


POTS = (
    WORDS.question(
        "04-pots",
        kind=PictureMarks(options=letters_of(len(_LABELS))),
        expected=_pot,
        slips={
            "white lead": _took(LEAD),
            "locker taken": _took(LOCKER),
            "grease taken": _took(GREASE, "drive", "rod"),
            "penetrant for a film": _took(PENETRANT, "drive", "rod"),
            "blue is no lubricant": _took(BLUE, "drive", "rod", "soak"),
            "paste for a soak": _took(ANTI_SEIZE, "soak"),
            "grease for a soak": _took(GREASE, "soak"),
            "too thick to tell": _took(ANTI_SEIZE, "blue"),
        },
        facts=_pot_facts,
        worked=_pot_work,
        picture=lambda card: narrow(draw_shelf(_letters(card))),
    ),
    WORDS.question(
        "04-lead",
        kind=Ordering(steps=WORDS.steps("04-lead")),
        expected=lambda card, given: tuple(_LEAD),
        slips={
            "gloves too late": lambda card, given: tuple("FCADBE"),
            "ate before washing": lambda card, given: tuple("CFADEB"),
            "brushed before it was wet": lambda card, given: tuple("CAFDBE"),
            "gloves off first": lambda card, given: tuple("CFDABE"),
        },
        facts=_lead_facts,
        worked=_lead_work,
    ),
    WORDS.question(
        "04-nut",
        kind=FORCE,
        expected=_pull,
        tolerance=within(_pull, 0.01),
        slips={
            "the other thread's factor": _other_factor,
            "nut factor left out": _no_factor,
            "half the diameter taken": _radius_taken,
        },
        facts=_nut_facts,
        worked=_nut_work,
    ),
)
