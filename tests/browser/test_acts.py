"""Tapped, clicked and entered on every bench and form: nothing doubled, nothing lost.

A few times each; TAPERKEY_MANY=1 fifty times each, and on each front end's setting.
"""

import html
import json
import os
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from tests.browser.conftest import TABLET, OpenCourse, Screen, fresh, settle

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.page.entries import EntriesFile
from coursework.page.pagefolder import ALONE
from coursework.page.practice import PRACTICE_CLASS
from coursework.room import launch
from keycourse.drive import System
from keycourse.jobsheet.form import KEY_BEFORE
from keycourse.measure.bench.gauge import TOOLS
from keycourse.measure.bench.pages import MeasuringPages
from keycourse.measure.faces_conditions import TOOL_WORDS
from keycourse.sessions import BENCHES, open_book
from keycourse.start.drill import new_reading

pytestmark = pytest.mark.browser

MANY = os.environ.get("TAPERKEY_MANY") == "1"
TURNS = 50 if MANY else 3
UNITS: System = "inch"
Act = Callable[[Locator, Locator], None]


def tap(box: Locator, button: Locator) -> None:
    """Tap the button while the box still has the focus."""
    button.tap()


def click(box: Locator, button: Locator) -> None:
    """Click it with a mouse, press and release at once."""
    button.click()


def enter(box: Locator, button: Locator) -> None:
    """Press Enter in the box."""
    box.press("Enter")


WAYS = [tap, click, enter]


def _as_it_comes(config: Path) -> None:
    """Take our setting out, so that JupyterLab's own holds."""
    path = config / "labconfig" / "default_setting_overrides.json"
    settings = json.loads(path.read_text())
    del settings["@jupyterlab/apputils-extension:kernels-settings"]
    path.write_text(json.dumps(settings))


#: Our settings; JupyterLab's own settings; those and the ordinary kernel, with no order kept.
FRONT_ENDS = ["ours", "as it comes", "ordinary kernel"] if MANY else ["ours", "as it comes"]


