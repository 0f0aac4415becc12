"""The tapped end, the pots, the weld and the hub that comes off: what is drawn and reckoned."""

import math

import pytest

from coursework.course import issue_card
from keycourse.fit.pots import POTS
from keycourse.key.faces_tapping import tapping_explorer
from keycourse.key.tapping import LEADS, TAPS, tapped_hole
from keycourse.pull.hub_off import draw_hub_off
from keycourse.pull.welding import CLAMPS, WELDS


def hole(drill: float = 21 / 32, depth: float = 1.5, tap: str = "bottoming tap"):
    return tapped_hole(
        thread_name="3/4-10 UNC",
        grade_name="ASTM A193 B7",
        drill_in=drill,
        depth_in=depth,
        tap=tap,
    )


def test_two_diameters_and_a_bottoming_tap_leave_what_is_counted_on():
    # common practice: hole two diameters deep, 1-1/2 diameters of full thread
    assert hole().fault == ""
    assert hole(tap="plug tap").fault == "shallow"
    assert hole().full_in == pytest.approx(1.5 - 2 * 0.1)


def test_drill_is_held_to_class_2b():
    # ASME B1.1, 3/4-10 UNC-2B: minor diameter .642 to .663
    assert hole().drill_low_in == pytest.approx(0.642, abs=0.0005)
    assert hole().drill_high_in == pytest.approx(0.663, abs=0.0005)
    assert [hole(drill=one).fault for one in (5 / 8, 21 / 32, 11 / 16)] == ["small", "", "large"]


def test_threads_carry_in_proportion_to_their_length():
    one, two = hole(depth=1.2), hole(depth=2.2)
    for name in ("key_lbf", "rod_thread_lbf"):
        per = [getattr(each, name) / each.full_in for each in (one, two)]
        assert per[0] == pytest.approx(per[1], rel=1e-12)
    assert one.rod_lbf == two.rod_lbf


def test_strips_by_h28():
    # Machinery's Handbook, 3/4-10, one diameter engaged: 1.29 in2 in the hole; 1018 at .577 of
    # 54,000 psi, half of it (common practice)
    full = hole(depth=0.75 + 0.2)
    assert full.full_in == pytest.approx(0.75)
    assert full.key_lbf == pytest.approx(1.29 * 0.577 * 54_000 / 2, rel=0.005)


def test_a_larger_drill_takes_thread_off_the_rod_and_none_off_the_key():
    right, wide = hole(), hole(drill=23 / 32)
    assert wide.rod_thread_lbf < 0.6 * right.rod_thread_lbf
    assert wide.key_lbf == right.key_lbf
    assert wide.share < right.share < 1


def test_taps_cut_deeper_in_their_order():
    assert [LEADS[one] for one in TAPS] == sorted(LEADS.values(), reverse=True)
    full = [hole(tap=one).full_in for one in TAPS]
    assert full == sorted(full)
    assert hole(depth=0.1, tap="taper tap").full_in == 0


@pytest.mark.parametrize("system", ["inch", "metric"])
def test_the_figure_names_each_fault(system: str):
    face = tapping_explorer(system=system).face
    said = lambda: face.words.said[0][0]  # noqa: E731 - the first line, again and again
    assert said().startswith("Too shallow")
    face.inputs["tap"].value = "bottoming tap"
    face.inputs["depth"].value = 45 if system == "metric" else 1.8
    assert said().startswith("This hole will do")
    drills = [value for _, value in face.inputs["drill"].options]
    face.inputs["drill"].value = drills[0]
    assert said().startswith("Drill too small")
    face.inputs["drill"].value = drills[-1]
    assert said().startswith("Drill too large")
    assert 'role="img"' in face.picture.value


def test_the_ring_of_the_pull_leaves_the_bearing_out():
    told = draw_hub_off().text
    assert "The bearing is not in it" in told


def test_places_of_a_weld_are_apart():
    for places in (WELDS, CLAMPS):
        points = list(places.values())
        for turn, one in enumerate(points):
            assert all(math.dist(one, other) > 20 for other in points[:turn])


def test_a_greased_thread_pulls_five_thirds_of_what_a_dry_one_does():
    # Shigley, 9th ed., table 8-15, from memory: .18 lubricated, .30 as received
    nut = next(one for one in POTS if one.key == "04-nut")
    seen = set()
    for number in range(1, 21):
        card = issue_card(exercise="04-fit", class_code="QQ-26", number=number)
        other = next(one for one in nut.slips if one.name == "the other thread's factor")
        ratio = nut.expected(card, {}) / other.value(card, {})
        greased = any(fact.value == "greased" for fact in nut.facts(card))
        seen.add(greased)
        assert ratio == pytest.approx(5 / 3 if greased else 3 / 5, rel=1e-12)
    assert seen == {True, False}
