"""Exercise 00: read the tools, enter numbers with their units, know what comes first."""

from __future__ import annotations

from collections.abc import Callable

from taperkey.jobcard import JobCard
from taperkey.jobcard.drive import MM_PER_IN
from taperkey.jobcard.start import StartReadings
from taperkey.questions.common import Given, length_slips, length_text
from taperkey.questions.question import (
    Answer,
    Choice,
    Fact,
    Measure,
    Page,
    Practical,
    Question,
    Slip,
    WorkedLine,
    Written,
)
from taperkey.questions.start.tools import TOOLS, start_of, tool_facts
from taperkey.units import fraction_text

__all__ = ["PAGE", "facts"]


def _height(card: JobCard, given: Given) -> float:
    start = start_of(card)
    return start.sixteenths / 16 + start.allowance_in


def _off(card: JobCard, given: Given) -> float:
    start = start_of(card)
    return start.bar_in - start.key_mm / MM_PER_IN


def _height_slips() -> tuple[Slip, ...]:
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

    return (
        Slip(
            name="allowance left out",
            value=with_allowance(lambda start: start.sixteenths / 16),
            sentence="This is the finished height. What is left on for fitting has to be added.",
            share=0.5,
        ),
        Slip(
            name="allowance taken off",
            value=with_allowance(lambda start: start.sixteenths / 16 - start.allowance_in),
            sentence="The allowance was taken off. It is left on: the key is filed down to fit.",
            share=0.5,
        ),
        Slip(
            name="allowance ten times too big",
            value=with_allowance(lambda start: start.sixteenths / 16 + 10 * start.allowance_in),
            sentence="The allowance went into the wrong digit. A thousandth is the third digit "
            "after the decimal point.",
            share=0.25,
        ),
        Slip(
            name="fraction copied as decimals",
            value=with_allowance(as_decimals),
            sentence="The figures of the fraction were copied behind the decimal point. A fraction "
            "is a division: upper figure ÷ lower figure.",
            share=0.0,
        ),
        Slip(
            name="a sixteenth taken for an eighth",
            value=with_allowance(lambda start: start.sixteenths / 8 + start.allowance_in),
            sentence="The fraction came out twice too big. Look at its lower figure again.",
            share=0.25,
        ),
    )


def _off_slips() -> tuple[Slip, ...]:
    def rough(card: JobCard, given: Given) -> Answer | None:
        start = start_of(card)
        value = start.bar_in - start.key_mm / 25
        return value if value > 0 else None

    return (
        Slip(
            name="25 for 25.4",
            value=rough,
            sentence="An inch was taken as 25 mm. It is 25.4 mm exactly; on a fit the rest counts.",
            share=0.5,
        ),
        Slip(
            name="key less bar",
            value=lambda card, given: -_off(card, given),
            sentence="The sign is turned round. Which of the two is wider?",
            share=0.5,
        ),
        Slip(
            name="half on each side",
            value=lambda card, given: _off(card, given) / 2,
            sentence="This is half of it. The question is about the whole width.",
            share=0.5,
        ),
        *length_slips(_off),
    )


# what comes first

_LOCK = "Lock out: my own lock and tag on the isolator"
_TRY = "Try it: press start and see that it stays still"
_BLOCK = "Block the load, so that nothing can roll or run back"
_GO = "Go ahead and measure"
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
        Fact("Isolator of the drive", _ISOLATOR.get(state, _YOUR_LOCK)),
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
            "A lock on the wrong isolator looks like one on the right one. Trying shows it.",
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

PAGE = Page(
    name="00-start",
    title="Read the tools",
    facts=facts,
    questions=(
        *TOOLS,
        Question(
            key="00-height",
            skill="numbers with units",
            label="Height before fitting",
            ask="To what height do you mill the key before fitting? Give it in decimals of an "
            "inch, to 0.0001 in.",
            marks=1,
            kind=Measure(dimension="length", unit="in", low=0.2, high=4.0, metric_unit="in"),
            expected=_height,
            tolerance=lambda card, given: 0.0003,  # a mill holds less; this only asks for the sum
            slips=_height_slips(),
            hint="Make the fraction a decimal first, then add the thousandths.",
            facts=_height_facts,
            worked=_height_work,
        ),
        Question(
            key="00-come-off",
            skill="numbers with units",
            label="Width to come off",
            ask="How much has to come off the bar's width, all together?",
            marks=2,
            kind=Measure(dimension="length", unit="in", low=0.0, high=0.2),
            expected=_off,
            tolerance=lambda card, given: 0.0003,
            slips=_off_slips(),
            hint="Bring both widths into the same unit first.",
            facts=_off_facts,
            worked=_off_work,
        ),
        Question(
            key="00-what-first",
            skill="make it ready",
            label="What first",
            ask="You are to measure at this drive. What do you do first?",
            marks=2,
            kind=Choice(options=(_LOCK, _TRY, _BLOCK, _GO)),
            expected=_first,
            critical="This entry is safety-critical: a drive that starts or runs back takes hands "
            "with it. It must be right before you work at a drive.",
            slips=(
                Slip(
                    name="standing still taken for locked out",
                    value=_lock_skipped,
                    sentence="The drive stands still, but nothing holds it off. Look at the "
                    "isolator on the card.",
                ),
                Slip(
                    name="another person's lock relied on",
                    value=_when("their-lock", _GO),
                    sentence="That lock protects the person it belongs to. It comes off when they "
                    "go home.",
                ),
                Slip(
                    name="tried before it was locked",
                    value=_too_early,
                    sentence="Trying comes after the lock; before it, the drive really starts.",
                ),
                Slip(
                    name="not tried",
                    value=_when("untried", _GO),
                    sentence="Locked is not yet shown to be off: it may be the wrong isolator. "
                    "Look at the start button on the card.",
                ),
                Slip(
                    name="load forgotten",
                    value=_when("loaded", _GO),
                    sentence="With the current off, the weight on the drive can still move it. "
                    "Look at the load on the card.",
                ),
                Slip(
                    name="done already",
                    value=_lock_again,
                    sentence="Your lock and tag are on already. Go down the card: is anything "
                    "still missing?",
                ),
            ),
            hint="Go down the card line by line and stop at the first thing that is missing.",
            facts=_state_facts,
            worked=_first_work,
        ),
        Question(
            key="00-why-zero",
            skill="explain",
            label="Why zero first",
            ask="Why do you close the clean micrometer and look at its zero before the first "
            "reading? Write it as you would tell it to someone new, in two to four sentences.",
            marks=3,
            kind=Written(
                guide="1 mark: dirt or wear moves the zero, and then every reading is out by the "
                "same amount. 1 mark: averaging does not take that out. 1 mark: so it is cleaned "
                "and set, or the zero error is taken off each reading."
            ),
        ),
        Question(
            key="00-sign-off",
            skill="bench work",
            label="Sign-off: read three tools",
            ask="At the bench: measure one block with an inch micrometer, a metric micrometer and "
            "a vernier caliper while your assessor watches.",
            marks=5,
            kind=Practical(
                guide="1 mark each: faces cleaned and zero looked at, on each tool; light, even "
                "feel; all three readings right to one line of the tool; written down at once, "
                "with the unit; says what must be done before hands go near a drive."
            ),
        ),
    ),
)
