"""Force explorer and pulling bench, worked without a browser."""

from __future__ import annotations

import json
import re
from collections import Counter
from html import unescape

import pytest

from coursework.page.controls import MemoryStore
from keycourse.pull.bench.breaches import BREACHES
from keycourse.pull.bench.cases import KINDS, draw_case
from keycourse.pull.bench.pulling import start_pulling
from keycourse.pull.bench.rigs import links_of, one_blow, reckoned_links
from keycourse.pull.faces import STORE_KEY, pulling_bench
from keycourse.pull.faces_force import force_explorer, forces_of
from taperkey.formulas.chain import REQUIRED_LINKS

from .frontend import all_of


def words(box):
    return unescape(re.sub(r"<[^>]+>", " ", box.value))


class JsonStore(MemoryStore):
    """Keeps text, as a file would."""

    def get(self, key):
        kept = super().get(key)
        return None if kept is None else json.loads(kept)

    def set(self, key, value):
        super().set(key, json.dumps(value))


def bench_on(kind, *, fits, store=None):
    """Return a bench on the first key of a kind that fits."""
    for seed in range(1, 60):
        if fits(draw_case(kind=kind, seed=seed)):
            bench = pulling_bench(seed=seed - 1, store=store).face
            bench.kind.value = kind
            bench.start()
            return bench
    raise AssertionError("no such key in 60")


def margin(case, hold=0):
    links = links_of(case=case, rig="two jacks", hold=case.holds[hold])
    return min(link.working_lbf for link in links) / case.key.start_lbf


def easy(case):
    # more than a step or two starts it
    return case.end == "tapped" and margin(case) > 1.15 and case.key.start_lbf > 8_000


def rig(bench, name="two jacks", hold=0):
    bench.rig.value = name
    bench.hold.value = bench.book.case.holds[hold]
    bench.set_up()


def pull_on(bench, steps=60):
    for _ in range(steps):
        if bench.book.session.finished or bench.book.gone:
            return
        bench.one_step()


# the forces


def test_forces_of_the_course_design():
    result = forces_of(
        normal_thousand_lbf=150,
        taper_in_per_ft=0.125,
        floor_friction=0.1,
        roof_friction=0.1,
        action="driven in",
    )
    assert result.driving_lbf == pytest.approx(0.2105 * 150_000, rel=0.001)
    assert result.withdrawing_lbf == pytest.approx(0.1895 * 150_000, rel=0.001)
    assert result.holding.holds


def test_force_face_redraws_once_and_says_it_in_words():
    face = force_explorer().face
    before = face.redraws
    face.inputs["taper_in_per_ft"].box.value = 3.0  # 1:4 at friction .10: beyond self-holding
    assert face.redraws == before + 1
    assert "keep it from coming out" in words(face.words)
    assert "creeps out by itself" in words(face.words)
    face.inputs["taper_in_per_ft"].box.value = 0.125
    assert "holds by friction" in words(face.words)
    face.inputs["action"].value = "pulled by the small end"
    assert "No pull on this end brings it out." in words(face.words)
    assert "small end" in face.picture.value


def test_every_control_has_a_name_and_a_tip():
    face = force_explorer().face
    for name, control in face.inputs.items():
        box = control if name == "action" else control.box
        assert box.description
        assert box.tooltip


# the bench


def test_seat_force_is_nowhere_on_the_page_before_the_end():
    bench = bench_on("serviced", fits=easy)
    bench.measure()
    rig(bench)
    bench.one_step()
    hidden = bench.book.case.key
    page = " ".join(
        box.value
        for box in (bench.facts, bench.look_words, bench.rig_words, bench.words, bench.picture,
                    bench.chain, bench.table)
    )  # fmt: skip
    for value in (hidden.normal_force_lbf, hidden.start_lbf):
        assert f"{value:,.0f}" not in page
        assert f"{value:,.0f}" not in repr(bench.book.case)
    bench.reveal()
    assert "still in" in words(bench.end_words)
    assert bench.forces.value == ""


