"""A whole job: the chain of numbers, what is said at each trap, and that nothing is lost."""

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
from taperkey.formulas.cutting import cutting_plan
from taperkey.formulas.key import key_blank
from taperkey.formulas.pull import pull_range
from taperkey.formulas.taper import two_point_taper

OPENING = OpeningInputs(
    distances_in=(0.0, 6.0),
    readings_in=((1.0625,), (1.0,)),
    hub_widths_in=(1.002,),
    shaft_widths_in=(1.001,),
    hub_length_in=8.0,
    shaft_diameter_in=4.0,
    keyway_at_bottom=True,
)
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
JOB = JobInputs(
    standard="inch",
    opening=OPENING,
    key=KeyInputs(thread_name="5/8-11 UNC", outside_in=0.25),
    pull=PULL,
)


def with_opening(**changes):
    return work_out(job=replace(JOB, opening=replace(OPENING, **changes)))


def with_pull(**changes):
    return work_out(job=replace(JOB, pull=replace(PULL, **changes)))


def stops(figures):
    return [one.sentence for one in figures.stops]


# an ordinary job


def test_an_ordinary_job_has_no_stop():
    figures = work_out(job=JOB)
    assert stops(figures) == []
    assert figures.opening.end == "mouth"
    assert figures.opening.standard == "1:96"
    assert figures.pull.decision.go


def test_taper_is_that_of_the_two_heights():
    found = work_out(job=JOB).opening
    alone = two_point_taper(
        mouth_height_in=1.0625, inside_height_in=1.0, distance_in=6.0, height_sd_in=0.0005
    )
    assert found.taper_in_per_in == pytest.approx(alone.taper_in_per_in, rel=1e-12)
    assert found.taper_sd_in_per_in == pytest.approx(alone.sd_in_per_in, rel=1e-12)


def test_key_is_that_of_the_key_formulas():
    key = work_out(job=JOB).key
    blank = key_blank(
        mouth_height_in=1.0625, taper_in_per_in=1 / 96, engaged_length_in=8.0, extra_length_in=0.25
    )
    assert key.blank == blank
    plan = cutting_plan(
        stock_height_in=key.bar_height_in,
        large_end_height_in=blank.large_end_height_in,
        small_end_height_in=blank.small_end_height_in,
        length_in=8.25,
        relief_cut_in=1 / 32,
        deepest_pass_in=0.05,
    )
    assert key.plan == plan


def test_pull_is_that_of_the_pull_formula():
    figures = work_out(job=JOB)
    area = 1.001 * 8.0
    alone = pull_range(
        seat_low_lbf=3000 * area * 0.7,
        seat_high_lbf=4000 * area,
        friction_low=0.10,
        friction_high=0.20,
        taper_in_per_in=0.0625 / 6,
    )
    assert figures.pull.pull.low_lbf == pytest.approx(alone.low_lbf, rel=1e-9)
    assert figures.pull.pull.high_lbf == pytest.approx(alone.high_lbf, rel=1e-9)


def test_a_thousandth_at_1_in_96_is_0_096_in():
    assert work_out(job=JOB).key.travel_per_thousandth_in == pytest.approx(0.096)


def test_every_worked_number_is_followed_to_readings_and_assumptions():
    workings = work_out(job=JOB).workings
    for one in workings:
        assert one.source, one.key
        if one.kind == "worked" and not one.key.startswith("link-"):
            assert one.formula, one.key
            origins = workings.origins(one.key)
            assert origins, one.key
            ends = [o for o in origins if o.kind != "worked" or o.key.startswith("link-")]
            assert ends, one.key


def test_governing_link_is_the_weakest():
    chain = work_out(job=JOB).pull.chain
    assert chain.capacity_lbf == min(link.capacity_lbf for link in chain.links)


def test_load_steps_end_at_the_load_to_stop_at():
    pull = work_out(job=JOB).pull
    assert [round(step.load_lbf / pull.decision.stop_at_lbf, 2) for step in pull.steps] == [
        *(0.1, 0.25, 0.5, 0.75, 0.9, 1.0),
    ]


def test_gauge_reading_is_force_over_piston_area_of_each_jack():
    two = replace(
        PULL, method="strongback", jacks=2, jack_tons=10, jack_piston_in2=2.0, bar_depth_in=4.0
    )
    steps = work_out(job=replace(JOB, pull=two)).pull.steps
    assert steps[-1].gauge_psi == pytest.approx(steps[-1].load_lbf / 2 / 2.0)


# readings


def test_heights_are_means_and_scatter_is_seen():
    figures = with_opening(readings_in=((1.060, 1.065), (0.9975, 1.0025)))
    assert figures.opening.heights_in == pytest.approx((1.0625, 1.0))
    assert figures.opening.height_sd_in == 0.0005  # two readings twice: too few to say


def test_larger_scatter_replaces_the_stated_uncertainty():
    figures = with_opening(readings_in=((1.0600, 1.0625, 1.0650), (0.9975, 1.0, 1.0025)))
    assert figures.opening.height_sd_in == pytest.approx(0.0025 / math.sqrt(3))
    assert any("scatter more than stated" in one.sentence for one in figures.findings)


def test_order_of_stations_does_not_matter():
    turned = with_opening(distances_in=(6.0, 0.0), readings_in=((1.0,), (1.0625,)))
    assert turned.opening == work_out(job=JOB).opening


