"""Pictures of the fitting bench: what they show, their words, their size."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import numpy as np
import pytest

from coursework.ink import drawing as ink
from keycourse.fit.marks import (
    draw_marks,
    draw_stand_out,
    lane_place_in,
    marks_in_words,
)
from keycourse.measure.feeler import draw_feeler

SVG = "{http://www.w3.org/2000/svg}"
SIZE = {"length_in": 8.0, "width_in": 1.494, "face_in": 1.404}
SIDE = {"length_in": 8.0, "height_in": 1.0, "taper_in_per_in": 1 / 96}
FEELER = {
    "leaf_in": 0.0015,
    "top_mouth_in": 0.0,
    "top_far_in": 2.3,
    "bottom_mouth_in": 0.5,
    "bottom_far_in": 0.0,
    "side_enters": True,
    "length_in": 8.0,
}


def faces():
    """Bright on top from 2 to 3 in on side A; bottom thinned only, at 6 in on side C."""
    top, bottom = np.zeros((256, 48), dtype=np.int8), np.zeros((256, 48), dtype=np.int8)
    top[60:100, 0:18] = 1
    top[64:96, 0:14] = 2
    bottom[190:200, 36:46] = 1
    return {"top": top, "bottom": bottom}


def marks(**changes):
    return draw_marks(**{**faces(), "blued": True, **SIZE, "stood_out_in": 1.0, **changes})


def named(picture, name):
    root = ElementTree.fromstring(picture.svg)
    return [one for one in root.iter() if one.get("data-name") == name]


def reach(path):
    """Left and right, upper and lower end of a path."""
    pairs = re.findall(r"(-?[\d.]+) (-?[\d.]+)", path.get("d"))
    x, y = [float(a) for a, _ in pairs], [float(b) for _, b in pairs]
    return min(x), max(x), min(y), max(y)


ALL = {
    "bare": lambda: marks(top=None, bottom=None, blued=False),
    "fresh blue": lambda: marks(top=None, bottom=None),
    "marks": marks,
    "cleaned": lambda: marks(blued=False, filed_top=[(2.5, -0.4)], filings=True),
    "aim": lambda: marks(aim=(("top", "bottom"), 0.0, -0.498)),
    "short key": lambda: marks(length_in=3.0, width_in=1.0, face_in=0.9),
    "on the bench": lambda: draw_stand_out(projection_in=None, **SIDE),
    "first push": lambda: draw_stand_out(projection_in=1.2, first_projection_in=1.2, **SIDE),
    "nearly": lambda: draw_stand_out(projection_in=0.1, first_projection_in=1.0, **SIDE),
    "flush": lambda: draw_stand_out(projection_in=0.0, driven=True, **SIDE),
    "feeler": lambda: draw_feeler(**FEELER),
    "feeler gauge nowhere": lambda: draw_feeler(
        **{**FEELER, "top_far_in": 0.0, "bottom_mouth_in": 0.0, "side_enters": False}
    ),
}


@pytest.mark.parametrize("name", ALL)
def test_every_drawing_is_one_labelled_image(name):
    picture = ALL[name]()
    root = ElementTree.fromstring(picture.svg)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    assert root.get("aria-label") == picture.text
    assert picture.text.endswith(".")
    assert len(picture.svg) < 30_000


@pytest.mark.parametrize("name", ALL)
def test_text_is_large_enough_and_stays_on_the_sheet(name):
    root = ElementTree.fromstring(ALL[name]().svg)
    width, height = (float(v) for v in root.get("viewBox").split()[2:])
    for one in root.iter(f"{SVG}text"):
        size = float(one.get("font-size"))
        assert size >= ink.SMALL
        x, y = float(one.get("x")), float(one.get("y"))
        if one.get("transform"):
            continue
        long = 0.62 * size * len(one.text)  # a wide face
        start = {"middle": x - long / 2, "end": x - long}.get(one.get("text-anchor"), x)
        assert start >= -1, one.text
        assert start + long <= width + 12, one.text
        assert size * 0.6 <= y <= height, one.text


def test_bright_marks_are_drawn_where_they_are_in_colour_outline_and_hatch():
    picture = marks()
    bright, hatch = named(picture, "bright"), named(picture, "hatch")
    assert len(bright) == len(hatch) == 2  # one mark on the top face, one in the legend
    left, right, upper, lower = reach(bright[0])
    per = (reach(bright[0])[1] - left) / 1.0  # the mark is 1 in long
    assert per == pytest.approx(73, abs=1.5)
    assert left - 84.0 == pytest.approx(2.0 * per, abs=2.5)
    assert lower - upper == pytest.approx(14 / 48 * 1.404 * per, abs=2.5)
    assert bright[0].get("stroke") == ink.INK
    assert bright[0].get("fill") != ink.BEARING_BLUE
    inside = reach(hatch[0])
    assert left <= inside[0]
    assert inside[1] <= right
    assert upper <= inside[2]
    assert inside[3] <= lower


def test_thinned_blue_is_neither_blue_nor_bright_in_grey_print():
    def gray(color):
        r, g, b = (int(color[i : i + 2], 16) for i in (1, 3, 5))
        return 0.299 * r + 0.587 * g + 0.114 * b

    picture = marks()
    thin, bright = named(picture, "thinned")[0], named(picture, "bright")[0]
    shades = [gray(c) for c in (ink.BEARING_BLUE, thin.get("fill"), bright.get("fill"))]
    assert shades[1] - shades[0] > 40
    assert shades[2] - shades[1] > 40


def test_key_turned_over_keeps_its_sides_apart():
    field = np.zeros((256, 48), dtype=np.int8)
    field[100:150, 0:10] = 2  # side A on both faces
    picture = marks(top=field, bottom=field)
    top, bottom = (reach(one) for one in named(picture, "bright")[:2])
    letters = {
        (one.text, float(one.get("y")))
        for one in ElementTree.fromstring(picture.svg).iter(f"{SVG}text")
        if one.text in ("A", "B", "C")
    }
    heights = sorted(y for letter, y in letters if letter == "A")
    for mark, letter in zip((top, bottom), heights, strict=True):
        assert abs((mark[2] + mark[3]) / 2 - letter) < 20


def test_cleaned_key_keeps_outlines_only():
    picture = marks(blued=False)
    assert named(picture, "old marks")
    assert not named(picture, "bright")
    assert not named(picture, "thinned")
    assert "The blue is off; outlines show where the last bright spots were." in picture.text


def test_marks_in_words_lane_by_lane():
    field = faces()["top"]
    words = marks_in_words(levels=field, length_in=8.0, stood_out_in=1.0)
    # 32 x 14 of 224 x 48 places
    assert (
        words == "4 percent bright; from the large end, lane A 2 to 3 in; lane B none; lane C none"
    )
    assert marks_in_words(levels=faces()["bottom"], length_in=8.0) == "no bright spots"
    assert f"Top face: {words}." in marks().text
    assert "Bottom face: no bright spots." in marks().text
    assert "1.00 in at the large end stood outside the slot." in marks().text


def test_words_say_what_was_filed_and_where_the_file_is():
    words = marks(blued=False, filed_top=[(2.5, -0.4)], filings=True).text
    assert "1 spot filed on the top face since then." in words
    assert "There are filings on the key." in words
    assert "The file is held 3.5 in from the large end." in marks(aim=(("top",), 3.5, 0.0)).text


@pytest.mark.parametrize(("lane", "place"), [("A", -0.5), ("B", 0.0), ("C", 0.5)])
def test_lanes_are_thirds(lane, place):
    assert lane_place_in(lane=lane, width_in=1.5) == pytest.approx(place)


@pytest.mark.parametrize("projection", [0.0625, 0.5, 1.0])
def test_stand_out_is_to_scale_and_dimensioned(projection):
    picture = draw_stand_out(projection_in=projection, first_projection_in=1.0, **SIDE)
    left, right, _, _ = reach(named(picture, "key")[0])
    per = (right - left) / 8.0
    assert 196.0 - left == pytest.approx(projection * per, abs=0.2)
    assert f"stands out {projection:.3f} in" in picture.svg
    assert f"The large end stands {projection:.3f} in out of the mouth." in picture.text
    assert (f"{1 - projection:.3f} in gained" in picture.text) == (projection < 1)


def test_flush_key_and_key_on_the_bench_are_said():
    assert "flush with the mouth" in draw_stand_out(projection_in=0.0, driven=True, **SIDE).text
    assert "lies on the bench" in draw_stand_out(projection_in=None, **SIDE).text


def test_feeler_says_each_end_and_the_sides():
    words = draw_feeler(**FEELER).text
    assert "at the top from the mouth not; at the top from the far end 2.30 in" in words
    assert "at the bottom from the mouth 0.50 in; at the bottom from the far end not" in words
    assert "it goes in at the sides" in words
    assert "the sides are tight" in draw_feeler(**{**FEELER, "side_enters": False}).text


def test_key_without_length_is_refused():
    with pytest.raises(ValueError, match=r"^length of the key is 0 in; it must be above 0\.$"):
        marks(length_in=0.0)
