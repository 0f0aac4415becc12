"""Pressure and give: springs in a row, each with its own figure."""

from __future__ import annotations

import pytest

from taperkey.formulas.squeeze import face_pressure_psi, key_squeeze_in, seat_compliance_in_per_psi


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
