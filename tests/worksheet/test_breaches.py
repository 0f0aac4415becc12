"""Every "never" and "stop" of lesson 05 is a breach that the pulling bench notices."""

from __future__ import annotations

import json
import random
import re
from dataclasses import replace
from pathlib import Path

import pytest

from keycourse.pull.bench.book import PullingBook
from keycourse.pull.bench.breaches import BREACHES
from keycourse.pull.bench.cases import KINDS, RIGS, draw_case
from keycourse.pull.bench.pulling import start_pulling
from keycourse.pull.bench.rigs import links_of
from keycourse.pull.faces import STORE_KEY, pulling_bench
from keycourse.replay import replay_of
from keycourse.sessions import sum_up

from .shown import inch_words
from .test_faces_pull import JsonStore, easy, rig, words

ROOT = Path(__file__).parents[2]
NO_FAULT = "Nothing was done out of turn."


def bench_on(kind, fits, system="inch"):
    """Return a measured bench, its rig not yet set up, and what keeps its session."""
    seed = next(n for n in range(1, 300) if fits(draw_case(kind=kind, seed=n)))
    store = JsonStore()
    bench = pulling_bench(seed=seed - 1, store=store, system=system).face
    bench.kind.value = kind
    bench.start()
    bench.measure()
    return bench, store


def tapped(case):
    return case.end == "tapped"


def creaks(case):
    if case.end != "tapped":
        return False
    links = links_of(case=case, rig="two jacks", hold="marked rod")
    return case.key.tighten_lbf < 0.8 * min(link.working_lbf for link in links)


def set_load(bench, load_lbf):
    bench.load.box.value = load_lbf * bench.units.force_per_lbf


def to_the_stop_load(bench):
    working = min(bench.book.capacities_lbf().values())
    while bench.book.next_load_lbf() <= working:
        bench.one_step()


def lend(bench, act):
    bench.hand.value = act
    bench.lend_a_hand()


# each breach: kind of key, which key, the clean way up to it, the breach


def a_step_up(bench):
    rig(bench)
    bench.one_step()


def unmeasured(bench):
    bench.start()
    bench.book.start(kind="serviced", seed=bench.book.seed)
    rig(bench)


def set_up_only(bench):
    rig(bench)


def nothing_yet(bench):
    pass


def up_to_the_creak(bench):
    rig(bench)
    for _ in range(20):
        bench.one_step()
        if "creak" in words(bench.words):
            return
    raise AssertionError("no creak")


def up_to_the_stop_load(bench):
    rig(bench)
    to_the_stop_load(bench)


def half_the_stop_load(bench):
    set_load(bench, 0.5 * min(bench.book.capacities_lbf().values()))
    bench.raise_load()


def without_a_hold(bench):
    bench.held.value = 0.0
    bench.one_step()


def in_line(bench):
    bench.stand.value = "in line"
    bench.one_step()


def soaked(bench):
    bench.hours.box.value = 12.0
    bench.soak()


def soaked_for_an_hour(bench):
    rig(bench)
    bench.hours.box.value = 1.0
    bench.soak()


def heat(bench):
    bench.heat.box.value = bench.heat.box.max / 2
    bench.heat_up()


def ten_blows(bench):
    rig(bench, name="slide hammer")
    for _ in range(10):
        bench.one_step()


def welded(how):
    def weld(bench):
        bench.weld.value = how
        rig(bench)

    return weld


def unslung(bench):
    bench.slung.value = False
    bench.hub_off()


def until_it_goes(bench):
    rig(bench, hold=1)
    for _ in range(200):
        bench.one_step()
        if bench.book.gone:
            return
    raise AssertionError("nothing went")


def on_the_shaft(bench):
    bench.feet.value = "shaft"
    rig(bench)


def one_jack_first(bench):
    bench.pumped.value = "one first"
    bench.one_step()


def one_step(bench):
    bench.one_step()


