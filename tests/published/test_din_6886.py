"""DIN 6886 taper keys (and DIN 6885-1 hub depths of parallel keys).

DIN 6886, DIN 6887 and DIN 6885-1, tables of sizes: from memory, the standards were not at hand.
"""

import math

import pytest

from taperkey.formulas.key import key_size, metric_keyseat_depths
from taperkey.tables.keys import metric_key_size
from taperkey.tables.reader import read_table

ROWS = {  # shaft to and including: b, h, t1, t2 parallel, t2 taper
    8: (2, 2, 1.2, 1.0, 0.5), 17: (5, 5, 3, 2.3, 1.7), 30: (8, 7, 4, 3.3, 2.4),
    50: (14, 9, 5.5, 3.8, 2.9), 75: (20, 12, 7.5, 4.9, 3.9), 110: (28, 16, 10, 6.4, 5.4),
    150: (36, 20, 12, 8.4, 7.1), 200: (45, 25, 15, 10.4, 9.1), 260: (56, 32, 20, 12.4, 11.1),
    290: (63, 32, 20, 12.4, 11.1), 330: (70, 36, 22, 14.4, 13.1), 380: (80, 40, 25, 15.4, 14.1),
    440: (90, 45, 28, 17.4, 16.1), 500: (100, 50, 31, 19.5, 18.1),
}  # fmt: skip


@pytest.mark.parametrize("shaft_mm", ROWS)
def test_rows(shaft_mm):
    row = metric_key_size(shaft_diameter_in=shaft_mm / 25.4)
    found = (
        row.width_mm,
        row.height_mm,
        row.shaft_depth_in * 25.4,
        row.hub_depth_parallel_in * 25.4,
        row.hub_depth_taper_in * 25.4,
    )
    assert found == pytest.approx(ROWS[shaft_mm], abs=1e-9)


@pytest.mark.parametrize("shaft_mm", ROWS)
def test_depths_across_shaft_and_bore(shaft_mm):
    _, _, t1, parallel, taper = ROWS[shaft_mm]
    for kind, t2 in (("parallel", parallel), ("taper", taper)):
        depths = metric_keyseat_depths(shaft_diameter_in=shaft_mm / 25.4, kind=kind)
        assert depths.shaft_depth_in * 25.4 == pytest.approx(shaft_mm - t1, abs=1e-9)
        assert depths.hub_depth_in * 25.4 == pytest.approx(shaft_mm + t2, abs=1e-9)


def test_large_sizes_leave_nine_tenths_between_the_depths():
    # over 130 mm the standard's depths for taper keys leave .9 mm of the key's largest height
    for shaft_mm in (150, 170, 200, 230, 260, 290, 330, 380, 440, 500):
        row = metric_key_size(shaft_diameter_in=shaft_mm / 25.4)
        left = row.height_mm - (row.shaft_depth_in + row.hub_depth_taper_in) * 25.4
        assert left == pytest.approx(0.9, abs=1e-6)


def test_lengths_are_preferred_numbers():
    # each lies near a term of R20: twenty steps from one power of ten to the next
    lengths = [row["length_mm"] for row in read_table("metric_key_lengths")]
    assert lengths == sorted(set(lengths))
    for one in lengths:
        place = 20 * math.log10(one)
        assert abs(place - round(place)) < 0.45
    assert (lengths[0], lengths[-1]) == (6, 400)


def test_taper_is_1_in_100():
    assert key_size(shaft_diameter_in=4.0, system="metric").taper_in_per_in == 0.01
