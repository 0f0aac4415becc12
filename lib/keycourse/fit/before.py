"""Exercise 04: from which end the key goes in, before anything is fitted."""

from __future__ import annotations

from coursework.question import Choice, Measure
from coursework.words import words_beside
from keycourse.common import Wrong, only_if
from keycourse.fit import values, work

__all__ = ["BEFORE"]

WORDS = words_beside(__file__)


def _right_is(right: str, slip: str) -> Wrong:
    return lambda card, given: only_if(values.from_which_end(card, given) == right, slip)


BEFORE = (
    WORDS.question(
        "04-lower",
        kind=Measure(dimension="length", unit="in", low=-0.5, high=0.5, places=4),
        expected=values.lower_by,
        tolerance=lambda card, given: 0.00006,
        slips={
            "the wrong way round": lambda card, given: -values.lower_by(card, given),
        },
        facts=values.ends_facts,
        worked=work.lower_work,
    ),
    WORDS.question(
        "04-from-which-end",
        kind=Choice(options=values.FROM_ENDS),
        expected=values.from_which_end,
        slips={
            "ends mixed up, near end high": _right_is(values.NEAR, values.FAR),
            "ends mixed up, far end high": _right_is(values.FAR, values.NEAR),
            "doubt not seen, near end": _right_is(values.CANNOT_TELL, values.NEAR),
            "doubt not seen, far end": _right_is(values.CANNOT_TELL, values.FAR),
            "readings not trusted": lambda card, given: only_if(
                values.from_which_end(card, given) != values.CANNOT_TELL, values.CANNOT_TELL
            ),
        },
        needs=("04-lower",),
        facts=values.ends_facts,
        worked=work.which_end_work,
    ),
)