SCRIPTS = {
    "not measured": ("serviced", easy, unmeasured, one_step),
    "pulled the small end": ("turned", tapped, set_up_only, one_step),
    "went on after a creak": ("turned", creaks, up_to_the_creak, one_step),
    "over working load": ("rusted", tapped, up_to_the_stop_load, one_step),
    "raised too far at once": ("rusted", tapped, set_up_only, half_the_stop_load),
    "hold skipped": ("rusted", tapped, a_step_up, without_a_hold),
    "feet on the shaft": ("rusted", tapped, nothing_yet, on_the_shaft),
    "one jack ahead": ("rusted", tapped, a_step_up, one_jack_first),
    "stood in line": ("rusted", tapped, a_step_up, in_line),
    "struck under load": ("rusted", tapped, a_step_up, lambda b: lend(b, "knock")),
    "heat under load": ("rusted", tapped, a_step_up, heat),
    "tightened under load": ("rusted", tapped, a_step_up, lambda b: lend(b, "take up")),
    "hands in under load": ("rusted", tapped, a_step_up, lambda b: b.add_jacks()),
    "felt for a leak": ("rusted", tapped, a_step_up, lambda b: lend(b, "feel hose")),
    "heat over penetrant": ("rusted", tapped, soaked, heat),
    "soak cut short": ("rusted", tapped, soaked_for_an_hour, one_step),
    "past ten blows": ("rusted", tapped, ten_blows, one_step),
    "weld loaded hot": ("rusted", lambda c: not tapped(c), welded("hot"), one_step),
    "current through a bearing": (
        "rusted",
        lambda c: not tapped(c),
        nothing_yet,
        welded("through the bearing"),
    ),
    "hub not slung": ("turned", tapped, nothing_yet, unslung),
    "link broken": ("rusted", tapped, nothing_yet, until_it_goes),
    "hub removed needlessly": ("serviced", lambda c: True, nothing_yet, lambda b: b.hub_off()),
}
# what cannot be committed without another
WITH = {
    "went on after a creak": {"pulled the small end"},
    "link broken": {"over working load"},
}


def page_of(bench):
    boxes = (bench.look_words, bench.rig_words, bench.words, bench.help_words)
    return " ".join(" ".join(words(box) for box in boxes).split())


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("name", BREACHES)
def test_breach_is_told_at_once_summed_up_and_replayed(name, system):
    kind, fits, way, commit = SCRIPTS[name]
    bench, store = bench_on(kind, fits, system)
    if name == "hub removed needlessly":  # no drawn key has its large end here and room behind
        bench.book.session = roomy_session(bench.book.session)
    way(bench)
    others = WITH.get(name, set())
    assert {one.name for one in bench.book.session.breaches} <= others
    before = bench.book.session
    commit(bench)
    after = bench.book.session
    assert {one.name for one in after.breaches} == {name} | others
    (one,) = [one for one in after.breaches if one.name == name]
    told = one.at_once(bench.units.any)
    assert "{" not in told
    assert told in page_of(bench)
    assert told in " ".join(words(bench.table).split())
    if BREACHES[name].stopped:
        assert "Not done." in page_of(bench)
        assert after.observations[-1].outcome == "refused"
        assert after.state.key == before.state.key
        assert after.state.load_lbf == before.state.load_lbf
        assert not after.state.hub_off
    else:
        assert after.observations[-1].outcome != "refused"
    if system == "metric":
        assert inch_words(bench.widget) == []
    if not bench.book.over:
        bench.stop()
    bench.reveal()
    summed = one.summed(bench.units.any)
    assert summed in words(bench.end_words)
    assert NO_FAULT not in words(bench.end_words)
    if name == "hub removed needlessly":
        return
    record = store.get(STORE_KEY)
    assert set(sum_up(bench="pulling", record=record)["faults"]) == {name} | others
    replay = replay_of(bench="pulling", record=record, units=bench.units)
    assert told in [line for n in range(1, replay.count + 1) for line in replay.frame(n).seen]
    assert summed in replay.summing_up(replay.count)[2]


def roomy_session(session):
    """Return the session on the same key with room behind its hub."""
    key = replace(session.key, room_behind=True)
    return start_pulling(key=key, seed=session.seed).do("measure ends")


