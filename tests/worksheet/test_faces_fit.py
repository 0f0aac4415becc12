"""Fitting bench, worked without a browser: from the blank to the driven key."""

from __future__ import annotations

import json
import re
from html import unescape

import pytest

from coursework.page.controls import MemoryStore
from coursework.page.entries import EntriesFile
from keycourse.fit.bench.book import (
    BOTH,
    BRIGHT_ONLY,
    FittingBook,
    practice_fit,
)
from keycourse.fit.faces import ONE_SPOT, STORE_KEY, fitting_bench

from .frontend import all_of
from .shown import inch_words

SEED = 3


def words(box):
    return unescape(re.sub(r"<[^>]+>", " ", box.value))


def label(picture):
    return unescape(re.search(r'aria-label="([^"]*)"', picture.value).group(1))


class JsonStore(MemoryStore):
    """Keeps text, as a file would."""

    def get(self, key):
        kept = super().get(key)
        return None if kept is None else json.loads(kept)

    def set(self, key, value):
        super().set(key, json.dumps(value))


def fit_once(bench, strokes=5):
    """Clean, file the bright marks of both faces, clean, blue, tap."""
    bench.strokes.value = strokes
    for button in (
        bench.clean_button,
        bench.file_button,
        bench.brush_button,
        bench.clean_button,
        bench.blue_button,
        bench.tap_button,
    ):
        button.click()
    return bench.book.session.state.pushes[-1].projection_in


def begun(*, store=None, seed=SEED):
    bench = fitting_bench(seed=seed, store=store).face
    bench.blue_button.click()
    bench.tap_button.click()
    return bench


def fitted(*, until=0.16, store=None, seed=SEED):
    bench = begun(store=store, seed=seed)
    draw = bench.book.session.state.pushes[-1].projection_in
    for _ in range(40):
        if draw < until:
            return bench
        draw = fit_once(bench, 5 if draw > 0.4 else 1)
    raise AssertionError(f"the key still stands {draw:.3f} in out")


def drive(bench):
    bench.clean_button.click()
    bench.lubricant.value = "anti-seize"
    bench.lubricate_button.click()
    bench.heeded.value = True
    bench.drive_button.click()


@pytest.mark.parametrize("seed", [0, 3, 7])
def test_careful_fitting_goes_home(seed):
    bench = fitted(seed=seed)
    assert "About 1/8 in left to drive is right" in words(bench.words)
    drive(bench)
    bench.feel_button.click()
    summary = bench.book.session.summary()
    assert summary.home
    assert summary.faults == ()
    assert "The large end is flush." in words(bench.words)
    assert "Home, bearing on both faces" in words(bench.drive_words)
    assert "goes in nowhere at top or bottom. It goes in at the sides." in words(bench.feel_words)
    assert label(bench.feeler).startswith("Feeler gauge check with a 0.0015 in leaf.")
    assert "flush with the mouth" in label(bench.side)
    assert len(bench.book.history()) == summary.fittings + 1
    assert "safe" not in words(bench.drive_words).lower().split()


def test_numbers_are_said_in_words():
    bench = begun()
    values = bench.book.session.observations[-1].values
    said = words(bench.words)
    assert f"Stand-out {values['projection_in']:.3f} in." in said
    still_off = (values["projection_in"] - 0.125) / 96  # 1/8 in stays for the drive
    assert values["still_off_in"] == pytest.approx(still_off, abs=1e-5)
    assert f"Still to come off: {1000 * still_off:.1f} thousandths" in said
    assert f"Bright spots: {100 * values['share']:.0f} %" in said
    assert "Travel since" not in said
    before = values["projection_in"]
    after = fit_once(bench)
    travel = bench.book.session.observations[-1].values["travel_in"]
    assert travel == pytest.approx(before - after, abs=1e-4)
    assert f"Travel since the last round {travel:.3f} in" in words(bench.words)
    assert f"{travel:.3f} in" in words(bench.table)
    assert 'role="status"' in bench.words.value


def test_text_alternatives_follow_the_work():
    bench = fitting_bench(seed=SEED).face
    seen = [label(bench.marks)]
    assert "No blue is on the key." in seen[0]
    assert "lies on the bench" in label(bench.side)
    bench.blue_button.click()
    seen.append(label(bench.marks))
    assert "The key is blued." in seen[1]
    assert "Top face: not pushed yet." in seen[1]
    bench.tap_button.click()
    seen.append(label(bench.marks))
    assert "percent bright" in seen[2]
    draw = bench.book.session.state.projection_in
    assert f"The large end stands {draw:.3f} in out of the mouth." in label(bench.side)
    bench.clean_button.click()
    seen.append(label(bench.marks))
    bench.file_button.click()
    seen.append(label(bench.marks))
    assert "filed on the top face since then" in seen[4]
    assert "There are filings on the key." in seen[4]
    assert len(set(seen)) == 5


