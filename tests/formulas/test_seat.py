"""Seat force by three routes, and the pull that follows.

The figures named ``regression`` are the course's own estimate, not a source.
"""

import pytest

from taperkey.formulas.pull import pull_range, sliding_weight
from taperkey.formulas.seat import (
    SeatEstimate,
    blow_energy_lbf_in,
    combined_seat,
    seat_from_last_blow,
    seat_from_pressure,
    seat_from_travel,
)
from taperkey.formulas.squeeze import face_pressure_psi, key_squeeze_in
from taperkey.formulas.wedge import withdrawal_force_lbf
from taperkey.tables.rigging import friction_range, surface_states

TAPER = 1 / 96
BLOW = {
    "weight_lbf": 12,
    "speed_low_in_per_s": 360,
    "speed_high_in_per_s": 360,
    "useful_share_low": 0.5,
    "useful_share_high": 0.5,
    "advance_low_in": 1 / 32,
    "advance_high_in": 1 / 32,
    "taper_in_per_in": TAPER,
    "friction_low": 0.1,
    "friction_high": 0.1,
}


def test_regression_orders_of_magnitude():
    energy = blow_energy_lbf_in(weight_lbf=12, speed_in_per_s=360)
    assert energy == pytest.approx(2000, rel=0.02)
    assert 0.5 * energy / (1 / 32) == pytest.approx(32000, rel=0.02)
    seat = seat_from_last_blow(**BLOW)
    assert seat.low_lbf == pytest.approx(150000, rel=0.03)
    pressure = face_pressure_psi(normal_force_lbf=seat.low_lbf, width_in=1.5, contact_length_in=8)
    assert pressure == pytest.approx(13000, rel=0.03)
    squeeze = key_squeeze_in(pressure_psi=pressure, height_in=1)
    assert squeeze == pytest.approx(13000 / 3e7, rel=0.03)  # as near as the pressure
    for friction, pull in ((0.10, 29000), (0.27, 80000)):
        force = withdrawal_force_lbf(
            normal_force_lbf=seat.low_lbf,
            taper_in_per_in=TAPER,
            floor_friction=friction,
            roof_friction=friction,
        )
        assert force == pytest.approx(pull, rel=0.03)


def test_a_clean_key_fits_a_common_rig_and_a_rusty_one_does_not():
    ends = {"seat_low_lbf": 150000, "seat_high_lbf": 150000, "taper_in_per_in": TAPER}
    clean = pull_range(**ends, friction_low=0.1, friction_high=0.1)
    rusty = pull_range(**ends, friction_low=0.27, friction_high=0.27)
    assert clean.high_lbf < 2 * 10 * 2000  # two 10-ton jacks
    assert rusty.low_lbf > 30 * 2000  # a 30-ton hollow-ram jack


def test_the_last_advance_can_dominate_the_blow_route():
    seat = seat_from_last_blow(**(BLOW | {"advance_high_in": 1 / 8, "friction_high": 0.15}))
    assert seat.assumption == (
        "By the last blow: the last advance (0.0312 to 0.125 in) drives this range: alone it"
        " changes the answer 4.0 times."
    )


def test_ends_of_the_blow_route_take_the_unfavourable_ends_together():
    seat = seat_from_last_blow(
        **(BLOW | {"useful_share_high": 0.7, "advance_high_in": 1 / 16, "friction_high": 0.2})
    )
    energy = 12 * 360**2 / 2 / 386.09
    # drive ratio .2105 at friction .10 and .4109 at .20, four figures
    assert seat.low_lbf == pytest.approx(0.5 * energy * 16 / 0.4109, rel=3e-4)
    assert seat.high_lbf == pytest.approx(0.7 * energy * 32 / 0.2105, rel=3e-4)


def test_single_figures_are_called_out():
    assert seat_from_last_blow(**BLOW).assumption == (
        "By the last blow: every input is a single figure, which is less than is known of any of"
        " them."
    )


def test_pressure_route():
    seat = seat_from_pressure(
        pressure_low_psi=10000,
        pressure_high_psi=14000,
        width_in=1.5,
        contact_length_in=8,
        bearing_share_low=0.5,
        bearing_share_high=1,
    )
    assert (seat.low_lbf, seat.high_lbf) == (60000, 168000)
    assert "the bearing share (0.5 to 1) drives" in seat.assumption


def test_travel_route_between_stiff_and_soft_seat():
    seat = seat_from_travel(
        travel_low_in=0.096,
        travel_high_in=0.096,
        taper_in_per_in=TAPER,
        height_in=1,
        width_in=1.5,
        contact_length_in=8,
        seat_depth_low=0,
        seat_depth_high=1,
    )
    # .001 in squeeze; rigid seat 30e6/1 psi/in, soft seat 30e6/4 psi/in, on 12 in2
    assert seat.high_lbf == pytest.approx(360000)
    assert seat.low_lbf == pytest.approx(90000)
    assert "the depth of metal that gives" in seat.assumption


