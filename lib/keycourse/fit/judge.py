"""Exercise 04: what the spots tell, what is done, and whether the fit is accepted."""

from __future__ import annotations

from coursework.question import Choice, Measure, Ordering
from coursework.words import words_beside
from keycourse.common import Wrong, only_if
from keycourse.fit import values, work

__all__ = ["JUDGE"]

WORDS = words_beside(__file__)


def _cause_is(wanted: str, slip: str) -> Wrong:
    return lambda card, given: only_if(values.cause(card, given) == wanted, slip)


def _decide_is(wanted: tuple[str, ...], slip: str) -> Wrong:
    return lambda card, given: only_if(values.decide(card, given) in wanted, slip)


def _verdict_is(wanted: str, slip: str) -> Wrong:
    return lambda card, given: only_if(values.verdict(card, given) == wanted, slip)


def _after(states: tuple[str, ...], slip: str) -> Wrong:
    return lambda card, given: only_if(values.after_drive(card, given) in states, slip)


def _can(kind: str) -> Wrong:
    return lambda card, given: values.place_of(kind, values.case_of(card).cans, values.LUBRICANTS)


def _round(order: str) -> Wrong:
    return lambda card, given: values.round_from(card, order)


_NOW = values.picture("now", "The blue after this push")


JUDGE = (
    WORDS.question(
        "04-cause",
        kind=Choice(options=values.CAUSES),
        expected=values.cause,
        slips={
            "ends mixed up, large end bears": _cause_is(values.MORE_TAPER, values.LESS_TAPER),
            "ends mixed up, small end bears": _cause_is(values.LESS_TAPER, values.MORE_TAPER),
            "one end taken for ordinary": lambda card, given: only_if(
                values.cause(card, given) in (values.MORE_TAPER, values.LESS_TAPER),
                values.NO_CAUSE,
            ),
            "sides not looked at": _cause_is(values.TOO_WIDE, values.NO_CAUSE),
            "old blue not seen": _cause_is(values.OLD_BLUE, values.NO_CAUSE),
            "ordinary spots suspected": _cause_is(values.NO_CAUSE, values.MORE_TAPER),
        },
        needs=("04-file",),
        facts=values.now_facts,
        worked=work.cause_work,
        picture=_NOW,
    ),
    WORDS.question(
        "04-decide",
        kind=Choice(options=values.STEPS),
        expected=values.decide,
        slips={
            "driven early": _decide_is((values.FILE, values.SIDES, values.CLEAN), values.HOME),
            "filed once too often": _decide_is((values.HOME,), values.FILE),
            "spots filed that cannot be trusted": _decide_is((values.CLEAN,), values.FILE),
            "faces filed while the sides bind": _decide_is((values.SIDES,), values.FILE),
            "good spots wiped away": _decide_is((values.FILE,), values.CLEAN),
        },
        needs=("04-still-off",),
        facts=values.now_facts,
        worked=work.decide_work,
        picture=_NOW,
    ),
    WORDS.question(
        "04-round",
        kind=Ordering(steps=WORDS.steps("04-round")),
        expected=lambda card, given: values.round_from(card),
        slips={
            "filed with the blue on": _round("CEBFDA"),
            "wiped before it was read": _round("CEBAFD"),
            "stand-out measured with the key out": _round("CEFBAD"),
            "begun at the blue": lambda card, given: only_if(
                values.round_from(card)[0] != "C", tuple("CEBFAD")
            ),
        },
        facts=values.round_facts,
        worked=work.round_work,
    ),
    WORDS.question(
        "04-lubricant",
        kind=Choice(options=values.LUBRICANTS),
        expected=values.which_can,
        slips={
            "white lead": _can(values.WHITE_LEAD),
            "not on the site's list": _can(values.UNLISTED),
            "grease taken": _can(values.GREASE),
            "the site's own not seen": lambda card, given: only_if(
                values.LISTED in values.case_of(card).cans, values.LUBRICANTS[3]
            ),
        },
        facts=values.shelf_facts,
        worked=work.lubricant_work,
    ),
    WORDS.question(
        "04-creep",
        kind=Measure(dimension="length", unit="in", low=-0.5, high=0.5, places=3, metric_places=2),
        expected=values.creep,
        slips={"the wrong way round": lambda card, given: -values.creep(card, given)},
        facts=values.hub_facts,
        worked=work.creep_work,
    ),
    WORDS.question(
        "04-hub",
        kind=Choice(options=values.AFTER_DRIVE),
        expected=values.after_drive,
        needs=("04-creep",),
        slips={
            "creep not seen": _after((values.SET_BACK,), values.RUN),
            "creep seen where there is none": _after((values.RUN, values.UNTRUE), values.SET_BACK),
            "taken for measured": _after((values.UNKNOWN,), values.RUN),
            "creep guessed at": _after((values.UNKNOWN,), values.SET_BACK),
            "measured, and not believed": _after(
                (values.RUN, values.SET_BACK, values.UNTRUE), values.UNKNOWN
            ),
            "runout not looked at": _after((values.UNTRUE,), values.RUN),
            "creep taken for runout alone": _after((values.SET_BACK,), values.UNTRUE),
            "runout read into the dial": _after((values.RUN, values.UNKNOWN), values.UNTRUE),
        },
        facts=values.hub_facts,
        worked=work.hub_work,
    ),
    WORDS.question(
        "04-driven",
        kind=Measure(dimension="length", unit="in", low=0.01, high=2, places=2, metric_places=1),
        expected=values.driven,
        slips={
            "stand-out before the blows": lambda card, given: only_if(
                values.case_of(card).proud_in > 0, values.case_of(card).before_blows_in
            ),
            "stand-out after the blows": lambda card, given: values.case_of(card).proud_in or None,
        },
        facts=values.end_facts,
        worked=work.driven_work,
    ),
    WORDS.question(
        "04-verdict",
        kind=Choice(options=values.VERDICTS),
        expected=values.verdict,
        slips={
            "leaf waved through": _verdict_is(values.GAP, values.ACCEPTED),
            "proud key waved through": _verdict_is(values.PROUD, values.ACCEPTED),
            "loose key waved through": _verdict_is(values.LOOSE, values.ACCEPTED),
            "gap at the sides taken for a fault": _verdict_is(values.ACCEPTED, values.GAP),
            "not accepted for the wrong reason": lambda card, given: {
                values.GAP: values.PROUD,
                values.PROUD: values.GAP,
                values.LOOSE: values.GAP,
            }.get(str(values.verdict(card, given))),
        },
        needs=("04-driven",),
        facts=values.end_facts,
        worked=work.verdict_work,
    ),
)
