"""Sentences of bench and formulas in a metric shop; each figure worked by hand beside it."""

from __future__ import annotations

import copy
import pickle

import pytest

from coursework.ink.shop import INCH, METRIC
from taperkey.checks import require_above, require_range
from taperkey.formulas.pull import sliding_weight
from taperkey.formulas.reversed_hub import pull_from_small_end
from taperkey.formulas.rig_parts import jacks_link, seat_link, strongback_link, weld_link
from taperkey.formulas.rod import rod_link, tapped_hole_link
from taperkey.said import Number, Said, number, numbers, what_was_said


def refusal(check, *values, **words):
    with pytest.raises(ValueError, match="must be") as refused:
        check(*values, **words)
    return what_was_said(refused.value)


SENTENCES = [
    # 28,504 x 0.00444822 = 126.79; 0.12 x 25.4 = 3.05
    (
        Said(
            "It starts with a bang at {start} and comes {out}; from there it slides.",
            start=number(28_504.0, "lbf"),
            out=number(0.12, "in", ".2f"),
        ),
        "It starts with a bang at 28,504 lbf and comes 0.12 in; from there it slides.",
        "It starts with a bang at 126.8 kN and comes 3.0 mm; from there it slides.",
    ),
    # 0.031 x 25.4 = 0.787
    (
        Said("The key stands {end} proud", end=number(0.031, "in", ".3f")) + " on these blows.",
        "The key stands 0.031 in proud on these blows.",
        "The key stands 0.79 mm proud on these blows.",
    ),
    # a metric set has a leaf of 0.04 mm: 0.0015 x 25.4 = 0.0381
    (
        Said("The {leaf} leaf goes in nowhere.", leaf=number(0.0015, "in", ".4f", way="leaf")),
        "The 0.0015 in leaf goes in nowhere.",
        "The 0.04 mm leaf goes in nowhere.",
    ),
    # a working load rounds down: 5,100 x 0.00444822 = 22.686
    (
        Said("the rod: {works} working load.", works=number(5_100.0, "lbf", way="down")),
        "the rod: 5,100 lbf working load.",
        "the rod: 22.6 kN working load.",
    ),
    # 0.226 x 25.4^2 = 145.8; 0.9 x 105,000 = 94,500; x 0.00689476 = 651.6; a thread keeps its name
    (
        rod_link(thread_name="5/8-11 UNC", grade_name="ASTM A193 B7").basis,
        "5/8-11 UNC ASTM A193 B7: stress area 0.226 in² × 94,500 psi 0.9 of yield × condition 1"
        " × share 0.75",
        "5/8-11 UNC ASTM A193 B7: stress area 146 mm² × 652 MPa 0.9 of yield × condition 1"
        " × share 0.75",
    ),
    # 2 feet stay 2 feet: 3 x 25.4^2 = 1935.5; 36,000 x 0.00689476 = 248.2
    (
        seat_link(area_each_in2=3, number=2, yield_psi=36_000).basis,
        "2 × 3 in² under the feet × 36,000 psi yield, design factor 1.67",
        "2 × 1,935 mm² under the feet × 248 MPa yield, design factor 1.67",
    ),
    # 4 x 25.4 = 101.6, 3.5 x 25.4 = 88.9, 12 x 25.4 = 304.8
    (
        strongback_link(width_in=4, depth_in=3.5, span_in=12, hole_in=0, yield_psi=36_000).basis,
        "4 × 3.5 in bar, 12 in between the jacks, hole 0 in: bending governs, 36,000 psi yield,"
        " design factor 1.67",
        "101.6 × 88.9 mm bar, 304.8 mm between the jacks, hole 0 mm: bending governs, 248 MPa"
        " yield, design factor 1.67",
    ),
    # the jacks keep their tons: 2,000 x 0.00444822 = 8.896
    (
        jacks_link(rated_tons=10, number=2).basis,
        "2 × 10 tons × 2,000 lbf, 80 % of the rating used",
        "2 × 10 tons × 8.9 kN, 80 % of the rating used",
    ),
    # 0.3 x 70,000 x 0.7071 x 0.5 = 7,425 lbf/in, x 4.44822 N / 25.4 mm = 1300.2
    (
        weld_link(
            kind="fillet",
            size_in=0.5,
            length_each_side_in=3,
            sides=2,
            electrode_psi=70_000,
            key_tensile_psi=90_000,
        ).basis,
        None,
        "12.7 mm fillet, 76.2 mm on both sides of the joint, 1,300 N/mm by the weld metal",
    ),
    # 30 / 386.09 / 2 x 118^2 = 541 in·lbf, x 0.112985 = 61.1; pull 16.88 and 84.07 kN, outward
    (
        Said(
            "a blow of {energy} against {pull}",
            energy=number(541.0, "lbf in"),
            pull=numbers(3_795.0, 18_900.0, unit="lbf"),
        ),
        "a blow of 541 lbf in against 3,795 to 18,900 lbf",
        "a blow of 61 J against 16.8 to 84.1 kN",
    ),
    # differences: 117 / 1.8 = 65, 23 / 1.8 = 12.8; 0.0012 x 25.4 = 0.0305
    (
        Said(
            "{hub} outside, {key} at the key: grown by {growth}.",
            hub=number(117.0, "F", "g"),
            key=number(23.0, "F", ".0f"),
            growth=number(0.0012, "in", ".4f"),
        ),
        "117 F outside, 23 F at the key: grown by 0.0012 in.",
        "65 °C outside, 12.8 °C at the key: grown by 0.030 mm.",
    ),
    # what may be typed stays inside: 13,795 x 0.00444822 = 61.36; 1 lbf is 4.4 N
    (
        refusal(require_range, "peak of the blow", 20_000.0, 1.0, 13_795.0, "lbf"),
        "peak of the blow is 20,000 lbf; it must be from 1 to 13,795 lbf.",
        "peak of the blow is 89.0 kN; it must be from 4 N to 61.3 kN.",
    ),
    # a negative length is a length too: 0.5 x 25.4 = 12.7
    (
        refusal(require_above, "{odd} name", -0.5, 0.0, "in", "Measure it."),
        None,
        "{odd} name is -12.7 mm; it must be above 0 mm. Measure it.",
    ),
    ("15 strokes each.",) * 3,
]


