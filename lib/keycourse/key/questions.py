"""Exercise 03: size the key, find its blank and its cuts, and see whether it is strong enough."""

from __future__ import annotations

from coursework.words import words_beside
from keycourse.key import (
    blank,
    cutting,
    shape,
    strength,
    tapping_questions,
)
from keycourse.key.bow_question import BOW
from keycourse.key.facts import facts
from keycourse.key.jaws import JAWS
from keycourse.key.values import unclear_order

__all__ = ["PAGE"]

WORDS = words_beside(__file__)

PAGE = WORDS.page(
    facts=facts,
    unclear=unclear_order,
    reckoned=(
        *blank.QUESTIONS,
        *shape.QUESTIONS,
        BOW,
        *cutting.QUESTIONS,
        JAWS,
        *tapping_questions.QUESTIONS,
        *strength.QUESTIONS,
    ),
)
