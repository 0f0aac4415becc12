"""What was typed and the press that follows, on two threads: none doubled, none lost."""

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import ipywidgets
import pytest
from tests.worksheet.frontend import at_once, button_of, press, type_in

import coursework.page
from coursework.course import PAGES
from coursework.judging import right_answers, show_answer
from coursework.page.entries import EntriesFile
from coursework.page.forms import hand_in_form, name_tag_form
from coursework.page.handin import read_hand_in
from coursework.page.pagefolder import read_name_tag
from coursework.page.practice import practice_form
from coursework.page.progress import practice_key, standing_of
from keycourse import lesson
from keycourse.fit.faces import fitting_bench
from keycourse.jobsheet.form import KEY_BEFORE, job_form
from keycourse.measure.faces import measuring_bench
from keycourse.pull.faces import pulling_bench
from keycourse.start.faces import caliper_trainer, micrometer_trainer
from keycourse.start.tools import TOOLS

TURNS = 400 if os.environ.get("TAPERKEY_MANY") == "1" else 50


@pytest.fixture
def course(tmp_path: Path) -> Path:
    """Give a page's folder in a course."""
    page = tmp_path / "exercises" / "01-measure"
    page.mkdir(parents=True)
    (tmp_path / "lessons").mkdir()
    return page


def test_no_two_messages_to_a_page_are_handled_at_once():
    inside, met = [], []

    def act(_):
        inside.append(threading.get_ident())
        time.sleep(0.001)
        met.append(len(inside))
        inside.pop()

    box, button = ipywidgets.Text(), ipywidgets.Button()
    box.observe(act, names="value")
    button.on_click(act)
    for turn in range(10):
        at_once(lambda turn=turn: type_in(box, str(turn)), lambda: press(button))
    assert met == [1] * 20


