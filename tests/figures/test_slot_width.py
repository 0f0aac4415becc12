"""The tool in a slot's width as it is drawn: at its station, in the slot, and as it came out."""

import math
import re

import pytest

from keycourse.measure.slotwidth import draw_way_out, draw_width

SLOT = {"tool": "gauge", "which": "keyway", "length_in": 4.0, "width_in": 0.5}


def points(picture):
    return [
        [tuple(map(float, pair)) for pair in re.findall(r"(-?[\d.]+)[ ,](-?[\d.]+)", path)]
        for path in re.findall(r'd="([^"]+)"', picture.svg)
    ]


def moved(one, other):
    """Return the points of what differs between two drawings."""
    return [(a, b) for a, b in zip(points(one), points(other), strict=True) if a != b and a and b]


def test_further_in_the_gauge_is_drawn_further_in_by_the_same_scale_as_the_slot():
    near, far = (draw_width(**SLOT, station_in=at) for at in (1.0, 3.0))
    heads = [(a, b) for a, b in moved(near, far) if len(a) == len(b)]
    shifts = {round(max(x for x, _ in b) - max(x for x, _ in a), 1) for a, b in heads}
    per = 470.0 / 4.0  # the slot's length over the sheet
    assert round(2 * per, 1) in shifts


def test_a_lean_turns_the_gauge_and_its_ends_stay_at_the_walls():
    """A gauge that leans is longer by 1 / cos: its ends reach across all the same."""
    straight, leaning = (draw_width(**SLOT, station_in=2.0, lean_rad=one) for one in (0.0, 0.1))

    def heights(picture):
        found = [one for one in points(picture) if len(one) >= 5]
        return min(y for one in found for _, y in one), max(y for one in found for _, y in one)

    assert heights(straight) == pytest.approx(heights(leaning), abs=1.0)  # its edge's own half
    assert straight.svg != leaning.svg
    left, right = (draw_width(**SLOT, station_in=2.0, lean_rad=one) for one in (-0.1, 0.1))
    assert left.svg != right.svg


def test_at_the_mouth_there_is_no_distance_to_show():
    mouth, inside = (draw_width(**SLOT, station_in=at) for at in (0.0, 1.5))
    assert "at the mouth" in mouth.text
    assert "1-1/2 in from the mouth" in inside.text or "1.5 in from the mouth" in inside.text
    assert mouth.svg.count("<line") + len(points(mouth)) < inside.svg.count("<line") + len(
        points(inside)
    )


def test_jaws_are_drawn_as_deep_as_they_reach_and_no_deeper():
    def tips(station):
        drawn = draw_width(**SLOT, station_in=station, jaws=True, reach_in=0.6)
        beam = 170.0 - 58.0  # where the jaws begin, before the mouth
        return {max(x for x, _ in one) for one in points(drawn) if (beam, one[0][1]) in one}

    near, far, beyond = tips(0.25), tips(0.5), tips(2.0)
    assert len(near) == len(far) == 1, "both jaws end at one depth"
    assert max(far) - max(near) == pytest.approx(0.25 * 470 / 4, abs=0.2)
    assert max(beyond) - max(far) == pytest.approx(0.1 * 470 / 4, abs=0.2)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [({"length_in": 0.0}, "length of the slot is 0"),
     ({"width_in": -0.5}, "width of the slot is -0.5"),
     ({"station_in": 4.5}, "station is 4.5 in"), ({"station_in": -0.1}, "station is -0.1 in")],
)  # fmt: skip
def test_a_slot_that_cannot_be_is_refused(wrong, said):
    with pytest.raises(ValueError, match=re.escape(said)):
        draw_width(**{**SLOT, "station_in": 1.0, **wrong})


@pytest.mark.parametrize(
    ("way", "grows"), [("sprang out", 1), ("slipped shut", -1), ("pushed shut", -1), ("scraped", 0)]
)
def test_a_gauge_that_sprang_out_is_drawn_longer_and_one_that_slipped_shorter(way, grows):
    drawn = draw_way_out(way)
    kept = points(draw_way_out("scraped"))

    def long(found):
        tips = [x for one in found for x, _ in one]
        return max(tips) - min(tips)

    grown = long(points(drawn)) - long(kept)
    assert math.copysign(1, grown) == grows if grows else grown == 0
    assert (
        drawn.text
        == f"The gauge as it came out: {'scratches on both faces' if way == 'scraped' else way}."
    )
    assert ("as it was set" in drawn.svg) == bool(grows)
