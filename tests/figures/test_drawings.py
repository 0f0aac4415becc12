"""Drawings of the measuring and taper lessons: what they show, their words, their size."""

from __future__ import annotations

import math
from xml.etree import ElementTree

import pytest

from coursework.ink import drawing as ink
from coursework.ink.drawing import Sheet, _hatch_segments, circle_points
from keycourse.measure.profile import draw_profile
from keycourse.measure.section import SlotFrame, draw_section
from keycourse.measure.telescoping import draw_telescoping, largest_lean_rad
from keycourse.start.caliper import draw_vernier_caliper
from keycourse.taper.parallel import draw_hub_ends, draw_parallel

SVG = "{http://www.w3.org/2000/svg}"


def section(angle_deg, clearance=0.008):
    return draw_section(
        diametral_clearance_in=clearance, angle_rad=math.radians(angle_deg), opening_height_in=1.0
    )


ALL = {
    "section top": lambda: section(0),
    "section side": lambda: section(90),
    "section bottom": lambda: section(180),
    "section no clearance": lambda: section(180, 0.0),
    "caliper": lambda: draw_vernier_caliper(reading_in=1.436),
    "caliper metric": lambda: draw_vernier_caliper(reading_mm=37.46, kind="metric"),
    "gauge": lambda: draw_telescoping(station_in=3, tilt_rad=0.05, keyway_angle_rad=math.pi),
    "profile": lambda: draw_profile(
        stations_in=[0, 0, 4, 4],
        heights_in=[1.0, 1.0003, 0.9585, 0.9582],
        length_in=8,
        line_mouth_in=1.0002,
        line_taper_in_per_in=0.01045,
        band_at_in=[0, 4, 8],
        band_half_in=[0.0004, 0.0004, 0.0009],
    ),
    "profile empty": lambda: draw_profile(stations_in=[], heights_in=[], length_in=8),
    "parallel": lambda: draw_parallel(
        slot_taper_in_per_in=0.012, parallel_taper_in_per_in=1 / 96, parallel_length_in=4
    ),
    "ends": lambda: draw_hub_ends(taper_in_per_in=-0.01, mouth_height_in=1.0, length_in=8),
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
        reach = 0.62 * size * len(one.text)  # a wide face
        if one.get("transform"):
            continue
        start = {"middle": x - reach / 2, "end": x - reach}.get(one.get("text-anchor"), x)
        assert start >= -1, one.text
        assert start + reach <= width + 12, one.text
        assert size * 0.6 <= y <= height, one.text


def test_label_is_escaped():
    sheet = Sheet(height=50)
    sheet.text(10, 20, "a < b & c")
    picture = sheet.picture('height < 1 & "tight"')
    root = ElementTree.fromstring(picture.svg)
    assert root.get("aria-label") == 'height < 1 & "tight"'
    assert next(root.iter(f"{SVG}text")).text == "a < b & c"


def test_hatch_stays_in_the_metal():
    outer = circle_points(cx=0, cy=0, radius=10)
    inner = circle_points(cx=0, cy=0, radius=5)
    segments = _hatch_segments([outer, inner], math.pi / 4, 1.5)
    assert len(segments) > 10
    for (x1, y1), (x2, y2) in segments:
        assert 4.9 < math.hypot((x1 + x2) / 2, (y1 + y2) / 2) < 10.01
        assert math.atan2(-(y2 - y1), x2 - x1) % math.pi == pytest.approx(math.pi / 4, abs=1e-6)


def test_colours_differ_in_grey_print():
    def gray(color):
        r, g, b = (int(color[i : i + 2], 16) for i in (1, 3, 5))
        return 0.299 * r + 0.587 * g + 0.114 * b

    order = [ink.INK, ink.TEAL, ink.VERMILION, ink.OCHRE, ink.STEEL, ink.PAPER]
    shades = [gray(color) for color in order]
    assert all(b - a > 20 for a, b in zip(shades, shades[1:], strict=False))


def test_section_names_the_share_of_the_clearance():
    assert "The opening there is 1.0040 in high; 0.0040 in of it is clearance." in section(90).text
    assert "1.0080 in high; 0.0080 in of it is clearance" in section(180).text
    assert "1.0000 in high; 0.0000 in of it is clearance" in section(0).text
    assert "times too large" not in section(180, 0.0).text


def test_slot_frame_turns_clockwise_from_the_top():
    for angle, place in ((0, (0, -10)), (math.pi / 2, (10, 0)), (math.pi, (0, 10))):
        frame = SlotFrame(cx=0, cy=0, angle=angle, half=1, depth=1)
        assert frame.at(0, 10) == pytest.approx(place, abs=1e-9)


def test_gauge_shows_no_size():
    picture = draw_telescoping(
        station_in=3, tilt_rad=0.05, keyway_angle_rad=math.pi, height_in=1.0437, width_in=1.5
    )
    assert "1.04" not in picture.text
    words = [one.text for one in ElementTree.fromstring(picture.svg).iter(f"{SVG}text")]
    assert not any("1.04" in word or "1.5" in word for word in words)


def test_lean_is_limited_by_the_mouth():
    assert largest_lean_rad(station_in=8, height_in=1) < largest_lean_rad(station_in=2, height_in=1)
    deep = largest_lean_rad(station_in=6, height_in=1)
    assert 6 * math.tan(deep) == pytest.approx(0.5 - 0.09)


def test_profile_points_stand_where_the_readings_are():
    picture = ALL["profile"]()
    root = ElementTree.fromstring(picture.svg)
    points = [one for one in root.iter(f"{SVG}circle") if one.get("data-name") == "reading"]
    assert len(points) == 8  # four readings in each of two panels
    top = [(float(p.get("cx")), float(p.get("cy"))) for p in points[:4]]
    assert top[0][0] == top[1][0] < top[2][0] == top[3][0]
    assert top[0][1] < top[2][1]  # higher opening stands higher
    # same height per unit: 1.0003 - 1.0 against 1.0 - 0.9585
    per = (top[2][1] - top[0][1]) / (1.0 - 0.9585)
    assert (top[0][1] - top[1][1]) / per == pytest.approx(0.0003, abs=5e-5)
    assert "taper of 0.1254 in per foot; the large end is the mouth" in picture.text


def test_profile_refuses_unequal_counts():
    with pytest.raises(ValueError, match=r"^number of heights is 1; it must be the number of sta"):
        draw_profile(stations_in=[0, 1], heights_in=[1.0], length_in=8)


@pytest.mark.parametrize(
    ("slot", "words"),
    [
        (0.012, "bears at its inner end only, with a gap at the mouth"),
        (0.009, "bears at the mouth only, with a gap at the inner end"),
        (1 / 96, "bears along its whole length, with no gap"),
    ],
)
def test_parallel_bears_where_it_must(slot, words):
    picture = draw_parallel(
        slot_taper_in_per_in=slot, parallel_taper_in_per_in=1 / 96, parallel_length_in=4
    )
    assert words in picture.text


@pytest.mark.parametrize(
    ("taper", "decided", "words"),
    [
        (0.01, True, "this pull loosens the key"),
        (-0.01, True, "this pull tightens the key"),
        (0.01, False, "do not tell which end is large"),
        (0.0, True, "do not tell which end is large"),
    ],
)
def test_hub_ends_say_what_the_pull_does(taper, decided, words):
    picture = draw_hub_ends(
        taper_in_per_in=taper, mouth_height_in=1.0, length_in=8, decided=decided
    )
    assert words in picture.text