@pytest.mark.parametrize(("sentence", "inch", "metric"), SENTENCES)
def test_numbers_are_written_for_the_shop_and_the_words_stay(sentence, inch, metric):
    if inch is not None:
        assert sentence == inch
        assert INCH.say(sentence) == inch
    if metric is not None:
        assert METRIC.say(sentence) == metric


def test_a_thread_keeps_its_name_and_its_length_is_told():
    basis = tapped_hole_link(
        thread_name="5/8-11 UNC",
        grade_name="ASTM A193 B7",
        engagement_in=0.9375,
        key_yield_psi=54_000,
    ).basis
    # 0.9375 x 25.4 = 23.81
    assert METRIC.say(basis).startswith("5/8-11 UNC, 23.81 mm of full thread, ")


def test_a_blow_and_a_pull_from_the_small_end_say_no_inch_and_no_pound():
    blow = sliding_weight(
        weight_lbf=30,
        speed_in_per_s=120,
        useful_share_low=0.5,
        useful_share_high=0.9,
        stress_area_in2=0.606,
        length_in=36,
        pull_low_lbf=60_000,
        pull_high_lbf=80_000,
    )
    small = pull_from_small_end(
        pull_lbf=40_000,
        normal_force_lbf=50_000,
        taper_in_per_in=1 / 96,
        floor_friction=0.15,
        roof_friction=0.15,
    )
    for reason in (blow.reason, small.reason):
        assert " lbf" in reason
        assert " lbf" not in METRIC.say(reason)
    assert "266.8 to 355.9 kN that the key needs" in METRIC.say(blow.reason)  # 266.89, 355.86


@pytest.mark.parametrize(
    "again", [copy.copy, copy.deepcopy, lambda s: pickle.loads(pickle.dumps(s))]
)
def test_a_copy_keeps_its_numbers(again):
    sentence = Said("{a} and {b}", a=number(1.0, "in", "g"), b=Said("{c}", c=number(2.0, "in")))
    assert again(sentence) == "1 in and 2 in"
    assert METRIC.say(again(sentence)) == "25.4 mm and 50.8 mm"


def test_a_number_that_nobody_meant_stays_as_it_was_typed():
    sentence = Said("It is {it}.", it=Number((1e300,), ("1e+300",), "lbf"))
    assert METRIC.say(sentence) == "It is 1e+300 lbf."


def test_a_refusal_says_its_words_and_one_without_words_says_nothing():
    assert what_was_said(ValueError()) == ""
    assert what_was_said(OSError(28, "No space left")) == "[Errno 28] No space left"
    short = Said("It is {it}.", it=number(1.0, "in"))
    assert METRIC.say(what_was_said(ValueError(short, "and more"))) == "It is 25.4 mm."
