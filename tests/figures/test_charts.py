"""Charts of the class report."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from coursework.ink.charts import (
    as_svg,
    draw_marks_distribution,
)


def test_marks_are_counted_in_tens():
    chart = draw_marks_distribution([0, 9.9, 10, 55, 100], pass_mark=70)
    assert chart.text == (
        "Marks of 5 apprentices. 0 to 10 per cent: 2, 10 to 20 per cent: 1, 50 to 60 per cent: 1, "
        "90 to 100 per cent: 1. The dashed line stands at 70 per cent."
    )
    heights = [bar.get_height() for bar in chart.figure.axes[0].patches]
    assert heights == [2, 1, 0, 0, 0, 1, 0, 0, 0, 1]


def test_marks_out_of_range_are_refused():
    with pytest.raises(ValueError, match=r"^mark is 101 %; it must be from 0 to 100 %\.$"):
        draw_marks_distribution([50, 101])


def test_nothing_to_show_is_said():
    assert draw_marks_distribution([]).text == "No marks yet."


def test_svg_is_labelled_and_the_same_each_time():
    def once():
        return as_svg(draw_marks_distribution([5, 6, 7], pass_mark=70))

    picture = once()
    root = ElementTree.fromstring(picture.svg)
    assert root.get("role") == "img"
    assert root.get("aria-label") == picture.text
    assert "3" in [t.text for t in root.iter("{http://www.w3.org/2000/svg}text")]
    assert once().svg == picture.svg
