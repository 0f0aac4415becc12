"""Key drawing and cutting plan: to scale, dimensioned, legible in gray print, said in words."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from coursework.ink import drawing as ink
from keycourse.key.cuttingplan import draw_cutting_plan
from keycourse.key.keydrawing import TappedHole, draw_key
from taperkey.formulas.cutting import cutting_plan

SVG = "{http://www.w3.org/2000/svg}"
HOLE = TappedHole(name="1/2-13 UNC", diameter_in=0.5, pitch_in=1 / 13, depth_in=1.25)
PLAIN = {
    "large_height_in": 1.0224,
    "small_height_in": 0.9182,
    "length_in": 10.0,
    "hub_width_in": 1.0,
    "shaft_width_in": 1.0,
    "chamfer_in": 5 / 64,
    "tapped": HOLE,
    "stand_out_in": 1.71,
}
STEPPED = {**PLAIN, "hub_width_in": 1.06, "shaft_portion_in": 0.52}
METRIC = {**STEPPED, "system": "metric"}
SMALL = {
    "large_height_in": 0.2624,
    "small_height_in": 0.1999,
    "length_in": 6.0,
    "hub_width_in": 0.25,
    "shaft_width_in": 0.25,
    "stand_out_in": 1.46,
}
BIG = {
    "large_height_in": 2.0448,
    "small_height_in": 1.8625,
    "length_in": 17.5,
    "hub_width_in": 3.0,
    "shaft_width_in": 3.04,
    "chamfer_in": 5 / 32,
}
KEYS = {"plain": PLAIN, "stepped": STEPPED, "metric": METRIC, "small": SMALL, "big": BIG}


def plan_of(**changes):
    given = {
        "stock_height_in": 1.125,
        "large_end_height_in": 1.0224,
        "small_end_height_in": 0.9182,
        "length_in": 10.0,
        "relief_cut_in": 0.03,
        "deepest_pass_in": 0.05,
    }
    return cutting_plan(**{**given, **changes})


PLANS = {
    "not started": {"relief_done": False},
    "half way": {"passes_done": 2},
    "down to size": {"passes_done": 4},
    "metric": {"passes_done": 1, "system": "metric"},
}
ALL = {
    **{name: (lambda sizes=sizes: draw_key(**sizes)) for name, sizes in KEYS.items()},
    **{
        name: (lambda how=how: draw_cutting_plan(plan=plan_of(), length_in=10.0, **how))
        for name, how in PLANS.items()
    },
    "tall bar": lambda: draw_cutting_plan(plan=plan_of(stock_height_in=2.0), length_in=10.0),
}


def texts(picture):
    return [one.text for one in ElementTree.fromstring(picture.svg).iter(f"{SVG}text")]


def named(picture, name):
    root = ElementTree.fromstring(picture.svg)
    return [one for one in root.iter() if one.get("data-name") == name]


def points(path):
    found = re.findall(r"(-?[\d.]+) (-?[\d.]+)", path.get("d"))
    return [(float(x), float(y)) for x, y in found]


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
        reach = 0.56 * size * len(one.text)
        start = {"middle": x - reach / 2, "end": x - reach}.get(one.get("text-anchor"), x)
        assert start >= -6, one.text
        assert start + reach <= width + 12, one.text
        assert size * 0.6 <= y <= height, one.text
    for one in root.iter(f"{SVG}line"):
        assert 0 <= float(one.get("y1")) <= height
        assert 0 <= float(one.get("y2")) <= height


@pytest.mark.parametrize("name", KEYS)
def test_side_view_is_to_scale_in_both_directions(name):
    sizes = KEYS[name]
    (outline,) = named(draw_key(**sizes), "key")
    corners = points(outline)
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    per_in = (max(xs) - min(xs)) / sizes["length_in"]
    # the drawing is written to a tenth of a unit
    assert max(ys) - min(ys) == pytest.approx(sizes["large_height_in"] * per_in, abs=0.11)
    small = [y for x, y in corners if x == max(xs)]
    assert max(small) - min(small) == pytest.approx(sizes["small_height_in"] * per_in, abs=0.11)


def test_end_view_is_to_scale_and_shows_step_and_eased_edges():
    (outline,) = named(draw_key(**STEPPED), "end")
    corners = points(outline)
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    per_in = (max(xs) - min(xs)) / STEPPED["hub_width_in"]
    foot = max(ys)
    assert foot - min(ys) == pytest.approx(STEPPED["large_height_in"] * per_in, abs=0.11)
    top = [x for x, y in corners if y == min(ys)]
    flat = STEPPED["hub_width_in"] - 2 * STEPPED["chamfer_in"]
    assert max(top) - min(top) == pytest.approx(flat * per_in, abs=0.21)
    step = [x for x, y in corners if abs(foot - y - 0.52 * per_in) < 0.11]
    assert len(step) == 4  # both sides, in the hub's and the shaft's width
    assert max(step) - min(step) == pytest.approx(1.06 * per_in, abs=0.21)


def test_dimensions_are_those_of_the_key_in_inches_or_millimetres():
    inch = texts(draw_key(**STEPPED))
    for words in ("1.0224", "0.9182", "10.00", "1.71 stands out", "1.0600 hub", "1.0000 shaft"):
        assert words in inch
    assert "Dimensions in inches" in inch
    assert "1/2-13 UNC, 1.25 deep" in inch
    assert "5/64 × 45°" in inch
    assert "1:96" in inch
    metric = texts(draw_key(**METRIC))
    for words in ("25.969", "23.322", "254.0", "43.4 stands out", "26.924 hub"):
        assert words in metric
    assert "Dimensions in millimeters" in metric
    assert not any(re.search(r"\d in\b", words) for words in metric)


def test_words_say_what_the_drawing_shows_with_units():
    words = draw_key(**STEPPED).text
    assert "large end 1.0224 in high on the left" in words
    assert "small end 0.9182 in high" in words
    assert "taper 1:96" in words
    assert "1.0600 in wide in the hub" in words
    assert "tapped 1/2-13 UNC, 1.25 in deep" in words
    assert "stands 1.71 in out of the hub" in words
    bare = draw_key(**{**PLAIN, "tapped": None, "chamfer_in": 0.0, "stand_out_in": 0.0}).text
    assert "Large end not tapped." in bare
    assert "Long edges sharp." in bare
    assert "out of the hub" not in bare


def test_what_is_not_there_is_not_drawn():
    bare = draw_key(**{**PLAIN, "tapped": None, "stand_out_in": 0.0})
    assert not named(bare, "hole")
    assert not named(bare, "step")
    assert not any("hub face" in words for words in texts(bare))
    assert named(draw_key(**STEPPED), "step")
    assert named(draw_key(**PLAIN), "hole")


@pytest.mark.parametrize("name", KEYS)
def test_a_grey_print_loses_nothing(name):
    """Every line is near black, or a gray that stands off the paper."""
    picture = draw_key(**KEYS[name])
    for one in ElementTree.fromstring(picture.svg).iter():
        stroke = one.get("stroke")
        assert stroke in (None, "none", ink.INK, ink.MUTED, ink.PAPER)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            {"small_height_in": 1.1},
            "height of the large end is 1.0224 in; it must be 1.1 in or more, as at the small end.",
        ),
        ({"length_in": 0.0}, "key length is 0 in; it must be above 0."),
        (
            {"chamfer_in": 0.5},
            "chamfer is 0.5 in; it must be from 0 to 0.306067 in. Ease the edge by less.",
        ),
        (
            {"stand_out_in": 11.0},
            "stand-out is 11 in; it must be from 0 to 10 in. The key is shorter.",
        ),
        (
            {"shaft_portion_in": 0.95},
            "height of the hub portion is -0.0318 in; it must be above 0. Check both depths.",
        ),
    ],
)
def test_a_key_that_cannot_be_is_refused_in_one_sentence(change, sentence):
    with pytest.raises(ValueError, match="it must be") as refused:
        draw_key(**{**PLAIN, **change})
    assert str(refused.value) == sentence


def test_cuts_are_drawn_to_one_scale():
    plan = plan_of()
    picture = draw_cutting_plan(plan=plan, length_in=10.0, passes_done=4)
    (relief,) = named(picture, "relief")
    (taper,) = named(picture, "taper")
    strip = [y for _, y in points(relief)]
    per_in = (max(strip) - min(strip)) / plan.relief_cut_in
    corners = points(taper)
    left = [y for x, y in corners if x == min(x for x, _ in corners)]
    right = [y for x, y in corners if x == max(x for x, _ in corners)]
    assert max(left) - min(left) == pytest.approx(plan.large_end_cut_in * per_in, rel=0.02)
    assert max(right) - min(right) == pytest.approx(plan.small_end_cut_in * per_in, rel=0.02)


def test_blank_lies_with_its_small_end_on_the_high_end_of_the_master():
    corners = points(named(draw_cutting_plan(plan=plan_of(), length_in=10.0), "blank")[0])
    low_x, high_x = min(x for x, _ in corners), max(x for x, _ in corners)
    seat_large = max(y for x, y in corners if x == low_x)
    seat_small = max(y for x, y in corners if x == high_x)
    assert seat_small < seat_large  # y counts down: the small end is seated higher
    level = {y for x, y in corners} - {seat_large, seat_small}
    assert len(level) == 1, "the finished taper face lies level"


def test_every_pass_has_its_line_and_words():
    picture = draw_cutting_plan(plan=plan_of(), length_in=10.0, passes_done=2)
    assert len(named(picture, "pass")) == 4
    for words in ("0.0300 in", "0.0726 in", "0.1768 in", "0.1042 in", "start at the large end"):
        assert words in texts(picture)
    assert "in 4 passes; 2 taken." in picture.text
    assert "high end is under the small end" in picture.text
    assert "not taken yet" not in picture.text
    assert "not taken yet" in ALL["not started"]().text


def test_taper_before_the_straight_cut_is_refused():
    with pytest.raises(ValueError, match="the key bows") as refused:
        draw_cutting_plan(plan=plan_of(), length_in=10.0, relief_done=False, passes_done=1)
    assert str(refused.value) == (
        "passes done is 1; it must be 0 before the relief cut. With the skin off one face only, "
        "the key bows: take the relief cut first."
    )
