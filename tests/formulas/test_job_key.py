"""What a whole job says of the key to be made: each sentence whole, and the numbers by hand."""

from dataclasses import replace

import pytest

from keycourse.whole.job_inputs import (
    JobInputs,
    KeyInputs,
    OpeningInputs,
    PullInputs,
)
from keycourse.whole.whole_job import work_out

OPENING = OpeningInputs(
    distances_in=(0.0, 6.0),
    readings_in=((1.0625,), (1.0,)),
    hub_widths_in=(1.002,),
    shaft_widths_in=(1.001,),
    hub_length_in=8.0,
    shaft_diameter_in=4.0,
    keyway_at_bottom=True,
)
KEY = KeyInputs(thread_name="5/8-11 UNC", outside_in=0.25)
PULL = PullInputs(
    method="hollow-ram",
    surface="lubricated",
    jack_tons=30,
    jacks=1,
    thread_name="3/4-10 UNC",
    grade_name="ASTM A193 B7",
    seat_pressure_psi=(3000.0, 4000.0),
    seat_area_in2=12.0,
)


def work(*, opening=None, key=None, pull=None, standard="inch"):
    return work_out(
        job=JobInputs(
            standard=standard,
            opening=replace(OPENING, **(opening or {})),
            key=replace(KEY, **(key or {})),
            pull=None if pull == "none" else replace(PULL, **(pull or {})),
        )
    )


def found(figures):
    return [(one.level, one.stage, one.sentence) for one in figures.findings]


@pytest.mark.parametrize(
    ("radius", "sixtyfourths"),
    [
        (5 / 64, 6),  # as large as the table's chamfer: the next 1/64 in clears it
        (6 / 64, 7),
        (7 / 64 - 1e-12, 8),  # 7/64 in but for the rounding of millimeters
        (0.1, 7),
    ],
)
def test_a_radius_that_the_table_does_not_clear_asks_for_more(radius, sixtyfourths):
    figures = work(opening={"slot_radius_in": radius})
    assert figures.key.chamfer_in == sixtyfourths / 64
    assert found(figures) == [
        (
            "look",
            "make",
            f"The radius in the slot is {radius:.4f} in, not below the 0.0781 in chamfer of the"
            f" table: the edges are eased by {sixtyfourths / 64:.4f} in instead, or the key rides"
            " on its corners.",
        )
    ]


def test_a_radius_below_the_chamfer_of_the_table_is_cleared_by_it():
    figures = work(opening={"slot_radius_in": 5 / 64 - 0.001})
    assert figures.key.chamfer_in == 5 / 64
    assert found(figures) == []


# ASME B17.1, fillets: half the key's height over 1/4 to 1/2 in takes 5/64 in, over 1/2 in 5/32 in.
# A 4 in shaft has a 1 by 1 in key, so the table's height is taken while the slot is near 1 in wide,
# else the height at the middle of the key: entry height less 8.25 in / 2 at 1 in 96, 0.043 in.
@pytest.mark.parametrize(
    ("entry", "hub", "shaft", "chamfer"),
    [
        (1.0625, 1.001, 1.001, 5 / 64),
        (1.0625, 1.05, 1.05, 5 / 64),
        (1.0625, 0.95, 0.95, 5 / 64),
        (1.0625, 1.0625, 1.0625, 5 / 32),  # 1/16 in off is no longer near
        (1.0625, 1.1, 1.1, 5 / 32),  # middle 1.020 in
        (1.036, 1.1, 1.1, 5 / 64),  # middle 0.993 in
        (1.0625, 1.09, 1.01, 5 / 64),  # the narrower slot decides
        (1.0625, 1.01, 1.09, 5 / 64),
    ],
)
def test_chamfer_is_that_of_the_tables_height_or_of_the_middle(entry, hub, shaft, chamfer):
    figures = work(
        opening={
            "readings_in": ((entry,), (entry - 0.0625,)),
            "hub_widths_in": (hub,),
            "shaft_widths_in": (shaft,),
            "shaft_slot_depth_in": 0.45,
        },
        pull="none",
    )
    assert figures.key.chamfer_in == chamfer