@pytest.fixture(scope="module", params=FRONT_ENDS)
def front_end(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def course(front_end: str, open_course) -> Iterator[OpenCourse]:
    """Give the shipped course, as `taperkey learn` opens it or on another front end."""
    with pytest.MonkeyPatch.context() as patch:
        if front_end != "ours":
            write = launch._write_quiet
            patch.setattr(
                launch, "_write_quiet", lambda to, more: (write(to, more), _as_it_comes(to))[0]
            )
        if front_end == "ordinary kernel":
            patch.setattr(launch, "PAGE_KERNEL", "ipykernel.ipkernel.IPythonKernel")
        yield open_course(None, kernels=front_end == "ordinary kernel")


@pytest.fixture(scope="module")
def tablet(front_end: str, chromium: Browser) -> Iterator[Screen]:
    """Give a tablet: a browser page that can be touched, the front end loaded once for all."""
    with fresh(chromium, TABLET, has_touch=True) as view:
        yield view


def shown(tablet: Screen, course: OpenCourse, name: str, unit: str = "") -> Page:
    """Go to the unit that a bench or form stands in."""
    page = tablet.walk(course, name, unit=unit)
    settle(page)
    return page


def kept(course: OpenCourse, folder: str) -> EntriesFile:
    return EntriesFile(course.folder / folder / "answers.json")


def around(page: Page, button: str, *, inside: Locator | None = None) -> Locator:
    """Return the part of the page that a bench or form is in."""
    part = page.locator(".jp-OutputArea-output").filter(
        has=page.get_by_role("button", name=button, exact=True)
    )
    return (part if inside is None else part.filter(has=inside)).first


def holds(store: EntriesFile, key: str, text: str) -> bool:
    return store.texts().get(key) == text


def reached(store: EntriesFile, key: str, right: int) -> bool:
    return bool(store.get(key)["in_a_row"] >= right)


def once(check: Callable[[], bool], page: Page) -> None:
    """Wait until something is so."""
    for _ in range(300):
        if check():
            return
        page.wait_for_timeout(50)
    raise AssertionError("it never came")


def test_each_reading_is_written_down_once(course, tablet) -> None:
    page = shown(tablet, course, "lessons/01-measure.ipynb", "the-measuring-bench")
    bench = around(page, "Write it down")
    box = bench.get_by_label("You read", exact=True)
    write = bench.get_by_role("button", name="Write it down", exact=True)
    measure = bench.get_by_role("button", name=TOOL_WORDS[TOOLS[0]].take, exact=True)
    store, written = kept(course, "lessons"), 0

    def pages() -> MeasuringPages:
        book = open_book(bench="measuring", record=store.get(BENCHES["measuring"]))
        assert isinstance(book, MeasuringPages)
        return book

    for way in WAYS:
        for _ in range(TURNS):
            measure.click()
            expect(bench.get_by_text("is on the micrometer. Type what you read.")).to_be_visible()
            once(lambda: pages().book.waiting is not None, page)  # it is said before it is kept
            book = pages().book
            assert book.waiting == written + 1
            box.fill(book.shown_words(book.waiting))
            way(box, write)
            written += 1
            expect(bench.get_by_text(f"Reading {written} is written down.")).to_be_visible()
            page.wait_for_timeout(100)
            expect(box).to_have_value("")
            assert [note.number for note in pages().book.notes] == list(range(1, written + 1))
    assert "Type what you read first." not in bench.inner_text()


def test_each_reading_of_the_trainer_counts_once(course, tablet) -> None:
    page = shown(tablet, course, "lessons/00-start.ipynb", "read-an-inch-micrometer")
    trainer = around(page, "New reading", inside=page.get_by_text("Read the micrometer"))
    box = trainer.get_by_label("Reading", exact=True)
    check = trainer.get_by_role("button", name="Check", exact=True)
    store, key = kept(course, "lessons"), "micrometer inch"
    trainer.get_by_role("button", name="New reading", exact=True).click()
    once(lambda: bool(store.get(key)), page)
    right = 0
    for way in WAYS:
        for _ in range(TURNS):
            note = store.get(key)
            reading = new_reading(kind="inch", seed=note["seed"], number=note["number"])
            box.fill(f"{reading:.3f} in")
            way(box, check)
            expect(trainer.get_by_text("Right. Press “New reading”")).to_be_visible()
            right += 1
            once(partial(reached, store, key, right), page)  # it is said before it is kept
            page.wait_for_timeout(100)
            assert store.get(key)["in_a_row"] == right
            trainer.get_by_role("button", name="New reading", exact=True).click()
            expect(box).to_have_value("")
            expect(trainer.get_by_text("Right. Press “New reading”")).to_have_count(0)


def test_each_first_answer_of_practice_counts_once(course, tablet) -> None:
    page = shown(tablet, course, "lessons/01-measure.ipynb", "how-much-clearance-is-there")
    question = PAGES["01-measure"].question("01-clearance")
    block = around(page, "New numbers", inside=page.get_by_text(question.ask))
    box = block.locator("input[type=text]")
    check = block.get_by_role("button", name="Check", exact=True)
    store, answered = kept(course, "lessons"), 0
    for way in WAYS:
        for _ in range(TURNS):
            number = store.get(f"practice:{question.key}")["number"]
            card = issue_card(exercise="01-measure", class_code=PRACTICE_CLASS, number=number)
            right = right_answers(PAGES["01-measure"], card)[question.key]
            box.fill(show_answer(question.on(card), right))
            way(box, check)
            answered += 1
            said = block.get_by_text(f"First answers: {answered} right of {answered}.")
            expect(said).to_be_visible()
            once(lambda: store.get(f"practice:{question.key}")["done"], page)
            block.get_by_role("button", name="New numbers", exact=True).click()
            expect(block.get_by_text("New numbers. Type your answer")).to_be_visible()


def test_an_entry_typed_last_is_in_the_hand_in(course, tablet, front_end) -> None:
    page = shown(tablet, course, "exercises/01-measure/01-measure.ipynb")
    question = PAGES["01-measure"].question("01-clearance")
    box = page.get_by_label(question.label).first
    hand_in = page.get_by_role("button", name="Hand in", exact=True)
    store = kept(course, "exercises/01-measure")
    name = f"{ALONE.class_code}_{ALONE.number:03d}_01-measure.handin.json"
    turn = 0

    def handed(text: str) -> bool:
        path = course.folder / "hand-ins" / name
        return path.exists() and text == json.loads(path.read_text())["entries"][question.key]

    for way in WAYS:
        for _ in range(TURNS):
            turn += 1
            text = f"0.{turn:04d} in"
            box.fill(text)
            way(box, hand_in)
            once(partial(holds, store, question.key, text), page)
            if way is enter or front_end == "ordinary kernel":  # which may take them in any order
                hand_in.click()

            once(partial(handed, text), page)


def test_a_title_typed_last_is_on_the_sheet(course, tablet, front_end) -> None:
    page = shown(tablet, course, "lessons/06-whole-job.ipynb", "your-own-job")
    form = around(page, "Make the job sheet")
    box = form.locator("input[type=text][placeholder*='Bucket elevator']")
    make = form.get_by_role("button", name="Make the job sheet", exact=True)
    form.get_by_role("button", name="Fill empty boxes with an example").click()
    expect(form.get_by_text("Empty boxes now hold an invented job.")).to_be_visible()
    store, turn = kept(course, "lessons"), 0

    def on_sheet(title: str) -> bool:
        sheet = course.folder / "lessons" / "job-sheet.html"
        return sheet.exists() and html.escape(title) in sheet.read_text("utf-8")

    for way in WAYS:
        for _ in range(TURNS):
            turn += 1
            title = f"Log washer & gear {turn:03d}"
            box.fill(title)
            way(box, make)
            once(partial(holds, store, KEY_BEFORE + "job.title", title), page)
            if way is enter or front_end == "ordinary kernel":
                make.click()
            once(partial(on_sheet, title), page)


def test_each_stroke_is_filed_once_as_typed(course, tablet, front_end) -> None:
    page = shown(tablet, course, "lessons/04-fit.ipynb", "the-fitting-bench")
    bench = around(page, "Blue both faces")
    box = bench.get_by_label("Strokes", exact=True)
    bench.get_by_label("Where", exact=True).select_option("one place")
    bench.get_by_label("File on", exact=True).select_option("top face")
    file = bench.get_by_role("button", name="File", exact=True)
    store, asked = kept(course, "lessons"), []
    for way in WAYS:
        for _ in range(TURNS):
            strokes = 1 + len(asked) % 7
            box.fill(str(strokes))
            way(box, file)
            if way is enter:
                file.click()
            asked.append(strokes)
            once(lambda: len(steps_of(store, "fitting")) >= len(asked), page)
            page.wait_for_timeout(100)
            done = [step["strokes"] for step in steps_of(store, "fitting")]
            assert len(done) == len(asked)
            if front_end != "ordinary kernel":
                assert done == asked


def test_each_soak_is_done_once_as_typed(course, tablet, front_end) -> None:
    page = shown(tablet, course, "lessons/05-pull.ipynb", "the-pulling-bench")
    page.get_by_role("button", name="Penetrant", exact=True).click()
    bench = around(page, "Soak with penetrant")
    box = bench.get_by_role("spinbutton", name="Penetrant soaks", exact=True)
    soak = bench.get_by_role("button", name="Soak with penetrant", exact=True)
    store, asked = kept(course, "lessons"), []
    for way in WAYS:
        for _ in range(TURNS):
            hours = 1 + len(asked) % 70
            box.fill(str(hours))
            way(box, soak)
            if way is enter:
                soak.click()
            asked.append(hours)
            once(lambda: len(steps_of(store, "pulling")) >= len(asked), page)
            page.wait_for_timeout(100)
            done = [step["hours"] for step in steps_of(store, "pulling")]
            assert len(done) == len(asked)
            if front_end != "ordinary kernel":
                assert done == asked


def steps_of(store: EntriesFile, bench: str) -> list[dict]:
    """Return the steps that a bench has kept."""
    record = store.get(BENCHES[bench])
    if not record:
        return []
    return [dict(step) for step in open_book(bench=bench, record=record).session.steps]
