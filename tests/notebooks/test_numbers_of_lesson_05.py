"""The figures that stand typed in lesson 05 are those that the formulas give."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from keycourse.fit.driven import KeyInHub, driven
from taperkey import practice
from taperkey.formulas.free_body import reaction_of_pull
from taperkey.formulas.hubring import ring_opening_in_per_lbf
from taperkey.formulas.squeeze import heat_to_free, opening_growth_in
from taperkey.formulas.wedge import drive_ratio, friction_share, withdraw_ratio
from taperkey.units import MM_PER_IN, from_internal

PAGE = Path(__file__).resolve().parents[2] / "lessons" / "05-pull.ipynb"
SEAT_LBF = 150_000.0
WEDGE = {"taper_in_per_in": 1 / 96, "floor_friction": 0.10, "roof_friction": 0.10}


@pytest.fixture(scope="module")
def said() -> dict[str, str]:
    cells = json.loads(PAGE.read_text(encoding="utf-8"))["cells"]
    return {cell["id"]: "".join(cell["source"]) for cell in cells}


def hundreds(force_lbf: float) -> str:
    return f"{round(force_lbf, -2):,.0f} lbf"


def kilonewtons(force_lbf: float) -> str:
    """Write as on the page: three figures at most."""
    return f"({from_internal(force_lbf, dimension='force', unit='kN'):,.0f} kN)"


def test_push_pull_and_friction_s_share(said) -> None:
    for ratio in (drive_ratio(**WEDGE), withdraw_ratio(**WEDGE)):
        assert f"`{ratio:.4f}` | {hundreds(SEAT_LBF * ratio)}" in said["force-numbers"]
        assert kilonewtons(round(SEAT_LBF * ratio, -2)) in said["force-numbers"]
    assert f"**{100 * friction_share(**WEDGE):.0f} %**" in said["share-text"]


@pytest.mark.parametrize("friction", [0.10, 0.20, 0.27, 0.78])
def test_what_rust_does(said, friction: float) -> None:
    ratio = withdraw_ratio(taper_in_per_in=1 / 96, floor_friction=friction, roof_friction=friction)
    assert f"`{friction:.2f}` | {hundreds(SEAT_LBF * ratio)}" in said["what-does-rust-do"]


def test_what_a_pull_drags_along(said) -> None:
    found = reaction_of_pull(pull_lbf=28_400.0, **WEDGE)
    text = said["stands-on-text"]
    assert f"{hundreds(found.hub_lbf)} of 28,400 lbf" in text
    assert f"{100 * found.hub_lbf / 28_400:.0f} % of the pull" in text
    assert f"below μ `{found.friction_to_hold:.3f}`" in text


def test_squeeze_of_a_known_travel_and_the_heat_that_takes_it_off(said) -> None:
    """Squeeze is travel times taper, whatever gives way: no model of the metal is in it."""
    squeeze = practice.value("left_to_drive") / 96
    heat = squeeze / opening_growth_in(difference_degF=1, bore_in=6, height_in=1)
    text = said["heat-numbers"]
    assert f"**{squeeze:.4f} in** ({squeeze * MM_PER_IN:.2f} mm)" in text
    assert f"**{heat:.0f} °F** ({heat / 1.8:.0f} °C)" in text
    assert practice.value("heat_share") == pytest.approx(1 / 5)  # "about a fifth"


def test_the_key_as_taught_and_the_unknown_hand_are_told_apart(said) -> None:
    taught = driven(travel_in=practice.value("left_to_drive"))
    low, high = taught.force_lbf
    told = f"{round(low, -3):,.0f} to {round(high, -3):,.0f} lbf"
    metric = "({:.0f} to {:.0f} kN)".format(
        *(from_internal(round(one, -3), dimension="force", unit="kN") for one in (low, high))
    )
    assert f"{told} {metric}" in said["which-key-text"]
    assert told in said["range-now"]
    # the key of the table is one of those that are planned for when nobody knows the travel
    least, most = practice.span("seat_pressure")
    assert least < SEAT_LBF / KeyInHub().area_in2 < most
    assert high < 0.5 * least * KeyInHub().area_in2


def test_a_hub_that_opens_asks_for_more_heat(said) -> None:
    """A hub twice its bore, on a close shaft and on a loose one; keyway half the key's height."""
    hub = {"outside_in": 12.0, "bore_in": 6.0, "length_in": 8.0, "keyway_depth_in": 0.5,
           "key_width_in": 1.5}  # fmt: skip
    close, loose = (ring_opening_in_per_lbf(shaft=one, **hub) for one in ("close", "loose"))
    heat = heat_to_free(
        pressure_low_psi=12_500, pressure_high_psi=12_500, height_in=1, width_in=1.5, bore_in=6,
        ring_low_in_per_psi=close * 12, ring_high_in_per_psi=loose * 12,
    )  # fmt: skip
    text = said["heat-limits"]
    faces = heat_to_free(
        pressure_low_psi=12_500, pressure_high_psi=12_500, height_in=1, width_in=1.5, bore_in=6
    )
    assert f"give {faces.squeeze_low_in:.4f} in to {faces.squeeze_high_in:.4f} in" in text
    assert f"by another {close * 150_000:.4f} in to {loose * 150_000:.4f} in" in text
    ends = (heat.difference_low_degF, heat.difference_high_degF)
    assert "**{:.0f} to {:.0f} °F**".format(*ends) in text
    assert "({:.0f} to {:.0f} °C)".format(*(end / 1.8 for end in ends)) in text


def test_gauge_pressure_by_hand(said) -> None:
    # 30,100 lbf on two rams of 2.24 in2, to the ten psi; one bar is 14.5 psi
    pressure = 30_100 / (2 * 2.24)
    assert f"**{round(pressure, -1):,.0f} psi**" in said["gauge-text"]
    assert f"**{pressure / 14.5:.0f} bar**" in said["gauge-text"]


def test_steps_of_the_load(said) -> None:
    assert practice.values("load_steps") == (0.1, 0.25, 0.5, 0.75, 0.9, 1.0)
    text = said["load-steps-list"]
    assert "Snug, a tenth." in text
    assert "1/4, 1/2, 3/4, 9/10, all of it" in text
