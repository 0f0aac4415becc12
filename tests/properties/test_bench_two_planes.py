"""A gauge that leans in two planes: closed forms, symmetry, limits, and where rocking turns."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from keycourse.measure.bench.reading import measure
from keycourse.measure.bench.rocking import (
    largest_across_rad,
    round_span_in,
    smallest_on_the_way,
    turning_point_rad,
)
from keycourse.measure.bench.slot import SlotParameters, draw_slot
from taperkey.formulas.measure import tilted_span_in

PERFECT = {"form_error_in": 0.0, "waviness_in": 0.0, "high_spot_count": 0}
leans = st.floats(-0.3, 0.3)
openings = st.floats(0.5, 3.0)
shares = st.floats(0.0, 0.95)  # of the ends' diameter in the opening


def level(height):
    return lambda *_: height


def wedge(height, taper):
    """Return the opening above a level floor under a roof that falls by the taper."""
    return lambda _x, _y, top_x, _top_y: height - taper * top_x


def span(faces, along, across, radius):
    return round_span_in(
        faces=faces, station_in=0.0, offset_in=0.0, lean_rad=(along, across), end_radius_in=radius
    )


@given(openings, leans, leans, shares)
def test_between_level_faces_only_the_line_between_the_centers_leans(height, along, across, share):
    radius = share * height / 2
    expected = (height - 2 * radius) / (math.cos(along) * math.cos(across)) + 2 * radius
    assert span(level(height), along, across, radius) == pytest.approx(expected, rel=1e-12)


@given(openings, leans)
def test_with_pointed_ends_either_plane_costs_the_same(height, lean):
    """The known 1/cos of a span, in both planes; nothing at no lean."""
    expected = float(tilted_span_in(height_in=height, tilt_rad=lean))
    assert span(level(height), lean, 0.0, 0.0) == pytest.approx(expected, rel=1e-12)
    assert span(level(height), 0.0, lean, 0.0) == pytest.approx(expected, rel=1e-12)
    assert span(level(height), 0.0, 0.0, 0.0) == height


@given(openings, leans, leans)
def test_a_ball_reads_the_same_however_it_leans(height, along, across):
    assert span(level(height), along, across, height / 2) == pytest.approx(height, rel=1e-12)


@given(openings, leans, leans, shares)
def test_left_and_right_up_and_down_are_alike_between_level_faces(height, along, across, share):
    radius = share * height / 2
    one = span(level(height), along, across, radius)
    for other in ((-along, across), (along, -across), (across, along)):
        assert span(level(height), *other, radius) == pytest.approx(one, rel=1e-12)


@given(openings, st.floats(-1 / 48, 1 / 48), leans, leans)
def test_between_faces_that_taper_it_has_a_closed_form(height, taper, along, across):
    """S (cos a cos b + (t/2) sin a cos b) = h, the middle of the gauge standing at h."""
    upright, east = math.cos(along) * math.cos(across), math.sin(along) * math.cos(across)
    expected = height / (upright + taper / 2 * east)
    assert span(wedge(height, taper), along, across, 0.0) == pytest.approx(expected, rel=1e-9)


@settings(deadline=None)
@given(openings, st.floats(-1 / 24, 1 / 24), leans)
def test_rocking_along_turns_square_to_the_plane_between_the_faces(height, taper, across):
    """Half of the angle between the faces, whatever is left across; h cos(half) is the least."""
    way = [(-0.3, across), (0.3, across)]
    found, at = smallest_on_the_way(
        span=lambda lean: span(wedge(height, taper), *lean, 0.0), way=way
    )
    half = turning_point_rad(taper_in_per_in=taper)
    assert at[0] == pytest.approx(half, abs=2e-3)  # a span is flat there: 1e-9 in at 2e-3 rad
    assert found == pytest.approx(height * math.cos(half) / math.cos(across), rel=5e-6)


@given(leans, leans, leans, leans)
def test_a_way_keeps_no_more_than_any_lean_on_it(a, b, c, d):
    way = [(a, b), (c, d), (d, a)]
    found, _ = smallest_on_the_way(span=lambda lean: span(level(1.0), *lean, 0.2), way=way)
    assert all(found <= span(level(1.0), *lean, 0.2) + 1e-12 for lean in way)
    back, _ = smallest_on_the_way(
        span=lambda lean: span(level(1.0), *lean, 0.2), way=list(reversed(way))
    )
    assert back == pytest.approx(found, abs=3e-6)  # the gauge does not mind the direction


@given(openings, st.floats(0.2, 4.0), shares)
def test_across_it_leans_until_an_end_touches_a_wall(height, width, share):
    radius = share * min(height, width) / 2
    most = largest_across_rad(height_in=height, width_in=width, end_radius_in=radius)
    outermost = (height / 2 - radius) * math.sin(most) + radius
    assert outermost <= width / 2 + 1e-12
    if 0 < most < 0.15:
        assert outermost == pytest.approx(width / 2, abs=1e-12)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.02, 0.12), st.floats(0.02, 0.12))
def test_a_reading_names_what_each_lean_costs(along, across):
    """Left leaning in both planes, each plane's part is what squaring that plane alone mends."""
    slot = draw_slot(parameters=SlotParameters(taper_in_per_in=0.0, **PERFECT), seed=1)
    tool = {"slot": slot, "station_in": 4.0, "seed": 1, "tools_seed": 1}
    left = measure(way=[(along, across)], **tool)
    first = measure(way=[(along, across), (0.0, across)], **tool)
    second = measure(way=[(along, across), (along, 0.0)], **tool)
    assert left.lean_cost_in[0] == pytest.approx(left.span_in - first.span_in, abs=1e-6)
    assert left.lean_cost_in[1] == pytest.approx(left.span_in - second.span_in, abs=1e-6)
    assert measure(way=[(along, across), (0.0, 0.0)], **tool).span_in == pytest.approx(1.0)