def test_ordinary_pull_to_free():
    bench = bench_on("serviced", fits=easy)
    bench.measure()
    assert "falling inward" in words(bench.look_words)
    rig(bench)
    assert "governs" in bench.chain.value
    bench.one_step()
    assert "nothing moves" in words(bench.words)
    assert "working load" in words(bench.words)
    assert bench.book.load_lbf > 0
    pull_on(bench)
    assert "starts with a bang" in words(bench.words)
    assert "The key is out." in bench.picture.value
    bench.reveal()
    said = words(bench.end_words)
    assert f"{bench.book.case.key.start_lbf:,.0f} lbf" in said
    assert "Nothing was done out of turn." in said
    assert 'role="img"' in bench.forces.value


def test_reversed_hub_never_moves_and_the_numbers_say_why():
    bench = bench_on("turned", fits=lambda c: c.end == "tapped" and not c.key.room_behind)
    bench.measure()
    assert "growing inward" in words(bench.look_words)
    rig(bench)
    working = min(bench.book.capacities_lbf().values())
    while bench.book.next_load_lbf() <= working:
        bench.one_step()
        assert not bench.book.session.finished
    bench.push()
    assert "no room behind" in words(bench.help_words)
    bench.stop()
    assert "Stopping is never marked down." in words(bench.end_words)
    bench.reveal()
    said = words(bench.end_words)
    assert "no pull draws it from this end" in said
    assert BREACHES["pulled the small end"].summed in said
    assert "further in" in bench.forces.value


def test_reversed_hub_comes_off_first():
    bench = bench_on("turned", fits=lambda c: not c.key.room_behind)
    bench.measure()
    bench._act(bench.help_words, "remove hub")
    assert "comes free with it" in words(bench.help_words)
    assert "The hub is off." in bench.picture.value
    bench.reveal()
    assert "Nothing was done out of turn." in words(bench.end_words)


def test_weakest_link_goes_with_its_reason():
    bench = bench_on("rusted", fits=lambda c: c.end == "tapped")
    bench.measure()
    rig(bench, hold=1)  # the rod without marks
    pull_on(bench, steps=200)  # it stretches for many strokes, and is seen to, before it parts
    assert "the rod stretches for good" in words(bench.table)
    assert bench.book.gone == "rod"
    assert "The rod parts and flies out along the line of the pull." in words(bench.words)
    assert "The rod has given way." in bench.picture.value
    assert "a link gave way" in words(bench.table)
    bench.stop()
    bench.reveal()
    assert "Handed over after the rod gave way." in words(bench.end_words)
    assert BREACHES["link broken"].summed in words(bench.end_words)
    assert BREACHES["over working load"].summed.partition("{")[0] in words(bench.end_words)


def test_heat_and_penetrant_bring_a_rusted_key():
    bench = bench_on("rusted", fits=lambda c: c.end == "tapped")
    bench.measure()
    bench.hours.box.value = 48
    bench.soak()
    bench.heat.box.value = 300
    bench.heat_up()
    assert "would burn" in words(bench.help_words)
    bench._act(bench.help_words, "wipe")
    bench.heat_up()
    assert "the opening has grown" in words(bench.help_words)
    rig(bench)
    pull_on(bench)
    assert bench.book.session.state.out
    bench.reveal()
    assert BREACHES["heat over penetrant"].summed in words(bench.end_words)
    assert "after what was done" in words(bench.end_words)


def test_larger_jacks_leave_the_other_links_as_they_are():
    bench = bench_on("rusted", fits=lambda c: c.end != "tapped")
    rig(bench)
    before = bench.book.capacities_lbf()
    bench.add_jacks()
    after = bench.book.capacities_lbf()
    assert after["jacks"] == pytest.approx(2 * before["jacks"])
    assert {n: v for n, v in after.items() if n != "jacks"} == {
        n: v for n, v in before.items() if n != "jacks"
    }


def test_sliding_weight_brings_no_more_than_its_blow():
    heavy = 1.2 * 15_000  # more than the peak of a blow
    bench = bench_on("rusted", fits=lambda c: c.end == "tapped" and c.demand.low_lbf > heavy)
    rig(bench, name="slide hammer")
    assert "blows only shake it" in words(bench.rig_words)
    for _ in range(6):
        bench.one_step()
    assert not bench.book.session.finished
    bench.load.box.value = 60_000
    bench.raise_load()
    assert "This weight brings no more: another rig is needed." in words(bench.words)
    assert "jacks" not in bench.book.capacities_lbf()


