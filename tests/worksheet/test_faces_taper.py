"""Profile, taper bar and reversed hub, worked without a browser."""

from __future__ import annotations

import re

import numpy as np
import pytest

from keycourse.taper.faces import (
    parallel_explorer,
    profile_explorer,
    profile_of,
    reversed_explorer,
)


def words(face):
    return re.sub(r"<[^>]+>", " ", face.words.value)


def test_one_inch_base_is_weak():
    """Half a thousandth on a 1 in base: 0.0085 in/ft standard uncertainty (common practice)."""
    result = profile_of(base_in=1, gauge_thou=0.5, stations=2, repeats=1, again=1)
    assert 12 * result.sd_in_per_in == pytest.approx(0.0085, abs=0.00005)  # stated to 0.0001
    assert len(result.stations_in) == 2


def test_longer_base_and_repeats_help_as_they_should():
    def sd(**changes):
        plan = {"base_in": 1, "gauge_thou": 0.5, "stations": 2, "repeats": 1, "again": 1}
        return profile_of(**{**plan, **changes}).sd_in_per_in

    assert sd(base_in=8) == pytest.approx(sd() / 8)
    assert sd(repeats=4) == pytest.approx(sd() / 2)
    assert sd(gauge_thou=1.0) == pytest.approx(2 * sd())


def test_scatter_of_many_sets_agrees_with_the_stated_uncertainty():
    plan = {"base_in": 4, "gauge_thou": 0.5, "stations": 3, "repeats": 2}
    sets = [profile_of(**plan, again=n) for n in range(1, 401)]
    found = np.std([one.taper_in_per_in for one in sets], ddof=1)
    assert found == pytest.approx(sets[0].sd_in_per_in, rel=0.12)  # 400 sets: 1/sqrt(800), x 3
    mean = np.mean([one.taper_in_per_in for one in sets])
    assert mean == pytest.approx(1 / 96, abs=4 * sets[0].sd_in_per_in / 20)


def test_profile_face_says_what_can_be_told():
    face = profile_explorer().face
    assert "cannot tell 1:96 from 1:100" in words(face)
    assert "The base is short" in words(face)
    face.inputs["base_in"].slider.value = 8
    face.inputs["repeats"].slider.value = 6
    face.inputs["gauge_thou"].slider.value = 0.1
    assert "agree with 1:96 only" in words(face)
    assert "The base is short" not in words(face)


def test_profile_face_redraws_once_for_each_change():
    face = profile_explorer().face
    before = face.redraws
    face.inputs["stations"].box.value = 4
    assert face.redraws == before + 1


def test_parallel_face_names_where_it_bears():
    face = parallel_explorer().face
    face.inputs["slot_per_foot"].slider.value = 0.14
    face.inputs["inside_in"].slider.value = 4
    assert "bears at its inner end, and 5.0 thousandths are open at the mouth" in words(face)
    assert "5.0 thousandths too low" in words(face)
    face.inputs["slot_per_foot"].slider.value = 0.11
    assert "bears at the mouth, and 5.0 thousandths are open at its inner end" in words(face)
    face.inputs["slot_per_foot"].slider.value = 0.125
    assert "bears along its whole length" in words(face)


def test_reversed_face_warns_and_admits_what_it_cannot_tell():
    face = reversed_explorer().face
    assert "Do not pull here. The hub has to come off first." in words(face)
    assert "pull tightens the key" in face.picture.value
    face.inputs["inside_in"].slider.value = 0.958
    assert "a pull at the mouth loosens the key" in words(face)
    face.inputs["inside_in"].slider.value = 1.001
    assert "cannot tell which end is large" in words(face)
    assert "do not tell which end is large" in face.picture.value


@pytest.mark.parametrize("explorer", [profile_explorer, parallel_explorer, reversed_explorer])
def test_metric_faces_say_millimetres_only(explorer):
    face = explorer(system="metric").face
    shown = face.words.value + face.picture.value
    assert " mm" in shown
    assert "thousandth" not in shown
    assert "per foot" not in shown


def test_metric_faces_find_what_the_inch_ones_find():
    inch, metric = profile_explorer().face, profile_explorer(system="metric").face
    for face, base, scatter in ((inch, 5.0, 0.5), (metric, 125.0, 0.012)):
        face.inputs["base_in"].value = base
        face.inputs["gauge_thou"].value = scatter
    share = [re.search(r"(\d+) % of the", face.words.value).group(1) for face in (inch, metric)]
    assert share[0] == share[1]
    reversed_hub = reversed_explorer(system="metric").face
    assert "the hub was turned round" in reversed_hub.words.value
    reversed_hub.inputs["inside_in"].value = 24.0
    assert "100 mm inside, the opening gets 1.000 mm lower." in reversed_hub.words.value
