"""The pump by strokes, the energy of a pull, penetrant by hours, and the hub's ring in a stuck key.

Loads are checked against Hooke's law by hand, energies against an integral of pressure over oil.
"""

import math
import re
from dataclasses import replace

import pytest

from coursework.ink.shop import INCH, METRIC
from keycourse.pull.bench.book import OLDER_BENCH, PullingBook
from keycourse.pull.bench.cases import draw_case
from keycourse.pull.bench.give import THROWN_IN
from keycourse.pull.bench.pulling import start_pulling
from keycourse.pull.bench.seated import SeatedKey, draw_seated_key
from keycourse.pull.bench.soaking import SOAK_AGAIN_H, open_share, soaked_share
from keycourse.pull.bench.state import LINK_NAMES, PUMPED
from keycourse.replay import replay_of
from taperkey.formulas.hubring import CLOSE, LOOSE, ring_opening_in_per_lbf, squeeze_force_lbf
from taperkey.formulas.penetrant import crept_depth_in, wetted_share
from taperkey.formulas.squeeze import seat_compliance_in_per_psi

CLEAN = SeatedKey(normal_force_lbf=150_000.0, squeeze_in=0.00125)
STUCK = replace(CLEAN, floor_friction=0.4, roof_friction=0.4)
LINKS = [
    {"name": "jacks", "working_lbf": 32_000.0, "breaking_lbf": 200_000.0},
    {"name": "rod", "working_lbf": 30_000.0, "breaking_lbf": 50_000.0},
    {"name": "strongback", "working_lbf": 45_000.0, "breaking_lbf": 200_000.0},
]
# a stroke of 0.06 in3 runs rams of 4 in2 out by 0.015 in, which is 3,000 lbf at 200,000 lbf/in
GIVE = {
    "spring_lbf_per_in": 200_000.0,
    "ram_area_in2": 4.0,
    "rod_yields_lbf": 42_000.0,
    "jacks": 2.0,
    "stroke_in3": 0.06,
    "slack_in": 0.04,
}
STROKE_LBF = 3_000.0


def rigged(key=STUCK, *, seed=1, **changed):
    session = start_pulling(key=key, seed=seed).do("measure ends")
    return session.do("rig", links=LINKS, give={**GIVE, **changed})


def tight(key=STUCK, **changed):
    return rigged(key, slack_in=0.0, **changed)


def last(session):
    return session.observations[-1]


def test_stroke_brings_what_hooke_says_once_the_rig_is_tight():
    session = tight()
    for strokes in (1, 2, 3):
        session = session.do("pump", strokes=1)
        assert session.state.load_lbf == pytest.approx(strokes * STROKE_LBF)
        assert last(session).values["needle_psi"] == [strokes * STROKE_LBF / 4]
    stiffer = tight(spring_lbf_per_in=400_000.0).do("pump", strokes=1)
    assert stiffer.state.load_lbf == pytest.approx(2 * STROKE_LBF)
    bigger = tight(ram_area_in2=8.0).do("pump", strokes=1)
    assert bigger.state.load_lbf == pytest.approx(STROKE_LBF / 2)


@pytest.mark.parametrize("pumped", ["in turn", "one pump"])
def test_strokes_come_to_the_same_one_by_one_and_all_at_once(pumped):
    at_once = rigged().do("pump", strokes=9, pumped=pumped)
    singly, halves = rigged(), rigged()
    for _ in range(9):
        singly = singly.do("pump", strokes=1, pumped=pumped)
    for _ in range(18):
        halves = halves.do("pump", strokes=0.5, pumped="one pump")
    assert singly.state.load_lbf == pytest.approx(at_once.state.load_lbf)
    assert singly.state.runs_in == pytest.approx(at_once.state.runs_in)
    assert halves.state.load_lbf == pytest.approx(at_once.state.load_lbf)


@pytest.mark.parametrize("seed", range(6))
def test_slack_goes_first_and_a_snug_nut_saves_the_strokes(seed):
    session = rigged(seed=seed).do("pump", strokes=1)
    assert "nothing is tight yet" in last(session).note
    assert session.state.load_lbf == 0
    slack = session.state.slack_in
    assert 0.5 * 0.04 <= slack <= 1.5 * 0.04
    session = session.do("pump", strokes=5)
    # what is run out beyond the slack is spring
    assert session.state.load_lbf == pytest.approx((6 * 0.015 - slack) * 200_000)
    snug = rigged(seed=seed).do("take up").do("pump", strokes=6)
    assert snug.state.load_lbf == pytest.approx((6 * 0.015 - 0.005) * 200_000)