def test_refusals_are_sentences_of_the_bench():
    bench = bench_on("serviced", fits=lambda c: c.end == "gib head")
    bench.one_step()
    assert words(bench.words).strip() == (
        "No rig stands on the key: there is nothing to pull with. Set up a rig first."
    )
    bench.set_up()
    assert words(bench.rig_words).strip() == "Choose a rig first."
    rig(bench, name="hollow-ram jack")
    assert "it must be tapped for a rod" in words(bench.rig_words)
    rig(bench, hold=1)
    assert "welded on one side only, so it peels open" in words(bench.rig_words)
    bench._act(bench.help_words, "remove hub")
    assert "would climb the key and bind" in words(bench.help_words)
    bench.push()
    assert "A push drives the key further in." in words(bench.help_words)


def test_pull_is_taken_up_again():
    store = JsonStore()
    bench = bench_on("serviced", fits=easy, store=store)
    bench.measure()
    rig(bench)
    bench.one_step()
    again = pulling_bench(seed=999, store=store).face
    assert "Your earlier pull is back." in words(again.job_words)
    assert again.book.record() == bench.book.record()
    assert again.picture.value == bench.picture.value
    assert again.chain.value == bench.chain.value
    assert again.table.value == bench.table.value
    assert again.rig.value == "two jacks"
    again.stop()
    third = pulling_bench(seed=998, store=store).face
    assert third.book.stopped
    third.one_step()
    assert "Start a new pull instead." in words(third.words)


@pytest.mark.parametrize("kept", [{"kind": "any"}, "text", {"seed": "x"}, [1]])
def test_spoilt_record_is_said_and_kept(kept):
    store = JsonStore()
    store.set(STORE_KEY, kept)
    bench = pulling_bench(seed=4, store=store).face
    assert "cannot be read" in words(bench.job_words)
    assert store.get(STORE_KEY) == kept


def test_record_holds_no_hidden_value():
    bench = bench_on("serviced", fits=easy)
    rig(bench)
    bench.one_step()
    text = json.dumps(bench.book.record())
    assert "normal_force" not in text
    assert "friction" not in text
    assert "small_end" not in text


@pytest.mark.parametrize("kind", KINDS)
def test_cases_are_drawn_again_alike_and_a_gib_head_is_never_at_the_small_end(kind):
    for seed in range(40):
        case = draw_case(kind=kind, seed=seed)
        assert case == draw_case(kind=kind, seed=seed)
        assert not (case.end == "gib head" and case.key.small_end_shows)
        for link in links_of(case=case, rig="two jacks", hold=case.holds[0]):
            assert link.breaking_lbf > link.working_lbf


def strongest(case):
    rigs = ("two jacks", "hollow-ram jack") if case.end == "tapped" else ("two jacks",)
    every = [links_of(case=case, rig=name, hold=case.holds[0]) for name in rigs]
    return max(every, key=lambda links: min(link.working_lbf for link in links))


def how_it_comes(case, seed):
    """Pull as the lesson says: to the stop load, then a soak, then heat; never a little more."""
    links = strongest(case)
    stop = min(link.working_lbf for link in links)
    session = start_pulling(key=case.key, seed=seed).do("measure ends")
    if case.key.small_end_shows:
        return "no go: reversed"
    session = session.rig(links).do("load", load_lbf=stop)
    if session.state.out:
        return "go" if case.demand.high_lbf <= stop else "against the numbers"
    assert case.demand.high_lbf > stop  # the numbers said so
    for _ in range(3):
        session = session.do("ease").do("penetrant", hours=24.0).do("load", load_lbf=stop)
        if not session.state.out:
            session = session.do("ease").do("wipe").do("heat", difference_f=200.0)
            session = session.do("load", load_lbf=stop)
        if session.state.out:
            return "go after help"
    return "no go: rust"


def test_go_go_after_help_and_no_go_come_a_third_each():
    found = Counter(how_it_comes(draw_case(kind="any", seed=seed), seed) for seed in range(150))
    assert set(found) == {"go", "go after help", "no go: reversed", "no go: rust"}
    third = 150 / 3
    assert 0.7 * third < found["go"] < 1.3 * third
    assert 0.7 * third < found["go after help"] < 1.3 * third
    assert min(found["no go: reversed"], found["no go: rust"]) > 0.3 * third


