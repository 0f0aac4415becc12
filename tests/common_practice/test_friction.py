"""Friction of steel on steel, dry and greased: common practice, no printed source was found."""

import pytest

from taperkey.tables.reader import read_table

USED = [  # name, kind, low, high
    ("dry", "static", 0.12, 0.60),
    ("greased", "static", 0.12, 0.35),
    ("greased", "sliding", 0.04, 0.25),
]


@pytest.mark.parametrize(("name", "kind", "low", "high"), USED)
def test_rows_say_that_they_are_common_practice(name, kind, low, high):
    rows = {
        (row["low"], row["high"]): row["source"]
        for row in read_table("friction_published")
        if (row["name"], row["kind"]) == (name, kind)
    }
    assert rows[low, high] == "common practice"
