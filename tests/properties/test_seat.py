"""Seat and pull: ranges stay ranges, and move the way they should."""

import inspect
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taperkey.formulas.hubring import squeeze_force_lbf
from taperkey.formulas.pull import pull_range, sliding_weight
from taperkey.formulas.seat import (
    blow_energy_lbf_in,
    combined_seat,
    seat_from_last_blow,
    seat_from_pressure,
    seat_from_travel,
)
from taperkey.formulas.seat_routes import seat_by_travel_lbf
from taperkey.formulas.squeeze import heat_to_free, seat_compliance_in_per_psi

KEY = {"taper_in_per_in": 1 / 96, "height_in": 1.0, "width_in": 1.0, "contact_length_in": 4.0}
STRETCH = st.floats(1, 4)
TAPERS = st.floats(0.002, 0.05)


@st.composite
def estimates(draw):
    taper = draw(TAPERS)
    wide = [draw(STRETCH) for _ in range(8)]
    travel, advance = draw(st.floats(0.02, 0.2)), draw(st.floats(0.01, 0.2))
    return [
        seat_from_pressure(
            pressure_low_psi=5000,
            pressure_high_psi=5000 * wide[0],
            width_in=1.5,
            contact_length_in=8,
            bearing_share_low=1 / wide[1],
            bearing_share_high=1,
        ),
        seat_from_travel(
            travel_low_in=travel,
            travel_high_in=travel * wide[2],
            taper_in_per_in=taper,
            height_in=1,
            width_in=1.5,
            contact_length_in=8,
            seat_depth_low=0.5,
            seat_depth_high=0.5 * wide[3],
        ),
        seat_from_last_blow(
            weight_lbf=12,
            speed_low_in_per_s=200,
            speed_high_in_per_s=200 * wide[4],
            useful_share_low=1 / wide[5],
            useful_share_high=1,
            advance_low_in=advance,
            advance_high_in=advance * wide[6],
            taper_in_per_in=taper,
            friction_low=0.1,
            friction_high=0.1 * wide[7],
        ),
    ]


@given(routes=estimates())
def test_every_route_is_a_range_with_a_reason(routes):
    for one in routes:
        assert 0 < one.low_lbf <= one.high_lbf
        assert one.assumption.startswith("By ")
        assert one.assumption.endswith(".")


@given(routes=estimates())
def test_the_whole_contains_every_route_and_the_agreed_is_inside_each(routes):
    seat = combined_seat(estimates=routes)
    for one in routes:
        assert seat.low_lbf <= one.low_lbf
        assert seat.high_lbf >= one.high_lbf
        if seat.agreed_low_lbf is not None:
            assert one.low_lbf <= seat.agreed_low_lbf <= seat.agreed_high_lbf <= one.high_lbf
    assert seat.dominant_route in {one.route for one in routes}
    # order makes no difference
    turned = combined_seat(estimates=routes[::-1])
    assert (turned.low_lbf, turned.high_lbf) == (seat.low_lbf, seat.high_lbf)


@given(
    seat=st.floats(1e3, 1e6),
    seat_wide=STRETCH,
    friction=st.floats(0.03, 0.3),
    friction_wide=STRETCH,
    taper=TAPERS,
)
def test_a_wider_input_never_narrows_the_pull(seat, seat_wide, friction, friction_wide, taper):
    narrow = pull_range(
        seat_low_lbf=seat,
        seat_high_lbf=seat,
        friction_low=friction,
        friction_high=friction,
        taper_in_per_in=taper,
    )
    wide = pull_range(
        seat_low_lbf=seat,
        seat_high_lbf=seat * seat_wide,
        friction_low=friction,
        friction_high=friction * friction_wide,
        taper_in_per_in=taper,
    )
    assert wide.low_lbf == narrow.low_lbf
    assert wide.high_lbf >= narrow.high_lbf
    assert wide.high_lbf == pytest.approx(
        wide.low_lbf * wide.seat_spread * wide.friction_spread, rel=1e-9
    )


@given(scale=st.floats(0.1, 10), friction=st.floats(0.05, 0.5), taper=TAPERS)
def test_pull_scales_with_the_seat_force(scale, friction, taper):
    key = {"friction_low": friction, "friction_high": friction, "taper_in_per_in": taper}
    one = pull_range(seat_low_lbf=1e5, seat_high_lbf=2e5, **key)
    more = pull_range(seat_low_lbf=1e5 * scale, seat_high_lbf=2e5 * scale, **key)
    assert more.high_lbf == pytest.approx(one.high_lbf * scale, rel=1e-9)


@given(speed=st.floats(10, 1000), weight=st.floats(1, 100))
def test_energy_goes_with_the_square_of_the_speed(speed, weight):
    one = blow_energy_lbf_in(weight_lbf=weight, speed_in_per_s=speed)
    two = blow_energy_lbf_in(weight_lbf=weight, speed_in_per_s=2 * speed)
    assert two == pytest.approx(4 * one, rel=1e-12)


