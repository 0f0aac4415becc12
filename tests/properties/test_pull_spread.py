"""The spread of a pull against closed forms, and against the range it must lie in."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperkey.formulas.pull import pull_range
from taperkey.formulas.pull_spread import LastBlow, pull_spread
from taperkey.formulas.seat import combined_seat, seat_from_pressure, seat_from_travel
from taperkey.formulas.wedge import withdraw_ratio

KEY = {"width_in": 1.0, "contact_length_in": 4.0, "height_in": 1.0, "taper_in_per_in": 1 / 96}
ONE = (1.0, 1.0)


def spread(**changes):
    known = {"friction": (0.1, 0.2), "pressure_psi": (8_000, 14_000), "bearing_share": (0.7, 1.0)}
    return pull_spread(**{**KEY, **known, **changes})


def ratio(mu):
    return withdraw_ratio(taper_in_per_in=1 / 96, floor_friction=mu, roof_friction=mu)


def test_one_input_alone_gives_its_own_quantiles():
    """Only the pressure is spread: the pull is a rectangle, its 5 % a twentieth of the way up."""
    found = spread(friction=(0.15, 0.15), bearing_share=ONE)
    low, high = (psi * 4 * ratio(0.15) for psi in (8_000, 14_000))
    wanted = [low + share * (high - low) for share in (0.05, 0.5, 0.95)]
    # 100,000 trials: a 5 % point of a rectangle wanders by sqrt(.05*.95/1e5) = 0.07 % of its width
    assert found.pull_lbf == pytest.approx(wanted, abs=0.003 * (high - low))
    # the same of the seat; its middle wanders by sqrt(.5*.5/1e5) = 0.16 % of the width
    seat = [4 * (8_000 + share * 6_000) for share in (0.05, 0.5, 0.95)]
    assert found.seat_lbf == pytest.approx(seat, abs=0.005 * 4 * 6_000)
    assert found.shares[0][0] == "pressure on the faces"
    assert found.shares[0][1] == pytest.approx(1.0, abs=0.01)  # 50 classes leave 1/2500 inside


def test_chance_of_a_product_of_two_rectangles():
    """P(p b <= c), both rectangular: the area under a hyperbola, in closed form."""
    found = spread(friction=(0.15, 0.15), limit_lbf=9_000 * 4 * ratio(0.15))
    # b from .7 to 1; p b <= 9000: p <= 9000/b, which lies in the range for every b
    area = 9_000 * math.log(1 / 0.7) - 8_000 * 0.3
    assert found.chance == pytest.approx(area / (6_000 * 0.3), abs=0.006)  # 4 s of 100,000


def test_middle_of_the_pull_is_the_product_of_the_middles_where_they_are_symmetric():
    found = spread(pressure_psi=(10_000, 10_000), bearing_share=ONE)
    # the ratio is all but straight in the friction: its median is at the middle friction
    assert found.pull_lbf[1] == pytest.approx(40_000 * ratio(0.15), rel=0.003)


def test_shares_of_a_product_by_their_variances():
    """First-order share of a factor: its squared relative sd over (1 + a)(1 + b)(1 + c) - 1."""
    found = dict(spread().shares)

    def relative(low, high):
        return ((high - low) ** 2 / 12) / ((high + low) / 2) ** 2

    # the ratio is 2 mu - t within a thousandth
    parts = {
        "friction": relative(0.2 - 1 / 96, 0.4 - 1 / 96),
        "pressure on the faces": relative(8, 14),
        "part of the faces that bears": relative(0.7, 1.0),
    }
    whole = math.prod(1 + one for one in parts.values()) - 1
    for name, part in parts.items():
        assert found[name] == pytest.approx(part / whole, abs=0.01)


def test_two_routes_are_drawn_as_often():
    """Exact routes: the force is one or the other, and nobody knows which."""
    travel = 0.06
    one = seat_from_travel(
        travel_low_in=travel, travel_high_in=travel, taper_in_per_in=1 / 96, height_in=1.0,
        width_in=1.0, contact_length_in=4.0, seat_depth_low=1.0, seat_depth_high=1.0,
    ).low_lbf  # fmt: skip
    found = spread(friction=(0.15, 0.15), pressure_psi=(8_000, 8_000), bearing_share=ONE,
                   travel_in=(travel, travel), seat_depth=ONE,
                   limit_lbf=(8_000 * 4 + one) / 2 * ratio(0.15))  # fmt: skip
    assert one < 8_000 * 4
    assert found.chance == pytest.approx(0.5, abs=0.006)
    assert found.seat_lbf[0] == pytest.approx(one)
    assert found.seat_lbf[2] == pytest.approx(32_000)
    assert found.shares[0] == ("which of the routes is right", pytest.approx(1.0))


def test_the_last_blow_is_a_route_of_its_own():
    blow = LastBlow(weight_lbf=12, speed_in_per_s=(360, 360), useful_share=(0.5, 0.5),
                    advance_in=(1 / 32, 1 / 32), friction=(0.1, 0.1))  # fmt: skip
    found = spread(last_blow=blow)
    # 2,014 in lbf, half of it over 1/32 in, at 0.21 push per pound: 153,000 lbf (lesson 04)
    assert found.seat_lbf[2] == pytest.approx(153_000, rel=0.005)
    assert "which of the routes is right" in dict(found.shares)


def test_a_slick_key_needs_no_pull():
    found = spread(friction=(0.001, 0.002), limit_lbf=0.0)
    assert found.pull_lbf == (0.0, 0.0, 0.0)
    assert found.chance == 1.0


def test_the_same_seed_gives_the_same_and_another_nearly_so():
    assert spread(seed=7) == spread(seed=7)
    first, second = spread(seed=7), spread(seed=8)
    assert first.pull_lbf != second.pull_lbf
    assert first.pull_lbf == pytest.approx(second.pull_lbf, rel=0.02)  # two figures stand


@settings(max_examples=12, deadline=None)
@given(
    st.floats(0.05, 0.4), st.floats(1.0, 3.0), st.floats(2_000, 20_000), st.floats(1.0, 2.5),
    st.booleans(),
)  # fmt: skip
def test_no_trial_is_outside_the_range(mu, wider, psi, higher, travelled):
    travel = (0.03, 0.09) if travelled else None
    found = spread(friction=(mu, mu * wider), pressure_psi=(psi, psi * higher), travel_in=travel)
    ends = {"width_in": 1.0, "contact_length_in": 4.0}
    routes = [
        seat_from_pressure(pressure_low_psi=psi, pressure_high_psi=psi * higher,
                           bearing_share_low=0.7, bearing_share_high=1.0, **ends)
    ]  # fmt: skip
    if travel:
        routes.append(
            seat_from_travel(travel_low_in=travel[0], travel_high_in=travel[1], height_in=1.0,
                             taper_in_per_in=1 / 96, **ends)
        )  # fmt: skip
    seat = combined_seat(estimates=routes)
    pull = pull_range(seat_low_lbf=seat.low_lbf, seat_high_lbf=seat.high_lbf, friction_low=mu,
                      friction_high=mu * wider, taper_in_per_in=1 / 96)  # fmt: skip
    low, middle, high = found.pull_lbf
    assert pull.low_lbf * (1 - 1e-9) <= low <= middle <= high <= pull.high_lbf * (1 + 1e-9)
    assert np.all(np.diff(found.seat_lbf) >= 0)
    assert seat.low_lbf * (1 - 1e-9) <= found.seat_lbf[0]
    assert found.seat_lbf[2] <= seat.high_lbf * (1 + 1e-9)


@pytest.mark.parametrize("share", [(-0.1, 1.0), (0.7, 1.1)])
def test_a_key_cannot_bear_on_more_than_its_face_nor_on_less_than_none(share):
    with pytest.raises(ValueError, match=r"^bearing share is .*; it must be from 0 to 1\.$"):
        spread(bearing_share=share)


def test_a_drive_of_which_nothing_is_known_is_refused():
    with pytest.raises(ValueError, match=r"^nothing is known of the drive; enter a pressure, a tr"):
        spread(pressure_psi=None)


def test_only_what_is_not_known_shares_in_the_scatter():
    """One way to the seat leaves no doubt about the way; a second one does."""
    one = {name for name, _ in spread().shares}
    assert one == {"friction", "pressure on the faces", "part of the faces that bears"}
    two = {name for name, _ in spread(travel_in=(0.02, 0.04)).shares}
    assert one < two
    assert len(two - one) >= 2  # what the travel adds, and which of the two ways is right