@pytest.mark.parametrize(
    ("act", "box", "sentence"),
    [
        (
            "file",
            "words",
            "There is no bright spot to file yet. Blue the key, push it in, draw it and read it "
            "first.",
        ),
        (
            "feel",
            "feel_words",
            "The key has not been in the slot yet: there is no gap to feel. Push it in first.",
        ),
    ],
)
def test_step_out_of_order_gets_the_benchs_sentence(act, box, sentence):
    bench = fitting_bench(seed=SEED).face
    getattr(bench, f"{act}_button").click()
    assert words(getattr(bench, box)).strip() == sentence
    assert bench.book.session.steps == ()


def test_driven_key_is_not_filed_again():
    bench = fitting_bench(seed=SEED).face
    drive(bench)
    before = bench.book.session
    bench.blue_button.click()
    assert words(bench.words).strip() == (
        "The key is driven: only the feeler gauge can still be tried. "
        "Start over with a new key to fit again."
    )
    assert bench.book.session is before
    assert "without a single round of fitting" in words(bench.drive_words)


def test_drive_waits_for_the_cautions_and_the_lubricant_for_a_choice():
    bench = begun()
    bench.drive_button.click()
    assert "Go through the points above first" in words(bench.drive_words)
    assert not bench.book.session.finished
    bench.lubricate_button.click()
    assert "Choose the lubricant first." in words(bench.drive_words)
    bench.heeded.value = True
    bench.drive_button.click()
    assert bench.book.session.finished
    assert "It was driven dry." in words(bench.drive_words)
    assert "in left to drive; about 1/8 in is right" in words(bench.drive_words)


def test_cautions_stand_at_the_drive():
    bench = fitting_bench(seed=SEED).face
    shown = list(bench.widget.children)
    note = next(i for i, one in enumerate(shown) if 'role="note"' in str(getattr(one, "value", "")))
    assert shown[note + 1] is bench.heeded
    assert bench.drive_button in list(all_of(shown[note + 2]))  # grouped by what the hand does
    for point in (
        "DANGER",
        "Eye protection",
        "hammer",
        "stores energy",
        "Site rules",
        "White lead",
    ):
        assert point in words(shown[note])


def test_over_filing_is_told():
    bench = fitted()
    draw = 1.0
    for _ in range(6):
        draw = fit_once(bench, 10)
        if draw <= 0.0005:
            break
        if draw < 1 / 16:
            assert "Over-filed:" in words(bench.words)
            assert "File no more." in words(bench.words)
    assert draw <= 0.0005
    assert "Too much metal is off" in words(bench.words)
    assert "Metal cannot be put back." in words(bench.words)
    drive(bench)
    assert "It is loose:" in words(bench.drive_words)


def test_one_spot_is_aimed_and_filed():
    bench = begun()
    assert bench.spot.layout.display == "none"
    bench.where.value = ONE_SPOT
    assert bench.spot.layout.display is None
    bench.face.value = "top"
    bench.station.slider.value = 2.5
    bench.lane.value = "C"
    assert "The file is held 2.5 in from the large end." in label(bench.marks)
    bench.strokes.value = 8
    bench.file_button.click()
    step = bench.book.session.steps[-1]
    assert (step["face"], step["strokes"]) == ("top", 8)
    assert step["spots"] == [[2.5, pytest.approx(1.494 / 3, abs=0.001)]]
    assert "1 spot filed on the top face, 8 strokes each." in words(bench.words)


def test_one_stroke_is_one_stroke_and_a_bare_face_is_named(monkeypatch):
    bench = begun()
    bench.strokes.value = 1
    bench.where.value = ONE_SPOT
    bench.file_button.click()
    assert "1 spot filed on the top face, 1 stroke each." in words(bench.words)
    monkeypatch.setattr(FittingBook, "marked", lambda book, face: [])
    before = bench.book.session.steps
    for face, where in (("top", "the top face"), (BOTH, "either face")):
        bench.face.value, bench.where.value = face, BRIGHT_ONLY
        bench.file_button.click()
        assert words(bench.words).strip() == (
            f"There is no bright spot on {where}. Choose a face that has one, or one place, or "
            "push the key in again."
        )
    assert bench.book.session.steps == before


def test_old_blue_and_filings_are_told_at_the_end():
    bench = begun()
    bench.file_button.click()
    bench.blue_button.click()
    assert "thick" in words(bench.words)
    bench.tap_button.click()
    drive(bench)
    assert "1 time with old blue or filings" in words(bench.drive_words)