@given(height=st.floats(0.1, 5), width=st.floats(0.1, 5), depth=st.floats(0, 5))
def test_a_rigid_seat_leaves_only_the_key(height, width, depth):
    stiff = seat_compliance_in_per_psi(height_in=height, width_in=width, seat_depth=0)
    assert stiff == pytest.approx(height / 30e6, rel=1e-12)
    soft = seat_compliance_in_per_psi(height_in=height, width_in=width, seat_depth=depth)
    assert soft >= stiff


@given(pull=st.floats(1e3, 1e5), wider=STRETCH, speed=st.floats(20, 400))
def test_sliding_weight_verdict_matches_its_advance(pull, wider, speed):
    blow = sliding_weight(
        weight_lbf=30,
        speed_in_per_s=speed,
        useful_share_low=0.4,
        useful_share_high=0.9,
        stress_area_in2=0.6,
        length_in=36,
        pull_low_lbf=pull,
        pull_high_lbf=pull * wider,
    )
    assert blow.peak_low_lbf < blow.peak_high_lbf
    assert (blow.moves == "no") is (blow.peak_high_lbf < pull)
    assert 0 <= blow.advance_low_in <= blow.advance_high_in
    if blow.moves == "no":
        assert blow.advance_high_in == 0
    if blow.moves == "yes":
        assert blow.advance_low_in > 0


@pytest.mark.parametrize("function", [pull_range, seat_from_last_blow])
def test_friction_is_always_asked_for_as_two_ends_without_a_default(function):
    arguments = inspect.signature(function).parameters
    frictions = [name for name in arguments if "friction" in name]
    assert frictions == ["friction_low", "friction_high"]
    for name in frictions:
        assert arguments[name].default is inspect.Parameter.empty


@given(st.floats(1e-9, 1e-7), st.floats(0.01, 0.2))
def test_a_hub_that_opens_is_a_spring_in_a_row_with_the_seat(ring, travel):
    """The same force by the hub's own formula, its ring for each lbf instead of each psi."""
    by_travel = seat_by_travel_lbf(
        travel_in=travel, seat_depth=1.0, ring_in_per_psi=4 * ring, **KEY
    )
    seat = seat_compliance_in_per_psi(height_in=1.0, width_in=1.0, seat_depth=1.0)
    by_squeeze = squeeze_force_lbf(squeeze_in=travel / 96, face_area_in2=4.0, seat_in_per_psi=seat,
                                   ring_in_per_lbf=ring)  # fmt: skip
    assert by_travel == pytest.approx(by_squeeze)
    assert by_travel < seat_by_travel_lbf(travel_in=travel, seat_depth=1.0, **KEY)


@given(st.floats(0, 1e-6), st.floats(0, 1e-6))
def test_a_softer_ring_asks_for_more_heat_and_holds_less(one, other):
    low, high = sorted((one, other))
    rings = {"ring_low_in_per_psi": low, "ring_high_in_per_psi": high}
    travel = {"travel_low_in": 0.05, "travel_high_in": 0.10, **KEY}
    stiff, soft = seat_from_travel(**travel), seat_from_travel(**travel, **rings)
    assert soft.low_lbf <= stiff.low_lbf
    assert soft.high_lbf <= stiff.high_lbf
    known = {"pressure_low_psi": 8000, "pressure_high_psi": 14000, "height_in": 1.0,
             "width_in": 1.0, "bore_in": 4.0}  # fmt: skip
    plain, opened = heat_to_free(**known), heat_to_free(**known, **rings)
    assert opened.squeeze_low_in == pytest.approx(plain.squeeze_low_in + 8000 * low)
    assert opened.squeeze_high_in == pytest.approx(plain.squeeze_high_in + 14000 * high)
    for_each = plain.squeeze_low_in / plain.difference_low_degF
    assert opened.difference_high_degF == pytest.approx(opened.squeeze_high_in / for_each)


@given(
    travel=st.floats(1.05, 3.0),
    ring=st.floats(1e-8, 5e-7),
    wider=st.floats(1.0, 3.0),
)
def test_the_estimate_by_travel_names_what_widens_it_most(travel, ring, wider):
    """Each input held at one value in turn: the one whose spread is left is the wider."""
    key = {"taper_in_per_in": 1 / 96, "height_in": 1.0, "width_in": 1.5, "contact_length_in": 8.0}

    def width(*, travels, depths, rings):
        return seat_from_travel(
            travel_low_in=0.05, travel_high_in=0.05 * travels, seat_depth_low=0.5,
            seat_depth_high=depths, ring_low_in_per_psi=ring, ring_high_in_per_psi=ring * rings,
            **key,
        )  # fmt: skip

    whole = width(travels=travel, depths=1.7, rings=wider)
    still = width(travels=1, depths=1.7, rings=wider)
    by_giving = still.high_lbf / still.low_lbf
    assert whole.high_lbf / whole.low_lbf == pytest.approx(travel * by_giving)
    if by_giving == pytest.approx(travel, rel=1e-6):
        return
    named = "what gives under the key" if by_giving > travel else "the travel after contact"
    assert named in whole.assumption
    other = {"what gives under the key", "the travel after contact"} - {named}
    assert other.pop() not in whole.assumption
    times = float(re.search(r"answer ([\d.]+) times", whole.assumption)[1])
    assert times == pytest.approx(max(by_giving, travel), abs=0.0501)  # told to a tenth
