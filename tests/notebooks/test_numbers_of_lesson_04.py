"""What lesson 04 says in figures of the drive is what the formulas give."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from keycourse.fit.bench.fitting_steps import LUBRICANT_FRICTION
from keycourse.fit.driven import driven, full_blow_lbf_in, travel_after_blow_in
from taperkey import practice
from taperkey.units import MM_PER_IN, from_internal

PAGE = Path(__file__).resolve().parents[2] / "lessons" / "04-fit.ipynb"
LINE_IN = practice.value("left_to_drive")


@pytest.fixture(scope="module")
def said() -> dict[str, str]:
    cells = json.loads(PAGE.read_text(encoding="utf-8"))["cells"]
    return {cell["id"]: "".join(cell["source"]) for cell in cells}


def ends(values: tuple[float, float], places: int, *, unit: str = "", dimension: str = "") -> str:
    """Write a range as on the page: to the hundred or the thousand, or in a metric unit."""
    if unit:
        return "{:.0f} to {:.0f}".format(
            *(from_internal(one, dimension=dimension, unit=unit) for one in values)
        )
    return "{:,.0f} to {:,.0f}".format(*(round(one, places) for one in values))


def hard_drive() -> list[tuple[float, float]]:
    """Return travel and number of full swings at which one more moves the key only 1/32 in."""
    line = driven(travel_in=LINE_IN)
    push = full_blow_lbf_in() / practice.value("drive_last_advance")
    travels = [LINE_IN * push / one for one in line.push_lbf]
    return sorted((travel, push * travel / 2 / full_blow_lbf_in()) for travel in travels)


def test_what_the_last_eighth_brings(said) -> None:
    line, text = driven(travel_in=LINE_IN), said["drive-brings-text"]
    assert f"{line.squeeze_in:.4f} in ({line.squeeze_in * MM_PER_IN:.2f} mm)" in text
    metric = ends(line.pressure_psi, 0, unit="MPa", dimension="pressure")
    assert f"**{ends(line.pressure_psi, -2)} psi** ({metric} MPa)" in text
    assert f"gaps of up to {line.squeeze_in:.4f} in" in said["feeler-why"]
    told = said["instructor"]
    assert f"{ends(line.force_lbf, -3)} lbf on each face" in told
    friction = LUBRICANT_FRICTION["anti-seize"]
    assert f"{ends(line.push_lbf, -2)} lbf of push at μ `{friction:.2f}`" in told
    assert f"{ends(line.tension_psi, -2)} psi of tension" in told


def test_light_blows_do_it_and_a_full_one_past_the_line_doubles_it(said) -> None:
    line, text = driven(travel_in=LINE_IN), said["past-line-text"]
    joules = [0.11298 * one for one in line.work_lbf_in]  # 1 in·lbf is 0.11298 J
    assert f"{ends(line.work_lbf_in, -1)} in·lbf ({joules[0]:.0f} to {joules[1]:.0f} J)" in text
    assert line.work_lbf_in[1] < 0.6 * full_blow_lbf_in()  # so not one full swing is wanted
    after = [
        travel_after_blow_in(travel_in=LINE_IN, push_lbf=push, blow_lbf_in=full_blow_lbf_in())
        for push in line.push_lbf
    ]
    assert "about doubles push" in text
    assert [one / LINE_IN for one in after] == pytest.approx([2, 2], rel=0.15)


def test_what_an_unknown_hand_brings_it_to(said) -> None:
    (near, few), (far, many) = hard_drive()
    assert (near, far) == pytest.approx((1 / 2, 7 / 8), abs=1 / 32)
    assert (round(few), round(many)) == (8, 14)
    push = full_blow_lbf_in() / practice.value("drive_last_advance")
    told = f"{round(push, -3):,.0f} lbf"
    for text in (said["unknown-hand-text"], said["instructor"]):
        assert "1/2 in to 7/8 in past full contact" in text
        assert told in text
    assert "some ten full swings" in said["unknown-hand-text"].lower()
    assert "eight to fourteen" in said["instructor"]