PRESSURE = {
    "pressure_low_psi": 8000,
    "pressure_high_psi": 8000,
    "width_in": 1.5,
    "contact_length_in": 8,
    "bearing_share_low": 0.8,
    "bearing_share_high": 0.8,
}
TRAVEL = {
    "travel_low_in": 0.096,
    "travel_high_in": 0.096,
    "taper_in_per_in": TAPER,
    "height_in": 1,
    "width_in": 1.5,
    "contact_length_in": 8,
    "seat_depth_low": 0.5,
    "seat_depth_high": 0.5,
}


@pytest.mark.parametrize(
    ("route", "call", "changes", "words"),
    [
        (
            seat_from_pressure,
            PRESSURE,
            {"pressure_high_psi": 16000, "bearing_share_high": 1.0},
            "By pressure on the faces: the pressure (8,000 to 16,000 psi) drives this range: alone"
            " it changes the answer 2.0 times.",
        ),
        (
            seat_from_pressure,
            PRESSURE,
            {"pressure_high_psi": 8800, "bearing_share_high": 0.96},
            "By pressure on the faces: the bearing share (0.8 to 0.96) drives this range: alone it"
            " changes the answer 1.2 times.",
        ),
        (
            seat_from_travel,
            TRAVEL,
            {"travel_high_in": 0.288, "seat_depth_high": 1.0},
            "By travel after contact: the travel after contact (0.096 to 0.288 in) drives this"
            " range: alone it changes the answer 3.0 times.",
        ),
        (
            # (1 + 2 x 1.5 x 1.5) / (1 + 2 x 0.5 x 1.5) = 5.5 / 2.5
            seat_from_travel,
            TRAVEL,
            {"travel_high_in": 0.192, "seat_depth_high": 1.5},
            "By travel after contact: the depth of metal that gives (0.5 to 1.5 key widths) drives"
            " this range: alone it changes the answer 2.2 times.",
        ),
        (
            seat_from_last_blow,  # twice the speed, four times the energy
            BLOW,
            {"speed_high_in_per_s": 720, "useful_share_high": 0.9, "advance_high_in": 3 / 32},
            "By the last blow: the speed of the blow (360 to 720 in/s) drives this range: alone it"
            " changes the answer 4.0 times.",
        ),
        (
            seat_from_last_blow,
            BLOW,
            {"useful_share_low": 0.25, "useful_share_high": 0.75, "advance_high_in": 1 / 16},
            "By the last blow: the useful share of the blow (0.25 to 0.75) drives this range: alone"
            " it changes the answer 3.0 times.",
        ),
        (
            seat_from_last_blow,  # drive ratio .2105 at friction .10 and .4109 at .20: 1.95
            BLOW,
            {"friction_high": 0.2, "useful_share_high": 0.6},
            "By the last blow: the friction while driving (0.1 to 0.2) drives this range: alone it"
            " changes the answer 2.0 times.",
        ),
    ],
)
def test_each_route_names_the_input_that_makes_it_wide(route, call, changes, words):
    assert route(**(call | changes)).assumption == words


@pytest.mark.parametrize(
    ("route", "call", "start"),
    [
        (seat_from_pressure, PRESSURE, "By pressure on the faces: every input is a single figure"),
        (seat_from_travel, TRAVEL, "By travel after contact: every input is a single figure"),
    ],
)
def test_single_figures_are_called_out_on_every_route(route, call, start):
    one = route(**call)
    assert one.low_lbf == pytest.approx(one.high_lbf, rel=1e-12)
    assert one.assumption.startswith(start)


def test_every_route_tells_its_name():
    routes = [seat_from_pressure(**PRESSURE), seat_from_travel(**TRAVEL)]
    routes.append(seat_from_last_blow(**BLOW))
    assert [one.route for one in routes] == ["pressure", "travel", "last blow"]


def test_a_softer_metal_seats_less_hard_by_the_same_travel():
    # .001 in of squeeze, 2.5/E in/psi of give, 12 in2: 144,000 lbf for 30e6, half of it for 15e6
    assert seat_from_travel(**TRAVEL).low_lbf == pytest.approx(144000, rel=1e-9)
    soft = seat_from_travel(**TRAVEL, modulus_psi=15e6)
    assert (soft.low_lbf, soft.high_lbf) == pytest.approx((72000, 72000), rel=1e-9)


def test_left_out_depth_runs_from_half_a_width_to_1_7_widths():
    # 30e6 psi, .001 in, 12 in2: 360,000 over 2.5 and over 1 + 2 x 1.7 x 1.5 = 6.1
    call = {name: value for name, value in TRAVEL.items() if not name.startswith("seat_depth")}
    seat = seat_from_travel(**call)
    assert seat.high_lbf == pytest.approx(144000, rel=1e-9)
    assert seat.low_lbf == pytest.approx(360000 / 6.1, rel=1e-9)


def test_a_faster_blow_seats_harder_with_the_square():
    one = seat_from_last_blow(**(BLOW | {"speed_high_in_per_s": 720}))
    assert one.high_lbf == pytest.approx(4 * one.low_lbf, rel=1e-12)


