"""What a whole job says of the pull: each stop and caution as its whole sentence.

The numbers in the sentences come from the formulas written out here, not from the job.
"""

import math
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
AREA = 1.001 * 8.0  # narrower slot, whole hub
TAPER = 0.0625 / 6


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


def only(figures, stage):
    return [one for one in found(figures) if one[1] == stage]


def draw(seat_lbf, mu, taper=TAPER):
    return seat_lbf * (mu + math.tan(math.atan(mu) - math.atan(taper)))


def test_the_small_end_showing_is_a_stop_with_the_grip_it_adds():
    figures = work(opening={"readings_in": ((1.0,), (1.0625,))})
    # driving: N (mu + tan(phi + alpha)) at the low ends
    ratio = 0.10 + math.tan(math.atan(0.10) + math.atan(TAPER))
    assert only(figures, "pull") == [
        (
            "stop",
            "pull",
            "The small end shows: no pull at this end draws the key. From"
            f" {3000 * 0.7 * AREA * ratio:,.0f} lbf on it goes further in, and what is pulled"
            f" beyond that adds {1 / ratio:.1f} times as much to the grip. The pulling plan"
            " tells the ways out.",
        )
    ]
    assert [one.numbers[0][1] for one in figures.stops if one.stage == "pull"] == ["force-down"]


UNTAPPED = "The key in the slot is not tapped: the rod has nothing to hold in."
UNGRADED = (
    "The grade of the rod is not known, so its strength is not known. Take a rod with its grade"
    " marked."
)
# At 300 to 400 psi on a key 1.03 in high and 1.0 in wide: (1.03 + 2 x 0.5 x 1.0) x 300 / 30e6 =
# 0.00002 in and (1.03 + 2 x 1.7 x 1.0) x 400 / 30e6 = 0.00006 in; a bore of 4 in and the key grow
# 5.03 x 11.5e-6 / 1.8 = 0.000032 in for each degF.
RUST = (
    "Rust that has grown across the faces can hold beyond any friction reckoned here. Soak it"
    " first; heat only by a hot-work permit. The squeeze of 0.0000 in to 0.0001 in is off once the"
    " hub is 1 to 2 °F (0 to 1 °C) warmer than shaft and key, at the key; the rust stays."
)


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"thread_name": ""}, [("stop", "pull", UNTAPPED)]),
        ({"grade_name": ""}, [("stop", "pull", UNGRADED)]),
        (
            {"thread_name": "", "grade_name": ""},
            [("stop", "pull", UNTAPPED), ("stop", "pull", UNGRADED)],
        ),
        ({"surface": "rusted", "seat_pressure_psi": (300.0, 400.0)}, [("look", "pull", RUST)]),
        # no rod in a welded strongback
        (
            {
                "method": "welded strongback",
                "thread_name": "",
                "grade_name": "",
                "jacks": 2,
                "jack_tons": 10,
                "weld_length_in": 4.0,
            },
            [],
        ),
    ],
)
def test_what_stands_against_a_pull_is_said(changes, expected):
    figures = work(pull=changes)
    assert found(figures) == expected
    assert figures.pull.decision.go == (not any(one[0] == "stop" for one in expected))
    if not figures.pull.decision.go:
        assert figures.pull.decision.stop_at_lbf is None
        assert figures.pull.chain is None


LOW, HIGH = draw(3000 * 0.7 * AREA, 0.10), draw(4000 * AREA, 0.20)
# narrower slot by the mouth's height less the taper over 1.5 diameters of thread, less the hole;
# 54,000 psi over 1.5
SECTION = (1.001 * (1.0625 - 1.125 / 96) - math.pi / 4 * 0.75**2) * 54_000 / 1.5


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"jack_tons": 2},
            f"The high end of the pull is above what the jacks allow: {LOW:,.0f} lbf to"
            f" {HIGH:,.0f} lbf against 3,200 lbf. A stronger rig is needed: take larger jacks,"
            " after checking every other link against them.",
        ),
        (
            {"jack_tons": 1},
            f"The whole pull is above what the jacks allow: {LOW:,.0f} lbf to {HIGH:,.0f} lbf"
            " against 1,600 lbf. This rig cannot draw the key: take larger jacks, after checking"
            " every other link against them.",
        ),
        (
            {"seat_pressure_psi": (30e3, 40e3)},
            "The whole pull is above what the key section allows:"
            f" {10 * LOW:,.0f} lbf to {10 * HIGH:,.0f} lbf against {SECTION:,.0f} lbf. This rig"
            " cannot draw the key: use a smaller thread of a stronger grade, so that more of the"
            " key is left.",
        ),
        (
            {"method": "welded strongback", "jacks": 2, "weld_sides": 1},
            f"The whole pull is above what the weld allows: {LOW:,.0f} lbf to {HIGH:,.0f} lbf"
            " against 0 lbf. This rig cannot draw the key: weld the other side of the joint as"
            " well.",
        ),
    ],
)
def test_a_rig_too_weak_is_a_stop_with_both_ends_of_the_pull(changes, sentence):
    figures = work(pull=changes)
    assert found(figures) == [("stop", "pull", sentence)]
    # a load is rounded up, what is to be compared from below down
    assert [kind for _, kind in figures.stops[0].numbers] == [
        "force-down",
        "force-up",
        "force-down",
    ]
    assert not figures.pull.decision.go
    assert figures.pull.steps == ()