def test_pumping_up_to_a_load_ends_there_with_a_part_of_a_stroke():
    session = tight().do("pump", to_lbf=7_500.0)
    assert session.state.load_lbf == 7_500
    assert last(session).values["strokes"] == 3
    assert session.state.runs_in[0] + session.state.runs_in[1] == pytest.approx(2 * 0.0375)
    session = session.do("pump", to_lbf=8_000.0)
    assert session.state.load_lbf == 8_000
    assert last(session).values["strokes"] == 1


def test_release_valve_gives_all_back_and_the_next_pull_is_the_same():
    session = rigged().do("pump", strokes=8)
    before = session.state.load_lbf
    session = session.do("ease")
    assert "release valve" in last(session).note
    assert session.state.load_lbf == session.state.tilt_in == 0
    assert session.do("pump", strokes=8).state.load_lbf == pytest.approx(before)


def test_two_jacks_from_one_pump_stand_even_and_in_turn_within_a_stroke():
    one, turn = tight(), tight()
    for _ in range(7):
        one = one.do("pump", strokes=1, pumped="one pump")
        turn = turn.do("pump", strokes=1)
        assert one.state.tilt_in == 0
        # all the oil of a stroke goes into one ram of 2 in2
        assert turn.state.tilt_in <= 0.06 / 2 + 1e-12
    assert turn.state.load_lbf == pytest.approx(one.state.load_lbf)
    assert not any("tips" in seen.note for seen in turn.observations)


def test_one_jack_first_is_told_before_the_bar_is_thrown_and_can_be_mended():
    session = tight().do("pump", strokes=5, pumped="one first")
    seen = last(session)
    assert "the bar tips" in seen.note
    assert "The hand stops there." in seen.note
    assert session.state.tilt_in < THROWN_IN
    mended = session.do("pump", strokes=2)  # the lower one is pumped
    assert mended.state.tilt_in < session.state.tilt_in
    while session.state.links:
        session = session.do("pump", strokes=1, pumped="one first")
    assert last(session).values["link"] == "strongback"
    assert session.state.broken == ("strongback",)


@pytest.mark.parametrize("seed", range(8))
def test_rod_is_seen_to_stretch_many_strokes_before_it_parts(seed):
    session = rigged(seed=seed)
    signs = 0
    while session.state.links:
        session = session.do("pump", strokes=200)
        if "the rod stretches for good" in last(session).note:
            signs += 1
            assert session.state.load_lbf > 30_000  # past the stop load
    assert last(session).values["link"] == "rod"
    assert signs >= 10
    # a rod of ductile steel, 20 in long, is longer by some 4 % before it goes
    assert session.state.set_in == pytest.approx(0.04 * 20, rel=0.02)


@pytest.mark.parametrize("name", [one for one in LINK_NAMES if one not in ("rod", "jacks")])
@pytest.mark.parametrize("seed", [1, 2])
def test_every_link_shows_that_it_gives_before_it_goes_and_not_below_its_working_load(name, seed):
    weak = {"name": name, "working_lbf": 15_000.0, "breaking_lbf": 24_000.0}
    links = [LINKS[0], {**LINKS[1], "working_lbf": 90e3, "breaking_lbf": 120e3}, weak]
    session = start_pulling(key=STUCK, seed=seed).do("measure ends")
    session = session.do("rig", links=links, give={**GIVE, "rod_yields_lbf": 100e3})
    signs = []
    while session.state.links:
        session = session.do("pump", strokes=200, pumped="one pump")
        if "The hand stops there." in last(session).note:
            signs.append(session.state.load_lbf)
    assert last(session).values["link"] == name
    assert signs
    assert min(signs) > 15_000


def test_load_that_is_held_tells_a_key_that_creeps_from_one_that_stands():
    far = tight(CLEAN).do("pump", to_lbf=10_000.0).do("hold", minutes=2.0)
    assert "has not moved" in last(far).note
    assert far.state.load_lbf == 10_000
    near = tight(CLEAN).do("pump", to_lbf=0.97 * CLEAN.start_lbf).do("hold", minutes=2.0)
    assert "the mark on the key has come" in last(near).note
    fell = 0.97 * CLEAN.start_lbf - near.state.load_lbf
    assert fell == pytest.approx(near.state.crept_in * 200_000)
    # what has crept is slack for the strokes that follow
    on = near.do("pump", strokes=0.1, pumped="one pump")
    assert on.state.load_lbf - near.state.load_lbf == pytest.approx(0.1 * STROKE_LBF)


