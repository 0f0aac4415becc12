"""Loading in steps: it moves, it stays, or the weakest link goes."""

import json

import pytest

from keycourse.fit.bench.fitting import start_fitting
from keycourse.fit.bench.hands import fit_with
from keycourse.hazards import sentences
from keycourse.measure.bench.slot import SlotParameters, draw_slot
from keycourse.pull.bench.pulling import start_pulling
from keycourse.pull.bench.seated import (
    SeatedKey,
    age_key,
    draw_seated_key,
    seated_from_fitting,
)
from keycourse.pull.bench.state import (
    HAZARDS,
    LINK_NAMES,
    RigLink,
)

# 150,000 lbf on the faces at friction .10: (.1895) 28,400 lbf draws it; worked in the course design
CLEAN = SeatedKey(normal_force_lbf=150_000.0, squeeze_in=0.00125)
RIG = (
    RigLink(name="jacks", working_lbf=40_000.0, breaking_lbf=50_000.0),
    RigLink(name="rod", working_lbf=60_000.0, breaking_lbf=110_000.0),
    RigLink(name="thread", working_lbf=55_000.0, breaking_lbf=100_000.0),
    RigLink(name="strongback", working_lbf=45_000.0, breaking_lbf=75_000.0),
)


def links_with(**changed):
    return [
        RigLink(name=one.name, **changed[one.name]) if one.name in changed else one for one in RIG
    ]


def raised(session, *, to):
    """Go up in quarters of the stop load, as far as the rig holds and the key sits."""
    load = session.state.load_lbf
    while load < to and not session.finished and session.state.links:
        load = min(to, load + session.state.weakest.working_lbf / 4)
        session = session.do("load", load_lbf=load)
    return session


def turned_round(**changes):
    values = {**CLEAN.to_dict(), "small_end_shows": True, **changes}
    return SeatedKey(**values)


def test_clean_key_starts_at_the_force_of_the_wedge_formula():
    assert CLEAN.start_lbf == pytest.approx(0.1895 * 150_000, rel=0.001)


def test_key_stays_below_and_starts_above():
    session = start_pulling(key=CLEAN, seed=1).do("measure ends").rig(RIG)
    session = raised(session, to=20_000.0)
    assert session.observations[-1].outcome == "still"
    session = raised(session, to=32_000.0)
    seen = session.observations[-1]
    assert seen.outcome == "moved"
    assert seen.values["load_lbf"] == pytest.approx(28_428, abs=30)
    # squeeze over taper: 0.00125 x 96 = 0.12 in and it is free
    assert seen.values["out_in"] == pytest.approx(0.12)
    summary = session.summary()
    assert summary.outcome == "out"
    assert summary.faults == ()
    assert summary.margin_lbf == pytest.approx(40_000 - 28_428, abs=30)


def test_rust_takes_it_beyond_the_jacks():
    rusted = SeatedKey(**{**CLEAN.to_dict(), "floor_friction": 0.27, "roof_friction": 0.27})
    assert rusted.start_lbf == pytest.approx(79_400, rel=0.005)
    session = start_pulling(key=rusted, seed=1).do("measure ends").rig(RIG)
    session = raised(session, to=40_000.0).do("ease")
    summary = session.summary()
    assert summary.outcome == "stuck"
    assert summary.margin_lbf < 0
    assert summary.faults == ()


@pytest.mark.parametrize("name", sorted(LINK_NAMES))
def test_weakest_link_goes_and_says_what_it_would_have_hurt(name):
    rusted = SeatedKey(**{**CLEAN.to_dict(), "floor_friction": 0.27, "roof_friction": 0.27})
    weak = RigLink(name=name, working_lbf=12_000.0, breaking_lbf=20_000.0)
    links = [weak, *(one for one in RIG if one.name != name)]
    if name == "jacks":
        links = [weak, *RIG[1:]]
    session = start_pulling(key=rusted, seed=1).do("measure ends").rig(links)
    assert session.observations[-1].values["weakest"] == name
    session = raised(session, to=18_000.0)
    assert session.observations[-1].outcome == "still"
    assert session.observations[-1].values["over"] == [name]
    session = raised(session, to=30_000.0)
    seen = session.observations[-1]
    assert seen.outcome == "gave way"
    assert seen.values["link"] == name
    assert LINK_NAMES[name] in seen.note
    assert 0.95 * 20_000 <= seen.values["load_lbf"] <= 1.08 * 20_000
    summary = session.summary()
    assert summary.outcome == "broken"
    assert summary.faults == ("over working load", "link broken")