def test_a_face_that_bears_in_full_is_the_most():
    seat = seat_from_pressure(**(PRESSURE | {"bearing_share_high": 1}))
    assert seat.high_lbf == 8000 * 12


def _estimate(route, low, high):
    return SeatEstimate(route=route, low_lbf=low, high_lbf=high, assumption=f"By {route}.")


def test_routes_that_agree():
    seat = combined_seat(
        estimates=[_estimate("pressure", 50000, 200000), _estimate("last blow", 100000, 160000)]
    )
    assert (seat.low_lbf, seat.high_lbf) == (50000, 200000)
    assert (seat.agreed_low_lbf, seat.agreed_high_lbf) == (100000, 160000)
    assert seat.dominant == (
        "The high end, 200,000 lbf, comes from the pressure route and is 4.0 times the low end; all"
        " 2 routes agree on 100,000 to 160,000 lbf. By pressure."
    )


def test_routes_that_disagree_say_so():
    seat = combined_seat(
        estimates=[_estimate("pressure", 50000, 80000), _estimate("travel", 100000, 160000)]
    )
    assert seat.agreed_low_lbf is None
    assert seat.agreed_high_lbf is None
    assert "do not agree, so one of the assumptions is wrong" in seat.dominant
    assert seat.dominant_route == "travel"


def test_one_route_alone_says_so():
    seat = combined_seat(estimates=[_estimate("travel", 50000, 80000)])
    assert (seat.low_lbf, seat.high_lbf) == (50000, 80000)
    assert (seat.agreed_low_lbf, seat.agreed_high_lbf) == (50000, 80000)
    assert seat.dominant == (
        "The high end, 80,000 lbf, comes from the travel route and is 1.6 times the low end; there"
        " is one route only. By travel."
    )


def test_routes_that_disagree_say_it_in_a_whole_sentence_and_are_handed_on():
    routes = [_estimate("pressure", 50000, 80000), _estimate("travel", 100000, 160000)]
    seat = combined_seat(estimates=routes)
    assert seat.estimates == tuple(routes)
    assert seat.dominant == (
        "The high end, 160,000 lbf, comes from the travel route and is 3.2 times the low end; the"
        " routes do not agree, so one of the assumptions is wrong. By travel."
    )


def test_routes_that_only_touch_agree_on_one_figure():
    seat = combined_seat(
        estimates=[_estimate("pressure", 50000, 80000), _estimate("travel", 80000, 160000)]
    )
    assert (seat.agreed_low_lbf, seat.agreed_high_lbf) == (80000, 80000)


def test_a_light_seat_is_compared_like_a_heavy_one():
    light = combined_seat(estimates=[_estimate("travel", 0.5, 2.0)])
    assert "is 4.0 times the low end" in light.dominant


def test_a_seat_of_nothing_at_the_low_end_is_still_a_range():
    seat = combined_seat(estimates=[_estimate("travel", 0.0, 2.0)])
    assert (seat.low_lbf, seat.high_lbf) == (0.0, 2.0)
    assert seat.dominant.startswith("The high end, 2 lbf, comes from the travel route")


def test_no_route_is_refused():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        combined_seat(estimates=[])
    assert str(caught.value) == (
        "number of estimates is 0; it must be 1 or more. Give at least one route."
    )


@pytest.mark.parametrize("state", surface_states())
def test_every_state_of_the_faces_gives_a_range_of_pulls(state):
    friction = friction_range(state=state)
    pull = pull_range(
        seat_low_lbf=100000,
        seat_high_lbf=100000,
        friction_low=friction.low,
        friction_high=friction.high,
        taper_in_per_in=TAPER,
    )
    assert pull.high_lbf > 1.5 * pull.low_lbf
    assert pull.driver == "friction"


def test_a_slippery_low_end_gives_no_pull_rather_than_a_negative_one():
    pull = pull_range(
        seat_low_lbf=100,
        seat_high_lbf=100,
        friction_low=0,
        friction_high=0.1,
        taper_in_per_in=TAPER,
    )
    assert pull.low_lbf == 0
    assert pull.friction_spread == float("inf")


WEIGHT = {
    "weight_lbf": 30,
    "speed_in_per_s": 120,
    "useful_share_low": 0.5,
    "useful_share_high": 0.9,
    "stress_area_in2": 0.606,
    "length_in": 36,
}


@pytest.mark.parametrize(
    ("low", "high", "moves"), [(5000, 8000, "yes"), (15000, 40000, "perhaps"), (60000, 80000, "no")]
)
def test_sliding_weight(low, high, moves):
    blow = sliding_weight(**WEIGHT, pull_low_lbf=low, pull_high_lbf=high)
    assert blow.moves == moves
    assert (blow.advance_low_in > 0) is (moves == "yes")
    assert (blow.advance_high_in > 0) is (moves != "no")
    assert "safe" not in blow.reason
