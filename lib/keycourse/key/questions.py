"""Exercise 03: size the key, find its blank and its cuts, and see whether it is strong enough."""

from __future__ import annotations

from taperkey.questions.key import blank, cutting, shape, strength
from taperkey.questions.key.facts import facts
from taperkey.questions.key.values import unclear_order
from taperkey.questions.words import words_beside

__all__ = ["PAGE"]

WORDS = words_beside(__file__)

PAGE = WORDS.page(
    facts=facts,
    unclear=unclear_order,
    reckoned=(
        *blank.QUESTIONS,
        *shape.QUESTIONS,
        *cutting.QUESTIONS,
        *strength.QUESTIONS,
    ),
)