def test_heat_on_a_rig_that_pulls_is_not_praised():
    bench, _ = bench_on("rusted", tapped)
    rig(bench)
    while bench.book.load_lbf < 7_500:
        set_load(bench, min(7_500.0, bench.book.load_lbf + 2_500.0))
        bench.raise_load()
    start = bench.book.session.state.key.start_lbf
    heat(bench)
    assert "Not done." in words(bench.help_words)
    assert "7,500 lbf is on the rig" in words(bench.help_words)
    assert bench.book.session.state.key.start_lbf == start
    bench.stop()
    bench.reveal()
    assert "Heat was asked for with 7,500 lbf on the rig" in words(bench.end_words)
    assert NO_FAULT not in words(bench.end_words)


def test_metric_breach_is_in_kilonewtons():
    bench, _ = bench_on("rusted", tapped, "metric")
    rig(bench)
    bench.load.box.value = 14.0
    bench.raise_load()
    heat(bench)
    assert "14.0 kN is on the rig" in words(bench.help_words)


def test_after_a_blow_no_load_is_on_and_heat_is_no_breach():
    bench, _ = bench_on("rusted", tapped)
    rig(bench, name="slide hammer")
    bench.one_step()
    heat(bench)
    assert "the opening has grown" in words(bench.help_words)
    assert bench.book.session.breaches == ()


def test_ten_blows_are_counted_anew_after_help_and_not_after_the_same_rig_again():
    bench, _ = bench_on("rusted", tapped)
    ten_blows(bench)
    rig(bench, name="slide hammer")
    bench.one_step()
    assert "That was blow 11" in words(bench.words)
    soaked(bench)
    bench.one_step()
    assert len([one for one in bench.book.session.breaches if one.name == "past ten blows"]) == 1


def test_small_end_pulled_unmeasured_shows_only_at_the_end():
    bench, _ = bench_on("turned", tapped)
    bench.book.start(kind="turned", seed=bench.book.seed)
    rig(bench)
    bench.one_step()
    at_once = BREACHES["pulled the small end"].at_once
    assert BREACHES["not measured"].at_once in words(bench.words)
    assert at_once not in page_of(bench) + words(bench.table)
    bench.stop()
    bench.reveal()
    assert BREACHES["pulled the small end"].summed in words(bench.end_words)


def test_breach_committed_again_is_counted():
    bench, _ = bench_on("rusted", tapped)
    a_step_up(bench)
    for _ in range(3):
        heat(bench)
    bench.stop()
    bench.reveal()
    assert "That was so 3 times." in words(bench.end_words)


def test_looking_and_handling_an_unloaded_rig_is_no_breach():
    bench, _ = bench_on("rusted", tapped)
    rig(bench)
    for act in ("look", "knock", "take up"):
        lend(bench, act)
    bench.one_step()
    lend(bench, "look")
    assert f"The gauge stands at {bench.book.load_lbf:,.0f} lbf" in words(bench.words)
    bench.ease()
    lend(bench, "take up")
    heat(bench)
    bench.stop()
    bench.reveal()
    assert NO_FAULT in words(bench.end_words)


def test_load_that_is_eased_off_is_no_longer_said_to_be_on():
    bench, _ = bench_on("rusted", tapped)
    a_step_up(bench)
    heat(bench)
    assert "is on the rig" in words(bench.help_words)
    bench.ease()
    assert "is on the rig" not in page_of(bench)
    heat(bench)
    assert "the opening has grown" in words(bench.help_words)


# no false alarm


def careful(book, chance):
    """Do one pull as the lesson has it; chance decides what is tried, never whether it is right."""
    case = book.case
    book.do("measure ends")
    if case.key.small_end_shows:
        if case.key.room_behind and chance.random() < 0.5:
            for load_lbf in (5_000.0, 10_000.0, 20_000.0, 80_000.0):
                if not book.over:
                    book.do("push", load_lbf=load_lbf, stand="to the side")
        else:
            book.do("remove hub", slung=True)
        if not book.over:
            book.stop()
        return
    for _ in range(chance.randint(1, 3)):
        names = [name for name in RIGS if case.end == "tapped" or name == "two jacks"]
        holds = [hold for hold in case.holds if hold != "weld one side"]
        book.set_up(rig=chance.choice(names), hold=chance.choice(holds))
        if chance.random() < 0.3 and book.rig != "slide hammer":
            book.add_jacks()
        for _ in range(chance.randint(1, 10)):
            working = min(book.capacities_lbf().values())
            if book.over or book.next_load_lbf() > working:
                break
            held = chance.choice((1.0, 2.0))
            book.load(book.next_load_lbf(), stand="to the side", held_min=held)
            if not book.over and chance.random() < 0.3:
                book.do("look")
        if book.over:
            return
        book.do("ease")
        if chance.random() < 0.5:
            book.do("penetrant", hours=chance.uniform(8.0, 72.0))
            book.do("wipe")
        if chance.random() < 0.9:
            book.do("heat", difference_f=chance.uniform(10.0, 400.0))
    book.stop()