def test_mouth_height_is_carried_to_the_mouth():
    figures = with_opening(distances_in=(1.0, 7.0))
    assert figures.opening.entry_height_in == pytest.approx(1.0625 + 1 / 96)


# traps


def test_reversed_hub_stops_first_and_the_key_is_for_the_far_end():
    figures = with_opening(readings_in=((1.0,), (1.0625,)))
    assert stops(figures)[0] == (
        "The hub is reversed: the opening is 1.0625 in high inside against 1.0000 in near the"
        " mouth, so it grows going in. A pull at this end tightens the key, whatever the force."
        " The key is driven out from this end, or the hub comes off first; a new key goes in from"
        " the far end."
    )
    assert figures.opening.entry_height_in == pytest.approx(1.0625 + 2 / 96)
    assert not figures.pull.decision.go
    assert figures.pull.steps == ()
    assert figures.findings[0].level == "stop"


def test_an_undecided_opening_gives_no_key():
    figures = with_opening(distances_in=(0.0, 0.05), readings_in=((1.0005,), (1.0,)))
    assert figures.opening.end == "undecided"
    assert figures.key is None
    assert not figures.pull.decision.go
    assert stops(figures)[0].startswith("The readings do not tell which end is large: 0.0005 in")


def test_keyway_away_from_the_bottom_stops():
    figures = with_opening(keyway_at_bottom=False, bore_in=4.008)
    assert any("Up to 0.0080 in of clearance is left out" in one for one in stops(figures))


def test_unequal_widths_ask_for_the_depth_and_make_a_stepped_key():
    with pytest.raises(ValueError, match=r"^depth of the shaft slot is not given; it must be"):
        with_opening(hub_widths_in=(1.03,))
    key = with_opening(hub_widths_in=(1.03,), shaft_slot_depth_in=0.48).key
    assert key.stepped.wide_portion == "hub"
    assert key.hub_width_in - key.shaft_width_in == pytest.approx(0.029)


def test_a_measured_taper_off_both_standards_is_cut_as_measured():
    figures = with_opening(readings_in=((1.0900,), (1.0,)))
    assert figures.opening.standard == "neither"
    assert figures.opening.cut_taper_in_per_in == pytest.approx(0.015)


@pytest.mark.parametrize(("standard", "taper"), [("inch", 1 / 96), ("metric", 1 / 100)])
def test_readings_that_fit_both_standards_take_that_of_the_job(standard, taper):
    short = replace(OPENING, distances_in=(0.0, 1.0), readings_in=((1.0104,), (1.0,)))
    figures = work_out(job=replace(JOB, standard=standard, opening=short))
    assert figures.opening.standard == "both"
    assert figures.opening.cut_taper_in_per_in == taper
    assert any("does not tell 1:96 from 1:100" in one.sentence for one in figures.findings)


def test_a_large_radius_in_the_slot_asks_for_more_chamfer():
    figures = with_opening(slot_radius_in=0.1)
    assert figures.key.chamfer_in == 7 / 64


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"grade_name": ""}, "The grade of the rod is not known"),
        ({"thread_name": ""}, "The key in the slot is not tapped"),
        ({"jack_hole_in": 0.5}, "The rod does not go through the jack: 0.7500 in of rod, 0.5000"),
        ({"rod_thread_in": 2.0}, "The key stands out more than the thread allows: 0.2500 in"),
        (
            {"seat_pressure_psi": (30e3, 40e3)},
            "The whole pull is above what the key section allows",
        ),
        (
            {"seat_pressure_psi": (3e3, 40e3)},
            "The high end of the pull is above what the key section",
        ),
    ],
)
def test_a_rig_that_does_not_do_is_a_stop(changes, words):
    figures = with_pull(**changes)
    assert any(one.startswith(words) for one in stops(figures)), stops(figures)
    assert not figures.pull.decision.go
    assert figures.pull.steps == ()


def test_a_weld_on_one_side_carries_nothing():
    figures = with_pull(method="welded strongback", weld_sides=1)
    assert figures.pull.chain.governing.name == "weld"
    assert not figures.pull.decision.go


def test_a_weak_key_stops_and_says_what_was_compared():
    figures = work_out(job=replace(JOB, key=replace(JOB.key, torque_lbf_in=500_000.0)))
    assert any("not strong enough for the torque as given" in one for one in stops(figures))


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"distances_in": (0.0, 9.0)},
            "distance of a station is 9 in; it must be 8 in or less, the length of the hub."
            " Measure both again.",
        ),
        (
            {"bore_in": 3.99},
            "bore is 3.99 in; it must be 4 in or more, the shaft's diameter. The shaft would not go"
            " in: measure both again.",
        ),
        (
            {"hub_widths_in": (4.5,)},
            "width of the hub slot is 4.5 in; it must be below 4 in, the shaft's diameter."
            " Measure both again.",
        ),
        (
            {"readings_in": ((1.0625,), ())},
            "station at 6 in has no reading; it must have at least one. Measure the height there.",
        ),
    ],
)
def test_readings_against_each_other_are_one_sentence(changes, sentence):
    with pytest.raises(ValueError, match="^") as refused:
        with_opening(**changes)
    assert str(refused.value) == sentence


def test_no_finding_calls_anything_safe():
    for figures in (work_out(job=JOB), with_pull(seat_pressure_psi=(30e3, 40e3))):
        assert not any("safe" in one.sentence.lower() for one in figures.findings)
