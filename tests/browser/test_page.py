"""The quiet page: it runs by itself, shows no code, and keeps working when things break."""

import json
import os
import re
import signal
from pathlib import Path
from typing import Any

import nbformat
import pytest
from playwright.sync_api import expect

from coursework.ink.signs import hazard_text
from coursework.room.coursebook import lay_out

pytestmark = pytest.mark.browser

START = "lessons/00-start.ipynb"
MEASURE = "lessons/01-measure.ipynb"
EXERCISE = "exercises/01-measure/01-measure.ipynb"
STOPPING = "lessons/05-stopping.ipynb"
UNMARKED = "lessons/90-unmarked.ipynb"
CHANGED = "lessons/91-changed.ipynb"

FORM = """
from IPython.display import display
import ipywidgets as w
height = w.BoundedFloatText(value=1.0104, description="Height, in", max=9, step=0.0001)
said = w.HTML("<p>Taper 0.0104 in per inch.</p>")
height.observe(lambda new: setattr(said, "value", f"<p>Height {new['new']:.4f} in.</p>"), "value")
pick = w.ToggleButtons(options=["mouth", "inside"], description="Station")
slide = w.FloatSlider(description="Clearance", max=0.02, step=0.001, readout_format=".3f")
display(w.VBox([w.HBox([height, slide]), pick, said, w.Button(description="Check")]))
"""
TEXT = (
    "A taper key holds by its top and bottom faces. Turn the keyway to the bottom before you "
    "measure: the hub hangs on the top of the shaft, and all the clearance lies underneath."
)
TABLE = "| station | height, in |\n|---|---|\n| mouth | 1.0104 |\n| 1 in inside | 1.0000 |"
CAUTION = hazard_text("warning", "White lead is poisonous. Use the anti-seize your site allows.")


