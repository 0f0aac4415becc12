"""Rig, forces and capacity chain: what they show, to what scale, in what words."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest

from coursework.ink import drawing as ink
from keycourse.pull.forces_picture import ACTIONS, draw_force_diagram, round_step
from keycourse.pull.rig_picture import (
    HOLDS,
    RIGS,
    draw_capacity_chain,
    draw_rig,
)

SVG = "{http://www.w3.org/2000/svg}"
KEY = {
    "normal_force_lbf": 150_000.0,
    "taper_in_per_in": 1 / 96,
    "floor_friction": 0.1,
    "roof_friction": 0.1,
}
CHAIN = {"jacks": 32_000.0, "rod": 47_700.0, "thread": 28_000.0, "strongback": 143_000.0}


def chain(**changes):
    plan = {"capacities_lbf": CHAIN, "demand_low_lbf": 18_200.0, "demand_high_lbf": 65_000.0}
    return draw_capacity_chain(**{**plan, **changes})


ALL = {
    **{f"{rig}": (lambda rig=rig: draw_rig(rig=rig, load_lbf=124_000.0)) for rig in RIGS},
    **{
        f"{hold}": (lambda hold=hold: draw_rig(rig="two jacks", hold=hold, load_lbf=24_000.0))
        for hold in HOLDS
    },
    "rod gone": lambda: draw_rig(rig="two jacks", gone="rod"),
    "strongback gone": lambda: draw_rig(rig="two jacks", hold="weld", gone="strongback"),
    "key out": lambda: draw_rig(rig="two jacks", key_out=True),
    "hub off": lambda: draw_rig(rig="two jacks", hub_off=True),
    **{f"{one}": (lambda one=one: draw_force_diagram(**KEY, action=one)) for one in ACTIONS},
    "rough": lambda: draw_force_diagram(**{**KEY, "floor_friction": 0.8, "roof_friction": 0.8}),
    "frictionless": lambda: draw_force_diagram(
        **{**KEY, "floor_friction": 0.0, "roof_friction": 0.0}
    ),
    "steep": lambda: draw_force_diagram(**{**KEY, "taper_in_per_in": 0.33}),
    "chain": lambda: chain(load_lbf=24_000.0),
    "chain short": lambda: chain(demand_low_lbf=90_000.0, demand_high_lbf=259_000.0),
    "chain ample": lambda: chain(demand_low_lbf=5_000.0, demand_high_lbf=9_000.0),
}


def texts(picture):
    root = ElementTree.fromstring(picture.svg)
    return [one.text for one in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("name", ALL)
def test_every_drawing_is_one_labelled_image_with_readable_text_on_the_sheet(name):
    picture = ALL[name]()
    root = ElementTree.fromstring(picture.svg)
    assert root.get("role") == "img"
    assert root.get("aria-label") == picture.text
    assert picture.text.endswith(".")
    assert "safe" not in picture.text
    width, height = (float(v) for v in root.get("viewBox").split()[2:])
    for one in root.iter(f"{SVG}text"):
        size = float(one.get("font-size"))
        assert size >= ink.SMALL
        x, y = float(one.get("x")), float(one.get("y"))
        reach = 0.62 * size * len(one.text)
        start = {"middle": x - reach / 2, "end": x - reach}.get(one.get("text-anchor"), x)
        assert start >= -6, one.text
        assert start + reach <= width + 12, one.text
        assert size * 0.6 <= y <= height, one.text


def test_load_is_named_and_shared_by_the_jacks():
    picture = draw_rig(rig="two jacks", load_lbf=24_000.0)
    assert "pull 24,000 lbf" in texts(picture)
    assert texts(picture).count("12,000 lbf") == 2
    assert "The pull is 24,000 lbf, 12,000 lbf on each side." in picture.text


def test_link_that_gave_way_is_named():
    picture = draw_rig(rig="hollow-ram jack", gone="thread")
    assert "The thread has given way." in texts(picture)
    assert "Given way: the thread." in picture.text
    assert "The jacks have given way." in texts(draw_rig(rig="two jacks", gone="jacks"))


@pytest.mark.parametrize(
    ("action", "amount", "slope"),
    [
        # 150,000 lbf on the faces, friction 0.10, 1:96: ratios 0.2105 in, 0.1895 out
        ("driven in", 31_580, "the slope holds against the push"),
        ("drawn by the large end", 28_420, "the slope helps the key out"),
        ("pulled by the small end", 31_580, "the slope holds against the pull"),
    ],
)
def test_forces_along_the_shaft(action, amount, slope):
    picture = draw_force_diagram(**KEY, action=action)
    assert f"{amount:,} lbf" in picture.text
    assert slope in picture.text
    assert any(f"{amount:,} lbf" == one for one in texts(picture))


def test_parts_along_the_shaft_add_up_to_the_pull():
    rows = [one for one in texts(draw_force_diagram(**KEY)) if re.search(r" (left|right)$", one)]
    signed = [
        float(one.split(" ")[0].replace(",", "")) * (1 if one.endswith("right") else -1)
        for one in rows
    ]
    assert len(signed) == 4
    assert sum(signed) == pytest.approx(0.0, abs=20)  # each is written to the nearest 10 lbf


def test_reversed_key_has_its_small_end_at_the_left():
    ordinary, turned = (
        {
            one.text: float(one.get("x"))
            for one in ElementTree.fromstring(draw_force_diagram(**KEY, action=a).svg).iter(
                f"{SVG}text"
            )
        }
        for a in (ACTIONS[1], ACTIONS[2])
    )
    assert ordinary["large end"] < ordinary["small end"]
    assert turned["small end"] < turned["large end"]
    words = draw_force_diagram(**KEY, action=ACTIONS[2]).text
    assert "the pull draws the key further in" in words


def test_key_without_enough_friction_is_said_to_come_out():
    picture = draw_force_diagram(**{**KEY, "floor_friction": 0.001, "roof_friction": 0.001})
    assert "comes out by itself" in picture.text
    assert "hold" in texts(picture)
    assert "pull" not in texts(picture)


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (5_000.0, 9_000.0, "19,000 lbf above the whole range"),
        (18_000.0, 65_000.0, "inside the range, 37,000 lbf below its high end"),
        (90_000.0, 99_000.0, "below the whole range, short by 62,000 lbf at least"),
    ],
)
def test_governing_link_is_named_in_words(low, high, said):
    picture = chain(demand_low_lbf=low, demand_high_lbf=high)
    assert f"Weakest link: thread governs at 28,000 lbf: {said}." in picture.text
    assert "Hatched: thread governs at 28,000 lbf," in texts(picture)


def test_governing_bar_is_the_only_hatched_one():
    root = ElementTree.fromstring(chain().svg)
    # hatching is one open path of many pieces
    hatched = [p for p in root.iter(f"{SVG}path") if p.get("d").count("M") > 5]
    assert len(hatched) == 1


def test_chain_without_links_is_refused():
    with pytest.raises(
        ValueError, match=re.escape("number of links is 0; it must be 1 or more. Set up a rig")
    ):
        chain(capacities_lbf={})


@pytest.mark.parametrize(("value", "step"), [(99.0, 50.0), (100.0, 100.0), (4_200.0, 2_000.0)])
def test_round_step(value, step):
    assert math.isclose(round_step(value), step)