def work_of(session, *, strokes, parts=10, **choices):
    """Pump in small parts, and return the session and the integral of pressure over oil."""
    work = 0.0
    for _ in range(strokes * parts):
        before = session.state.load_lbf
        session = session.do("pump", strokes=1 / parts, pumped="one pump", **choices)
        if last(session).outcome != "still":
            return session, work, before
        work += (before + session.state.load_lbf) / 2 / 4.0 * 0.06 / parts
    return session, work, session.state.load_lbf


@pytest.mark.parametrize("strokes", [4, 12, 18])
def test_energy_of_the_pump_is_in_springs_and_rod(strokes):
    # 12 strokes are elastic, 18 stretch the rod
    session, work, load = work_of(rigged(), strokes=strokes)
    state = session.state
    stored = load**2 / (2 * 200_000)
    assert (state.set_lbf_in > 1) == (strokes == 18)
    assert work == pytest.approx(stored + state.set_lbf_in, rel=0.01)
    assert state.pumped_lbf_in == pytest.approx(work, rel=0.01)


def test_energy_of_a_pull_that_creeps_and_jumps_is_closed():
    session = tight(CLEAN).do("pump", to_lbf=0.97 * CLEAN.start_lbf, pumped="one pump")
    session = session.do("hold", minutes=5.0)
    session, more, _ = work_of(session, strokes=2)
    seen = last(session)
    assert seen.outcome == "moved"
    start = seen.values["load_lbf"]
    # up to the first hold the springs alone: F^2 / 2k
    work = (0.97 * CLEAN.start_lbf) ** 2 / (2 * 200_000) + more
    gone = session.state.crept_lbf_in + seen.values["rubbed_lbf_in"] + seen.values["thrown_lbf_in"]
    left = seen.values["after_lbf"] ** 2 / (2 * 200_000)
    assert start == pytest.approx(CLEAN.start_lbf, abs=1)
    assert work == pytest.approx(gone + left, rel=0.01)


def test_rise_by_ones_wants_a_hold_at_each_quarter_of_the_stop_load():
    # a quarter of 30,000 lbf is two and a half strokes
    session = tight()
    for _ in range(5):
        session = session.do("pump", strokes=2).do("hold", minutes=2.0)
    assert session.breaches == ()
    session = tight()
    for _ in range(3):
        session = session.do("pump", strokes=1)
    assert [one.name for one in session.breaches] == ["hold skipped"]
    at_once = tight().do("pump", strokes=5)
    assert [one.name for one in at_once.breaches] == ["raised too far at once"]


@pytest.mark.parametrize(
    ("step", "choices", "message"),
    [
        ("pump", {}, r"^Choose strokes, or a load to pump up to\."),
        ("pump", {"strokes": 1, "to_lbf": 5.0}, r"^Choose strokes, or a load to pump up to\."),
        ("pump", {"strokes": 500}, r"^strokes is 500 ?; it must be from 0\.1 to 200\."),
        ("pump", {"strokes": 1, "pumped": "by foot"}, r"^how the jacks are pumped is 'by foot'"),
        ("hold", {"minutes": 2.0}, r"^No load is on: there is nothing to hold\. Pump first\."),
    ],
)
def test_pump_that_cannot_be_worked_says_so(step, choices, message):
    with pytest.raises(ValueError, match=message):
        tight().do(step, **choices)


def test_slide_hammer_has_no_pump():
    session = start_pulling(key=CLEAN, seed=1).do("rig", links=[LINKS[1]])
    with pytest.raises(ValueError, match=r"^The rig has no pump\. Strike a blow instead\."):
        session.do("pump", strokes=1)


def test_pull_of_before_is_pumped_on_from_the_load_that_was_set():
    old = {name: GIVE[name] for name in ("spring_lbf_per_in", "ram_area_in2", "rod_yields_lbf")}
    session = start_pulling(key=STUCK, seed=1).do("measure ends")
    session = session.do("rig", links=LINKS, give=old).do("load", load_lbf=6_000.0)
    assert session.do("pump", strokes=1).state.load_lbf == pytest.approx(6_000 + STROKE_LBF)


