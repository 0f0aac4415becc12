"""Exercise 00: read the tools, enter numbers with their units, know what comes first."""

from __future__ import annotations

from collections.abc import Callable

from coursework.question import (
    Answer,
    Choice,
    Fact,
    Measure,
    WorkedLine,
)
from coursework.words import Slips, words_beside
from keycourse.card import JobCard
from keycourse.common import Given, length_text
from keycourse.start.card import StartReadings
from keycourse.start.lockout import LOCKOUT
from keycourse.start.tool_questions import TOOL_QUESTIONS, start_of, tool_facts
from taperkey.units import MM_PER_IN, fraction_text

__all__ = ["PAGE", "facts"]

WORDS = words_beside(__file__)


def _height(card: JobCard, given: Given) -> float:
    start = start_of(card)
    return start.sixteenths / 16 + start.allowance_in


def _off(card: JobCard, given: Given) -> float:
    start = start_of(card)
    return start.bar_in - start.key_mm / MM_PER_IN


def _height_slips() -> Slips:
    def with_allowance(
        change: Callable[[StartReadings], float | None],
    ) -> Callable[..., Answer | None]:
        def value(card: JobCard, given: Given) -> Answer | None:
            return change(start_of(card))

        return value

    def as_decimals(start: StartReadings) -> float:
        whole, part = divmod(start.sixteenths, 16)
        figures = f"{part}16" if part < 10 else f"{part}"  # "1-7/16" copied down as 1.716
        return whole + float(f"0.{figures}") + start.allowance_in

    return {
        "allowance left out": with_allowance(lambda start: start.sixteenths / 16),
        "allowance taken off": with_allowance(
            lambda start: start.sixteenths / 16 - start.allowance_in
        ),
        "allowance ten times too big": with_allowance(
            lambda start: start.sixteenths / 16 + 10 * start.allowance_in
        ),
        "fraction copied as decimals": with_allowance(as_decimals),
        "a sixteenth taken for an eighth": with_allowance(
            lambda start: start.sixteenths / 8 + start.allowance_in
        ),
    }


def _off_slips() -> Slips:
    def rough(card: JobCard, given: Given) -> Answer | None:
        start = start_of(card)
        value = start.bar_in - start.key_mm / 25
        return value if value > 0 else None

    return {
        "25 for 25.4": rough,
        "key less bar": lambda card, given: -_off(card, given),
        "half on each side": lambda card, given: _off(card, given) / 2,
    }


# what comes first

_SAID = WORDS.options("00-what-first")
_LOCK, _TRY, _BLOCK, _GO = (_SAID[one] for one in ("lock", "try", "block", "go"))
_FIRST = {
    "stopped": _LOCK,
    "their-lock": _LOCK,
    "tag-only": _LOCK,
    "untried": _TRY,
    "loaded": _BLOCK,
    "made-ready": _GO,
}
_ISOLATOR = {
    "stopped": "on; only the stop button at the machine was pressed",
    "their-lock": "off, with the day shift's lock on it; none of yours",
    "tag-only": "off, with your tag on it; no lock",
}
_YOUR_LOCK = "off, with your own lock and tag on it"


def _first(card: JobCard, given: Given) -> str:
    return _FIRST[start_of(card).drive_state]


def _when(state: str, answer: str) -> Callable[[JobCard, Given], Answer | None]:
    return lambda card, given: answer if start_of(card).drive_state == state else None


def _lock_skipped(card: JobCard, given: Given) -> Answer | None:
    state = start_of(card).drive_state
    return _GO if state in ("stopped", "tag-only") else None


def _lock_again(card: JobCard, given: Given) -> Answer | None:
    return _LOCK if start_of(card).drive_state in ("untried", "loaded", "made-ready") else None


def _too_early(card: JobCard, given: Given) -> Answer | None:
    return _TRY if _first(card, given) == _LOCK else None


def _state_facts(card: JobCard) -> tuple[Fact, ...]:
    state = start_of(card).drive_state
    unlocked = state in _ISOLATOR
    tried = "not pressed yet" if unlocked or state == "untried" else "pressed; nothing moved"
    load = "still on, not blocked" if state == "loaded" else "off the drive, and blocked"
    return (
        Fact("Disconnect of the drive", _ISOLATOR.get(state, _YOUR_LOCK)),
        Fact("Start button after that", tried),
        Fact("Load", load),
    )


