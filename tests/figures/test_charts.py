"""Charts of the class report: true to their numbers, told in words, the same each time."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from coursework.ink import drawing as ink
from coursework.ink.charts import draw_check_gains, draw_marks_distribution

SVG = "{http://www.w3.org/2000/svg}"


def of(picture, kind):
    return list(ElementTree.fromstring(picture.svg).iter(SVG + kind))


def text(picture):
    return {one.text: one for one in of(picture, "text")}


def number(element, name):
    return float(element.get(name))


def test_marks_are_counted_in_tens():
    chart = draw_marks_distribution([0, 9.9, 10, 55, 100])
    assert chart.text == (
        "Marks of 5 apprentices. 0 to 10 per cent: 2, 10 to 20 per cent: 1, 50 to 60 per cent: 1, "
        "90 to 100 per cent: 1."
    )


def test_bars_stand_on_the_axis_between_their_tens_and_are_as_tall_as_their_counts():
    chart = draw_marks_distribution([5, 15, 16, 17, 95, 96])
    bars = [one for one in of(chart, "rect") if one.get("fill") == ink.TEAL]
    words = text(chart)
    feet = {round(number(one, "y") + number(one, "height"), 1) for one in bars}
    assert len(feet) == 1
    heights = [number(one, "height") for one in bars]
    assert heights == pytest.approx([heights[1] / 3, heights[1], heights[1] * 2 / 3], abs=0.01)
    for bar, (low, high) in zip(bars, ((0, 10), (10, 20), (90, 100)), strict=True):
        assert number(words[f"{low}"], "x") < number(bar, "x")
        assert number(bar, "x") + number(bar, "width") < number(words[f"{high}"], "x")
    assert {"marks, per cent", "apprentices"} <= set(words)


def test_marks_out_of_range_are_refused():
    with pytest.raises(ValueError, match=r"^mark is 101 %; it must be from 0 to 100 %\.$"):
        draw_marks_distribution([50, 101])


def test_nothing_to_show_is_said():
    for chart, words in (
        (draw_marks_distribution([]), "No marks yet."),
        (draw_check_gains([], ("before",)), "Nobody has done the check yet."),
    ):
        assert chart.text == words
        assert words in text(chart)


TIMES = ("before", "after", "30 days later")
ROWS = [
    ("read a tool", (0.0, 1.0, 0.5)),
    ("take a height", (0.25, None, None)),
    ("a skill whose name is far longer than its place beside the chart", (None, 0.75, None)),
]


def test_signs_of_a_check_stand_at_their_shares():
    chart = draw_check_gains(ROWS, TIMES)
    words = text(chart)
    zero, whole = number(words["0"], "x"), number(words["100"], "x")
    names = [number(one, "y") for key, one in words.items() if one.get("text-anchor") == "end"]
    drawn = {
        (round((number(one, "cx") - zero) / (whole - zero), 3), one.get("fill"))
        for one in of(chart, "circle")
        if number(one, "cy") > names[0] - 10
    }
    assert drawn == {(0.0, "#ffffff"), (1.0, ink.TEAL), (0.25, "#ffffff"), (0.75, ink.TEAL)}
    diamonds = [one.get("d") for one in of(chart, "path") if one.get("fill") == ink.OCHRE]
    assert len(diamonds) == 2  # at its row and in the legend
    assert float(diamonds[0].lstrip("M").split()[0]) == pytest.approx((zero + whole) / 2, abs=0.1)


def test_a_check_is_said_in_words_and_its_signs_are_explained():
    chart = draw_check_gains(ROWS, TIMES)
    assert chart.text == (
        "What was right in the check, by skill. read a tool: before 0 per cent, after 100 per "
        "cent, 30 days later 50 per cent; take a height: before 25 per cent; a skill whose name "
        "is far longer than its place beside the chart: after 75 per cent."
    )
    assert {*TIMES, "right, per cent", ROWS[2][0][:29] + "…"} <= set(text(chart))


@pytest.mark.parametrize(
    "draw", [lambda: draw_marks_distribution([5, 6, 7]), lambda: draw_check_gains(ROWS, TIMES)]
)
def test_a_chart_is_labelled_stays_on_its_sheet_and_is_the_same_each_time(draw):
    picture = draw()
    root = ElementTree.fromstring(picture.svg)
    assert root.get("role") == "img"
    assert root.get("aria-label") == picture.text
    _, _, width, height = (float(one) for one in root.get("viewBox").split())
    for one in root.iter(SVG + "text"):
        assert 0 < number(one, "x") < width
        assert 0 < number(one, "y") < height
        assert number(one, "font-size") >= ink.SMALL
    assert draw().svg == picture.svg