@pytest.mark.parametrize(
    ("kind", "comes"),
    [
        ("serviced", {"go"}),
        ("rusted", {"go after help", "no go: rust"}),
        ("turned", {"no go: reversed"}),
    ],
)
def test_each_kind_comes_as_its_name_says(kind, comes):
    assert {how_it_comes(draw_case(kind=kind, seed=seed), seed) for seed in range(40)} == comes


def test_cautions_stand_at_their_spot_and_nothing_is_called_safe():
    bench = pulling_bench(seed=1)
    page = " ".join(getattr(part, "value", "") for part in all_of(bench)
                    if isinstance(getattr(part, "value", ""), str))  # fmt: skip
    for said in ("Nobody in line", "under pressure", "fire watch", "fumes", "nobody below",
                 "licensed people", "DANGER", "WARNING"):  # fmt: skip
        assert said in page
    assert not re.search(r"\bsafe", page)


def test_step_over_the_weakest_link_is_announced_before_it():
    bench = bench_on("rusted", fits=lambda c: c.end == "tapped")
    rig(bench)
    working = min(bench.book.capacities_lbf().values())
    while bench.book.next_load_lbf() <= working:
        assert "The next step goes over it" not in words(bench.words)
        bench.one_step()
    assert "The next step goes over it" in words(bench.words)
    assert bench.book.load_lbf <= working


def test_rounding_noise_of_a_slider_never_reaches_the_box():
    bench = pulling_bench(seed=1).face
    bench.load.slider.value = 4999.999999999999  # as a browser sends it
    assert bench.load.box.value == 5000
    assert bench.load.value == 5000


# the links


@pytest.mark.parametrize(
    ("name", "end", "method"),
    [
        ("two jacks", "tapped", "strongback"),
        ("hollow-ram jack", "tapped", "hollow-ram"),
        ("slide hammer", "tapped", "slide hammer"),
        ("two jacks", "plain", "welded strongback"),
    ],
)
def test_every_rig_has_the_links_that_its_method_needs(name, end, method):
    case = next(
        case
        for case in (draw_case(kind="any", seed=seed) for seed in range(200))
        if case.end == end
    )
    links = reckoned_links(case=case, rig=name, hold=case.holds[0])
    names = ["tapped hole" if one.link.name == "thread" else one.link.name for one in links]
    assert sorted(names) == sorted(REQUIRED_LINKS[method])
    for one in links:
        assert re.search(r"\d", one.basis), one.link.name
        assert one.hurt.endswith(".")


def test_links_of_a_1_in_key_worked_by_hand():
    case = next(
        case
        for case in (draw_case(kind="serviced", seed=seed) for seed in range(200))
        if case.end == "tapped" and case.width_in == 1.0
    )
    works = {
        one.name: one.working_lbf for one in links_of(case=case, rig="two jacks", hold="marked rod")
    }
    # two jacks: 2 x 10 tons x 2,000 lbf x 0.8
    assert works["jacks"] == 32_000
    # 5/8-11 UNC: 0.226 in2 x 0.9 x 105,000 psi x 0.75 = 16,018 lbf
    assert works["rod"] == 16_000
    # (1 x 1 - pi/4 x 0.625^2) in2 x 54,000 psi / 1.5 = 24,955 lbf
    assert works["key section"] == 24_900
    # 2 feet x 3 in2 x 36,000 psi / 1.67 = 129,341 lbf
    assert works["seat"] == 129_300


def test_sliding_weight_has_its_real_links_and_says_why():
    bench = bench_on("rusted", fits=lambda c: c.end == "tapped")
    rig(bench, name="slide hammer")
    assert list(bench.book.capacities_lbf()) == ["rod", "thread", "key section", "nut"]
    assert "It has no jacks, no strongback and no seat on the hub" in words(bench.rig_words)
    assert "rod governs at" in bench.chain.value
    reasons = words(bench.reasons)
    assert "stress area" in reasons
    assert "The end of the key tears off around the hole" in reasons
    bench.one_step()
    assert "Struck a blow" in words(bench.table)
    assert "Weakest link: rod" in words(bench.words)
    bench.add_jacks()
    assert "A slide hammer has no jacks." in words(bench.help_words)