def test_chamfer_of_a_shaft_beyond_the_table_is_that_of_the_middle():
    assert work(opening={"shaft_diameter_in": 31.0}).key.chamfer_in == 5 / 32


def test_chamfer_of_a_metric_key_is_by_the_metric_table():
    # 100 mm shaft: key 28 by 16 mm (DIN 6886). DIN 6885 has chamfers up to 0.8 mm from 18 to 32 mm
    # wide (from memory). By the inch table, half of the middle of this slot is 0.51 in: 5/32 in.
    opening = {
        "shaft_diameter_in": 100 / 25.4,
        "hub_widths_in": (28 / 25.4,),
        "shaft_widths_in": (28 / 25.4,),
    }
    metric = work(opening=opening, standard="metric").key.chamfer_in
    assert metric == pytest.approx(0.8 / 25.4)
    assert work(opening=opening, standard="inch").key.chamfer_in == 5 / 32


def test_an_untapped_key_is_said():
    figures = work(key={"thread_name": ""})
    assert found(figures) == [
        (
            "look",
            "make",
            "The new key is not tapped: there is no bolt to take the hammer, and nothing to pull"
            " by later. Drill and tap the large end unless the key has a gib head.",
        )
    ]
    assert figures.key.tapped is None
    assert figures.key.hole_depth_in == 0.0


def test_a_thread_too_large_for_the_end_is_a_stop():
    figures = work(
        opening={"hub_widths_in": (0.7,), "shaft_widths_in": (0.7,)},
        key={"thread_name": "3/4-10 UNC", "side_clearance_in": 0.002},
        pull="none",
    )
    # 1.0625 at the mouth, 0.25 in further out at 1 in 96, 0.010 in over size
    height = 1.0625 + 0.25 / 96 + 0.010
    assert found(figures) == [
        (
            "stop",
            "make",
            f"3/4-10 UNC does not fit in the end of the key: 0.7500 in of thread in {height:.4f} in"
            " of height and 0.6980 in of width. Choose a smaller thread.",
        )
    ]


@pytest.mark.parametrize(
    ("width", "wall"),
    [(0.9375, None), (0.9325, 0.09125)],  # an eighth of 3/4 in is 0.09375 in
)
def test_a_thin_wall_round_the_hole_is_said(width, wall):
    figures = work(
        opening={"hub_widths_in": (width,), "shaft_widths_in": (width,)},
        key={"thread_name": "3/4-10 UNC", "side_clearance_in": 0.0},
        pull="none",
    )
    said = f"Only {wall:.4f} in of wall is left round the 3/4-10 UNC hole." if wall else ""
    assert found(figures) == (
        [
            (
                "look",
                "make",
                f"{said} A smaller thread of a stronger grade leaves more of the key.",
            )
        ]
        if wall
        else []
    )


def test_the_narrower_part_of_a_stepped_key_decides_the_wall():
    for hub, shaft in ((0.93, 1.03), (1.03, 0.93)):
        figures = work(
            opening={
                "hub_widths_in": (hub,),
                "shaft_widths_in": (shaft,),
                "shaft_slot_depth_in": 0.48,
            },
            key={"thread_name": "3/4-10 UNC", "side_clearance_in": 0.0},
            pull="none",
        )
        assert figures.workings["wall"].value == pytest.approx(0.09)
        # the wider part decides the bar: 1.03 in comes out of 1-1/8 in
        assert figures.key.bar_width_in == 1.125


HARD = {"shaft_steel_name": "1045 cold-drawn"}
HARD_HUB = {"hub_metal_name": "1045 cold-drawn"}


