"""A pull in time: creep, a rod that stretches, jacks that are uneven, a hub that follows, heat."""

from dataclasses import asdict, replace

import pytest

from keycourse.pull.bench.book import PullingBook
from keycourse.pull.bench.cases import draw_case
from keycourse.pull.bench.give import THROWN_IN, Give, creep_in, give_of, heat_left, rod_set_in
from keycourse.pull.bench.pulling import start_pulling
from keycourse.pull.bench.rigs import give_on, rig_parts
from keycourse.pull.bench.seated import SeatedKey
from keycourse.pull.load_path import draw_load_path

CLEAN = SeatedKey(normal_force_lbf=150_000.0, squeeze_in=0.00125)
RUSTED = SeatedKey(normal_force_lbf=150_000.0, squeeze_in=0.00125, floor_friction=0.3,
                   roof_friction=0.3)  # fmt: skip
LINKS = [
    {"name": "jacks", "working_lbf": 32_000.0, "breaking_lbf": 200_000.0},
    {"name": "rod", "working_lbf": 30_000.0, "breaking_lbf": 50_000.0},
    {"name": "strongback", "working_lbf": 45_000.0, "breaking_lbf": 200_000.0},
]
GIVE = {"spring_lbf_per_in": 400_000.0, "ram_area_in2": 4.0, "rod_yields_lbf": 42_000.0}


def rigged(key, *, give=GIVE, seed=1, **choices):
    more = {"give": give} if give else {}
    session = start_pulling(key=key, seed=seed).do("measure ends")
    return session.do("rig", links=LINKS, **more, **choices)


def raised(session, *, to, step=3_000.0, **choices):
    while session.state.load_lbf < to and not session.finished and session.state.links:
        load_lbf = min(to, session.state.load_lbf + step)
        session = session.do("load", load_lbf=load_lbf, **choices)
        if session.observations[-1].outcome == "hub moved":
            break
    return session


def test_key_that_is_about_to_start_creeps_while_it_is_held():
    start = CLEAN.start_lbf
    session = raised(rigged(CLEAN), to=0.97 * start)
    before = session.state
    session = session.do("load", load_lbf=0.975 * start, held_min=2.0)
    seen = session.observations[-1]
    assert seen.outcome == "still"
    assert "the mark on the key has come" in seen.note
    crept = session.state.crept_in - before.crept_in
    assert 0.0003 < crept < 0.01
    # the gauge fell by what rod and oil gave back
    assert f"{before.load_lbf - crept * 400_000.0:,.0f} lbf" in str(seen.note)


def test_key_far_from_its_start_stands_still():
    session = raised(rigged(CLEAN), to=0.5 * CLEAN.start_lbf, held_min=2.0)
    assert session.state.crept_in == 0
    assert creep_in(share=0.85, minutes=30.0) == 0
    assert creep_in(share=0.99, minutes=2.0) > creep_in(share=0.99, minutes=1.0) > 0


@pytest.mark.parametrize("seed", range(12))
def test_rod_is_seen_to_stretch_before_it_parts(seed):
    session = rigged(RUSTED, seed=seed)
    stretched = 0
    while session.state.links:
        session = session.do("load", load_lbf=session.state.load_lbf + 3_000.0)
        seen = session.observations[-1]
        if "the rod stretches for good" in seen.note:
            stretched += 1
            assert seen.values["load_lbf"] > 30_000  # over the working load already
            elastic = 3_000 / 400_000
            assert seen.values["strokes"] > elastic * 4.0 / 0.06
    assert session.observations[-1].values["link"] == "rod"
    assert stretched >= 1


def test_rod_under_its_yield_takes_no_set_and_one_that_parts_has_taken_the_most():
    assert rod_set_in(load_lbf=42_000, yields_lbf=42_000, parts_lbf=50_000) == 0
    some = rod_set_in(load_lbf=46_000, yields_lbf=42_000, parts_lbf=50_000)
    most = rod_set_in(load_lbf=50_000, yields_lbf=42_000, parts_lbf=50_000)
    assert 0 < some < most
    assert rod_set_in(load_lbf=9e9, yields_lbf=0.0, parts_lbf=0.0) == 0  # no rod


def test_one_jack_ahead_tips_the_bar_and_then_throws_it():
    session = rigged(RUSTED).do("load", load_lbf=6_000.0, pumped="one first")
    seen = session.observations[-1]
    assert seen.outcome == "still"
    assert "the bar tips" in seen.note
    assert session.state.tilt_in == pytest.approx(2 * 6_000 / 400_000)
    assert [one.name for one in session.breaches] == ["one jack ahead"]
    eased = session.do("ease")
    assert eased.state.tilt_in == 0
    session = raised(session, to=30_000.0, pumped="one first")
    assert session.observations[-1].outcome == "gave way"
    assert "bar and jack fly" in session.observations[-1].note
    assert session.state.tilt_in > THROWN_IN
    in_turn = raised(rigged(RUSTED), to=30_000.0)
    assert in_turn.state.tilt_in == 0


def test_hub_follows_a_rig_on_the_shaft_only_where_the_bore_does_not_hold_it():
    light = replace(RUSTED, normal_force_lbf=60_000.0)
    rusted = raised(rigged(light, feet="shaft"), to=29_000.0)
    moved = next(one for one in rusted.observations if one.outcome == "hub moved")
    bore = rusted.state.bore_friction
    # bore and flat face of the key slide together, the key in the hub does not
    assert moved.values["load_lbf"] == pytest.approx(60_000 * (bore + 0.3), abs=1)
    assert moved.values["load_lbf"] < light.start_lbf
    assert not rusted.finished
    on_hub = raised(rigged(light), to=29_000.0)
    assert all(one.outcome == "still" for one in on_hub.observations if one.step == "load")
    assert [one.name for one in rusted.breaches][0] == "feet on the shaft"


