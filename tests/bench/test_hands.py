"""A careful hand fits the key; each careless one fails in its own way.

Fifty slots each: surfaces of about two thousandths, taper of the blank out by
up to four thousandths over its length, 0.010 in left for fitting.
"""

import random
from functools import cache

import numpy as np
import pytest

from keycourse.fit.bench.fitting import start_fitting
from keycourse.fit.bench.hands import HANDS, fit_with
from keycourse.fit.bench.keyblank import KeyParameters
from keycourse.measure.bench.slot import SlotParameters, draw_slot

SEEDS = range(50)
COMMON_RIG_LBF = 60_000.0  # a 30-ton hollow-ram jack; common practice


@cache
def fitted(hand):
    sessions = []
    for seed in SEEDS:
        error = 0.004 * (2 * random.Random(seed).random() - 1)
        session = start_fitting(
            slot=draw_slot(parameters=SlotParameters(), seed=seed),
            seed=seed,
            key_parameters=KeyParameters(taper_error_in=error),
            length_count=128,
            width_count=24,
        )
        sessions.append(fit_with(session=session, hand=hand))
    return tuple(sessions)


def summaries(hand):
    return [session.summary() for session in fitted(hand)]


def test_careful_hand_brings_the_key_home_in_6_to_12_fittings():
    for summary in summaries("careful"):
        assert summary.home
        assert 6 <= summary.fittings <= 12
        assert summary.faults == ()


def test_careful_hand_gains_about_an_inch_for_ten_thousandths():
    travel = [summary.travel_in for summary in summaries("careful")]
    assert np.mean(travel) == pytest.approx(0.96, abs=0.06)
    assert min(travel) > 0.75
    assert max(travel) < 1.2


def test_careful_marks_grow_in_number_and_length_to_the_whole_length():
    first, middle, last = [], [], []
    for session in fitted("careful"):
        pushes = session.state.pushes
        third = len(pushes) // 3
        first.append(np.mean([p.length_share for p in pushes[:2]]))
        middle.append(np.mean([p.length_share for p in pushes[third : 2 * third]]))
        last.append(pushes[-1].length_share)
        assert pushes[0].share < 0.35
        assert pushes[-1].share > pushes[0].share
        places = [p.projection_in for p in pushes]
        assert places == sorted(places, reverse=True)
    assert np.mean(first) < 0.3
    assert np.mean(first) + 0.1 < np.mean(middle) < np.mean(last) - 0.1
    assert np.mean(last) > 0.88


def test_no_feeler_enters_after_a_careful_fit():
    for session in fitted("careful"):
        seen = session.do("feel", leaf_in=0.0015).observations[-1].values
        for place in ("top_mouth_in", "top_far_in", "bottom_mouth_in", "bottom_far_in"):
            assert seen[place] < 0.125
        assert seen["side_enters"]


def test_careful_key_can_be_drawn_clean_and_rust_is_what_defeats_the_rig():
    pulls = summaries("careful")
    assert max(s.pull_clean_lbf for s in pulls) < COMMON_RIG_LBF
    assert np.mean([s.pull_rusted_lbf > COMMON_RIG_LBF for s in pulls]) > 0.3
    for summary in pulls:
        # .529 / .1895: withdrawing ratios at .27 and .10
        assert summary.pull_rusted_lbf / summary.pull_clean_lbf == pytest.approx(2.793, rel=0.01)


@pytest.mark.parametrize(
    ("hand", "fault"),
    [
        ("one end only", "proud"),
        ("drives early", "early"),
        ("over-files", "loose"),
        ("heavy cuts", "gaps"),
        ("files unmarked metal", "unmarked"),
        ("never cleans", "not cleaned"),
    ],
)
def test_each_careless_hand_fails_in_its_own_way(hand, fault):
    found = [fault in summary.faults for summary in summaries(hand)]
    assert np.mean(found) >= 0.9
    assert all(summary.faults for summary in summaries(hand))


def test_every_hand_but_the_careful_one_is_covered():
    assert set(HANDS) == {
        "careful",
        "one end only",
        "drives early",
        "over-files",
        "heavy cuts",
        "files unmarked metal",
        "never cleans",
    }


def test_key_driven_early_or_filed_at_one_end_stands_proud():
    for hand in ("drives early", "one end only"):
        proud = [summary.projection_in for summary in summaries(hand)]
        assert min(proud) > 0.3


def test_one_end_filed_leaves_a_gap_there():
    gaps = [summary.tap_gap_in for summary in summaries("one end only")]
    careful = [summary.tap_gap_in for summary in summaries("careful")]
    assert np.median(gaps) > 3 * np.median(careful)


def test_over_filed_key_goes_home_on_little_and_pulls_out_on_little():
    for summary in summaries("over-files"):
        assert summary.home
        assert summary.seat_force_lbf < 8_000
    loose = np.mean([summary.pull_clean_lbf for summary in summaries("over-files")])
    careful = np.mean([summary.pull_clean_lbf for summary in summaries("careful")])
    assert loose < 0.3 * careful


def test_heavy_cuts_leave_little_bearing():
    bearing = [summary.bearing_share for summary in summaries("heavy cuts")]
    assert np.mean(bearing) < 0.4


def test_filing_unmarked_metal_costs_bearing():
    filed = np.mean([summary.bearing_share for summary in summaries("files unmarked metal")])
    careful = np.mean([summary.bearing_share for summary in summaries("careful")])
    assert filed < careful - 0.15


def test_thick_blue_shows_more_than_bears():
    marked = np.mean([summary.share for summary in summaries("never cleans")])
    careful = np.mean([summary.share for summary in summaries("careful")])
    assert marked > careful
    assert np.mean([summary.home for summary in summaries("never cleans")]) < 0.1


def test_finer_grid_tells_the_same_story():
    for seed in range(4):
        error = 0.004 * (2 * random.Random(seed).random() - 1)
        session = start_fitting(
            slot=draw_slot(parameters=SlotParameters(), seed=seed),
            seed=seed,
            key_parameters=KeyParameters(taper_error_in=error),
        )
        fine = fit_with(session=session, hand="careful").summary()
        coarse = summaries("careful")[seed]
        assert fine.faults == ()
        assert abs(fine.fittings - coarse.fittings) <= 2
        assert fine.seat_force_lbf == pytest.approx(coarse.seat_force_lbf, rel=0.25)


def test_unknown_hand_is_refused():
    session = start_fitting(slot=draw_slot(parameters=SlotParameters(), seed=1), seed=1)
    with pytest.raises(ValueError, match=r"^hand is 'clumsy'; it must be one of: careful, drives"):
        fit_with(session=session, hand="clumsy")
