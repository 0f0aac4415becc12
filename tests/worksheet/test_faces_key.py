"""Key drawing and cutting plan, worked without a browser."""

from __future__ import annotations

import re

import pytest

from keycourse.key.faces import cutting_explorer, key_explorer, key_of
from keycourse.key.faces_bow import bow_explorer
from keycourse.key.faces_edges import easing_explorer
from taperkey import practice

ORDINARY = {
    "shaft": 1,
    "taper": 1 / 96,
    "hub_length_in": 9.0,
    "over_in": 0.012,
    "allowance_in": 0.010,
    "wider_in": 0.0,
    "chamfer_in": 5 / 64,
    "hole": "1/2-13 UNC",
}


def words(face):
    return re.sub(r"<[^>]+>", " ", face.words.value)


def test_ten_thousandths_stand_out_nearly_an_inch():
    """0.010 in at 1:96 is 0.96 in of travel: common practice, stated to 0.01 in."""
    shown = key_of(**ORDINARY)
    assert shown.blank.travel_to_home_in == pytest.approx(0.96, abs=0.005)
    assert shown.stand_out_in == pytest.approx(1.71, abs=0.005)
    # by hand: 1.012 + 0.75/96 + 0.010, and 9.75/96 lower
    assert shown.blank.large_end_height_in == pytest.approx(1.0298, abs=0.00005)
    assert shown.blank.small_end_height_in == pytest.approx(0.9283, abs=0.00005)


def test_drawing_follows_every_control():
    face = key_explorer().face
    seen = {face.picture.value}
    for name, value in (("wider", 31), ("over", 30), ("allowance", 5)):
        face.inputs[name].slider.value = value
        seen.add(face.picture.value)
    face.inputs["hole"].value = "none"
    seen.add(face.picture.value)
    face.inputs["shaft"].value = 3
    seen.add(face.picture.value)
    assert len(seen) == 6
    assert "Dimensions in inches" in face.picture.value
    assert 'aria-label="The new key' in face.picture.value


def test_worn_hub_slot_becomes_a_stepped_key_only_past_the_limit():
    face = key_explorer().face
    face.inputs["wider"].slider.value = 4
    assert "stepped" not in words(face)
    face.inputs["wider"].slider.value = 30
    assert "a stepped key, 0.0150 in on each side" in words(face)
    assert "wide in the hub" in face.picture.value


def test_sharp_edge_rides_on_the_radius():
    face = key_explorer().face
    assert "does not clear" not in words(face)
    face.inputs["chamfer"].slider.value = 2
    # a 1/16 in radius and a 1/32 in chamfer, against the wall: by hand 1/32 in
    assert "holds the key 0.0312 in off the bottom" in words(face)


def test_thread_that_does_not_fit_is_said_and_not_drawn():
    face = key_explorer().face
    face.inputs["shaft"].value = 0  # a key 3/4 in square
    face.inputs["hole"].value = "1-8 UNC"
    assert "That thread is larger than the end of this key" in words(face)
    assert "Large end not tapped" in face.picture.value


def test_another_taper_is_followed():
    standard, steep = key_of(**ORDINARY), key_of(**{**ORDINARY, "taper": 1 / 78})
    assert steep.stand_out_in < standard.stand_out_in
    assert steep.blank.small_end_height_in < standard.blank.small_end_height_in


def test_cutting_face_refuses_the_taper_before_the_straight_cut():
    face = cutting_explorer().face
    before = face.picture.value
    face.inputs["passes"].slider.value = 1
    assert "the key bows: take the relief cut first" in words(face)
    assert face.picture.value == before
    face.inputs["order"].value = "taken"
    assert "the key bows" not in words(face)
    assert "1 taken." in face.picture.value


def test_cutting_face_counts_passes_and_stops_at_size():
    face = cutting_explorer().face
    face.inputs["order"].value = "taken"
    assert "in 4 passes of 0.0436 in" in words(face)
    face.inputs["passes"].slider.value = 4
    assert "measure both ends before it leaves the vise" in words(face)
    face.inputs["passes"].slider.value = 5
    assert "another pass would make scrap of it" in words(face)


def test_bar_that_is_too_low_is_refused():
    face = cutting_explorer().face
    face.inputs["bar"].value = 1.0
    assert (
        "height of the bar is 1 in; it must be 1.0522 in or more, large end and relief cut. "
        "Take a larger bar."
    ) in words(face)
    face.inputs["bar"].value = 1.0625
    assert "some of the skin may stay on" not in words(face)
    face.inputs["relief"].slider.value = 35
    assert "some of the skin may stay on" in words(face)


def test_metric_shop_has_millimetres_only():
    for face in (key_explorer(system="metric").face, cutting_explorer(system="metric").face):
        assert "mm" in words(face)
        assert not re.search(r"\d in\b|thousandths|64ths", words(face) + face.picture.value)
    key = key_explorer(system="metric").face
    # by hand: 0.25 mm at 1:100 is 25 mm, and 20 mm stay outside
    assert "stands 45.0 mm out: 25.0 mm of travel" in words(key)
    assert "Dimensions in millimeters" in key.picture.value
    cuts = cutting_explorer(system="metric").face
    cuts.inputs["order"].value = "taken"
    # by hand: 18 - 0.8 - 16.75 and 18 - 0.8 - 14.25
    assert "0.450 mm off the large end and 2.950 mm off the small end" in words(cuts)


@pytest.mark.parametrize("system", ["inch", "metric"])
def test_every_shaft_and_taper_can_be_shown(system):
    face = key_explorer(system=system).face
    before = face.redraws
    shafts = [value for _, value in face.inputs["shaft"].options]
    tapers = [value for _, value in face.inputs["taper"].options]
    for shaft in shafts:
        face.inputs["shaft"].value = shaft
        for taper in tapers:
            face.inputs["taper"].value = taper
            assert "it must be" not in words(face)
    assert face.redraws - before >= len(shafts) * (len(tapers) - 1)


def test_picture_stands_above_the_controls():
    box = key_explorer()
    assert box.children[1] is box.face.picture
    assert box.children[-1] is box.face.words


def test_an_eased_edge_rides_clears_or_gives_away_bearing():
    """By hand: a 1/16 in radius lifts a 1/32 in chamfer by 1/32 in; 5/64 in clears (ASME B17.1)."""
    face = easing_explorer().face
    assert "0.0312 in of air" in words(face)
    face.inputs["chamfer"].slider.value = 4
    assert "too near to call it clear" in words(face)
    face.inputs["chamfer"].slider.value = 5
    assert "Right: it clears" in words(face)
    assert "0.8438 in of 1.0000 in" in words(face)  # 1 in less two chamfers of 5/64 in
    face.inputs["chamfer"].slider.value = 12
    assert "5/64 in would do" in words(face)
    assert "presses harder" in words(face)


def test_a_bar_bows_toward_the_skin_that_is_left():
    face = bow_explorer().face
    assert "Hollow below" in words(face)
    assert "stands on its ends" in face.picture.value
    first = face.picture.value
    face.inputs["relief"].slider.value = 120
    assert "Straight" in words(face)
    face.inputs["taper"].slider.value = 0
    assert "Hollow above" in words(face)
    assert "stands on its middle" in face.picture.value
    face.inputs["share"].value = practice.value("stress_left")
    assert face.picture.value != first


def test_both_figures_speak_metric():
    for face in (easing_explorer(system="metric").face, bow_explorer(system="metric").face):
        assert " mm" in words(face)
        assert " in " not in face.picture.value.partition('aria-label="')[2].partition('"')[0][30:]
