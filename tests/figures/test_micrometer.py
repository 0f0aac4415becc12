"""Positions of the drawn lines against the reading, and readings from published pages.

Sources of the readings:

- TM 9-243 (US Army, Use and Care of Hand Tools and Measuring Tools), p. 7-5: 0.2862 in;
  p. 7-6: 22.36 mm.
- 0.300 in + 0.025 in + 0.004 in + 0.0004 in = 0.3294 in, worked by hand.
"""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from keycourse.start.caliper import CALIPER_KINDS, draw_vernier_caliper
from keycourse.start.micrometer import draw_micrometer, micrometer_look

PRINT = 0.011  # positions are written to 0.01


def lines_of(picture):
    """Return the named lines of a drawing: name to (x1, y1, x2, y2)."""
    root = ElementTree.fromstring(picture.svg)
    return {
        one.get("data-name"): tuple(float(one.get(k)) for k in ("x1", "y1", "x2", "y2"))
        for one in root.iter("{http://www.w3.org/2000/svg}line")
        if one.get("data-name")
    }


def sleeve_out(lines):
    return max(int(name.split("-")[1]) for name in lines if name.startswith("sleeve-"))


def meeting_vernier_lines(lines):
    """Return the vernier lines, 0 to 9, that stand level with a thimble line in the flat view."""
    flat = [v[1] for name, v in lines.items() if name.startswith("flat-")]
    return {
        int(name.split("-")[1]) % 10
        for name, v in lines.items()
        if name.startswith("vernier-") and min(abs(v[1] - y) for y in flat) < 2 * PRINT
    }


def test_tm_9_243_inch_vernier_0_2862():
    lines = lines_of(draw_micrometer(reading_in=0.2862, kind="inch-vernier"))
    assert sleeve_out(lines) == 11  # number 2 and three lines of 0.025
    assert meeting_vernier_lines(lines) == {2}
    datum = lines["datum"][1]
    # eleven thousandths and a fifth of a division: 11 just below the datum, 12 above it
    assert lines["thimble-11"][1] > datum > lines["thimble-12"][1]


def test_maine_0_3294_inch_vernier():
    lines = lines_of(draw_micrometer(reading_in=0.3294, kind="inch-vernier"))
    assert sleeve_out(lines) == 13  # number 3 and one line
    assert meeting_vernier_lines(lines) == {4}
    datum = lines["datum"][1]
    assert lines["thimble-4"][1] > datum > lines["thimble-5"][1]


def test_tm_9_243_metric_22_36():
    picture = draw_micrometer(reading_mm=22.36, kind="metric")
    lines = lines_of(picture)
    assert sleeve_out(lines) == 44  # 22 whole lines, no half line after
    assert lines["thimble-36"][1] == pytest.approx(lines["datum"][1], abs=PRINT)
    # whole lines stand above the datum, half lines below
    assert lines["sleeve-44"][3] == lines["datum"][1]
    assert lines["sleeve-43"][1] == lines["datum"][1] < lines["sleeve-43"][3]
    assert "Thimble line 36 stands at the index line." in picture.text
    assert "no half line" in picture.text


@settings(max_examples=40, deadline=None)
@given(st.integers(min_value=0, max_value=20000))
def test_exactly_one_vernier_line_meets(tenths):
    reading = tenths / 10000
    lines = lines_of(draw_micrometer(reading_in=reading, kind="inch-vernier"))
    assert meeting_vernier_lines(lines) == {tenths % 10}


@settings(max_examples=40, deadline=None)
@given(st.integers(min_value=1, max_value=999))
def test_thimble_lines_follow_the_sine_of_their_angle(thousandths):
    reading = thousandths / 1000
    lines = lines_of(draw_micrometer(reading_in=reading, kind="inch"))
    datum = lines["datum"][1]
    at = thousandths % 25
    assert lines[f"thimble-{at}"][1] == pytest.approx(datum, abs=PRINT)
    radius = 100.0
    for step in (-4, -1, 1, 4):
        expected = datum - radius * math.sin(step * 2 * math.pi / 25)
        assert lines[f"thimble-{(at + step) % 25}"][1] == pytest.approx(expected, abs=PRINT)


