"""Friction, steel on steel: published tables that disagree.

Marks' Standard Handbook for Mechanical Engineers, Table 3.2.1, and Gieck, Engineering Formulas, 7th
ed.; values from memory. The tests hold the course to a range.
"""

import pytest

from taperkey.tables.reader import read_table
from taperkey.tables.rigging import friction_range, surface_states

PRINTED = [  # name, kind, low, high
    ("clean and dry", "static", 0.74, 0.78),
    ("clean and dry", "sliding", 0.42, 0.42),
    ("thick oxide film", "static", 0.27, 0.27),
    ("steel on steel", "static", 0.15, 0.30),
]


@pytest.mark.parametrize(("name", "kind", "low", "high"), PRINTED)
def test_rows_as_printed(name, kind, low, high):
    rows = [
        (row["low"], row["high"])
        for row in read_table("friction_published")
        if (row["name"], row["kind"]) == (name, kind)
    ]
    assert (low, high) in rows


def test_working_ranges_stay_inside_the_published_spread_and_are_wide():
    rows = read_table("friction_published")
    least, most = min(row["low"] for row in rows), max(row["high"] for row in rows)
    for state in surface_states():
        one = friction_range(state=state)
        assert least <= one.low < one.high <= most
        assert one.high / one.low >= 1.5  # no single figure in disguise


def test_rust_starts_at_the_thick_oxide_film():
    assert friction_range(state="rusted").low == 0.27