# penetrant by hours


def test_penetrant_creeps_with_the_root_of_time():
    # Washburn, Physical Review 17 (1921): depth squared over time is constant
    depths = [crept_depth_in(hours=h, first_hour_in=0.7) for h in (0.25, 1, 4, 9)]
    assert depths == pytest.approx([0.35, 0.7, 1.4, 2.1])
    assert wetted_share(depth_in=0.7, length_in=7.0, ends=1) == pytest.approx(0.1)
    assert wetted_share(depth_in=0.7, length_in=7.0) == pytest.approx(0.2)
    assert wetted_share(depth_in=9.0, length_in=7.0) == 1


def soaked(key, *hours):
    session = start_pulling(key=key, seed=1)
    for one in hours:
        session = session.do("penetrant", hours=one, creeps=True)
    return session


RUSTY = replace(CLEAN, floor_friction=0.3, roof_friction=0.3, bond_lbf=8_000.0)
SCALE = replace(RUSTY, bond_lbf=120_000.0)


def test_hours_help_less_and_less_and_putting_it_on_again_helps_on():
    starts = [soaked(RUSTY, h).state.key.start_lbf for h in (1, 4, 8, SOAK_AGAIN_H)]
    assert RUSTY.start_lbf > starts[0]
    assert starts == sorted(starts, reverse=True)
    # the first hour does more than the ninth to the twelfth together
    assert RUSTY.start_lbf - starts[0] > starts[2] - starts[3]
    # dry at the edge: hours after that do nothing, a second coat does
    assert soaked(RUSTY, 72).state.key.start_lbf == pytest.approx(starts[3])
    assert soaked(RUSTY, 12, 12).state.key.start_lbf < starts[3]
    assert "put it on again" in last(soaked(RUSTY, 72)).note
    assert "put it on again" not in last(soaked(RUSTY, 8)).note


def test_two_soaks_are_one_of_both_together():
    at_once, halves = soaked(RUSTY, 12).state.key, soaked(RUSTY, 6, 6).state.key
    assert halves.start_lbf == pytest.approx(at_once.start_lbf)
    assert halves.bond_lbf == pytest.approx(at_once.bond_lbf)


def test_penetrant_never_takes_all_and_a_clean_key_gains_nothing():
    many = soaked(RUSTY, *[12] * 20)
    assert 0.6 * RUSTY.bond_lbf < many.state.key.bond_lbf < RUSTY.bond_lbf
    assert soaked_share(wet_h=1e6, open_to_it=1.0, length_in=8.0) < 0.5
    assert soaked(CLEAN, 48).state.key.start_lbf == pytest.approx(CLEAN.start_lbf)
    assert "comes back clean" in last(soaked(CLEAN, 12)).note
    assert "rusty" in last(soaked(RUSTY, 12)).note


def test_longer_key_takes_longer():
    shares = [soaked_share(wet_h=8, open_to_it=1.0, length_in=n) for n in (4.0, 8.0, 16.0)]
    assert shares[0] > shares[1] == pytest.approx(2 * shares[2])


def test_rust_that_holds_more_than_friction_lets_nothing_in_and_is_seen_not_to():
    assert open_share(CLEAN) == 1
    assert 0 < open_share(RUSTY) < 1
    assert open_share(SCALE) == 0
    session = soaked(SCALE, 12, 12, 12)
    assert session.state.key.start_lbf == pytest.approx(SCALE.start_lbf)
    assert "does not draw in" in last(session).note


def test_soak_of_a_record_from_before_comes_out_as_it_did_then():
    session = start_pulling(key=RUSTY, seed=1).do("penetrant", hours=12.0)
    # 0.35 (1 - 1/e) of the bond
    assert session.state.key.bond_lbf == pytest.approx(8_000 * (1 - 0.35 * (1 - math.exp(-1))))
    assert last(session).note == "Penetrant has soaked for 12 h from both ends."


# the hub's ring


def ring(shaft):
    return ring_opening_in_per_lbf(
        outside_in=12.0,
        bore_in=6.0,
        length_in=8.0,
        keyway_depth_in=0.5,
        key_width_in=1.5,
        shaft=shaft,
    )