def peak_of(case):
    return one_blow(case=case).peak_high_lbf


def test_blow_too_hard_for_a_rod_without_marks_breaks_it():
    bench = bench_on(
        "rusted",
        fits=lambda c: (
            c.end == "tapped" and c.width_in == 1.0 and c.key.start_lbf > 1.2 * peak_of(c)
        ),
    )
    # 5/8 in rod of A36: 0.226 in2 x 58,000 psi = 13,100 lbf; the blow peaks at 13,800 lbf
    assert peak_of(bench.book.case) == pytest.approx(13_800, rel=0.01)
    rig(bench, name="slide hammer", hold=1)
    for _ in range(4):
        if not bench.book.gone:
            bench.one_step()
    assert bench.book.gone == "rod"
    assert "The rod parts and flies out" in words(bench.words)


def test_larger_jacks_are_reckoned_as_such():
    bench = bench_on("rusted", fits=lambda c: c.end != "tapped")
    rig(bench)
    bench.add_jacks()
    assert "two 20-ton solid jacks, 80 % of the rating used" in words(bench.reasons)
    assert "64,000 lbf" in words(bench.reasons)


def test_pull_kept_with_jacks_without_limit_is_taken_up_and_they_stay_out_of_sight():
    store = JsonStore()
    bench = bench_on("rusted", fits=lambda c: c.end == "tapped", store=store)
    rig(bench, name="slide hammer")
    kept = store.get(STORE_KEY)
    (step,) = kept["session"]["steps"]
    step["links"] = [
        {"name": "jacks", "working_lbf": 1e8, "breaking_lbf": 1e8},
        *[one for one in step["links"] if one["name"] in ("rod", "thread")],
    ]
    store.set(STORE_KEY, kept)
    again = pulling_bench(seed=1, store=store).face
    assert list(again.book.capacities_lbf()) == ["rod", "thread"]
    assert "slide hammer of 30 lb on a rod" in words(again.table)
    again.one_step()
    assert "Struck a blow" in words(again.table)


def test_once_the_key_is_out_every_act_says_so_in_one_sentence():
    bench = bench_on("serviced", fits=easy)
    bench.measure()
    rig(bench)
    pull_on(bench)
    for act in (bench.one_step, bench.raise_load):
        act()
        assert words(bench.words).strip() == (
            "The key is out: there is nothing left to do to it. Start a new pull."
        )


def test_blows_come_in_round_numbers_up_to_what_the_weight_brings():
    bench = bench_on("rusted", fits=lambda c: c.end == "tapped")
    rig(bench, name="slide hammer")
    peaks = []
    for _ in range(5):
        bench.one_step()
        peaks.append(bench.book.load_lbf)
    assert all(peak % 100 == 0 for peak in peaks)
    assert peaks == sorted(peaks)
    highest = peak_of(bench.book.case)
    assert highest - 100 < peaks[-1] <= highest
    assert f"last blow: {peaks[-1]:,.0f} lbf" in bench.chain.value


def test_metric_force_explorer_says_kilonewtons_and_finds_the_same():
    inch, metric = force_explorer().face, force_explorer(system="metric").face
    for one in (inch, metric):
        one.inputs["action"].value = "driven in"
    metric.inputs["normal_thousand_lbf"].value = 670.0
    inch.inputs["taper_in_per_ft"].value = 0.125
    metric.inputs["taper_in_per_ft"].value = 1.0
    shown = metric.words.value + metric.picture.value
    assert "lbf" not in shown
    # 1:100 and 0.10 on both faces, to first order: 670 kN x (0.10 + 0.10 + 0.01) = 141 kN
    driving = float(re.search(r"further in takes ([\d.]+) kN", metric.words.value).group(1))
    assert driving == pytest.approx(141, abs=1)  # the second order is 0.1 x 0.01 of it


def test_a_pull_kept_before_its_rigs_had_other_names_is_taken_up():
    store = JsonStore()
    bench = bench_on("serviced", fits=easy, store=store)
    rig(bench, name="slide hammer")
    kept = store.get(STORE_KEY)
    assert kept["rig"] == "slide hammer"
    bench.book.restore({**kept, "rig": "sliding weight"})
    assert bench.book.rig == "slide hammer"