def test_stripped_thread_cannot_be_used_again():
    rusted = SeatedKey(**{**CLEAN.to_dict(), "floor_friction": 0.4, "roof_friction": 0.4})
    weak = links_with(thread={"working_lbf": 9_000.0, "breaking_lbf": 15_000.0})
    session = start_pulling(key=rusted, seed=1).rig(weak).do("load", load_lbf=30_000.0)
    with pytest.raises(ValueError, match=r"^The thread has given way on an earlier pull\."):
        session.rig(RIG)


@pytest.mark.parametrize("load_lbf", [10_000.0, 100_000.0, 400_000.0])
def test_reversed_hub_never_moves_whatever_the_force(load_lbf):
    strong = [RigLink(name=one.name, working_lbf=2e6, breaking_lbf=3e6) for one in RIG]
    session = start_pulling(key=turned_round(), seed=1).rig(strong)
    before = session.state.key.start_lbf
    session = session.do("load", load_lbf=load_lbf)
    assert not session.finished
    assert session.state.key.start_lbf >= before
    summary = session.summary()
    assert summary.outcome == "stuck"
    assert summary.faults == ("not measured", "pulled the small end")
    assert not summary.small_end.possible
    if load_lbf > 32_000:
        assert session.observations[-1].outcome == "tightened"
        # N after = P / .2105
        assert session.state.key.normal_force_lbf == pytest.approx(load_lbf / 0.2105, rel=0.001)


def test_measuring_both_ends_tells_the_reversed_hub():
    seen = start_pulling(key=turned_round(), seed=3).do("measure ends").observations[-1]
    assert seen.values["far_in"] - seen.values["near_in"] == pytest.approx(8 / 96, abs=0.003)
    assert "small end shows" in seen.note
    plain = start_pulling(key=CLEAN, seed=3).do("measure ends").observations[-1]
    assert plain.values["near_in"] - plain.values["far_in"] == pytest.approx(8 / 96, abs=0.003)


def test_ways_out_of_the_reversed_hub():
    session = start_pulling(key=turned_round(), seed=1).do("measure ends")
    refused = session.do("push", load_lbf=50_000.0)
    assert refused.observations[-1].outcome == "refused"
    off = session.do("remove hub")
    assert off.summary().outcome == "hub off"
    assert off.summary().faults == ()
    roomy = start_pulling(key=turned_round(room_behind=True), seed=1).do("measure ends")
    assert roomy.do("push", load_lbf=20_000.0).observations[-1].outcome == "still"
    assert roomy.do("push", load_lbf=40_000.0).summary().outcome == "out"


def test_ordinary_hub_does_not_come_off_over_its_key():
    session = start_pulling(key=CLEAN, seed=1).do("remove hub")
    assert session.observations[-1].outcome == "refused"
    assert not session.finished


def test_push_on_the_large_end_is_refused():
    seen = start_pulling(key=CLEAN, seed=1).do("push", load_lbf=1_000.0).observations[-1]
    assert seen.outcome == "refused"


def test_heat_opens_the_slot_and_eases_the_pull():
    session = start_pulling(key=CLEAN, seed=1).do("heat", difference_f=100.0)
    # a fifth of 100 F reaches the key: 6.39e-6 x 20 x (6 + 1) = 0.00089 in of 0.00125
    assert session.observations[-1].values["growth_in"] == pytest.approx(0.00089, abs=1e-5)
    assert session.state.key.start_lbf == pytest.approx(
        CLEAN.start_lbf * (1 - 0.00089456 / 0.00125), rel=0.001
    )


def test_heat_over_penetrant_is_refused_until_it_is_wiped():
    session = start_pulling(key=CLEAN, seed=1).do("penetrant", hours=12.0)
    refused = session.do("heat", difference_f=200.0)
    assert refused.observations[-1].outcome == "refused"
    assert refused.state.key == session.state.key
    assert "heat over penetrant" in refused.summary().faults
    wiped = session.do("wipe").do("heat", difference_f=200.0)
    assert wiped.observations[-1].outcome == "done"
    assert wiped.summary().faults == ()


def test_penetrant_helps_a_rusted_key_more_with_time_and_a_clean_one_not():
    rusted = SeatedKey(
        **{**CLEAN.to_dict(), "floor_friction": 0.3, "roof_friction": 0.3, "bond_lbf": 5_000.0}
    )
    starts = [
        start_pulling(key=rusted, seed=1).do("penetrant", hours=h).state.key.start_lbf
        for h in (1.0, 8.0, 48.0)
    ]
    assert rusted.start_lbf > starts[0] > starts[1] > starts[2] > 0.6 * rusted.start_lbf
    clean = start_pulling(key=CLEAN, seed=1).do("penetrant", hours=48.0)
    assert clean.state.key.start_lbf == pytest.approx(CLEAN.start_lbf)


