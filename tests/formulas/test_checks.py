"""What a refusal lets through and what not: at each rule's border, alone and among many values."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from taperkey.checks import (
    LARGE,
    require_above,
    require_at_least,
    require_finite,
    require_in,
    require_non_negative,
    require_one_each,
    require_positive,
    require_range,
)

Rule = Callable[[Any], None]


def rule(act: Callable[..., None], *more: float) -> Rule:
    return functools.partial(lambda value: act("pull", value, *more, "lbf", "Read it again."))


RULES: dict[str, tuple[Rule, list[float], list[float]]] = {
    "a finite number": (rule(require_finite), [-1e300, 0.0, 1e300], []),
    "above 0": (rule(require_positive), [5e-324, 1e300], [0.0, -5e-324]),
    "0 or more": (rule(require_non_negative), [0.0, 1e300], [-5e-324]),
    "above 2": (rule(require_above, 2.0), [math.nextafter(2, 3)], [2.0]),
    "2 lbf or more": (rule(require_at_least, 2.0), [2.0], [math.nextafter(2, 1)]),
    "from 2 to 3 lbf": (
        rule(require_range, 2.0, 3.0),
        [2.0, 3.0],
        [math.nextafter(2, 1), math.nextafter(3, 4)],
    ),
}


@pytest.mark.parametrize("name", RULES)
def test_a_rule_holds_to_its_border(name: str) -> None:
    act, good, bad = RULES[name]
    for one in good:
        act(one)
    for one in bad:
        with pytest.raises(ValueError, match=f"^pull is .* lbf; it must be {name}"):
            act(one)
    for one in (math.nan, math.inf, -math.inf):
        with pytest.raises(ValueError, match="lbf; it must be a finite number. Read it again.$"):
            act(one)


@pytest.mark.parametrize("name", RULES)
@pytest.mark.parametrize("count", [1, LARGE - 1, LARGE, LARGE + 1, 1000])
@pytest.mark.parametrize("place", [0, -1])
def test_one_wrong_value_among_many_is_found(name: str, count: int, place: int) -> None:
    act, good, bad = RULES[name]
    for one in [*bad, math.nan, math.inf, -math.inf]:
        for fill in good:
            values = np.full(count, fill)
            act(values)
            values[place] = one
            with pytest.raises(ValueError, match="^pull is "):
                act(values)
            with pytest.raises(ValueError, match="^pull is "):
                act(values.tolist())


def test_all_right_values_of_any_shape_pass() -> None:
    act, good, _ = RULES["from 2 to 3 lbf"]
    act(np.linspace(good[0], good[-1], 10_000).reshape(100, 100))
    act([[2.0, 3.0], [2.5]])
    act(3)
    act(np.float64(2.0))


def test_a_word_and_a_count_that_do_not_fit_are_named() -> None:
    require_in("weld", "fillet", ("groove", "fillet"))
    with pytest.raises(ValueError) as word:  # noqa: PT011 the words are compared below
        require_in("weld", "butt", ("groove", "fillet"), "Choose one.")
    assert str(word.value) == "weld is 'butt'; it must be one of: fillet, groove. Choose one."
    require_one_each("heights", 3, 3)
    for count in (2, 4):
        with pytest.raises(ValueError) as many:  # noqa: PT011
            require_one_each("heights", count, 3)
        assert (
            str(many.value) == f"number of heights is {count}; it must be 3, one for each station."
        )