@pytest.mark.parametrize("shaft", [LOOSE, CLOSE])
def test_squeeze_of_a_stuck_key_is_that_of_the_sheet_s_ring(shaft):
    key = draw_seated_key(seed=3, pressure_psi=(8_000, 8_000), ring_in_per_lbf=ring(shaft))
    forces = [
        squeeze_force_lbf(
            squeeze_in=key.squeeze_in,
            face_area_in2=12.0,
            seat_in_per_psi=seat_compliance_in_per_psi(height_in=1, width_in=1.5, seat_depth=depth),
            ring_in_per_lbf=ring(shaft),
        )
        for depth in (0.5, 1.7)
    ]
    assert min(forces) <= key.normal_force_lbf <= max(forces)
    # 8,000 psi comes of some half an inch of travel and more, not of an eighth
    assert 0.25 < key.free_in < 0.9


def test_heat_frees_less_of_a_key_whose_hub_gives():
    stiff = draw_seated_key(seed=3)
    soft = draw_seated_key(seed=3, ring_in_per_lbf=ring(CLOSE))
    assert soft.start_lbf == stiff.start_lbf
    left = [
        start_pulling(key=key, seed=1)
        .do("heat", difference_f=100.0, cools=True)
        .state.key_now.start_lbf
        for key in (stiff, soft)
    ]
    assert left[0] < left[1] < soft.start_lbf
    # what is left falls with the growth of the opening over the squeeze
    growth = 6.39e-6 * 20 * (6 + 1)
    assert left[1] / soft.start_lbf == pytest.approx(1 - growth / soft.squeeze_in, rel=0.01)


@pytest.mark.parametrize("kind", ["serviced", "rusted", "turned"])
def test_key_of_today_pulls_as_that_of_before_and_knows_its_hub(kind):
    for seed in range(1, 12):
        before, now = (draw_case(kind=kind, seed=seed, model=model) for model in (1, 2))
        assert now.key.start_lbf == before.key.start_lbf
        assert now.key.squeeze_in > 1.5 * before.key.squeeze_in
        assert before.hub_outside_in == 0
        assert 1.7 < now.hub_outside_in / now.bore_in < 2.3
        assert f"outside {now.hub_outside_in:g} in" in dict(now.facts())["Hub"]


def test_stop_mark_of_the_gauge_lies_on_a_division_below_the_stop_load():
    inch, metric = a_pull(), a_pull(units=METRIC)
    for book, division in ((inch, 100.0), (metric, 10 / 0.0689475729)):
        stop, area = min(book.capacities_lbf().values()), book.session.state.give.ram_area_in2
        assert book.mark_psi / division == pytest.approx(round(book.mark_psi / division))
        assert stop / area - division < book.mark_psi <= stop / area
    assert re.fullmatch(r"Chalk on the gauge: stop at \d+0 bar, which is .* kN here\.",
                        metric.chalked()[0])  # fmt: skip


# records


def a_pull(units=INCH):
    seed = next(n for n in range(1, 99) if draw_case(kind="rusted", seed=n).end == "tapped")
    book = PullingBook(seed=seed, kind="rusted", units=units)
    book.do("measure ends")
    book.set_up(rig="two jacks", hold="marked rod")
    book.strokes(5)
    book.strokes(1, pumped=PUMPED[2])
    book.hold_load(2.0)
    book.load(book.next_load_lbf(), held_min=1.0)
    book.do("ease")
    book.soak(12.0)
    return book


def test_pull_of_today_is_taken_up_and_replayed_as_it_was():
    book = a_pull()
    again = PullingBook(seed=0)
    again.restore(book.record())
    assert again.session.state == book.session.state
    replay = replay_of(bench="pulling", record=book.record())
    assert replay.title(3) == "Step 3 of 8: pumped 5 strokes"
    assert any(line.startswith("5 strokes; the gauge after each one: 0,") for line in
               replay.frame(3).seen)  # fmt: skip
    assert replay.title(4) == "Step 4 of 8: pumped 1 stroke, both jacks on one pump"
    assert not any(OLDER_BENCH in replay.frame(n).seen for n in range(1, 9))


def test_pull_of_before_is_named_as_such_and_its_key_is_that_of_then():
    record = a_pull().record()
    del record["model"]
    record["session"]["steps"] = record["session"]["steps"][:2]
    replay = replay_of(bench="pulling", record=record)
    assert replay.frame(1).seen[0] == OLDER_BENCH
    book = PullingBook(seed=0)
    book.restore(record)
    assert book.case.hub_outside_in == 0
    assert book.record() == record
