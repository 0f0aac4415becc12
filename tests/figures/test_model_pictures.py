"""The pictures of what the benches model: their curves are the bench's, their checks hold."""

import math
import re

import pytest

from coursework.ink.shop import INCH, METRIC
from keycourse.faces_model import bench_model
from keycourse.fit.model_picture import draw_fitting_model, wave_share
from keycourse.pull.model_picture import draw_pulling_model


def test_share_of_a_wavy_face_is_that_of_the_closed_form():
    # Westergaard 1939: (2/pi) asin sqrt(p/p*), p* = pi E' D/wave = 20,713 psi here
    full = math.pi * 30e6 / (1 - 0.3**2) * 0.0002
    assert wave_share(full) == pytest.approx(1)
    assert wave_share(full / 2) == pytest.approx(0.5)
    words = draw_fitting_model().text
    shown, exact = re.search(r"bears on (.*); the closed form says (.*) %\.", words).groups()
    found = [int(n) for n in re.findall(r"(\d+) % at", shown)]
    for one, other in zip(found, exact.split(", "), strict=True):
        assert abs(one - int(other)) <= 3


@pytest.mark.parametrize("units", [INCH, METRIC], ids=["inch", "metric"])
@pytest.mark.parametrize("draw", [draw_fitting_model, draw_pulling_model])
def test_picture_says_in_words_what_it_leaves_out(draw, units):
    picture = draw(units=units)
    assert "Left out:" in picture.text
    assert 'role="img"' in picture.svg
    other = " lbf" if units.metric else " kN"
    assert other not in picture.svg


def test_ring_opens_more_than_faces_and_key():
    words = draw_fitting_model().text
    faces, ring = map(
        float, re.search(r"key give ([\d.]+) in, .* opens ([\d.]+) in", words).groups()
    )
    assert 0 < faces < ring


def test_pull_of_the_picture_is_energy_that_falls_and_soaks_that_end():
    words = draw_pulling_model().text
    start, left = re.search(r"rise to ([\d,]+) lbf, .* and ([\d,]+) lbf is left", words).groups()
    # 100,000 lbf on the faces at friction .10: (.1895) 18,950 lbf starts it
    assert float(start.replace(",", "")) == pytest.approx(18_950, abs=60)
    assert float(left.replace(",", "")) < float(start.replace(",", ""))
    once, again = map(int, re.search(r"with (\d+) % .* come to (\d+) %", words).groups())
    assert once < again <= 35


def test_model_is_folded_and_of_a_known_bench():
    assert bench_model("pulling").value.startswith("<details><summary>For the instructor:")
    with pytest.raises(ValueError, match=r"^bench is 'milling'; it must be one of: fitting, pull"):
        bench_model("milling")