def test_heat_is_lost_again_and_does_not_add_up():
    session = rigged(CLEAN)
    hot = session.do("heat", difference_f=100.0, cools=True)
    # a fifth of 100 F reaches the key: 6.39e-6 x 20 x (6 + 1) = 0.00089 in of 0.00125
    assert hot.observations[-1].values["growth_in"] == pytest.approx(0.00089, abs=1e-5)
    assert hot.state.key_now.start_lbf == pytest.approx(0.2844 * CLEAN.start_lbf, rel=0.01)
    twice = hot.do("heat", difference_f=100.0, cools=True)
    assert twice.state.key_now.start_lbf == pytest.approx(hot.state.key_now.start_lbf, rel=1e-6)
    later = hot
    for _ in range(60):
        later = later.do("load", load_lbf=100.0, held_min=2.0)
    assert later.state.key_now.start_lbf == pytest.approx(CLEAN.start_lbf, rel=0.01)
    assert heat_left(0.0) == 1
    assert heat_left(20.0) * heat_left(5.0) == pytest.approx(heat_left(25.0))


def test_pull_right_after_the_heat_needs_less_than_one_that_waits():
    hot = rigged(CLEAN).do("heat", difference_f=100.0, cools=True)
    at_once = raised(hot, to=30_000.0, held_min=1.0)
    waited = raised(hot.do("penetrant", hours=1.0), to=30_000.0, held_min=1.0)
    assert at_once.summary().outcome == waited.summary().outcome == "out"
    assert at_once.summary().peak_lbf < 0.6 * waited.summary().peak_lbf


def test_start_is_a_jump_and_the_gauge_falls():
    session = raised(rigged(CLEAN), to=32_000.0, step=7_000.0)
    seen = session.observations[-1]
    assert seen.outcome == "moved"
    assert seen.values["load_lbf"] == pytest.approx(CLEAN.start_lbf, abs=1)
    assert 0 < seen.values["jump_in"] <= 0.12
    # what is left on the rig is what the spring has not given back
    left = max(0.0, CLEAN.start_lbf - 400_000 * seen.values["jump_in"])
    assert seen.values["after_lbf"] == pytest.approx(left, abs=400_000 * 0.0006)


def test_record_of_before_comes_out_as_it_came_out_then():
    steps = [
        {"do": "measure ends"},
        {"do": "rig", "links": LINKS},
        {"do": "heat", "difference_f": 100.0},
        {"do": "load", "load_lbf": 7_000.0},
        {"do": "load", "load_lbf": 14_000.0},
    ]
    record = {"bench": "pulling", "seed": 1, "steps": steps}
    session = start_pulling(key=CLEAN, seed=0).resumed(record)
    # heat of an earlier record stays, whatever time goes by
    assert session.state.key.start_lbf == pytest.approx(0.2844 * CLEAN.start_lbf, rel=0.01)
    # the sentence of the version before, word for word
    start = f"{session.state.key.start_lbf:,.0f}"
    assert session.observations[-1].note == (
        f"It starts with a bang at {start} lbf and comes 0.03 in; from there it slides out by hand."
    )
    assert "run_in" not in session.observations[-2].values


def test_springs_of_a_rig_come_from_its_parts():
    parts = rig_parts(
        end="tapped", width_in=1.5, thread_name="1-8 UNC", rig="two jacks", hold="marked rod"
    )
    give = give_of(parts=parts, rod_yields_lbf=1.0)
    # rod E A / L, 20 in long; bar 48 E I / L^3; oil K A^2 / V, 2 in high and two hoses of 3.5 in3
    second = parts.bar_width_in * parts.bar_depth_in**3 / 12
    bar = 48 * 30e6 * second / parts.bar_span_in**3
    rod, oil = 30e6 * 0.606 / 20, 2e5 * 4.48**2 / (4.48 * 2 + 2 * 3.5)
    assert give.ram_area_in2 == 4.48  # two of 2.24 in2, as in lesson 05
    assert give.spring_lbf_per_in == pytest.approx(1 / (1 / rod + 1 / bar + 1 / oil), rel=0.001)
    assert give.stored_lbf_in(20_000.0) == pytest.approx(
        20_000**2 / 2 * (1 / rod + 1 / bar + 1 / oil), rel=0.001
    )


@pytest.mark.parametrize("name", ["spring_lbf_per_in", "ram_area_in2"])
def test_rig_without_springs_is_refused(name):
    with pytest.raises(ValueError, match=r"it must be above 0"):
        Give.kept({**GIVE, name: 0.0})


@pytest.mark.parametrize("kind", ["serviced", "rusted"])
def test_careful_pull_is_seen_on_the_path_of_the_load(kind):
    seed = next(n for n in range(1, 99) if draw_case(kind=kind, seed=n).end == "tapped")
    book = PullingBook(seed=seed, kind=kind)
    book.do("measure ends")
    book.set_up(rig="two jacks", hold="marked rod")
    stop = min(book.capacities_lbf().values())
    assert asdict(book.session.state.give) == asdict(
        give_on(case=book.case, rig="two jacks", hold="marked rod")
    )
    while not book.over and book.next_load_lbf() <= stop:
        book.load(book.next_load_lbf(), held_min=1.0)
    points, jumped, shown = book.load_path()
    assert shown == stop
    assert jumped == book.session.finished
    runs = [run for run, _ in points]
    assert runs == sorted(runs)
    assert (
        "Load against the run of the jacks"
        in draw_load_path(points=points, stop_lbf=stop, jumped=jumped).text
    )
    assert book.session.breaches == ()
