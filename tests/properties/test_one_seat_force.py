"""At the same travel bench, lesson 04, lesson 05 and the job sheet tell the same force.

Physics only: elastic, so in proportion to the travel; work of the drive against that of the blows.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from keycourse.fit.bench.book import practice_fit
from keycourse.fit.bench.hands import fit_with
from keycourse.fit.bench.routes import seat_routes
from keycourse.fit.driven import KeyInHub, driven, full_blow_lbf_in, travel_after_blow_in
from keycourse.whole.job_inputs import JobInputs, KeyInputs, OpeningInputs, PullInputs
from keycourse.whole.whole_job import work_out
from taperkey import practice

LINE_IN = practice.value("left_to_drive")
UNKNOWN_PSI = practice.span("seat_pressure")
# the key of the examples in its hub, with what the empty slot of such a job would read
OPENING = OpeningInputs(
    distances_in=(0.0, 8.0),
    readings_in=((1.0417,), (0.9583,)),
    hub_widths_in=(1.5,),
    shaft_widths_in=(1.5,),
    hub_length_in=8.0,
    shaft_diameter_in=6.0,
    bore_in=6.0,
    hub_outside_in=12.0,
    hub_metal_name="A27 65-35 cast steel",
    shaft_slot_depth_in=0.5417,
    keyway_at_bottom=True,
)
PULL = PullInputs(
    method="hollow-ram",
    surface="lubricated",
    jack_tons=30,
    jacks=1,
    thread_name="3/4-10 UNC",
    grade_name="ASTM A193 B7",
    seat_area_in2=12.0,
    rod_free_in=14.0,
)


def sheet(**pull):
    key = KeyInputs(thread_name="3/4-10 UNC", outside_in=0.25)
    job = JobInputs(standard="inch", opening=OPENING, key=key, pull=replace(PULL, **pull))
    return work_out(job=job)


def test_new_key_on_the_sheet_sits_as_lesson_04_reckons():
    drive = sheet().key.drive
    line = driven(travel_in=LINE_IN)
    assert drive.squeeze_in == pytest.approx(line.squeeze_in, rel=0.001)
    # the blank is 0.010 in over size for fitting, and 0.002 in narrower
    assert (drive.force_low_lbf, drive.force_high_lbf) == pytest.approx(line.force_lbf, rel=0.02)
    assert (drive.tension_low_psi, drive.tension_high_psi) == pytest.approx(
        line.tension_psi, rel=0.02
    )


@pytest.mark.parametrize("travel", [1 / 16, LINE_IN, 1 / 2])
def test_old_key_of_known_travel_is_pulled_by_that_travel(travel):
    found = sheet(travel_after_contact_in=(travel, travel)).pull
    told = driven(travel_in=travel)
    assert {one.route for one in found.seat.estimates} == {"travel"}
    assert (found.seat.low_lbf, found.seat.high_lbf) == pytest.approx(told.force_lbf, rel=0.02)
    # at the friction of the drive a key comes out at nine tenths of its push: .1895 of .2105
    factor = 0.1895 / 0.2105
    assert found.pull.low_lbf == pytest.approx(factor * told.push_lbf[0], rel=0.02)


def test_old_key_of_unknown_travel_keeps_the_hard_range():
    unknown = sheet().pull
    assert {one.route for one in unknown.seat.estimates} == {"pressure"}
    assert unknown.seat.high_lbf == pytest.approx(UNKNOWN_PSI[1] * 12, rel=0.001)
    known = sheet(travel_after_contact_in=(LINE_IN, LINE_IN)).pull
    assert known.pull.high_lbf < 0.5 * unknown.pull.high_lbf
    # a last blow alone tells no travel: the hard range stays, and may only grow
    blow = sheet(last_advance_in=(1 / 16, 1 / 8)).pull
    assert blow.seat.high_lbf >= unknown.seat.high_lbf
    assert blow.pull.high_lbf >= unknown.pull.high_lbf


def test_a_hub_nobody_measured_never_makes_a_known_travel_look_easier():
    travel = {"travel_after_contact_in": (LINE_IN, LINE_IN)}
    key = KeyInputs(thread_name="3/4-10 UNC", outside_in=0.25)
    bare = replace(OPENING, hub_outside_in=None)
    job = JobInputs(standard="inch", opening=bare, key=key, pull=replace(PULL, **travel))
    assert work_out(job=job).pull.pull.high_lbf > sheet(**travel).pull.pull.high_lbf


@pytest.mark.parametrize("seed", range(3))
def test_bench_key_lies_within_what_its_travel_tells(seed):
    session = fit_with(session=practice_fit(seed=seed), hand="careful")
    true, key = session.summary().normal_force_lbf, session.state.key
    route = {one.route: one for one in seat_routes(session)}["travel"]
    assert route.low_lbf <= true <= route.high_lbf
    # and within lesson 04 for a key of its size; a rule reads to 1/64 in at either end
    size = KeyInHub(
        width_in=key.width_in,
        length_in=key.length_in,
        height_in=float(key.top_in.mean() - key.bottom_in.mean()),
    )
    travel = session.state.pushes[-1].projection_in - session.state.projection_in
    near, far = (
        driven(travel_in=one, key=size, taper_in_per_in=key.taper_in_per_in)
        for one in (travel - 1 / 64, travel + 1 / 64)
    )
    assert near.force_lbf[0] <= true <= far.force_lbf[1]
    # far below what an unknown hand is planned at
    assert session.summary().mean_pressure_psi < 0.5 * UNKNOWN_PSI[0]


def test_all_of_it_grows_in_proportion_and_the_work_with_the_square():
    one, four = driven(travel_in=LINE_IN), driven(travel_in=4 * LINE_IN)
    for name in ("force_lbf", "pressure_psi", "push_lbf", "tension_psi"):
        assert getattr(four, name) == pytest.approx([4 * x for x in getattr(one, name)])
    assert four.work_lbf_in == pytest.approx([16 * x for x in one.work_lbf_in])


def test_an_unknown_hand_has_the_travel_and_the_blows_for_its_pressure():
    line = driven(travel_in=LINE_IN)
    travels = [
        LINE_IN * psi / at
        for psi in UNKNOWN_PSI
        for at in (line.pressure_psi[1], line.pressure_psi[0])
    ]
    assert min(travels) > 0.3
    assert max(travels) < 1.0
    # one blow more does the work that the step of travel takes
    for push, work in zip(line.push_lbf, line.work_lbf_in, strict=True):
        after = travel_after_blow_in(
            travel_in=LINE_IN, push_lbf=push, blow_lbf_in=full_blow_lbf_in()
        )
        assert work * (after / LINE_IN) ** 2 - work == pytest.approx(full_blow_lbf_in())
        for psi in UNKNOWN_PSI:
            blows = work * (psi / line.pressure_psi[line.push_lbf.index(push)]) ** 2
            assert 2 < blows / full_blow_lbf_in() < 20