def test_push_by_hand_after_a_tap_is_not_compared():
    bench = begun()
    bench.clean_button.click()
    bench.blue_button.click()
    bench.push_button.click()
    assert "compare like with like" in words(bench.words)


def test_bench_comes_back_from_the_store(tmp_path):
    store = EntriesFile(tmp_path / "answers.json")
    bench = begun(store=store)
    fit_once(bench)
    bench.clean_button.click()
    bench.file_button.click()
    again = fitting_bench(store=EntriesFile(tmp_path / "answers.json")).face
    assert again.book.session == bench.book.session
    assert again.marks.value == bench.marks.value
    assert again.side.value == bench.side.value
    assert again.table.value == bench.table.value
    assert "Your key is back on the bench, as you left it." in words(again.words)
    alone = begun()
    fit_once(alone)
    alone.clean_button.click()
    alone.file_button.click()
    assert fit_once(again) == fit_once(alone)
    kept = json.dumps(store.get(STORE_KEY))
    mouth = bench.book.session.slot.parameters.mouth_height_in
    assert str(mouth) not in kept


def test_driven_key_comes_back_with_its_outcome():
    store = JsonStore()
    bench = begun(store=store)
    drive(bench)
    bench.feel_button.click()
    again = fitting_bench(store=store).face
    assert words(again.drive_words) == words(bench.drive_words)
    assert again.feeler.value == bench.feeler.value
    assert words(again.feel_words) == words(bench.feel_words)


def test_start_over_can_be_taken_back_even_later():
    store = JsonStore()
    bench = begun(store=store)
    assert bench.back_button.disabled
    first = bench.book.session
    bench.other_button.click()
    assert bench.book.session.steps == ()
    assert bench.book.seed != first.seed
    assert not bench.back_button.disabled
    again = fitting_bench(store=store).face
    again.back_button.click()
    assert again.book.session == first
    assert "The earlier key is back" in words(again.over_words)
    again.over_button.click()
    assert again.book.seed == first.seed
    assert again.book.session.steps == ()


@pytest.mark.parametrize(
    "kept",
    [
        {"bench": "fitting", "seed": 1, "steps": [{"do": "polish"}], "model": 2},
        {"seed": "x"},
        [1],
        "?",
    ],
)
def test_damaged_record_is_said_and_the_bench_opens(kept):
    store = MemoryStore()
    store.set(STORE_KEY, kept)
    bench = fitting_bench(store=store).face
    assert bench.book.session.steps == ()
    assert "The saved fitting cannot be read; the bench starts with a new key." in words(
        bench.words
    )


def test_store_that_cannot_be_written_is_said():
    class Full(MemoryStore):
        def set(self, key, value):
            return "Not saved: make room."

    bench = begun(store=Full())
    assert "Not saved: make room." in words(bench.words)
    assert "Stand-out" in words(bench.words)


def test_nothing_is_sent_when_nothing_changed():
    bench = begun()
    sent = []
    for box in (bench.marks, bench.side, bench.table):
        box.observe(lambda change: sent.append(change), names="value")
    bench.brush_button.click()
    assert sent == []


def test_every_control_has_a_name_and_a_tip():
    bench = fitting_bench(seed=SEED).face
    found = [v for v in vars(bench).values() if hasattr(v, "description") and hasattr(v, "tooltip")]
    assert len(found) >= 17
    for control in found:
        if type(control).__name__ == "HTML":
            continue
        assert control.description
        assert control.tooltip


def test_same_seed_same_fit_and_no_two_seeds_alike():
    assert practice_fit(seed=1) == practice_fit(seed=1)
    assert practice_fit(seed=1).slot.parameters != practice_fit(seed=2).slot.parameters


def test_face_without_marks_is_left_alone_and_said():
    book = FittingBook(seed=SEED)
    book.do("blue")
    book.do("push", load_lbf=1000.0)
    book.marked = lambda face: [(4.0, 0.0)] if face == "top" else []
    lines = book.file(face="both", where=BRIGHT_ONLY, strokes=5)
    assert "There is no bright spot on the bottom face, so it was left alone." in lines
    assert [s["face"] for s in book.session.steps if s["do"] == "file"] == ["top"]


def test_store_that_cannot_be_read_is_said():
    class Broken(MemoryStore):
        def get(self, key):
            raise OSError("answers.json cannot be used (it is locked)")

    bench = fitting_bench(store=Broken(), seed=SEED).face
    assert "answers.json cannot be used (it is locked). Ask for help" in words(bench.words)
    assert bench.book.session.steps == ()


