"""Forces and stresses are written in one way: with a comma before each three figures."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from taperkey.checks import require_range, sentence

LIB = Path(__file__).parents[1] / "lib"
BARE = re.compile(r":(?:\.\d)?g\} (?:lbf|psi|N|N m)\b|:\.0f\} (?:lbf|psi|N|N m)\b")


def test_no_sentence_writes_a_force_without_its_comma() -> None:
    found = [
        f"{path.relative_to(LIB)}: {line.strip()}"
        for path in sorted(LIB.rglob("*.py"))
        for line in path.read_text("utf-8").splitlines()
        if BARE.search(line)
    ]
    assert found == []


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (139_622.0, "lbf", "139,622 lbf"),
        (45_400, "lbf", "45,400 lbf"),
        (0.0104, "in", "0.0104 in"),
        (70_000, "", "70000"),  # a port, a number off a list
        (1e300, "in", "1e+300 in"),
        (1e-12, "in", "1e-12 in"),
        (float("inf"), "in", "inf in"),
    ],
)
def test_a_refusal_writes_a_value_as_the_pages_do(value, unit, shown) -> None:
    assert sentence("pull", value, unit, "below 9") == f"pull is {shown}; it must be below 9."


def test_the_rule_is_written_like_the_value() -> None:
    with pytest.raises(ValueError, match="pull") as refused:
        require_range("pull", 139_622.0, 1, 45_400.0, "lbf")
    assert str(refused.value) == "pull is 139,622 lbf; it must be from 1 to 45,400 lbf."