def test_two_hundred_careful_pulls_commit_nothing():
    outcomes = set()
    for number in range(200):
        chance = random.Random(number)
        book = PullingBook(seed=number, kind=chance.choice(list(KINDS)))
        careful(book, chance)
        assert book.session.breaches == (), number
        assert book.hidden_in_words()[-1] == NO_FAULT
        record = json.loads(json.dumps(book.record()))
        assert sum_up(bench="pulling", record=record)["faults"] == []
        replay = replay_of(bench="pulling", record=record)
        assert replay.summing_up(replay.count)[2][-1] == NO_FAULT
        outcomes.add(book.numbers()["outcome"])
    assert outcomes == {"out", "hub off", "stuck"}


# sessions kept before


def kept_before(kind, seed, steps, rig):
    return {
        "kind": kind, "seed": seed, "rig": rig, "hold": "marked rod", "stopped": False,
        "revealed": False,
        "session": {"bench": "pulling", "seed": seed, "steps": steps},
    }  # fmt: skip


def test_earlier_session_with_heat_under_load_is_taken_up_as_it_was_and_summed_up_with_it():
    """Then the heat was done, and the key came: so it stays, and it counts."""
    seed = next(
        n for n in range(1, 300) if easy(draw_case(kind="serviced", seed=n))
    )  # fmt: skip
    case = draw_case(kind="serviced", seed=seed)
    links = [
        {"name": o.name, "working_lbf": o.working_lbf, "breaking_lbf": o.breaking_lbf}
        for o in links_of(case=case, rig="two jacks", hold="marked rod")
    ]
    low = 0.2 * case.key.start_lbf
    steps = [
        {"do": "measure ends"},
        {"do": "rig", "links": links},
        {"do": "load", "load_lbf": low},
        {"do": "heat", "difference_f": 400.0},  # far more than the squeeze: the key sits loose
        {"do": "load", "load_lbf": 1.5 * low},
    ]
    record = kept_before("serviced", seed, steps, "two jacks")
    store = JsonStore()
    store.set(STORE_KEY, record)
    bench = pulling_bench(seed=1, store=store).face
    assert "Your earlier pull is back." in words(bench.job_words)
    assert bench.book.session.finished
    assert bench.book.session.observations[3].outcome == "done"
    assert bench.book.numbers()["faults"] == ["heat under load"]
    assert bench.book.record() == record
    replay = replay_of(bench="pulling", record=record)
    assert f"{low:,.0f} lbf is on the rig" in " ".join(replay.frame(4).seen)


def test_session_is_taken_up_with_its_breaches():
    bench, store = bench_on("rusted", tapped)
    a_step_up(bench)
    heat(bench)
    in_line(bench)
    again = pulling_bench(seed=7, store=store).face
    assert again.book.session.state == bench.book.session.state
    assert again.table.value == bench.table.value
    assert store.get(STORE_KEY)["session"]["steps"][-1]["stopped"] == "stood in line"


@pytest.mark.parametrize("stopped", ["yank", 3, ["heat under load"], {}])
def test_stop_that_no_bench_wrote_is_refused(stopped):
    steps = [{"do": "measure ends", "stopped": stopped}]
    with pytest.raises(ValueError, match=r"^The pull kept on this page cannot be read"):
        sum_up(bench="pulling", record=kept_before("serviced", 3, steps, ""))


# the lesson