def test_push_without_blue_gives_the_stand_out_only():
    bench = fitting_bench(seed=SEED).face
    bench.push_button.click()
    draw = bench.book.session.observations[-1].values["projection_in"]
    assert f"it shows nothing.  Stand-out {draw:.3f} in." in words(bench.words)
    assert "not pushed yet" in label(bench.marks)


# metric first


def short_fit(system, store):
    """Push, tap, file the marks and one spot, drive, feel; lengths in the units of a system."""
    bench = fitting_bench(seed=SEED, store=store, system=system).face
    bench.push_button.click()
    bench.blue_button.click()
    bench.tap_button.click()
    fit_once(bench)
    bench.where.value, bench.face.value, bench.lane.value = ONE_SPOT, "top", "C"
    bench.station.slider.value = 63.5 if system == "metric" else 2.5
    bench.file_button.click()
    drive(bench)
    bench.leaf.value = 0.08 / 25.4 if system == "metric" else 0.003  # a leaf of each set
    bench.feel_button.click()
    return bench


def test_same_fitting_gives_the_same_record_in_both_systems():
    inch, metric = JsonStore(), JsonStore()
    one, other = short_fit("inch", inch), short_fit("metric", metric)
    kept = [store.get(STORE_KEY) for store in (inch, metric)]
    leaves = [record["steps"][-1].pop("leaf_in") for record in kept]
    assert kept[0] == kept[1]
    assert leaves == [0.003, pytest.approx(0.08 / 25.4)]  # the one thing that is another tool
    assert other.book.numbers() == one.book.numbers()
    again = fitting_bench(store=inch, system="metric").face  # begun in inches, taken up in mm
    for name in ("marks", "side", "table", "drive_words"):
        assert getattr(again, name).value == getattr(other, name).value, name


def test_nothing_on_a_metric_fitting_bench_is_in_inches():
    bench = fitting_bench(seed=SEED, system="metric").face
    assert inch_words(bench.widget) == []
    assert "0.25 mm over size in height" in words(bench.words)  # 0.010 in
    bench.feel_button.click()
    bench.push_button.click()
    assert inch_words(bench.widget) == []
    bench.blue_button.click()
    bench.tap_button.click()
    bench.where.value = ONE_SPOT
    bench.station.slider.value = 100
    assert "The file is held 100 mm from the large end." in label(bench.marks)
    assert inch_words(bench.widget) == []
    bench.file_button.click()
    bench.where.value = BRIGHT_ONLY
    draw = 1.0
    for _ in range(40):
        if draw < 0.16:
            break
        draw = fit_once(bench, 5 if draw > 0.4 else 1)
        assert inch_words(bench.widget) == []
    assert "About 3 mm left to drive is right" in words(bench.words)  # 1/8 in is 3.2 mm
    for _ in range(8):
        if fit_once(bench, 1) < 1 / 16:
            break
    assert "Over-filed:" in words(bench.words)
    assert inch_words(bench.widget) == []
    drive(bench)
    bench.feel_button.click()
    assert "kN" in words(bench.drive_words)
    assert "a mean pressure of" in words(bench.drive_words)
    assert inch_words(bench.widget) == []
    bench.over_button.click()
    bench.heeded.value = True
    bench.blows.value = 1
    bench.drive_button.click()  # proud, loose, without a fitting
    assert "mm proud" in words(bench.drive_words)
    bench.feel_button.click()
    assert inch_words(bench.widget) == []


def test_metric_stand_out_is_the_inch_one_times_25_4():
    bench = fitting_bench(seed=SEED, system="metric").face
    bench.blue_button.click()
    bench.tap_button.click()
    values = bench.book.session.observations[-1].values
    stand_out = f"{25.4 * values['projection_in']:.2f} mm"
    assert f"Stand-out {stand_out}." in words(bench.words)
    assert f"Still to come off: {25.4 * values['still_off_in']:.3f} mm" in words(bench.words)
    assert f"stands out {stand_out}" in words(bench.side)
    assert f"The large end stands {stand_out} out of the mouth." in label(bench.side)
    assert "Still to come off, mm" in words(bench.table)
    assert stand_out in words(bench.table)


def test_a_metric_bench_has_leaves_of_a_metric_set():
    bench = short_fit("metric", None)
    assert [name for name, _ in bench.leaf.options][1:3] == [
        "0.05 mm",
        "0.08 mm",
    ]
    assert "The 0.08 mm leaf goes in" in words(bench.feel_words)
    assert "Feeler gauge check with a 0.08 mm leaf." in label(bench.feeler)
