"""Blue, push, read, file, drive: each act does what it does on the bench."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from keycourse.fit.bench.blueing import (
    FILM_IN,
    feel_gaps,
    marked_spots,
    read_marks,
)
from keycourse.fit.bench.contact import Seat
from keycourse.fit.bench.driving import blow_share
from keycourse.fit.bench.filing import CUT_PER_STROKE_IN3, file_spot
from keycourse.fit.bench.fitting import start_fitting
from keycourse.fit.bench.keyblank import KeyParameters, draw_key
from keycourse.measure.bench.slot import SlotParameters, draw_slot

PERFECT = {"form_error_in": 0.0, "waviness_in": 0.0, "high_spot_count": 0}
GRID = {"length_count": 128, "width_count": 24}


def fresh(seed=1, slot_parameters=None, **key):
    slot = draw_slot(parameters=slot_parameters or SlotParameters(), seed=seed)
    return start_fitting(slot=slot, seed=seed, key_parameters=KeyParameters(**key), **GRID)


def flat_key():
    slot = draw_slot(parameters=SlotParameters(**PERFECT), seed=1)
    return draw_key(
        slot=slot, parameters=KeyParameters(form_error_in=0.0, waviness_in=0.0), seed=1, **GRID
    )[0]


def seat_with_gaps(roof, floor):
    nothing = np.zeros_like(roof)
    return Seat(
        normal_force_lbf=0.0,
        squeeze_in=0.0,
        ring_in=0.0,
        lift_in=0.0,
        pitch_rad=0.0,
        roll_rad=0.0,
        floor_gap_in=floor,
        roof_gap_in=roof,
        floor_pressure_psi=nothing,
        roof_pressure_psi=nothing,
        floor_set_in=nothing,
        roof_set_in=nothing,
        unbalance=(0.0, 0.0, 0.0),
        steps=0,
    )


def test_file_cuts_a_flat_face_to_the_depth_in_the_middle_and_nothing_outside():
    key = flat_key()
    filed, volume = file_spot(
        key=key, face="top", u_in=4.0, y_in=0.0, volume_in3=0.01, deepest_in=0.0004
    )
    off = key.top_in - filed.top_in
    # the nearest grid place lies up to 1/32 in from the middle
    assert off.max() == pytest.approx(0.0004, abs=5e-6)
    assert off.min() == pytest.approx(0.0, abs=1e-15)
    assert np.abs(off[np.abs(key.u_in() - 4.0) > 1.0]).max() == 0.0
    assert np.array_equal(filed.bottom_in, key.bottom_in)
    area = key.spacing_in * (key.y_in[1] - key.y_in[0])
    assert volume == pytest.approx(off.sum() * area)


def test_file_on_a_high_spot_takes_the_spot_and_leaves_the_low_metal():
    key = flat_key()
    u, y = key.u_in()[:, None], key.y_in[None, :]
    spot = 0.001 * np.exp(-(((u - 4.0) / 0.3) ** 2) - (y / 0.3) ** 2)
    high = replace(key, top_in=key.top_in + spot)
    filed, _ = file_spot(
        key=high, face="top", u_in=4.0, y_in=0.0, volume_in3=0.01, deepest_in=0.0004
    )
    off = high.top_in - filed.top_in
    assert off.max() == pytest.approx(0.0004, abs=2e-5)
    assert (off[spot < 0.0004] < 1e-12).all()


def test_filing_the_bottom_raises_the_underside():
    key = flat_key()
    filed, _ = file_spot(
        key=key, face="bottom", u_in=2.0, y_in=0.3, volume_in3=0.01, deepest_in=0.0003
    )
    assert (filed.bottom_in - key.bottom_in).max() == pytest.approx(0.0003, abs=1e-5)
    assert np.array_equal(filed.top_in, key.top_in)


def test_spot_off_the_key_is_refused():
    with pytest.raises(ValueError, match=r"^spot along the key is 9 in; it must be from 0 to 8 in"):
        file_spot(key=flat_key(), face="top", u_in=9.0, y_in=0.0, volume_in3=0.0004)


def test_marks_by_gap():
    key = flat_key()
    roof = np.full(key.top_in.shape, 0.01)
    roof[10, :] = 0.75 * FILM_IN
    roof[11, :] = 0.25 * FILM_IN
    floor = np.full(key.top_in.shape, 0.01)
    floor[11, 3] = 0.0
    marks = read_marks(key=key, seat=seat_with_gaps(roof, floor), projection_in=0.0)
    assert set(marks.top[10]) == {1}
    assert set(marks.top[11]) == {2}
    assert set(marks.top[12]) == {0}
    assert marks.bottom[11, 3] == 2
    assert marks.share == pytest.approx((24 + 1) / 2 / (128 * 24))
    assert marks.length_share == pytest.approx(1 / 128)


def test_marks_stand_on_the_key_not_on_the_slot():
    key = flat_key()
    rows = 112
    roof = np.full((rows, 24), 0.01)
    roof[0, 5] = 0.0
    seat = seat_with_gaps(roof, np.full((rows, 24), 0.01))
    marks = read_marks(key=key, seat=seat, projection_in=1.0)
    assert marks.top[16, 5] == 2  # 1 in of stand-out is 16 strips
    assert (marks.top == 2).sum() == 1
    spots = marked_spots(key=key, marks=marks, face="top")
    assert len(spots) == 1
    assert spots[0] == pytest.approx((1.03125, key.y_in[5]))


def test_thick_film_marks_more_than_bears():
    key = flat_key()
    roof = np.linspace(0.0, 0.001, 128)[:, None] * np.ones((1, 24))
    seat = seat_with_gaps(roof, roof)
    thin = read_marks(key=key, seat=seat, projection_in=0.0)
    thick = read_marks(key=key, seat=seat, projection_in=0.0, film_in=3 * FILM_IN)
    assert thick.share == pytest.approx(3 * thin.share, rel=0.1)


def test_feeler_enters_from_an_open_end_only_as_far_as_the_gap_runs():
    key = flat_key()
    roof = np.zeros((128, 24))
    roof[:32, :] = 0.002  # 2 in from the mouth
    roof[60:70, :] = 0.005  # closed in at both ends: the leaf cannot reach it
    check = feel_gaps(
        key=key, seat=seat_with_gaps(roof, np.zeros_like(roof)), side_gap_in=0.003, leaf_in=0.0015
    )
    assert check.top_mouth_in == pytest.approx(2.0)
    assert check.top_far_in == 0.0
    assert check.bottom_mouth_in == 0.0
    assert check.enters
    assert check.side_enters
    assert check.largest_gap_in == pytest.approx(0.005)
    assert "largest_gap_in" not in check.to_dict()


def test_feeler_leaf_is_as_wide_as_it_is():
    key = flat_key()
    roof = np.zeros((128, 24))
    roof[:, :5] = 0.004  # 0.3 in wide: a 1/2 in leaf does not go in
    check = feel_gaps(key=key, seat=seat_with_gaps(roof, np.zeros_like(roof)), side_gap_in=0.0)
    assert not check.enters


def test_first_push_stands_out_about_an_inch_for_ten_thousandths():
    session = fresh(slot_parameters=SlotParameters(**PERFECT)).do("blue").do("push", load_lbf=50.0)
    push = session.state.pushes[0]
    assert push.projection_in == pytest.approx(0.96, abs=0.05)
    assert session.observations[-1].values["still_off_in"] == pytest.approx(
        0.010 - 0.125 / 96,
        abs=0.0005,  # 0.010 in over size, of which 1/8 in of travel is left to drive
    )


def test_push_without_blue_shows_nothing():
    session = fresh().do("push", load_lbf=50.0)
    assert session.state.marks is None
    assert session.state.pushes == ()
    assert "shows nothing" in session.observations[-1].note


def test_blue_on_old_blue_is_thick_and_cleaning_takes_it_off():
    session = fresh().do("blue").do("push", load_lbf=50.0).do("blue")
    assert session.state.film_in == pytest.approx(2 * FILM_IN)
    assert "thick" in session.observations[-1].note
    assert session.do("clean").state.film_in == 0.0


def test_filings_left_on_the_key_hold_it_out():
    session = fresh(slot_parameters=SlotParameters(**PERFECT), form_error_in=0.0, waviness_in=0.0)
    session = session.do("blue").do("push", load_lbf=50.0)
    session = session.do("file", face="top", spots=[[7.5, 0.0]], strokes=1)
    dirty = session.do("blue").do("push", load_lbf=50.0)
    clean = session.do("clean").do("blue").do("push", load_lbf=50.0)
    held_out = dirty.state.projection_in - clean.state.projection_in
    # two chips of up to 0.002 in would hold it out 0.19 in if they were hard
    assert 0.02 < held_out < 0.19
    assert dirty.state.pushes_not_cleaned == 1
    assert clean.state.pushes_not_cleaned == 0


def test_clogged_file_cuts_less_until_it_is_cleaned():
    spots = [[4.0, 0.0]]
    session = fresh()
    for _ in range(15):
        session = session.do("file", face="top", spots=spots, strokes=150)
    assert session.state.clog > 0.8
    assert "clogged" in session.observations[-1].note

    def cut(now):
        after = now.do("file", face="bottom", spots=[[6.0, 0.0]], strokes=5)
        gone = after.state.key.bottom_in - now.state.key.bottom_in
        key = now.state.key
        return float(gone.sum()) * key.spacing_in * (key.y_in[1] - key.y_in[0])

    assert cut(session.do("clean file")) == pytest.approx(5 * CUT_PER_STROKE_IN3, rel=0.01)
    assert cut(session) < 0.5 * cut(session.do("clean file"))


def test_metal_without_a_mark_is_counted():
    session = fresh().do("blue").do("push", load_lbf=50.0)
    marks = session.state.marks
    marked = marked_spots(key=session.state.key, marks=marks, face="top")[:1]
    bare_rows = np.nonzero((marks.top >= 1).any(axis=1))[0] * session.state.key.spacing_in
    free = [u for u in np.arange(1.5, 7.8, 0.1) if np.abs(bare_rows - u).min() > 0.5][:1]
    assert free
    on = session.do("file", face="top", spots=[list(marked[0])], strokes=8)
    beside = session.do("file", face="top", spots=[[float(free[0]), 0.0]], strokes=8)
    assert on.state.unmarked_strokes == 0
    assert beside.state.unmarked_strokes == 8


def test_sides_are_felt_apart_from_top_and_bottom():
    session = fresh(width_in=1.494).do("blue").do("push", load_lbf=500.0).do("feel", leaf_in=0.002)
    assert session.observations[-1].values["side_enters"]
    tight = fresh(width_in=1.499).do("blue").do("push", load_lbf=500.0).do("feel", leaf_in=0.002)
    assert not tight.observations[-1].values["side_enters"]


def test_eased_edges_clear_the_corner_radius_and_sharp_ones_ride_on_it():
    slot_parameters = SlotParameters(corner_radius_in=0.06, **PERFECT)
    eased = fresh(slot_parameters=slot_parameters, edge_ease_in=0.08)
    sharp = fresh(slot_parameters=slot_parameters, edge_ease_in=0.02)
    places = [
        one.do("blue").do("push", load_lbf=50.0).state.projection_in for one in (eased, sharp)
    ]
    assert places[0] == pytest.approx(0.96, abs=0.05)
    # the fillet stands 0.0128 in high where the sharp edge meets it, top and bottom
    assert places[1] - places[0] == pytest.approx(2 * 0.0128 * 96, rel=0.1)


def test_each_blow_advances_less_and_work_equals_the_energy():
    session = fresh(
        slot_parameters=SlotParameters(**PERFECT), form_error_in=0.0, waviness_in=0.0
    ).do("lubricate", lubricant="anti-seize")
    driven = session.do("drive", blows=3, energy_in_lbf=1000.0)
    advances = driven.observations[-1].values["advances_in"]
    assert advances == sorted(advances, reverse=True)
    # flat faces and a loose ring are a straight spring along the key: work = F s / 2
    work = driven.state.seat_force_lbf * sum(advances) / 2
    # a key of 3.3 lb under a 12 lb sledge keeps 12/15.3 of a blow and a little bounce: 0.79 to
    # 0.84; what presses bolt and key together at the end of each blow is under 2 % of it
    assert 0.97 * 0.77 * 3000 < work < 0.84 * 3000


def test_blows_ring_once_the_key_holds_them_and_are_dull_before():
    session = fresh(oversize_in=0.03).do("lubricate", lubricant="anti-seize")
    values = session.do("drive", blows=12, energy_in_lbf=2000.0).observations[-1].values
    assert values["sounds"][0] == "dull"
    assert values["sounds"][-1] != "dull"
    # each blow bounces a little otherwise, so they do not fall one by one
    advances = values["advances_in"]
    assert advances[0] > 4 * advances[-1]


@pytest.mark.parametrize("speed", [10.0, 30.0])
@pytest.mark.parametrize("restitution", [0.0, 0.3, 1.0])
def test_what_a_blow_leaves_is_what_momentum_leaves(speed, restitution):
    # hammer and key meet and part with e times the speed; energy counted in the frame where
    # both together rest after it, plus that of both together, leaves (W + e2 P)/(W + P)
    hammer, struck = 12.0, 3.5
    together = hammer * speed / (hammer + struck)
    key = together * (1 + restitution)
    back = together - restitution * struck / (hammer + struck) * speed
    assert hammer * back + struck * key == pytest.approx(hammer * speed)
    left = (hammer * back**2 + struck * key**2) / (hammer * speed**2)
    share = blow_share(hammer_lb=hammer, struck_lb=struck, restitution=restitution)
    if restitution in (0.0, 1.0):  # at the ends Hiley's share is the energy of motion itself
        assert share == pytest.approx(left)
    # between them the hammer's own rebound counts as lost
    assert share <= left + 1e-12


def test_dry_drive_takes_more_force_for_less_grip():
    dry = fresh().do("drive", blows=2)
    wet = fresh().do("lubricate", lubricant="anti-seize").do("drive", blows=2)
    assert dry.state.normal_force_lbf < wet.state.normal_force_lbf
    assert dry.state.projection_in > wet.state.projection_in
    assert "dry" in dry.summary().faults


def test_driven_key_cannot_be_filed():
    session = fresh().do("lubricate", lubricant="oil").do("drive", blows=1)
    assert session.finished
    with pytest.raises(ValueError, match=r"^The key is driven: only the feeler gauge can"):
        session.do("file", face="top", spots=[[1.0, 0.0]], strokes=5)


def test_session_resumes_from_its_record():
    session = fresh(7).do("blue").do("push", load_lbf=50.0)
    session = session.do("file", face="top", spots=[[4.0, 0.1], [6.0, -0.2]], strokes=12)
    session = session.do("blue").do("push", load_lbf=500.0).do("feel")
    record = json.loads(json.dumps(session.record()))
    again = fresh(7).resumed(record)
    assert again == session
    assert np.array_equal(again.state.key.top_in, session.state.key.top_in)
    assert again.observations == session.observations
    assert again.summary() == session.summary()


def test_what_the_apprentice_sees_holds_no_hidden_number_and_goes_through_json():
    session = fresh().do("blue").do("push", load_lbf=50.0).do("feel")
    session = session.do("lubricate", lubricant="oil").do("drive", blows=1)
    text = json.dumps([one.to_dict() for one in session.observations])
    for hidden in ("normal_force", "largest_gap", "pressure", "roof_gap", "seat_force"):
        assert hidden not in text
        assert hidden not in json.dumps(session.record())


@pytest.mark.parametrize(
    ("step", "choices", "message"),
    [
        (
            "push",
            {"load_lbf": 9_000.0},
            r"^push is 9,000 lbf; it must be from 1 to 3,000 lbf\. Abo",
        ),
        ("polish", {}, r"^step is 'polish'; it must be one of: blue, clean, clean file, drive"),
        ("feel", {}, r"^The key has not been in the slot yet: there is no gap to feel\. Pu"),
        (
            "file",
            {"face": "side", "spots": [[1.0, 0.0]], "strokes": 5},
            r"^face is 'side'; it must be one of: bottom, top\.$",
        ),
        ("blue", {"thick": True}, r"^choice is 'thick'; it must be one of: none\.$"),
    ],
)
def test_step_that_cannot_be_done_is_refused_in_one_sentence(step, choices, message):
    with pytest.raises(ValueError, match=message):
        fresh().do(step, **choices)


def test_summary_of_a_fresh_session_says_that_nothing_is_driven():
    summary = fresh().summary()
    assert summary.faults == ("not driven",)
    assert not math.isnan(summary.mean_pressure_psi)