@settings(max_examples=40, deadline=None)
@given(st.integers(min_value=1, max_value=999))
def test_thimble_edge_stands_at_the_reading(thousandths):
    reading = thousandths / 1000
    lines = lines_of(draw_micrometer(reading_in=reading, kind="inch"))
    zero, last = lines["sleeve-0"][0], sleeve_out(lines)
    edge = lines[f"thimble-{thousandths % 25}"][0]
    scale = 500.0
    assert edge - zero == pytest.approx(reading * scale + 1.0, abs=2 * PRINT)
    assert lines[f"sleeve-{last}"][0] <= edge + 1.0
    assert last in (thousandths // 25, thousandths // 25 + 1)  # + 1: one that is just coming out


def test_line_just_coming_out_is_drawn_under_the_edge_and_not_counted():
    look = micrometer_look(reading=0.2999, kind="inch-vernier")
    assert (look.lines_out, look.vernier_line) == (11, 9)
    assert look.thimble == pytest.approx(24.9)
    lines = lines_of(draw_micrometer(reading_in=0.2999, kind="inch-vernier"))
    assert 0 <= lines["thimble-0"][0] - lines["sleeve-12"][0] < 1.5


@pytest.mark.parametrize(
    ("reading", "kind", "low"),
    [
        (1.0, "inch", 0.0),
        (1.0104, "inch-vernier", 1.0),
        (25.0, "metric", 0.0),
        (31.2, "metric", 25),
    ],
)
def test_range_of_the_tool(reading, kind, low):
    assert micrometer_look(reading=reading, kind=kind).range_low == low


@pytest.mark.parametrize(
    ("reading", "kind"), [(0.2862, "inch-vernier"), (0.329, "inch"), (22.36, "metric")]
)
def test_words_do_not_give_the_reading(reading, kind):
    unit = "reading_mm" if kind == "metric" else "reading_in"
    picture = draw_micrometer(**{unit: reading}, kind=kind)
    digits = f"{reading}".lstrip("0")
    assert digits not in picture.text
    assert digits not in re.sub(r'="[^"]*"', "", picture.svg)


def test_refusals_are_one_sentence():
    with pytest.raises(
        ValueError, match=r"^micrometer reading is -0\.1 in; it must be from 0 to 12"
    ):
        draw_micrometer(reading_in=-0.1)
    with pytest.raises(ValueError, match="needs one reading"):
        draw_micrometer(reading_in=0.1, reading_mm=2.0)
    with pytest.raises(ValueError, match="it must be one of: inch, inch-vernier, metric"):
        draw_micrometer(reading_in=0.1, kind="meter")


@settings(max_examples=40, deadline=None)
@given(st.integers(min_value=0, max_value=5900))
def test_caliper_inch_meets_at_its_thousandth(thousandths):
    lines = lines_of(draw_vernier_caliper(reading_in=thousandths / 1000))
    assert thousandths % 25 in caliper_meets(lines)
    assert all((n - thousandths) % 25 == 0 for n in caliper_meets(lines))


@settings(max_examples=40, deadline=None)
@given(st.integers(min_value=0, max_value=5000))
def test_caliper_metric_meets_at_its_step(steps):
    lines = lines_of(draw_vernier_caliper(reading_mm=steps * 0.02, kind="metric"))
    assert steps % 50 in caliper_meets(lines)
    assert all((n - steps) % 50 == 0 for n in caliper_meets(lines))


def caliper_meets(lines):
    """Return the vernier lines that stand over a beam line, in the two enlarged rows."""
    found = set()
    for row in ("first", "second"):
        beam = [v[0] for name, v in lines.items() if name.startswith(f"beam-{row}-")]
        found |= {
            int(name.split("-")[2])
            for name, v in lines.items()
            if name.startswith(f"vernier-{row}-") and min(abs(v[0] - x) for x in beam) < 2 * PRINT
        }
    return found


def test_caliper_words_lead_to_the_reading():
    assert CALIPER_KINDS["inch"].vernier == pytest.approx(0.024)
    words = draw_vernier_caliper(reading_in=1.436).text
    assert words == (
        "Vernier caliper: beam 0.025 in a line, vernier 0.001 in a line. "
        "The vernier's 0 has passed inch number 1, then small number 4, "
        "then 1 short line. Vernier line 11 meets a line of the beam."
    )