# one blow of 30 lb at 10 ft/s on 36 in of 3/4-10 UNC, 0.334 in2 by the thread chart
ENERGY = 30 * 120**2 / (2 * 386.09)
STIFF = 30e6 * 0.334 / 36
PEAKS = math.sqrt(2 * 0.5 * ENERGY * STIFF), math.sqrt(2 * 0.9 * ENERGY * STIFF)


@pytest.mark.parametrize(
    ("psi", "level", "rest"),
    [
        ((20e3, 20e3), "stop", "blows only shake it. Another rig is needed."),
        (
            (3e3, 8e3),
            "look",
            "it may move or not. Watch a mark on the key, and stop if it stands still.",
        ),
        ((300.0, 400.0), None, ""),
    ],
)
def test_a_blow_is_held_against_the_pull(psi, level, rest):
    figures = work(pull={"method": "slide hammer", "seat_pressure_psi": psi})
    low, high = draw(psi[0] * 0.7 * AREA, 0.10), draw(psi[1] * AREA, 0.20)
    sentence = (
        f"One blow brings {PEAKS[0]:,.0f} lbf to {PEAKS[1]:,.0f} lbf on the rod, and the key asks"
        f" for {low:,.0f} lbf to {high:,.0f} lbf: {rest}"
    )
    assert found(figures) == ([(level, "pull", sentence)] if level else [])
    if level:
        kinds = [kind for _, kind in figures.findings[0].numbers]
        assert kinds == ["force-down", "force-up", "force-down", "force-up"]
    assert figures.pull.decision.go == (level != "stop")
    assert (figures.pull.decision.stop_at_lbf is None) == (level == "stop")
    assert figures.pull.steps == ()
    # the rig is held against the blow, not against the pull
    assert figures.pull.chain.demand_low_lbf == pytest.approx(PEAKS[0])
    assert figures.pull.chain.demand_high_lbf == pytest.approx(PEAKS[1])


def test_a_key_that_may_not_hold_is_reckoned_at_a_pound():
    figures = work(pull={"method": "slide hammer", "friction": (0.0, 0.0)})
    assert figures.pull.pull.high_lbf == 0.0
    blow = figures.pull.blow
    # what is left of the energy when the rod is stretched to a pound, spent at that pound
    assert blow.advance_low_in == pytest.approx(0.5 * ENERGY - 1 / (2 * STIFF), rel=1e-9)
    assert blow.advance_high_in == pytest.approx(0.9 * ENERGY - 1 / (2 * STIFF), rel=1e-9)


def test_a_blow_needs_a_tapped_key():
    figures = work(pull={"method": "slide hammer", "thread_name": ""})
    assert figures.pull.blow is None
    assert found(figures) == [("stop", "pull", UNTAPPED)]
    assert work().pull.blow is None


STRONGBACK = {"method": "strongback", "jacks": 2, "jack_tons": 10, "bar_depth_in": 4.0}


@pytest.mark.parametrize(
    ("changes", "part"),
    [
        ({"jack_hole_in": 0.5}, "jack"),
        ({"jack_hole_in": 0.75}, None),
        ({"bar_hole_in": 0.5}, None),  # no strongback in this rig
        ({**STRONGBACK, "bar_hole_in": 0.5}, "strongback"),
        ({**STRONGBACK, "bar_hole_in": 0.75}, None),
        ({**STRONGBACK, "jack_hole_in": 0.5}, None),  # no rod through these jacks
    ],
)
def test_a_rod_that_does_not_go_through_is_a_stop(changes, part):
    figures = work(pull=changes)
    said = f"The rod does not go through the {part}: 0.7500 in of rod, 0.5000 in of hole."
    assert found(figures) == ([("stop", "pull", said)] if part else [])
    assert figures.pull.decision.go == (part is None)


