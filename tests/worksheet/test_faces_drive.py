"""The live figure of the drive: its words, its picture, and both shops."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

import pytest

from keycourse.fit.driven import KeyInHub, driven
from keycourse.fit.faces_drive import drive_explorer
from taperkey import practice
from taperkey.units import MM_PER_IN


def words(box: Any) -> str:
    return unescape(re.sub(r"<[^>]+>", " ", box.value))


def numbers_after(text: str, what: str) -> list[float]:
    found = re.search(what + r" ([\d.,]*\d)(?: lbf)? to ([\d.,]*\d)", text)
    assert found
    return [float(one.replace(",", "")) for one in found.groups()]


def test_it_begins_at_the_line_and_says_what_is_past_it() -> None:
    face = drive_explorer().face
    before = face.redraws
    assert "drive with short swings" in words(face.words)
    assert "past the line" not in words(face.words)
    face.inputs["travel"].box.value = 0.5
    assert face.redraws == before + 1
    assert "past the line: 4.0 times the push" in words(face.words)
    assert 'data-name="line"' in face.picture.value


def test_push_in_the_words_is_that_of_the_reckoning() -> None:
    face = drive_explorer().face
    for travel in (1 / 32, 1 / 8, 3 / 4):
        face.inputs["travel"].box.value = travel
        told = numbers_after(words(face.words), "Push at the end:")
        assert told == pytest.approx(driven(travel_in=travel).push_lbf, abs=51)  # to the hundred


def test_metric_shop_finds_the_same_in_its_units() -> None:
    face = drive_explorer(system="metric").face
    face.inputs["travel"].box.value = 12.5
    shown = words(face.words) + face.picture.value
    assert "lbf" not in shown
    assert "psi" not in shown
    found = driven(travel_in=12.5 / MM_PER_IN, taper_in_per_in=1 / 100)
    told = numbers_after(words(face.words), "Push at the end:")
    assert told == pytest.approx([one * 4.448e-3 for one in found.push_lbf], abs=0.3)


def test_the_unknown_hand_stands_where_the_rule_of_thumb_has_it() -> None:
    # push = pressure x face x (tan of friction twice, and the taper): .2105 at .10 and 1:96
    text = drive_explorer().face.picture.value
    low, high = (
        0.2105 * psi * KeyInHub().area_in2 for psi in practice.span("seat_pressure")
    )  # fmt: skip
    told = numbers_after(text, "drove took a push of")
    assert told == pytest.approx([low, high], rel=0.001)