def capacity(depth_in, *, length_in=8.0, service=1.0, design=2.0, yield_psi=30_000, chamfer=5 / 64):
    # bearing at the shaft's surface: S / n over h L, arm D/2; h is the depth less the chamfer, 5/64
    # in for the 1 in key of a 4 in shaft. Nothing said of the shaft: 1020 hot-rolled, 30,000 psi;
    # of the hub: cast steel, 35,000 psi
    return yield_psi / design * (depth_in - chamfer) * length_in * 4.0 / 2 / service


MEAN = (1.0625 + 0.25 / 96 + 1.0625 - 8 / 96) / 2 + 0.010


@pytest.mark.parametrize(
    ("opening", "key", "expected"),
    [
        ({}, {}, capacity(MEAN / 2)),
        ({"shaft_slot_depth_in": 0.48}, {}, capacity(0.48)),
        # deep in the shaft, shallow in the hub: there the hub is the weakest
        ({"shaft_slot_depth_in": 0.6}, {}, capacity(MEAN - 0.6, yield_psi=35_000)),
        # shaft and hub harder than the key: the key is the weakest
        (
            HARD_HUB,
            HARD,
            capacity(MEAN / 2, yield_psi=54_000),
        ),
        (
            {},
            {"service_factor": 1.5, "design_factor": 3.0},
            capacity(MEAN / 2, service=1.5, design=3),
        ),
        # 6 in of the 8 in hub: the mean height is 1/96 in more
        ({}, {"engaged_length_in": 6.0}, capacity(MEAN / 2 + 0.5 / 96, length_in=6.0)),
        # 0.598 in wide in hard slots: shear at 0.577 of yield is less than bearing of the key
        (
            {"hub_widths_in": (0.6,), "shaft_widths_in": (0.6,), **HARD_HUB},
            {**HARD, "thread_name": ""},
            54_000 / 2 * 0.577 * 0.598 * 8 * 4 / 2,
        ),
    ],
)
def test_torque_that_the_key_carries_is_that_of_the_weaker_way(opening, key, expected):
    figures = work(opening=opening, key={"torque_lbf_in": 50_000.0, **key}, pull="none")
    assert figures.key.strength.torque_capacity_lbf_in == pytest.approx(expected, rel=1e-9)
    assert figures.workings["torque-capacity"].value == pytest.approx(expected, rel=1e-9)


def test_a_stepped_key_shears_in_its_narrower_part():
    for hub, shaft in ((0.8, 1.0), (1.0, 0.8)):
        figures = work(
            opening={
                "hub_widths_in": (hub,),
                "shaft_widths_in": (shaft,),
                "shaft_slot_depth_in": 0.5,
            },
            key={"torque_lbf_in": 50_000.0},
            pull="none",
        )
        assert figures.key.strength.shear_stress_psi == pytest.approx(50_000 / 2 / (0.798 * 8))


def test_a_key_too_weak_is_a_stop_with_what_was_compared():
    figures = work(key={"torque_lbf_in": 300_000.0})
    # F = T / 2 in over 8 in of half the mean height less the chamfer
    stress = 150_000 / ((MEAN / 2 - 5 / 64) * 8)
    assert found(figures) == [
        (
            "stop",
            "make",
            "The key is not strong enough for the torque as given: bearing"
            f" {stress:,.0f} psi against 15,000 psi allowed for the shaft (yield 30,000 psi, design"
            f" factor 2, service factor 1): {stress / 150:.0f} % used. Ask whoever answers for the"
            " drive before it is made.",
        )
    ]


def test_another_steel_carries_by_its_own_yield():
    figures = work(
        opening=HARD_HUB, key={"torque_lbf_in": 50_000.0, "steel_name": "1045 cold-drawn", **HARD}
    )
    carried = figures.key.strength.torque_capacity_lbf_in
    assert carried == pytest.approx(capacity(MEAN / 2, yield_psi=77_000))  # Shigley 9e, A-20
    assert figures.workings["key-yield"].value == 77_000.0
    assert work().key.strength is None


