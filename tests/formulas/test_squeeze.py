"""Pressure and give: springs in a row, each with its own figure."""

from __future__ import annotations

import pytest

from taperkey.formulas.squeeze import (
    face_pressure_psi,
    heat_for_squeeze,
    heat_to_free,
    key_squeeze_in,
    opening_growth_in,
    seat_compliance_in_per_psi,
)


def test_a_face_that_bears_on_half_has_twice_the_pressure() -> None:
    face = {"normal_force_lbf": 120_000.0, "width_in": 1.5, "contact_length_in": 8.0}
    assert face_pressure_psi(**face) == 10_000.0
    assert face_pressure_psi(**face, bearing_share=0.5) == 20_000.0
    assert face_pressure_psi(**face, bearing_share=1.0) == 10_000.0
    assert face_pressure_psi(**(face | {"normal_force_lbf": 0.0})) == 0.0


def test_a_softer_key_gives_more() -> None:
    # Hooke: 12,000 / 30e6 = 0.0004 in each inch; half the modulus, twice the squeeze
    assert key_squeeze_in(pressure_psi=12_000, height_in=2) == pytest.approx(0.0008, rel=1e-12)
    assert key_squeeze_in(pressure_psi=12_000, height_in=2, modulus_psi=15e6) == pytest.approx(
        0.0016, rel=1e-12
    )


def test_key_shaft_and_hub_give_by_their_own_modulus() -> None:
    # 0.75 in of metal behind each slot: 1/30 + 0.75/15 + 0.75/10 = 4.75/30 in for 1e6 psi
    give = {"height_in": 1.0, "width_in": 1.5, "seat_depth": 0.5}
    assert seat_compliance_in_per_psi(
        **give, key_modulus_psi=30e6, shaft_modulus_psi=15e6, hub_modulus_psi=10e6
    ) == pytest.approx(4.75 / 30e6, rel=1e-12)
    # left out, all are steel of 30e6: 2.5/30; one part softened by half adds its own share
    assert seat_compliance_in_per_psi(**give) == pytest.approx(2.5 / 30e6, rel=1e-12)
    for part, more in (("key", 1.0), ("shaft", 0.75), ("hub", 0.75)):
        softer = seat_compliance_in_per_psi(**give, **{f"{part}_modulus_psi": 15e6})
        assert softer == pytest.approx((2.5 + more) / 30e6, rel=1e-12)


def test_the_lesson_s_key_is_squeezed_one_to_two_and_a_half_thousandths() -> None:
    # 150,000 lbf on 1.5 x 8 in: 12,500 psi. Hooke with 30e6 psi, by hand: the key 1 in, behind it
    # 0.5 and 1.7 key widths on either side: (1 + 1.5) / 30e6 and (1 + 5.1) / 30e6 for each psi
    heat = heat_to_free(
        pressure_low_psi=12_500, pressure_high_psi=12_500, height_in=1, width_in=1.5, bore_in=6
    )
    assert heat.squeeze_low_in == pytest.approx(2.5 * 12_500 / 30e6)
    assert heat.squeeze_high_in == pytest.approx(6.1 * 12_500 / 30e6)
    # 11.5e-6 for each degC (JCGM 100:2008, H.1), over 7 in
    assert heat.difference_low_degF == pytest.approx(heat.squeeze_low_in / 7 / 11.5e-6 * 1.8)
    assert heat.difference_high_degF == pytest.approx(heat.squeeze_high_in / 7 / 11.5e-6 * 1.8)


def test_heat_for_a_known_squeeze_by_hand() -> None:
    # 1/8 and 1/4 in of travel at 1:96; a 6 in bore and a 1 in key, 11.5e-6 for each degC
    heat = heat_for_squeeze(
        squeeze_low_in=1 / 8 / 96, squeeze_high_in=1 / 4 / 96, bore_in=6, height_in=1
    )
    assert heat.difference_low_degF == pytest.approx(1 / 8 / 96 / 7 / 11.5e-6 * 1.8)
    assert heat.difference_high_degF == pytest.approx(2 * heat.difference_low_degF)


def test_the_heat_that_is_named_opens_the_hub_by_the_squeeze() -> None:
    heat = heat_to_free(
        pressure_low_psi=8_000, pressure_high_psi=14_000, height_in=1.25, width_in=1.25, bore_in=5
    )
    for squeeze, difference in (
        (heat.squeeze_low_in, heat.difference_low_degF),
        (heat.squeeze_high_in, heat.difference_high_degF),
    ):
        grown = opening_growth_in(difference_degF=difference, bore_in=5, height_in=1.25)
        assert grown == pytest.approx(squeeze)


def test_no_heat_opens_nothing_and_twice_the_heat_twice_as_much() -> None:
    hub = {"bore_in": 6.0, "height_in": 1.0}
    assert opening_growth_in(difference_degF=0, **hub) == 0
    once = opening_growth_in(difference_degF=40, **hub)
    assert opening_growth_in(difference_degF=80, **hub) == pytest.approx(2 * once)
