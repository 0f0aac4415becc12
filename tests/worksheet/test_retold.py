"""Sentences of bench and formulas in a metric shop; each figure worked by hand beside it."""

from __future__ import annotations

import pytest

from coursework.ink.shop import INCH, METRIC
from keycourse.retold import retold

SENTENCES = [
    # 28,504 x 0.00444822 = 126.79; 0.12 x 25.4 = 3.05
    (
        "It starts with a bang at 28,504 lbf and comes 0.12 in; from there it slides.",
        "It starts with a bang at 126.8 kN and comes 3.0 mm; from there it slides.",
    ),
    # 0.031 x 25.4 = 0.787
    (
        "The key stands 0.031 in proud and goes no further on these blows.",
        "The key stands 0.79 mm proud and goes no further on these blows.",
    ),
    # leaves go by their inch size: 0.0015 x 25.4 = 0.0381
    (
        "The 0.0015 in leaf enters nowhere at top or bottom.",
        "The 0.0015 in (0.038 mm) leaf enters nowhere at top or bottom.",
    ),
    # a working load rounds down: 5,100 x 0.00444822 = 22.686
    (
        "The rig is set. Its weakest link is the rod: 5,100 lbf working load.",
        "The rig is set. Its weakest link is the rod: 22.6 kN working load.",
    ),
    # 0.226 x 25.4^2 = 145.8; 94,500 x 0.00689476 = 651.6; a thread keeps its name
    (
        "5/8-11 UNC ASTM A193 B7: stress area 0.226 in2 x 94,500 psi 0.9 of yield",
        "5/8-11 UNC ASTM A193 B7: stress area 146 mm² x 652 MPa 0.9 of yield",
    ),
    # 0.9375 x 25.4 = 23.81
    ("5/8-11 UNC, 0.9375 in of full thread", "5/8-11 UNC, 23.81 mm of full thread"),
    # 2 feet stay 2 feet: 3 x 25.4^2 = 1935.5
    (
        "2 x 3 in2 under the feet x 36,000 psi yield",
        "2 x 1,935 mm² under the feet x 248 MPa yield",
    ),
    # 4 x 25.4 = 101.6, 3.5 x 25.4 = 88.9, 12 x 25.4 = 304.8
    (
        "4 x 3.5 in bar, 12 in between the jacks, hole 0 in: bending governs",
        "101.6 x 88.9 mm bar, 304.8 mm between the jacks, hole 0 mm: bending governs",
    ),
    # the jacks keep their tons: 2,000 x 0.00444822 = 8.896
    ("2 x 10 tons x 2,000 lbf, 80 % used", "2 x 10 tons x 8.9 kN, 80 % used"),
    # 7,424 lbf/in x 4.44822 N / 25.4 mm = 1300.2
    (
        "0.5 in fillet, 7,424 lbf/in by the weld metal",
        "12.7 mm fillet, 1,300 N/mm by the weld metal",
    ),
    # 540 x 0.112985 = 61.0; a range goes outward: 4.448 and 8.896 kN, 16.88 and 84.07 kN
    (
        "a blow of 540 lbf in brings a peak of 1,000 to 2,000 lbf in the rod against 3,795 to"
        " 18,900 lbf that the key needs",
        "a blow of 61 J brings a peak of 4.4 to 8.9 kN in the rod against 16.8 to"
        " 84.1 kN that the key needs",
    ),
    # differences: 117 / 1.8 = 65, 23 / 1.8 = 12.8; 0.0012 x 25.4 = 0.0305
    (
        "The hub is 117 F above the shaft outside, about 23 F at the key: the opening has grown"
        " by 0.0012 in.",
        "The hub is 65 °C above the shaft outside, about 12.8 °C at the key: the opening has grown"
        " by 0.030 mm.",
    ),
    # what may be typed stays inside: 13,795 x 0.00444822 = 61.36
    (
        "peak of the blow is 20,000 lbf; it must be from 1 to 13,795 lbf.",
        "peak of the blow is 89.0 kN; it must be from 4 N to 61.3 kN.",
    ),
    ("3 spots filed on the top face, 15 strokes each.",) * 2,
]


@pytest.mark.parametrize(("inch", "metric"), SENTENCES)
def test_numbers_are_written_anew_and_the_words_stay(inch, metric):
    assert retold(inch, units=METRIC) == metric
    assert retold(inch, units=INCH) == inch
    assert retold(metric, units=METRIC) == metric  # said twice is said once
