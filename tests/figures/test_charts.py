"""Charts of the class report."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from coursework.ink.charts import (
    as_svg,
    draw_common_slips,
    draw_item_difficulty,
    draw_marks_distribution,
    draw_skill_matrix,
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


def test_skills_say_letters_and_words():
    chart = draw_skill_matrix(
        {"Ama": {"taper": "competent", "pull": "not yet"}, "Ben": {"taper": "competent"}}
    )
    letters = [t.get_text() for t in chart.figure.axes[0].texts]
    assert letters == ["C", "N", "C", "–"]
    assert "taper: 2 competent, 0 not yet, 0 without evidence" in chart.text
    assert "pull: 0 competent, 1 not yet, 1 without evidence" in chart.text
    with pytest.raises(ValueError, match="state of taper is 'maybe'; it must be one of"):
        draw_skill_matrix({"Ama": {"taper": "maybe"}})


def test_items_and_slips_in_words():
    items = draw_item_difficulty({"taper per foot": (0.35, 0.55), "which end": (0.66, None)})
    assert items.text == (
        "Difficulty of the entries. taper per foot 35 per cent right, discrimination +0.55; "
        "which end 66 per cent right."
    )
    slips = draw_common_slips({"rare": 1, "often": 9, "never": 0}, most=1)
    assert slips.text == "Commonest slips. often: 9."


@pytest.mark.parametrize(
    ("draw", "words"),
    [
        (lambda: draw_marks_distribution([]), "No marks yet."),
        (lambda: draw_skill_matrix({}), "No skills assessed yet."),
        (lambda: draw_item_difficulty({}), "No entries marked yet."),
        (lambda: draw_common_slips({}), "No known slip was made."),
    ],
)
def test_nothing_to_show_is_said(draw, words):
    assert draw().text == words


def test_svg_is_labelled_and_the_same_each_time():
    def once():
        return as_svg(draw_common_slips({'× 12 "left" out & more': 3}))

    picture = once()
    root = ElementTree.fromstring(picture.svg)
    assert root.get("role") == "img"
    assert root.get("aria-label") == picture.text
    assert "3" in [t.text for t in root.iter("{http://www.w3.org/2000/svg}text")]
    assert once().svg == picture.svg