FORBIDS = re.compile(
    r"\b(never|stop\w*|do not|don't|nobody|no hand|no heat|no load|must not|leave it|ease off"
    r"|let the weld cool|hold a minute|overnight)\b",
    re.IGNORECASE,
)
# words that forbid, where they forbid no deed at the bench: and why
NO_DEED = {
    "know when to stop": "what the lesson is for",
    "Nobody knows μ": "a fact",
    "never plan with one number": "planning: asked in exercise 05; the work order gives both ends",
    "They do not tell who turned the hub round": "a fact",
    "stop block in front": "a part of the rig",
    "each, stop load 30,100 lbf": "a number of the example",
    "Then up to the stop load once": "how often: the bench loads as high",
    "the hub is blocked, nobody is in line": "other ways out, which are not on the bench",
    "A drawing never decides": "for the instructor",
    "Eye protection; nobody in line. The head bends": "a way that is not on the bench",
    "Wedges behind a gib head Two slim steel wedges": "a way that is not on the bench",
    "nobody sees how much": "a fact",
    "Where it goes, and where never": "a heading",
    "Never on hub or shaft: a bead there": "the bench's welds join key and bar",
    "when nobody knows the travel, never what lesson 04 drives": "a fact",
    "Never pack feet or bar with a stack of shims": "the bench's feet stand on solid metal",
    "Never shim a key to use it again": "fitting: lesson 04",
    "What is never done": "a heading",
    "Cannot tell: find out": "a fact",
    "Too close to call, or one height only: you do not know": "a fact",
    "weight slides on the rod and strikes a stop": "a part of the rig",
    "Fingers between weight and stop are lost": "a part of the rig",
    "look at the stop nut often": "a part of the rig",
    "treat it as plain bar, or leave it": "the bench reckons the rod without marks as plain bar",
    "Agree on the stop load, and say it aloud. Under load nobody argues well": "planning",
    "Stopping is a result": "what is praised",
    "No heat there without the engineer": "the quarry's hubs here are neither",
    "The weakest link sets the stop load": "a fact",
    "for loading and stopping": "the instructor's time",
    "Then rust one overnight": "what the instructor gets ready",
    "At which number do you stop?": "a question to ask",
    "an earlier slip never makes a wrong": "how it is marked",
    "Stop before the last load and ask": "the replay, for the instructor",
    "nobody knows seat or friction exactly": "a mark scheme",
    "stop; keep out of the line of fire": "a written answer",
    "Nobody knows the seat force": "a sample answer",
    "We do not know how hard it was driven": "a sample answer",
    "“Stop. Everybody keeps out": "a sample answer",
    "“We stop and let the load off": "a sample answer",
    "load it to a tenth of the stop load": "the sign-off, watched by an assessor",
    "No load above a tenth of the stop load": "the sign-off, watched by an assessor",
    "stop load said aloud and marked": "the sign-off, watched by an assessor",
}
PAGES = ("lessons/05-pull.ipynb", "solutions/05-pull/05-pull.ipynb")


def plain_cells(page):
    for cell in json.loads((ROOT / page).read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] == "markdown":
            yield re.sub(r"\s+", " ", re.sub(r"[*`>]", "", "".join(cell["source"])))


def spans(text, quotes):
    for quote in quotes:
        for found in re.finditer(re.escape(quote), text, re.IGNORECASE):
            yield found.span()


@pytest.mark.parametrize("page", PAGES)
def test_each_word_that_forbids_is_a_breach_of_the_bench(page):
    quotes = [quote for breach in BREACHES.values() for quote in breach.lesson]
    words_found = 0
    for text in plain_cells(page):
        covered = list(spans(text, [*quotes, *NO_DEED]))
        for found in FORBIDS.finditer(text):
            words_found += 1
            around = text[max(0, found.start() - 60) : found.end() + 60]
            assert any(a <= found.start() and found.end() <= b for a, b in covered), around
    assert words_found > 5


def test_each_quoted_word_stands_in_the_lesson():
    lesson, master = (" ".join(plain_cells(page)) for page in PAGES)
    for name, breach in BREACHES.items():
        for quote in breach.lesson:
            assert quote.lower() in (lesson + master).lower(), (name, quote)
    for quote in NO_DEED:
        assert quote.lower() in (lesson + master).lower(), quote
    for name in BREACHES.keys() - {"link broken", "hub removed needlessly"}:
        assert BREACHES[name].lesson, name