def test_whatever_shows_widgets_takes_turns():
    """Each module of the pages that makes widgets, imported alone, brings the turns with it."""
    lib = Path(coursework.page.__file__).parents[2]
    makers = [
        ".".join(path.relative_to(lib).with_suffix("").parts)
        for path in sorted(lib.rglob("*.py"))
        if "import ipywidgets" in path.read_text("utf-8")
    ]
    assert len(makers) > 10
    script = (
        "import importlib, sys\n"
        "for name in sys.argv[1:]:\n"
        "    for loaded in [one for one in sys.modules\n"
        "                   if one.startswith(('coursework.page', 'keycourse'))]:\n"
        "        del sys.modules[loaded]\n"
        "    importlib.import_module(name)\n"
        "    if 'coursework.page.acts' not in sys.modules: print(name)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, *(one for one in makers if one != "coursework.page.acts")],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout == ""


def test_each_reading_is_written_down_once():
    widget = measuring_bench(seed=5)
    bench = widget.face
    write, measure = button_of(widget, "Write it down"), bench.take
    bench.lean.slider.value = -5
    for _ in range(TURNS):
        if len(bench.book.notes) == 10:  # a page of readings
            bench.start_over()
            bench.lean.slider.value = -5
        turn = len(bench.book.notes) + 1
        press(measure)
        bench.lean.slider.value = -5
        text = bench.book.shown_words(bench.book.waiting)
        at_once(lambda text=text: type_in(bench.entry, text), lambda: press(write))
        assert [note.number for note in bench.book.notes] == list(range(1, turn + 1))
        if "is written down." not in bench.words.value:  # the press came first
            assert "Type what you read first." in bench.words.value
        press(write)
        assert len(bench.book.notes) == turn


def test_a_press_after_the_box_repeats_nothing_and_hides_nothing():
    widget = measuring_bench(seed=5)
    bench = widget.face
    write = button_of(widget, "Write it down")
    press(write)
    assert "Type what you read first." in bench.words.value
    for turn in (1, 2, 3):  # three readings, the same text typed for each: three in the book
        bench.lean.slider.value = -5
        press(bench.take)
        assert bench.book.waiting == turn
        type_in(bench.entry, "1.0")
        press(write)
        assert "Look again." in bench.words.value
        press(bench.as_it_is)
        assert f"Reading {turn} is written down." in bench.words.value
        press(write)
        assert f"Reading {turn} is written down." in bench.words.value
    assert [note.text for note in bench.book.notes] == ["1.0"] * 3


def test_what_was_typed_before_there_was_a_reading_is_taken_at_the_press():
    widget = measuring_bench(seed=5)
    bench = widget.face
    write = button_of(widget, "Write it down")
    type_in(bench.entry, "1.0")
    assert "There is no reading on the micrometer." in bench.words.value
    bench.lean.slider.value = -5
    press(bench.take)
    press(write)
    assert "Look again." in bench.words.value


@pytest.mark.parametrize("trainer", [micrometer_trainer, caliper_trainer])
def test_each_reading_of_a_trainer_counts_once(trainer):
    widget = trainer("metric", seed=3)
    face = widget.face
    assert "metric caliper" in TOOLS
    for turn in range(1, TURNS + 1):
        text = f"{face.reading:.2f} mm"
        at_once(lambda text=text: type_in(face.entry, text), lambda: press(face.check_button))
        assert face.in_a_row == turn
        press(face.next_button)


def test_each_first_answer_of_practice_counts_once(course):
    store = EntriesFile(course / "answers.json")
    page = PAGES["01-measure"]
    question = page.question("01-clearance")
    form = practice_form(question, store, {})
    check, fresh = button_of(form, "Check"), button_of(form, "New numbers")
    box = form.children[2]
    practice = box._trait_notifiers["value"]["change"][0].__self__.after.__self__
    for turn in range(1, min(TURNS, 50) + 1):
        card = practice.card()
        right = right_answers(page, card)
        text = show_answer(question.on(card), right[question.key])
        at_once(lambda text=text: type_in(box, text), lambda: press(check))
        stands = standing_of(question, store.get(practice_key(question.key)))
        assert (stands.tried, stands.right) == (turn, turn)
        said = form.children[4].value
        assert "Right." in said
        press(check)
        assert form.children[4].value == said
        press(fresh)


def test_each_entry_of_an_exercise_is_kept_once_and_handed_in(course):
    page = PAGES["01-measure"]
    lesson.open(page.name, course)
    store = EntriesFile(course / "answers.json")
    keys = [one.key for one in page.questions if not one.by_assessor][:6]
    forms = {key: lesson.ask(key) for key in keys}
    hand_in = hand_in_form(page.name, store, course)
    boxes = {}
    for key, form in forms.items():
        boxes[key] = next(one for one in form.children if hasattr(one, "value") and
                          not isinstance(one, ipywidgets.HTML))  # fmt: skip
    typed = {}
    for turn in range(5):
        for key, other in zip(keys, keys[1:] + keys[:1], strict=True):
            both = {}
            for one in (key, other):
                box = boxes[one]
                options = getattr(box, "options", None)
                both[one] = options[turn % len(options)] if options else f"{turn}.{len(one)} mm"
            at_once(*(lambda one=one, text=text: type_in(boxes[one], text)
                      for one, text in both.items()))  # fmt: skip
            typed |= both
        at_once(
            lambda: press(button_of(hand_in, "Hand in")),
            lambda: press(button_of(hand_in, "Hand in")),
        )
        (path,) = (course.parent.parent / "hand-ins").iterdir()
        assert read_hand_in(path.read_bytes()).entries == typed
    assert {key: store.texts()[key] for key in keys} == typed


def test_each_entry_of_a_job_is_kept_and_its_sheet_made(course):
    store = EntriesFile(course / "answers.json")
    form = job_form(store, course)
    title, station = (form.form.entries[key].box for key in ("job.title", "opening.station-1"))
    press(button_of(form, "Fill empty boxes with an example"))
    for turn in range(10):
        at_once(
            lambda turn=turn: type_in(title, f"Drive {turn}"),
            lambda turn=turn: type_in(station, f"0.{turn} in"),
        )
        texts = store.texts()
        assert texts[KEY_BEFORE + "job.title"] == f"Drive {turn}"
        assert texts[KEY_BEFORE + "opening.station-1"] == f"0.{turn} in"
    at_once(
        lambda: type_in(title, "Drive of the last turn"),
        lambda: press(button_of(form, "Make the job sheet")),
    )
    assert store.texts()[KEY_BEFORE + "job.title"] == "Drive of the last turn"
    assert "Look at the sheet" in form.form.result.value


def test_a_name_tag_typed_on_two_threads_is_whole(course):
    form = name_tag_form(course)
    code, number, name = form.children[:3]
    for turn in range(1, 20):
        at_once(
            lambda turn=turn: type_in(code, f"QQ-{turn}"),
            lambda turn=turn: type_in(number, str(turn)),
            lambda turn=turn: type_in(name, f"Orla {turn}"),
        )
        tag = read_name_tag(course.parent.parent)
        assert (tag.class_code, tag.number, tag.name) == (f"QQ-{turn}", turn, f"Orla {turn}")


def test_each_press_on_the_fitting_bench_is_one_step(tmp_path):
    store = EntriesFile(tmp_path / "answers.json")
    bench = fitting_bench(seed=4, store=store).face
    press(bench.blue_button)
    press(bench.push_button)
    for turn in range(1, 13):
        at_once(lambda: press(bench.clean_button), lambda: press(bench.blue_button))
        assert len(bench.book.session.steps) == 2 + 2 * turn
    again = fitting_bench(seed=9, store=store).face
    assert again.book.session.steps == bench.book.session.steps


def test_each_press_on_the_pulling_bench_is_one_step(tmp_path):
    store = EntriesFile(tmp_path / "answers.json")
    widget = pulling_bench(seed=4, store=store)
    bench = widget.face
    measure, soak = (
        button_of(widget, words)
        for words in ("Measure the key at both ends", "Soak with penetrant")
    )
    for turn in range(1, 13):
        at_once(lambda: press(measure), lambda: press(soak))
        assert len(bench.book.session.steps) == 2 * turn
    again = pulling_bench(seed=9, store=store).face
    assert again.book.session.steps == bench.book.session.steps