def test_more_jack_moves_the_weak_place_elsewhere():
    session = start_pulling(key=CLEAN, seed=1).rig(RIG)
    session = session.do("jacks", working_lbf=100_000.0, breaking_lbf=130_000.0)
    assert session.observations[-1].values["weakest"] == "strongback"
    said = session.observations[-1].cautions
    assert list(said) == sentences(HAZARDS["jacks"])


def test_every_step_that_can_hurt_carries_its_cautions():
    session = start_pulling(key=CLEAN, seed=1).rig(RIG).do("load", load_lbf=1_000.0)
    assert any("Nobody in line" in one for one in session.observations[-1].cautions)
    assert any("Permit, fire watch" in one for one in sentences(HAZARDS["heat"]))


def test_years_make_it_worse_and_water_more_so():
    starts = [
        age_key(key=CLEAN, years=years, wet=wet, seed="a").start_lbf
        for years, wet in ((0.0, False), (5.0, False), (5.0, True), (30.0, True))
    ]
    assert starts[0] == pytest.approx(CLEAN.start_lbf)
    assert starts == sorted(starts)
    assert starts[-1] > 2.4 * starts[0]


def test_drawn_seat_is_the_same_each_time_and_within_its_limits():
    keys = [draw_seated_key(seed=seed) for seed in range(40)]
    assert keys[0] == draw_seated_key(seed=0)
    forces = [key.normal_force_lbf for key in keys]
    assert 8_000 * 12 <= min(forces) < max(forces) <= 14_000 * 12


def test_fitted_key_goes_on_to_the_pulling_bench():
    session = start_fitting(
        slot=draw_slot(parameters=SlotParameters(), seed=2),
        seed=2,
        length_count=128,
        width_count=24,
    )
    summary = fit_with(session=session, hand="careful").summary()
    key = seated_from_fitting(summary=summary, lubricant="anti-seize")
    assert key.start_lbf == pytest.approx(summary.pull_clean_lbf)
    pulled = start_pulling(key=key, seed=1).do("measure ends").rig(RIG)
    assert pulled.do("load", load_lbf=38_000.0).summary().outcome == "out"


def test_key_that_was_not_driven_cannot_be_pulled():
    session = start_fitting(slot=draw_slot(parameters=SlotParameters(), seed=2), seed=2)
    with pytest.raises(ValueError, match=r"^number of drives is 0; it must be 1\. Drive the key"):
        seated_from_fitting(summary=session.summary(), lubricant="oil")


def test_session_resumes_from_its_record_and_holds_no_hidden_value():
    session = start_pulling(key=CLEAN, seed=5).do("measure ends").rig(RIG)
    session = session.do("load", load_lbf=10_000.0).do("heat", difference_f=50.0)
    text = json.dumps(session.record())
    for hidden in ("normal_force", "friction", "squeeze", "bond"):
        assert hidden not in text
        assert hidden not in json.dumps([one.to_dict() for one in session.observations])
    again = start_pulling(key=CLEAN, seed=0).resumed(json.loads(text))
    assert again.steps == session.steps
    assert again.state == session.state
    assert again.summary() == session.summary()


@pytest.mark.parametrize(
    ("step", "choices", "message"),
    [
        ("load", {"load_lbf": 100.0}, r"^No rig stands on the key: there is nothing to pull with"),
        ("heat", {"difference_f": 900.0}, r"^hub above shaft and key is 900 F; it must be from"),
        ("rig", {"links": []}, r"^number of links is 0 ?; it must be from 1 to 12\. Choose jacks"),
        (
            "yank",
            {},
            r"^step is 'yank'; it must be one of: ease, feel hose, heat, hold, jacks",
        ),
    ],
)
def test_step_that_cannot_be_done_is_refused(step, choices, message):
    with pytest.raises(ValueError, match=message):
        start_pulling(key=CLEAN, seed=1).do(step, **choices)


def test_nothing_can_be_done_once_the_key_is_out():
    session = start_pulling(key=CLEAN, seed=1).rig(RIG).do("load", load_lbf=35_000.0)
    assert session.finished
    with pytest.raises(ValueError, match=r"^The key is out: there is nothing left to do to it\."):
        session.do("ease")