def test_one_of_two_bar_sizes_is_not_a_bar():
    listed = work().key
    assert (listed.bar_width_in, listed.bar_height_in) == (1.125, 1.125)
    assert listed.stock.width_in == 1.125
    for half in ({"bar_width_in": 2.0}, {"bar_height_in": 2.0}):
        assert work(key=half).key.bar_width_in == 1.125
    given = work(key={"bar_width_in": 1.0, "bar_height_in": 1.25, "side_clearance_in": 0.001}).key
    assert (given.bar_width_in, given.bar_height_in, given.stock) == (1.0, 1.25, None)


def test_a_bar_of_the_keys_own_width_does():
    # 1.001 in less nothing
    given = work(key={"bar_width_in": 1.001, "bar_height_in": 1.25, "side_clearance_in": 0.0})
    assert given.key.bar_width_in == 1.001


def test_all_of_the_key_is_in_the_figures():
    key = work(key={"hole_depth_in": 1.0}).key
    assert (key.hub_width_in, key.shaft_width_in) == pytest.approx((0.999, 0.999))
    assert key.stepped is None
    assert key.hole_depth_in == 1.0
    # wall over the hole, 1 in down the taper
    height = 1.0625 + (0.25 - 1.0) / 96 + 0.010
    assert key.tapped.top_wall_in == pytest.approx((height - 0.625) / 2)
    assert work().key.hole_depth_in == 2 * 0.625


def test_blank_is_over_size_by_the_allowance_asked_for():
    blank = work(key={"allowance_in": 0.020}).key.blank
    assert blank.large_end_height_in == pytest.approx(1.0625 + 0.25 / 96 + 0.020)
    assert blank.small_end_height_in == pytest.approx(1.0625 - 8 / 96 + 0.020)
    assert blank.travel_to_home_in == pytest.approx(0.020 * 96)


def test_step_of_the_key_keeps_off_by_twenty_thousandths():
    key = work(
        opening={"hub_widths_in": (1.03,), "shaft_slot_depth_in": 0.48},
        key={"side_clearance_in": 0.004},
    ).key
    assert (key.hub_width_in, key.shaft_width_in) == pytest.approx((1.026, 0.997))
    assert key.stepped.step_in == pytest.approx(0.0145)
    assert key.stepped.shaft_portion_height_in == pytest.approx(0.48 + 0.020)
    assert key.stepped.hub_portion_large_end_in == pytest.approx(
        1.0625 + 0.25 / 96 + 0.010 - 0.48 - 0.020
    )
    assert key.stepped.hub_portion_small_end_in == pytest.approx(
        1.0625 - 8 / 96 + 0.010 - 0.48 - 0.020
    )


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"opening": {"hub_widths_in": (1.03,)}},
            "depth of the shaft slot is not given; it must be there for a stepped key. Measure it"
            " along the side wall of the slot.",
        ),
        (
            {"key": {"engaged_length_in": 8.5}},
            "length of the key in the slot is 8.5 in; it must be 8 in or less, the length of the"
            " hub. What stands outside the mouth is a number of its own.",
        ),
        (
            {"key": {"hole_depth_in": 8.25}},
            "depth of the tapped hole is 8.25 in; it must be below 8.25 in, the length of the key."
            " Measure both again.",
        ),
        (
            {"key": {"bar_width_in": 0.9, "bar_height_in": 1.25}},
            "width of the bar is 0.9 in; it must be 0.999 in or more, the width of the key. Take a"
            " wider bar.",
        ),
    ],
)
def test_an_entry_that_cannot_be_is_one_sentence(changes, sentence):
    with pytest.raises(ValueError, match="^") as refused:
        work(**changes)
    assert str(refused.value) == sentence


@pytest.mark.parametrize(
    "changes",
    [
        {"key": {"engaged_length_in": 8.0}},
        {"key": {"hole_depth_in": 8.0}},
    ],
)
def test_an_entry_at_its_limit_is_taken(changes):
    assert found(work(**changes)) == []