def _first_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    first = _first(card, given)
    missing, why = {
        _LOCK: (
            "your own lock is missing",
            "Standing still is not locked out. A tag holds no handle, and another person's lock "
            "comes off when they go home. Only your own lock keeps the drive off for you.",
        ),
        _BLOCK: (
            "the load is not blocked",
            "A loaded drive runs back by itself, with the current off.",
        ),
        _TRY: (
            "it has not been tried",
            "A lock on the wrong disconnect looks like one on the right one. Trying shows it.",
        ),
        _GO: ("nothing is missing", "Your own lock is on, the load is blocked, it was tried."),
    }[first]
    return (
        WorkedLine(
            why="Go down the row and stop at the first thing that is missing: lock and tag, load, "
            "try. (In the United States 29 CFR 1910.147; site rules come first.)",
            result=missing,
        ),
        WorkedLine(why=why, result=first),
    )


def _height_facts(card: JobCard) -> tuple[Fact, ...]:
    start = start_of(card)
    return (
        Fact("Finished height of a key", fraction_text(start.sixteenths / 16)),
        Fact("To be left on for fitting", f"{1000 * start.allowance_in:g} thousandths of an inch"),
    )


def _off_facts(card: JobCard) -> tuple[Fact, ...]:
    start = start_of(card)
    return (
        Fact("Bar of key stock, width", fraction_text(start.bar_in)),
        Fact("Key wanted, width", f"{start.key_mm:g} mm"),
    )


def facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed card."""
    return (
        *tool_facts(card),
        *_height_facts(card),
        *_off_facts(card),
        *_state_facts(card),
    )


# worked solutions


def _height_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    start = start_of(card)
    plain = start.sixteenths / 16
    whole, part = divmod(start.sixteenths, 16)
    return (
        WorkedLine(
            why="Tools read decimals, so the fraction becomes one. A fraction is a division.",
            formula="upper figure ÷ lower figure",
            numbers=f"{whole} in + {part} in ÷ 16" if whole else f"{part} in ÷ 16",
            result=f"{plain:.4f} in",
        ),
        WorkedLine(
            why="A thousandth is the third digit after the point. It is left on, so it is added.",
            formula="finished height + allowance",
            numbers=f"{plain:.4f} in + {start.allowance_in:.4f} in",
            result=f"{_height(card, given):.4f} in",
        ),
    )


def _off_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    start = start_of(card)
    key_in = start.key_mm / MM_PER_IN
    bar = WorkedLine(
        why="Only numbers in the same unit can be taken from each other. 1 in = 25.4 mm exactly.",
        formula="in × 25.4" if card.metric else "mm ÷ 25.4",
        numbers=f"{start.bar_in:.4f} in × 25.4 mm/in"
        if card.metric
        else f"{start.key_mm:g} mm ÷ 25.4 mm/in",
        result=length_text(card, start.bar_in if card.metric else key_in),
    )
    return (
        bar,
        WorkedLine(
            why="What comes off is the rest.",
            formula="bar − key",
            numbers=f"{length_text(card, start.bar_in)} − {length_text(card, key_in)}",
            result=length_text(card, _off(card, given)),
        ),
    )


# the page

PAGE = WORDS.page(
    facts=facts,
    reckoned=(
        *TOOL_QUESTIONS,
        *LOCKOUT,
        WORDS.question(
            "00-height",
            kind=Measure(dimension="length", unit="in", low=0.2, high=4.0, metric_unit="in"),
            expected=_height,
            tolerance=lambda card, given: 0.0003,  # a mill holds less; this only asks for the sum
            slips=_height_slips(),
            facts=_height_facts,
            worked=_height_work,
        ),
        WORDS.question(
            "00-come-off",
            kind=Measure(dimension="length", unit="in", low=0.0, high=0.2),
            expected=_off,
            tolerance=lambda card, given: 0.0003,
            slips=_off_slips(),
            facts=_off_facts,
            worked=_off_work,
        ),
        WORDS.question(
            "00-what-first",
            kind=Choice(options=tuple(_SAID.values())),
            expected=_first,
            slips={
                "standing still taken for locked out": _lock_skipped,
                "another person's lock relied on": _when("their-lock", _GO),
                "tried before it was locked": _too_early,
                "not tried": _when("untried", _GO),
                "load forgotten": _when("loaded", _GO),
                "done already": _lock_again,
            },
            facts=_state_facts,
            worked=_first_work,
        ),
    ),
)
