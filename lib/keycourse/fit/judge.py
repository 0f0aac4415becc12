"""Exercise 04: what the spots tell, what is done, and whether the fit is accepted."""

from __future__ import annotations

from coursework.question import Choice, Ordering
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
            "filed where it does not bear": lambda card, given: values.BETWEEN,
            "good spots wiped away": _decide_is((values.FILE,), values.CLEAN),
        },
        facts=values.now_facts,
        worked=work.decide_work,
        picture=_NOW,
    ),
    WORDS.question(
        "04-round",
        kind=Ordering(steps=WORDS.steps("04-round")),
        expected=lambda card, given: values.ROUND,
        slips={
            "filed with the blue on": lambda card, given: tuple("CEBFDA"),
            "wiped before it was read": lambda card, given: tuple("CEBAFD"),
            "stand-out measured with the key out": lambda card, given: tuple("CEFBAD"),
        },
        facts=values.round_facts,
        worked=work.round_work,
    ),
    WORDS.question(
        "04-lubricant",
        kind=Choice(options=values.LUBRICANTS),
        expected=lambda card, given: values.ANTI_SEIZE,
        slips={
            "white lead": lambda card, given: values.WHITE_LEAD,
            "driven dry": lambda card, given: values.DRY,
            "blue left on": lambda card, given: values.BLUE_ON,
        },
        facts=values.shelf_facts,
        worked=work.lubricant_work,
    ),
    WORDS.question(
        "04-hub",
        kind=Choice(options=values.AFTER_DRIVE),
        expected=values.after_drive,
        slips={
            "creep not seen": lambda card, given: only_if(values.crept(card), values.RUN),
            "creep seen where there is none": lambda card, given: only_if(
                not values.crept(card), values.SET_BACK
            ),
            "no second look": lambda card, given: values.DONE,
            "hub knocked along the shaft": lambda card, given: values.KNOCK,
        },
        facts=values.hub_facts,
        worked=work.hub_work,
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
            "bad fit filled with a shim": lambda card, given: values.SHIM,
            "not accepted for the wrong reason": lambda card, given: {
                values.GAP: values.PROUD,
                values.PROUD: values.GAP,
                values.LOOSE: values.GAP,
            }.get(str(values.verdict(card, given))),
        },
        facts=values.end_facts,
        worked=work.verdict_work,
    ),
)