# 3/4 in rod: 1.5 diameters in the key are 1.125 in, a nut of one diameter 0.75 in
@pytest.mark.parametrize(
    ("changes", "left"),
    [
        ({"rod_thread_in": 2.125}, None),  # leaves the 0.25 in that stand out
        ({"rod_thread_in": 2.0}, 0.125),
        ({"rod_thread_in": 1.0}, 0.0),
        ({"rod_thread_in": 1.75, "engagement_in": 0.75}, None),
        ({"rod_thread_in": 1.75, "engagement_in": 0.875}, 0.125),
        ({"rod_thread_in": 1.875, "nut_height_in": 0.5}, None),
        ({"rod_thread_in": 2.0, "nut_height_in": 0.875}, 0.0),
    ],
)
def test_a_key_that_stands_out_more_than_the_thread_is_a_stop(changes, left):
    figures = work(pull={**changes, "seat_pressure_psi": (300.0, 400.0)})
    assert found(figures) == (
        []
        if left is None
        else [
            (
                "stop",
                "pull",
                "The key stands out more than the thread allows: 0.2500 in outside, and"
                f" {left:.4f} in of thread left on the rod beside key and nut. Take a longer rod,"
                " or pack the strongback.",
            )
        ]
    )
    assert figures.pull.decision.go == (left is None)


def test_a_rod_too_short_is_no_go_and_the_reason_is_the_rod():
    decision = work(pull={"rod_thread_in": 1.0}).pull.decision
    assert not decision.go
    assert decision.stop_at_lbf is None
    assert len(decision.reasons) == 1  # not the reasons that had it for a go
    assert decision.reasons[0].startswith("The key stands out more than the thread allows")


def test_a_welded_strongback_asks_nothing_of_a_rod():
    changes = {"method": "welded strongback", "jacks": 2, "jack_tons": 10, "rod_thread_in": 1.0}
    assert found(work(pull=changes)) == []


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"pull": {"method": "tongs"}},
            "method is 'tongs'; it must be one of: hollow-ram, slide hammer, strongback,"
            " welded strongback. Choose the rig first.",
        ),
    ],
)
def test_an_entry_that_cannot_be_is_one_sentence(changes, sentence):
    with pytest.raises(ValueError, match="^") as refused:
        work(**changes)
    assert str(refused.value) == sentence


def test_a_rig_that_does_the_low_end_is_not_below_the_whole_pull():
    # at a friction of the taper itself, 1 in 64, tan(0) leaves 1/64 of 3,000 x 8 x 0.7 lbf, 262.5
    figures = work(
        opening={"distances_in": (0.0, 4.0), "hub_widths_in": (1.0,), "shaft_widths_in": (1.0,)},
        pull={
            "seat_pressure_psi": (3000.0, 3000.0),
            "friction": (1 / 64, 0.1),
            "jack_tons": 262.5 / 1600,
        },
    )
    assert figures.pull.pull.low_lbf == figures.pull.chain.capacity_lbf == 262.5
    assert only(figures, "pull")[0][2].startswith("The high end of the pull is above what the jack")


def test_stops_come_first_and_each_in_the_order_found():
    figures = work(
        opening={"distances_in": (0.0, 1.0), "readings_in": ((1.0104,), (1.0,))},
        key={"thread_name": ""},
        pull={"thread_name": "", "grade_name": ""},
    )
    assert [(level, stage) for level, stage, _ in found(figures)] == [
        *(("stop", "pull"), ("stop", "pull"), ("look", "measure"), ("look", "make")),
    ]
    assert [sentence for _, _, sentence in found(figures)[:2]] == [UNTAPPED, UNGRADED]
    assert figures.stops == figures.findings[:2]


def test_routes_that_do_not_agree_are_said_with_what_each_gives():
    """Pressure 3,000 to 4,000 psi, 0.7 to all of it; travel squeezes H + 2 depth W over E."""
    figures = work(pull={"travel_after_contact_in": (0.2, 0.3)})
    low, high = (psi * share * AREA for psi, share in ((3000, 0.7), (4000, 1.0)))
    height = (1.0625 + 1.0) / 2
    soft, stiff = ((height + 2 * depth * 1.001) / 30e6 for depth in (1.7, 0.5))
    assert only(figures, "pull")[-1] == (
        "look",
        "pull",
        "What was noted of the drive does not agree on the force on the faces: by the pressure"
        f" {low:,.0f} lbf to {high:,.0f} lbf; by the travel {TAPER * 0.2 * AREA / soft:,.0f} lbf to"
        f" {TAPER * 0.3 * AREA / stiff:,.0f} lbf. Ask who drove it. The rig is held against the"
        " highest.",
    )
    agreed = work(pull={"travel_after_contact_in": (0.02, 0.12)})
    assert not any("does not agree" in one[2] for one in found(agreed))
