"""Ways out for a stuck key: equilibrium, limits and what the free bodies say."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taperkey.formulas.free_body import reaction_of_pull
from taperkey.formulas.ways_out import (
    drift_size_in,
    drill_sizes_in,
    hub_off_force_lbf,
    pressed_end_lbf,
    travel_to_free_in,
)
from taperkey.formulas.wedge import withdrawal_force_lbf

FRICTION = st.floats(0.05, 0.8)
TAPER = st.floats(0.005, 0.05)


@given(TAPER, FRICTION, FRICTION)
def test_a_hub_needs_what_the_key_s_roof_drags_and_what_the_bore_holds(taper, bore, roof):
    """By the free bodies: N tan(phi - alpha) on the tapered face, N mu opposite the key."""
    force = hub_off_force_lbf(normal_force_lbf=10_000, taper_in_per_in=taper, bore_friction=bore,
                              roof_friction=roof)  # fmt: skip
    drag = reaction_of_pull(pull_lbf=1.0, taper_in_per_in=taper, floor_friction=0.9,
                            roof_friction=roof)  # fmt: skip
    assert force == pytest.approx(10_000 * (bore + drag.hub_lbf / drag.normal_lbf))


@given(TAPER, FRICTION)
def test_with_one_friction_everywhere_the_hub_comes_as_hard_as_the_key(taper, mu):
    hub = hub_off_force_lbf(normal_force_lbf=10_000, taper_in_per_in=taper, bore_friction=mu,
                            roof_friction=mu)  # fmt: skip
    key = withdrawal_force_lbf(normal_force_lbf=10_000, taper_in_per_in=taper, floor_friction=mu,
                               roof_friction=mu)  # fmt: skip
    assert hub == pytest.approx(key)


def test_a_hub_on_a_slick_key_comes_by_itself():
    slick = {"taper_in_per_in": 0.05, "bore_friction": 0.001, "roof_friction": 0.001}
    assert hub_off_force_lbf(normal_force_lbf=10_000, **slick) == 0.0


@given(st.floats(0.0001, 0.005), TAPER)
def test_a_squeeze_is_off_where_the_slope_has_climbed_it(squeeze, taper):
    assert travel_to_free_in(squeeze_in=squeeze, taper_in_per_in=taper) * taper == pytest.approx(
        squeeze
    )


@given(st.floats(0.2, 4.0))
def test_no_drill_is_too_large_and_the_next_would_be(side):
    sizes = drill_sizes_in(smaller_side_in=side, pilot_in=0.25, step_in=0.125, left_in=0.125)
    most = side - 0.125
    if not sizes:
        assert most < 0.25
        return
    assert sizes[0] == 0.25
    assert sizes[-1] <= most + 1e-9 < sizes[-1] + 0.125 + 2e-9
    assert all(b - a == pytest.approx(0.125) for a, b in zip(sizes, sizes[1:], strict=False))


def test_a_drift_goes_through_and_takes_less_than_the_key():
    wide, high = drift_size_in(width_in=1.0, height_in=0.9, less_in=1 / 16)
    drift = pressed_end_lbf(width_in=wide, height_in=high, yield_psi=36_000)
    key = pressed_end_lbf(width_in=1.0, height_in=0.9, yield_psi=36_000)
    assert drift < key
    assert key == pytest.approx(0.9 * 36_000 / 1.67)  # AISC 360: 1.67


@pytest.mark.parametrize(
    ("act", "known", "sentence"),
    [
        (hub_off_force_lbf, {"normal_force_lbf": -1.0, "taper_in_per_in": 0.01,
                             "bore_friction": 0.1, "roof_friction": 0.1},
         "normal force is -1 lbf; it must be 0 or more."),
        (travel_to_free_in, {"squeeze_in": 0.001, "taper_in_per_in": 0.0},
         "taper is 0 in/in; it must be above 0. A straight key does not wedge."),
        (drill_sizes_in, {"smaller_side_in": 0.0, "pilot_in": 0.25, "step_in": 0.1, "left_in": 0.1},
         "smaller side of the key is 0 in; it must be above 0."),
        (drift_size_in, {"width_in": 0.05, "height_in": 1.0, "less_in": 0.0625},
         "width of the slot is 0.05 in; it must be above 0.0625 in."),
        (pressed_end_lbf, {"width_in": 1.0, "height_in": 1.0, "yield_psi": 0.0},
         "yield strength is 0 psi; it must be above 0."),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_one_sentence(act, known, sentence):
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole sentence is compared
        act(**known)
    assert str(caught.value) == sentence
