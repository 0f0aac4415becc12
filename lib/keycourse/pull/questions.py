"""Exercise 05: the pull, the rig, its weakest link, and whether to go."""

from __future__ import annotations

from coursework.question import Choice
from coursework.words import words_beside
from keycourse.common import only_if
from keycourse.pull import values, work
from keycourse.pull.forces import FORCES
from keycourse.pull.rig import DECIDE, RIG

__all__ = ["PAGE"]

WORDS = words_beside(__file__)


_ENDS = (
    WORDS.question(
        "05-large-end",
        kind=Choice(options=(values.NEAR, values.FAR, values.NO_TELLING)),
        expected=values.large_end,
        slips={
            "taken for granted": lambda card, given: only_if(
                values.large_end(card, given) == values.FAR, values.NEAR
            ),
            "heights mixed up": lambda card, given: only_if(
                values.large_end(card, given) == values.NEAR, values.FAR
            ),
            "readings not trusted": lambda card, given: values.NO_TELLING,
        },
        facts=values.ends_facts,
        worked=work.large_end,
    ),
    WORDS.question(
        "05-what-first",
        kind=Choice(options=values.FIRST),
        expected=values.first_step,
        slips={
            "reversed hub not seen": lambda card, given: only_if(
                values.large_end(card, given) == values.FAR, values.PLAN_FIRST
            ),
            "ordinary hub taken for reversed": lambda card, given: only_if(
                values.large_end(card, given) == values.NEAR, values.HUB_OFF
            ),
            "tried before it was worked out": lambda card, given: values.PULL_NOW,
        },
        facts=values.ends_facts,
        worked=work.first_step,
    ),
)


PAGE = WORDS.page(
    facts=values.facts,
    unclear=values.doubt,
    reckoned=(*_ENDS, *FORCES, *RIG, *DECIDE),
)