def notebook(*blocks: tuple[str, str], name: str) -> dict[str, Any]:
    """Return a course page; kinds are text, code and answer; no name leaves the mark out."""
    cells = []
    for number, (kind, source) in enumerate(blocks):
        cell: dict[str, Any] = {
            "id": f"block-{number}",
            "cell_type": "code" if kind == "code" else "markdown",
            "source": source,
            "metadata": {"deletable": False, "editable": kind == "answer"},
        }
        if kind == "code":
            cell |= {"outputs": [], "execution_count": None}
            cell["metadata"]["jupyter"] = {"source_hidden": True}
        cells.append(cell)
    metadata: dict[str, Any] = {
        "kernelspec": {"name": "python3", "display_name": "Course", "language": "python"}
    }
    if name:
        metadata["taperkey"] = {"page": name}
    return {"cells": cells, "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}


PAGES = {
    START: notebook(
        ("text", f"# Start here\n\n{TEXT}\n\n## Why the bottom\n\n{TEXT}\n\n{TABLE}\n\n{CAUTION}"),
        ("code", FORM),
        ("text", f"## Next\n\n{TEXT}\n\n[Next: lesson 01](01-measure.ipynb)"),
        *[("text", f"### Section {number}\n\n{TEXT}") for number in range(6)],
        name="00-start",
    ),
    MEASURE: notebook(
        ("text", "# Measure\n\n[Exercise](../exercises/01-measure/01-measure.ipynb)"),
        ("code", "import os, sys\nprint('made by', os.getpid())"),
        ("code", "times = globals().get('times', 0) + 1; print('times run:', times)"),
        ("code", "print('a warning for programmers', file=sys.stderr)"),
        ("code", "print('last ' + 'line')"),
        name="01-measure",
    ),
    EXERCISE: notebook(
        ("text", "# Exercise"),
        ("code", "print('exercise ' + 'ready')"),
        ("answer", "*Write your answer here.*"),
        name="01-measure",
    ),
    STOPPING: notebook(
        ("text", "# Stopping"),
        ("code", "raise ValueError('mouth height is 0 in; it must be above 0.')"),
        ("code", "print('not ' + 'reached')"),
        name="05-stopping",
    ),
    UNMARKED: notebook(("text", "# Unmarked"), ("code", "print('it ' + 'ran')"), name=""),
    CHANGED: notebook(("text", "# Changed"), ("code", "print('it ' + 'ran')"), name="91-changed"),
}


@pytest.fixture(scope="module")
def sources(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    root = tmp_path_factory.mktemp("shipped")
    for name, content in PAGES.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        text = nbformat.writes(nbformat.from_dict(content)) + "\n"  # as a server saves it
        path.write_text(text, "utf-8")
    return {name: root / name for name in PAGES}


@pytest.fixture(scope="module")
def course(open_course, sources):  # noqa: ANN001, ANN201
    return open_course(sources)


def results(page) -> str:  # noqa: ANN001
    return "\n".join(page.locator(".jp-OutputArea-output:visible").all_text_contents())


def test_the_page_runs_by_itself_and_its_form_is_live(walker, course) -> None:
    page = walker.show(course.address(START))

    page.get_by_label("Height, in").fill("1.0200")
    page.keyboard.press("Tab")
    page.get_by_text("Height 1.0200 in.").wait_for()
    assert walker.errors == []


def test_the_page_is_fetched_before_lab_writes_down_its_windows(screen, course) -> None:
    """It would wait a second for that, and open the page after it."""
    asked: list[str] = []
    screen.page.on("request", lambda one: asked.append(f"{one.method} {one.url.split('?')[0]}"))
    screen.show(course.address(START))
    screen.page.wait_for_timeout(1500)  # and it does not open it again

    base = course.server.base_url
    order = [asked.index(f"GET {base}api/contents/{START}")]
    order += [at for at, one in enumerate(asked) if one == f"PUT {base}lab/api/workspaces/default"]
    assert len(order) > 1
    assert order == sorted(order)
    assert screen.page.locator(".jp-NotebookPanel").count() == 1
    assert screen.page.url.split("?")[0] == course.address(START).split("?")[0]
    assert screen.page.evaluate("history.length") == 2, "going back leaves the course"
    assert screen.errors == []


def test_a_button_in_sight_is_a_tab_stop_whatever_lab_makes_of_it(screen, course) -> None:
    """Lab has one stop in a toolbar, and gives it to the first button: maybe one out of sight."""
    page = screen.show(course.address(START))
    button = page.locator("jp-button:visible", has_text="Start page")
    expect(button).to_have_attribute("tabindex", "0")
    button.evaluate("one => one.setAttribute('tabindex', '-1')")
    expect(button).to_have_attribute("tabindex", "0")


def test_no_code_and_nothing_of_a_programmers_screen_is_in_sight(walker, course) -> None:
    page = walker.show(course.address(MEASURE))

    text = page.locator("body").inner_text()
    assert "made by" in text
    for word in ("import os", "print(", "warning for programmers", "[1]", "Python 3", "Validate"):
        assert word not in text
    for part in (
        ".jp-InputArea-editor",
        ".jp-InputPlaceholder",
        ".jp-InputPrompt",
        ".jp-OutputPrompt",
        ".jp-SideBar",
        "#jp-menu-panel",
        ".lm-MenuBar",
        "#jp-main-statusbar",
        ".jp-Notebook-footer",
        ".jp-cell-toolbar",
    ):
        assert page.locator(f"{part}:visible").count() == 0, part
    buttons = page.locator(".jp-NotebookPanel-toolbar .jp-ToolbarButtonComponent:visible")
    assert buttons.all_inner_texts() == ["Start page"]  # it ran by itself


def test_the_page_suits_the_screen(walker, course, size) -> None:
    walker.page.set_viewport_size(size)
    page = walker.show(course.address(START))
    walker.picture(f"start-{size['width']}")

    paragraph = page.locator(".jp-MarkdownOutput p").first
    font = paragraph.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
    box = paragraph.bounding_box()
    assert font >= 16
    assert box["width"] <= 60 * font
    assert box["x"] >= 16
    assert box["x"] + box["width"] <= size["width"] - 16
    outer = page.locator(".jp-WindowedPanel-outer")
    assert outer.evaluate("e => e.scrollWidth - e.clientWidth") <= 0  # nothing runs out sideways
    assert outer.evaluate("e => e.scrollTop") == 0  # running has not scrolled the reader away
    outer.evaluate("e => e.scrollTo(0, e.scrollHeight)")
    last = page.get_by_role("heading", name="Section 5").bounding_box()
    assert 0 < last["y"] < size["height"]


def test_an_unmarked_page_opens_and_does_not_run(walker, course) -> None:
    walker.page.goto(course.address(UNMARKED))
    walker.page.get_by_role("heading", name="Unmarked").wait_for()
    walker.page.wait_for_timeout(4000)

    assert results(walker.page) == ""
    assert walker.page.locator("[data-taperkey-page]").count() == 0


def test_a_page_with_changed_code_waits_for_the_button(walker, course) -> None:
    path = course.folder / CHANGED
    changed = json.loads(path.read_text("utf-8"))
    changed["cells"][1]["source"] = "print('it ' + 'ran, changed')"
    path.write_text(json.dumps(changed), "utf-8")

    page = walker.show(course.address(CHANGED), until="waiting")
    page.wait_for_timeout(3000)
    assert page.get_by_role("alert").inner_text() == (
        "This page is not as it came. Press “Run this page” to start it."
    )
    assert results(page) == ""

    page.get_by_role("button", name="Run this page").click()
    page.wait_for_selector("[data-taperkey-page='ready']")
    assert results(page).strip() == "it ran, changed"


def test_the_button_works_without_the_extension(screen, course) -> None:
    screen.page.route("**/@taperkey/page/**", lambda route: route.abort())
    screen.page.goto(course.address(MEASURE))
    screen.page.get_by_role("heading", name="Measure").wait_for()
    screen.page.wait_for_timeout(4000)
    assert results(screen.page) == ""

    screen.page.get_by_role("button", name="Run this page").click()
    screen.page.get_by_text("last line").wait_for()
    assert "print(" not in screen.page.locator("body").inner_text()


def test_links_and_the_way_back_stay_in_the_quiet_view(walker, course) -> None:
    page = walker.show(course.address(START))

    page.get_by_role("link", name="Next: lesson 01").click()
    page.get_by_text("last line").wait_for()
    page.wait_for_url(re.compile(r"/doc/tree/lessons/01-measure\.ipynb$"))
    page.get_by_role("link", name="Exercise").click()
    page.get_by_text("exercise ready").last.wait_for()
    page.wait_for_url(re.compile(r"/doc/tree/exercises/01-measure/01-measure\.ipynb$"))
    page.wait_for_function("document.title === 'Exercise'")
    page.go_back()
    page.get_by_text("last line").wait_for()
    page.wait_for_url(re.compile(r"/doc/tree/lessons/01-measure\.ipynb$"))
    page.get_by_role("button", name="Start page").click()
    page.get_by_label("Height, in").wait_for()
    page.wait_for_url(re.compile(r"/doc/tree/lessons/00-start\.ipynb$"))
    page.wait_for_function("document.querySelectorAll('.jp-NotebookPanel').length === 1")
    assert walker.errors == []


def starts_again(page) -> None:  # noqa: ANN001
    """Wait until it sets up and is ready; looked at in every frame, for it may take two tenths."""
    page.wait_for_function("document.querySelector('[data-taperkey-page=setting-up]')")
    page.wait_for_selector("[data-taperkey-page='ready']")


def made_by(page) -> int:  # noqa: ANN001
    return int(re.search(r"made by (\d+)", results(page)).group(1))


@pytest.mark.skipif(os.name == "nt", reason="the process is ended the POSIX way here")
def test_the_page_starts_again_when_its_process_dies(walker, course) -> None:
    page = walker.show(course.address(MEASURE))
    before = made_by(page)

    os.kill(before, signal.SIGKILL)
    starts_again(page)

    assert made_by(page) != before
    assert page.locator(".jp-Dialog").count() == 0


def test_the_button_starts_the_page_afresh_once(walker, course) -> None:
    page = walker.show(course.address(MEASURE))
    before = made_by(page)

    button = page.get_by_role("button", name="Run this page")
    assert button.count() == 0  # the page ran by itself
    page.evaluate(  # until a sentence on it asks for the button
        "document.querySelector('.jp-Notebook').insertAdjacentHTML("
        "'beforeend', '<i class=tk-press-run></i>')"
    )
    button.click()
    starts_again(page)

    assert made_by(page) != before
    assert page.locator(".jp-Dialog").count() == 0
    page.wait_for_timeout(1500)
    assert "times run: 1" in results(page)


def test_a_page_that_stops_says_why_in_one_sentence(walker, course) -> None:
    page = walker.show(course.address(STOPPING), until="stopped")
    walker.picture("stopped")

    assert page.get_by_role("alert").inner_text() == (
        "This page stopped: mouth height is 0 in; it must be above 0. Press “Run this page”. "
        "If it stops again, show this line to your instructor."
    )
    text = page.locator("body").inner_text()
    assert "Traceback" not in text
    assert "not reached" not in text


def test_a_written_answer_opens_on_a_click_and_is_saved(walker, course) -> None:
    page = walker.show(course.address(EXERCISE))

    page.locator(".taperkey-answer").click()
    page.locator(".taperkey-answer .cm-content").wait_for()
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type("All the clearance lies underneath.")
    walker.picture("written-answer")
    with page.expect_response(
        lambda reply: reply.request.method == "PUT" and "/api/contents/" in reply.url
    ):
        page.get_by_role("heading", name="Exercise").click()

    saved = json.loads((course.folder / EXERCISE).read_text("utf-8"))
    assert "".join(saved["cells"][2]["source"]) == "All the clearance lies underneath."
    assert saved["cells"][1]["outputs"] == []


def test_stray_keys_and_clicks_change_nothing(walker, course) -> None:
    page = walker.show(course.address(MEASURE))
    count = page.locator(".jp-Cell").count()

    page.get_by_role("heading", name="Measure").click()
    for key in ("d", "d", "a", "b", "x", "m", "y", "z", "Shift+m", "Control+Shift+c"):
        page.keyboard.press(key)
    page.get_by_role("heading", name="Measure").dblclick()
    page.get_by_role("heading", name="Measure").click(button="right")
    page.wait_for_timeout(500)

    assert page.locator(".jp-Cell").count() == count
    for part in (".jp-InputArea-editor", ".lm-Menu", ".jp-ModalCommandPalette", ".jp-Dialog"):
        assert page.locator(f"{part}:visible").count() == 0, part


def test_running_a_page_is_no_change_to_it(walker, course, sources) -> None:
    page = walker.show(course.address(START))
    page.get_by_role("heading", name="Start here").click()
    with page.expect_response(
        lambda reply: reply.request.method == "PUT" and "/api/contents/" in reply.url
    ):
        page.keyboard.press("ControlOrMeta+s")

    laid = lay_out(folder=course.folder, pages=sources)

    assert START not in laid.kept
