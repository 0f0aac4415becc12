"""Kept bench sessions stepped through, without a browser."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest

from coursework.ink.shop import METRIC
from coursework.page import classdrop
from coursework.page.controls import MemoryStore
from coursework.page.entries import EntriesFile
from coursework.page.here import Here
from coursework.page.pagefolder import course_root, write_units
from keycourse import lesson
from keycourse.faces_replay import replay_face
from keycourse.fit.bench.book import FittingBook
from keycourse.fit.bench.hands import fit_with
from keycourse.fit.faces import fitting_bench
from keycourse.measure.faces import measuring_bench
from keycourse.pull.bench.cases import draw_case
from keycourse.pull.faces import pulling_bench
from keycourse.replay import replay_of
from keycourse.sessions import BENCHES

from .shown import inch_words


def words(box):
    return unescape(re.sub(r"<[^>]+>", " ", box.value))


def plain(box):
    return re.sub(r"\s+", " ", words(box)).strip()


class JsonStore(MemoryStore):
    """Keeps text, as a file would."""

    def get(self, key):
        kept = super().get(key)
        return None if kept is None else json.loads(kept)

    def set(self, key, value):
        super().set(key, json.dumps(value))


def fitted(store):
    """Fit a key a little: blue, push, clean, file the bright spots, one place on the top face."""
    bench = fitting_bench(seed=7, store=store).face
    bench.step("blue")
    bench.step("push", load_lbf=50.0)
    bench.step("clean")
    bench.file()
    bench.where.value, bench.face.value = "one place", "top"
    bench.strokes.value = 3
    bench.file()
    return bench


def face_on(bench, store, folder=Path("nowhere")):
    face = replay_face(bench=bench, store=store, folder=folder).face
    face.fold()
    return face


# fitting


def test_each_step_of_a_fitting_is_shown_in_words_numbers_and_picture():
    store = JsonStore()
    bench = fitted(store)
    face = face_on("fitting", store)
    face.open_here()
    assert plain(face.words) == "The session of this page: 6 steps."
    assert "Step 1 of 6: blued both faces." in words(face.step_words)
    assert face.number.value == 1
    face.next.click()
    assert "Step 2 of 6: pushed the key in by hand, 50 lbf, and drew it." in words(face.step_words)
    draw = bench.book.session.state.pushes[0].projection_in
    assert f"Stand-out {draw:.3f} in" in plain(face.numbers)
    assert face.pictures.value.count('role="img"') == 2  # marks, and the key in its slot
    face.number.value = 4
    marks = len(bench.book.session.steps[3]["spots"])
    assert f"filed 5 strokes on each of all {marks} bright spots of the top face" in plain(
        face.step_words
    )
    face.last.click()
    assert (
        "Step 6 of 6: filed 3 strokes on the top face, 4.00 in from the large end in lane B."
        in words(face.step_words)
    )
    assert "Rounds of fitting 1" in plain(face.end_numbers)
    assert "The key was not driven." in words(face.end_words)
    face.next.click()
    assert "This is the last step." in words(face.step_words)
    face.back.click()
    assert face.number.value == 5
    assert face.end_numbers.value == ""
    face.first.click()
    face.back.click()
    assert "This is the first step." in words(face.step_words)


def test_picture_of_a_step_is_the_picture_the_bench_showed_then():
    store = JsonStore()
    bench = fitting_bench(seed=7, store=store).face
    shown = []
    for act in (
        lambda: bench.step("blue"),
        lambda: bench.step("push", load_lbf=50.0),
        lambda: bench.step("clean"),
        lambda: bench.step("clean file"),
    ):
        act()
        shown.append(bench.marks.value)
    replay = replay_of(bench="fitting", record=store.get(BENCHES["fitting"]))
    for number, html in enumerate(shown, start=1):
        assert replay.frame(number).pictures[0].html() == html


def test_marks_are_numbered_from_the_large_end():
    book = FittingBook(seed=7)
    book.do("blue")
    book.do("push", load_lbf=50.0)
    spots = [list(spot) for spot in book.marked("top")[:2]]
    book.do("file", face="top", spots=spots, strokes=3)
    book.do("file", face="top", spots=spots[:1], strokes=1)
    replay = replay_of(bench="fitting", record=book.record())
    many = len(book.marked("top"))
    assert many > 2
    assert replay.title(3) == f"Step 3 of 4: filed 3 strokes on spots 1 and 2 (of {many}) of the" \
        " top face"  # fmt: skip
    assert "filed 1 stroke on spot 1 (of" in replay.title(4)


def test_fitting_of_the_older_bench_is_told_in_words_and_not_played_again():
    book = FittingBook(seed=7)
    book.do("blue")
    book.do("push", load_lbf=50.0)
    book.do("file", face="top", spots=[[4.0, 0.0]], strokes=12)
    record = book.record()
    assert record.pop("model") == 2
    replay = replay_of(bench="fitting", record=record)
    assert replay.count == 3
    assert replay.title(2) == "Step 2 of 3: pushed the key in by hand, 50 lbf, and drew it"
    frame = replay.frame(3)
    assert frame.done.startswith("filed 12 strokes on the top face, 4.00 in from the large end")
    assert "older bench" in frame.seen[0]
    assert frame.pictures == ()
    title, rows, told = replay.summing_up(3)
    assert title == "Key fitted on the older bench"
    assert dict(rows)["Strokes so far, top and bottom"] == "12 and 0"
    assert told[-1] == "The key was not driven."
    with pytest.raises(
        ValueError, match=r"^This fitting was made on the older bench, where .* A new"
    ):
        FittingBook(seed=1).restore(record)
    record["steps"][1] = {"do": "push"}
    with pytest.raises(ValueError, match=r"^The saved fitting cannot be read\.$"):
        replay_of(bench="fitting", record=record)


def test_end_of_a_driven_key_sums_up_and_an_earlier_key_comes_first():
    book = FittingBook(seed=3)
    book.do("drive", blows=3)
    book.start_over()
    book.session = fit_with(session=book.session, hand="careful")
    replay = replay_of(bench="fitting", record=json.loads(json.dumps(book.record())))
    earlier = replay.parts[0].count
    assert replay.title(1).startswith(f"Earlier key. Step 1 of {replay.count}: ")
    assert replay.title(earlier + 1).startswith("Key on the bench. Step ")
    assert replay.summing_up(earlier - 1) is None
    first, last = replay.summing_up(earlier), replay.summing_up(replay.count)
    assert dict(first[1])["Home"] == "no"
    assert dict(last[1])["Home"] == "yes"
    assert dict(last[1])["Rounds of fitting"] == str(book.session.summary().fittings)
    assert any("proud" in line for line in first[2])


# pulling


def pulled(store):
    for seed in range(1, 60):
        if draw_case(kind="rusted", seed=seed).end == "tapped":
            break
    bench = pulling_bench(seed=seed - 1, store=store).face
    bench.kind.value = "rusted"
    bench.start()
    bench.measure()
    bench.rig.value, bench.hold.value = "two jacks", "marked rod"
    bench.set_up()
    bench.one_step()
    return bench


def test_pull_is_replayed_with_rig_chain_and_hidden_values_only_at_its_end():
    store = JsonStore()
    bench = pulled(store)
    face = face_on("pulling", store)
    face.open_here()
    assert "Step 1 of 3: measured both ends." in words(face.step_words)
    assert "no rig is on" in face.pictures.value
    face.next.click()
    assert "Step 2 of 3: set up the rig: strongback and two 10-ton jacks." in words(face.step_words)
    face.next.click()
    assert face.pictures.value.count('role="img"') == 3  # rig, gauge, chain
    assert bench.gauge.value in face.pictures.value
    assert bench.picture.value in face.pictures.value
    assert f"Load on now {bench.book.load_lbf:,.0f} lbf" in plain(face.numbers)
    start = f"{bench.book.session.summary().start_lbf:,.0f} lbf"
    assert start not in plain(face.end_numbers)
    assert "stays hidden until then" in words(face.end_words)
    bench.stop()
    face.open_here()
    face.last.click()
    assert "Step 5 of 5: stopped and called someone." in words(face.step_words)
    assert f"Load that starts it now {start}" in plain(face.end_numbers)
    assert "Handed over; the highest pull was" in words(face.end_words)


def test_pull_before_a_new_one_is_kept_for_the_replay():
    store = JsonStore()
    bench = pulled(store)
    bench.stop()
    bench.start()
    bench.measure()
    replay = replay_of(bench="pulling", record=store.get(BENCHES["pulling"]))
    assert [(part.title, part.count) for part in replay.parts] == [
        ("Earlier pull", 5),
        ("Key on the bench", 1),
    ]
    assert replay.title(5) == "Earlier pull. Step 5 of 6: stopped and called someone"
    rows = dict(replay.summing_up(5)[1])
    assert rows["Stopped and called someone"] == "yes"
    again = pulling_bench(seed=1, store=store).face
    assert again.book.record() == bench.book.record()
    bench.start()  # only one is kept: the record does not grow without end
    assert "before" not in store.get(BENCHES["pulling"])["before"]


def test_each_load_of_a_pull_has_the_picture_of_that_moment():
    store = JsonStore()
    bench = pulled(store)
    shown = []
    for _ in range(3):
        bench.one_step()
        shown.append((bench.picture.value, bench.gauge.value, bench.chain.value))
    replay = replay_of(bench="pulling", record=store.get(BENCHES["pulling"]))
    for number, pair in enumerate(shown, start=replay.count - 2):
        assert tuple(one.html() for one in replay.frame(number).pictures) == pair


# measuring


def measured(store):
    bench = measuring_bench(seed=5, store=store).face
    bench.angle.slider.value = 180
    bench.tightness.slider.value = 50
    for station in (0.0, 4.0):
        bench.station.slider.value = station
        bench.lean.slider.value = -5
        bench.measure()
        bench.entry.value = f"{bench.book.shown_in(bench.book.waiting):.4f}"
    bench.strike.value = 1
    bench._strike_out()
    bench.lean.slider.value = -5
    bench.measure()  # stays on the micrometer
    return bench


def test_readings_are_replayed_as_they_were_taken_and_written():
    store = JsonStore()
    bench = measured(store)
    face = face_on("measuring", store)
    face.open_here()
    assert (
        "Step 1 of 4: read with the telescoping gauge at the mouth, keyway at the bottom."
        in words(face.step_words)
    )
    first = bench.book.notes[0]
    assert f"Reading 1 was written down as {first.text}, as the micrometer shows." in words(
        face.step_words
    )
    assert f"Written down {first.value_in:.4f} in" in plain(face.numbers)
    assert face.pictures.value.count('role="img"') == 3  # from the side, from the mouth, read
    face.number.value = 2
    assert "4 in from the mouth" in words(face.step_words)
    face.number.value = 3
    assert "Step 3 of 4: struck out reading 1." in words(face.step_words)
    face.last.click()
    assert "Reading 3 was not written down." in words(face.step_words)
    assert f"{bench.book.shown_in(3):.4f}" not in words(face.numbers)
    assert "true" not in plain(face.end_numbers)
    bench.reveal()
    face.open_here()
    face.last.click()
    true = bench.book.session.slot.line()[0]
    assert f"Height at the mouth, true {true:.4f} in" in plain(face.end_numbers)


def test_all_pages_of_the_measuring_bench_are_replayed_the_open_one_last():
    store = JsonStore()
    bench = measured(store)
    bench.size.value = "about 2 in"
    bench.tool.value = "taper bar"
    bench.measure()
    replay = replay_of(bench="measuring", record=store.get(BENCHES["measuring"]))
    assert [part.title for part in replay.parts] == [
        "Slot about 1 in",
        "Slot about 2 in, the open page",
    ]
    assert "slid the taper bar in, standing out 0.5 in" in replay.title(5)


# opening a file


def test_session_is_taken_from_an_apprentices_folder_and_the_file_is_left_alone(tmp_path):
    lessons = tmp_path / "orla" / "lessons"
    lessons.mkdir(parents=True)
    fitted(EntriesFile(lessons / "answers.json"))
    before = (lessons / "bench-fitting.steps").read_bytes()
    listed = sorted(path.name for path in lessons.iterdir())
    face = face_on("fitting", MemoryStore(), folder=tmp_path)
    for place in ("orla", "orla/lessons", f'"{lessons / "bench-fitting.steps"}"', str(lessons)):
        face.place.value = place
        face.there_button.click()
        assert plain(face.words) == f"The session kept in {place}: 6 steps."
        assert "Step 1 of 6" in words(face.step_words)
    assert (lessons / "bench-fitting.steps").read_bytes() == before
    assert sorted(path.name for path in lessons.iterdir()) == listed


NOTHING_DONE = "Nothing was done yet in this session of the fitting bench."


def refusal_of(place: str) -> str:
    return (
        f"No session of the fitting bench can be replayed from {place}; it must lie in the folder "
        "of this course. Copy the apprentice's whole folder into it."
    )


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, refusal_of("answers.json")),
        (b"{", refusal_of("answers.json")),
        (b"\xff\xfe", refusal_of("answers.json")),
        (b"[1]", refusal_of("answers.json")),
        (b'{"format": "taperkey answers", "notes": {}}', refusal_of("answers.json")),
        (b'{"format": "taperkey answers", "notes": {"bench:fitting": {"seed": 1}}}',
         "The session kept in answers.json is damaged: it cannot be played again."),
        (b'{"format": "taperkey answers", "notes": {"bench:fitting": {"bench": "fitting",'
         b' "seed": 1, "steps": []}}}', NOTHING_DONE),
    ],
)  # fmt: skip
def test_file_that_cannot_be_replayed_is_said_in_one_sentence(tmp_path, content, said):
    if content is not None:
        (tmp_path / "answers.json").write_bytes(content)
    face = face_on("fitting", MemoryStore(), folder=tmp_path)
    face.place.value = "answers.json"
    face.there_button.click()
    assert plain(face.words) == said
    assert face.stage.layout.display == "none"


def another_course(tmp_path: Path) -> tuple[Path, Path]:
    """Return somebody else's course folder with a session in it, and one's own."""
    theirs, mine = tmp_path / "theirs", tmp_path / "mine"
    for folder in (theirs, mine):
        (folder / "lessons").mkdir(parents=True)
    fitted(EntriesFile(theirs / "lessons" / "answers.json"))
    return theirs, mine


@pytest.mark.parametrize("way", ["full", "up", "file", "link", "link to the file", "nothing"])
def test_another_folder_is_refused_in_the_same_words_whether_it_is_there(tmp_path, way):
    theirs, mine = another_course(tmp_path)
    if way == "link":
        (mine / "link").symlink_to(theirs)
    if way == "link to the file":
        (mine / "link").mkdir()
        (mine / "link" / "answers.json").symlink_to(theirs / "lessons" / "answers.json")
    place = {
        "full": str(theirs),
        "up": "../theirs",
        "file": str(theirs / "lessons" / "answers.json"),
        "link": "link",
        "link to the file": "link",
        "nothing": str(tmp_path / "nobody"),
    }[way]
    face = face_on("fitting", MemoryStore(), folder=mine)
    face.place.value = place
    face.there_button.click()
    assert plain(face.words) == refusal_of(place)
    assert face.stage.layout.display == "none"


def test_on_a_hub_an_apprentices_page_replays_its_own_session_only(tmp_path, monkeypatch):
    fitted(EntriesFile(tmp_path / "answers.json"))
    monkeypatch.setattr(classdrop, "here", lambda: Here(by_class=True))
    face = face_on("fitting", MemoryStore(), folder=tmp_path)
    face.place.value = "answers.json"
    face.there_button.click()
    assert plain(face.words) == (
        "On a class's network only the instructor replays another's session."
    )


@pytest.mark.parametrize("bench", BENCHES)
def test_page_without_a_session_says_so(bench):
    face = face_on(bench, MemoryStore())
    face.open_here()
    assert plain(face.words) == f"No session of the {bench} bench is kept on this page yet."
    face.there_button.click()
    assert plain(face.words) == ("No path is typed. Type the apprentice's folder.")
    face.next.click()  # nothing to step through, and nothing happens
    assert words(face.step_words).strip() == ""


@pytest.mark.parametrize("place", ["a\0b", "~nobody-of-that-name/x", "x" * 5000, "/dev/zero"])
def test_path_that_cannot_be_one_is_a_sentence_too(tmp_path, place):
    face = face_on("fitting", MemoryStore(), folder=tmp_path)
    face.place.value = place
    face.there_button.click()
    assert plain(face.words) == refusal_of(place[:200]).strip()


def test_replay_is_folded_at_first_and_opens_by_its_button():
    face = replay_face(bench="fitting", store=MemoryStore(), folder=Path()).face
    assert face.inside.layout.display == "none"
    assert face.fold_button.description == "For the instructor: replay of the fitting bench (show)"
    face.fold_button.click()
    assert face.inside.layout.display is None
    assert "(hide)" in face.fold_button.description
    for control in (face.place, face.number, face.first, face.back, face.next, face.last):
        assert control.tooltip


# metric first


def metric_face_on(bench, store):
    face = replay_face(bench=bench, store=store, folder=Path("nowhere"), system="metric").face
    face.fold()
    face.open_here()
    return face


@pytest.mark.parametrize(
    ("bench", "work"), [("fitting", fitted), ("pulling", pulled), ("measuring", measured)]
)
def test_session_done_in_inches_is_replayed_in_millimetres(bench, work):
    store = JsonStore()
    work(store)
    before = json.dumps(store.get(BENCHES[bench]))
    inch, metric = face_on(bench, store), metric_face_on(bench, store)
    inch.open_here()
    assert metric.replay.count == inch.replay.count
    for number in range(1, metric.replay.count + 1):
        metric.number.value = number
        assert inch_words(metric.stage) == [], number
    assert json.dumps(store.get(BENCHES[bench])) == before


def test_what_was_typed_in_inches_has_millimetres_behind_it():
    store = JsonStore()
    bench = measured(store)
    note = bench.book.notes[0]
    face = metric_face_on("measuring", store)
    behind = f"{25.4 * note.value_in:.3f} mm"
    assert f"was written down as {note.text} ({behind}), as the micrometer shows." in words(
        face.step_words
    )
    assert f"Written down {behind}" in plain(face.numbers)
    assert "Micrometer 25 to 50 mm" in face.pictures.value
    face.number.value = 2
    assert "101.6 mm from the mouth" in words(face.step_words)  # 4 in
    inch = face_on("measuring", store)
    inch.open_here()
    assert f"was written down as {note.text}, as the micrometer shows." in words(inch.step_words)


def test_what_was_typed_in_millimetres_has_inches_behind_it():
    store = JsonStore()
    bench = measuring_bench(seed=5, store=store, system="metric").face
    bench.lean.slider.value = -5
    bench.measure()
    bench.entry.value = text = f"{bench.book.shown(1):.2f}"
    face = face_on("measuring", store)
    face.open_here()
    assert f"was written down as {text} ({float(text) / 25.4:.4f} in)" in words(face.step_words)
    metric = metric_face_on("measuring", store)
    assert f"was written down as {text}, as the micrometer shows." in words(metric.step_words)


def test_metric_summing_up_of_a_fitting_and_of_a_slot():
    book = FittingBook(seed=3)
    book.session = fit_with(session=book.session, hand="careful")
    replay = replay_of(bench="fitting", record=book.record(), units=METRIC)
    rows, numbers = dict(replay.summing_up(replay.count)[1]), book.numbers()
    assert rows["Stand-out at the last push"] == f"{25.4 * numbers['draw_in']:.2f} mm"
    assert rows["Leaf 0.04 mm goes in at the top"] == "nowhere"
    # a thousandth is 0.0254 mm: travel for 0.01 mm is 25.4 x 0.01 / 0.0254 of that in inches
    per_step = 10 * numbers["travel_per_thousandth_in"]
    assert rows["Travel for 0.01 mm filed off"] == f"{per_step:.2f} mm"
    assert rows["Push at the end of the drive"].endswith(" kN")
    store = JsonStore()
    bench = measured(store)
    bench.reveal()
    replay = replay_of(bench="measuring", record=store.get(BENCHES["measuring"]), units=METRIC)
    rows = dict(replay.summing_up(replay.count)[1])
    true = bench.book.session.slot.line()
    assert rows["Height at the mouth, true"] == f"{25.4 * round(true[0], 5):.3f} mm"
    assert rows["Taper, true"] == f"{100 * round(true[1], 6):.3f} mm in 100 mm"


@pytest.mark.parametrize("system", ["inch", "metric"])
def test_benches_and_replay_follow_the_setting_of_the_course(tmp_path, system):
    write_units(course_root(tmp_path), system)
    lesson.open("04-fit", tmp_path)
    benches = (lesson.measuring_bench, lesson.fitting_bench, lesson.pulling_bench)
    for make in benches:
        face = make().face
        assert face.units.metric is (system == "metric")
        assert face.book.units is face.units
    lesson.fitting_bench().face.push_button.click()
    face = lesson.replay("fitting").face
    face.open_here()
    unit = "mm" if system == "metric" else "in"
    assert re.search(rf"Stand-out [\d.]+ {unit}\.", words(face.step_words))
