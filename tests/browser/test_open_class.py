"""An open class in a real browser: two apprentices and an instructor at once, tablet and phone."""

from __future__ import annotations

import re
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.browser.conftest import ALONE_THERE, FOLLOW
from tests.desks.test_doors import free_port

from coursework.desks.joincodes import INSTRUCTOR, JoinCodes
from coursework.desks.notices import Notices
from coursework.desks.opening import OpenClass, start_class
from coursework.page.handin import read_hand_in
from coursework.room.classfolder import ClassFolder, new_class
from coursework.room.roster import Apprentice

pytestmark = pytest.mark.browser

TABLET = {"width": 800, "height": 1280}
PHONE = {"width": 390, "height": 844}
LAPTOP = {"width": 1280, "height": 800}
MEASURE = "exercises/01-measure/01-measure.ipynb"
TAPER = "exercises/02-taper/02-taper.ipynb"
ROSTER = (Apprentice(2, "Tom Brandt"), Apprentice(7, "Zoë Ferrant"))


@pytest.fixture(scope="module")
def quarry(tmp_path_factory: pytest.TempPathFactory) -> ClassFolder:
    folder = tmp_path_factory.mktemp("quarry") / "class"
    return new_class(folder, code="QQ-26-K7PX", title="Taper keys, autumn", roster=ROSTER)


@pytest.fixture(scope="module")
def open_now(quarry: ClassFolder) -> Iterator[list[OpenClass]]:
    """Hold the open class; a test may put another in its place, on the same port."""
    held = [start_class(quarry, listen="127.0.0.1", port=free_port())]
    held[0].wait_until_up()
    yield held
    held[0].stop()


def _codes(open_now: list[OpenClass]) -> JoinCodes:
    return JoinCodes(open_now[0].codes.path.parent)


@pytest.fixture
def comes(chromium: Browser, open_now: list[OpenClass]) -> Iterator[Callable[..., Page]]:
    """Let somebody come in with their code, on a device of that size, and go on to a page."""
    with ExitStack() as stack:

        def in_with(number: int, size: dict[str, int], *, to: str = "") -> Page:
            context: Any = chromium.new_context(viewport=size, has_touch=True)  # type: ignore[arg-type]
            stack.callback(context.close)
            page: Page = context.new_page()
            page.set_default_timeout(60_000)
            page.goto(f"{open_now[0].local}/login#{_codes(open_now).of(number)}")
            join = page.get_by_role("button", name="Join the class")
            if not to:
                join.click()
                return page
            with page.expect_response("**/login"):
                join.click()
            page.goto(f"{open_now[0].local}/doc/tree/{to}")
            return _ready(page)

        yield in_with


def _ready(page: Page) -> Page:
    page.wait_for_selector("[data-taperkey-page='ready']")
    return page


def test_two_apprentices_and_an_instructor_at_once(
    comes: Callable[..., Page], open_now: list[OpenClass], quarry: ClassFolder
) -> None:
    zoe, tom, boss = comes(7, TABLET), comes(2, PHONE), comes(INSTRUCTOR, LAPTOP)
    expect(_ready(zoe).get_by_text("Zoë Ferrant, class QQ-26-K7PX, number 7")).to_be_visible()
    expect(_ready(tom).get_by_text("Tom Brandt, class QQ-26-K7PX, number 2")).to_be_visible()
    for page, name in ((zoe, MEASURE), (tom, TAPER)):
        page.evaluate(FOLLOW, [name, ""])
        page.wait_for_function(ALONE_THERE, arg=name)
        _ready(page)
        overflow = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert overflow <= 0, "nothing stands out beyond the screen"

    box = zoe.get_by_label("Mouth height").first
    box.fill("1.0312 in")
    box.press("Tab")
    expect(zoe.get_by_text(re.compile("Saved. Read as 1.0312 in"))).to_be_visible()
    expect(boss.get_by_text("2 of 2 apprentices are in")).to_be_visible()
    line = boss.get_by_role("row", name=re.compile("Zoë Ferrant"))
    expect(line).to_contain_text("Exercise 01: Measure the opening")
    expect(line).to_contain_text(re.compile(r"1 of \d+"))

    zoe.get_by_role("button", name="Hand in").click()
    expect(zoe.get_by_text(re.compile("It is with your class."))).to_be_visible()
    [came] = quarry.inbox.iterdir()
    hand_in = read_hand_in(came.read_bytes())
    assert (hand_in.number, hand_in.class_code) == (7, "QQ-26-K7PX")
    assert hand_in.entries == {"01-mouth-height": "1.0312 in"}
    assert hand_in.page_version != "unknown"
    expect(line).to_contain_text("01")

    marked = quarry.feedback / "007"
    marked.mkdir(parents=True, exist_ok=True)
    (marked / "01-measure.html").write_text("<!doctype html><p>Well measured.</p>")
    boss.get_by_role("button", name="Give out feedback (1)").click()
    expect(boss.get_by_text("1 page of feedback is given out.")).to_be_visible()
    zoe.reload()
    with zoe.context.expect_page() as opened:
        _ready(zoe).get_by_text("Your feedback on this exercise has come").click()
    expect(opened.value.get_by_text("Well measured.")).to_be_visible()


def test_a_bench_and_the_job_sheet_work(
    comes: Callable[..., Page], open_now: list[OpenClass]
) -> None:
    zoe = comes(7, TABLET, to="lessons/06-whole-job.ipynb#your-own-job")
    zoe.get_by_role("button", name="Fill empty boxes with an example").click()
    expect(zoe.get_by_text("Empty boxes now hold an invented job.")).to_be_visible()
    zoe.get_by_role("button", name="Make the job sheet").click()
    with zoe.context.expect_page() as opened:
        zoe.get_by_text("Look at the sheet, and how it was worked out").click()
    expect(opened.value.get_by_role("heading").first).to_be_visible()
    assert opened.value.url.endswith("/files/lessons/job-sheet.html")


def test_a_new_code_moves_an_apprentice_to_another_device(
    comes: Callable[..., Page], open_now: list[OpenClass]
) -> None:
    old, boss = comes(2, PHONE), comes(INSTRUCTOR, TABLET)
    _ready(old)
    press = boss.get_by_role("button", name="New code for Tom Brandt")
    press.click()
    press.click()
    said = boss.get_by_text(re.compile("Tom Brandt: the new join code is"))
    expect(said).to_be_visible()
    expect(old.get_by_text(re.compile("You are not in the class on this device"))).to_be_visible()
    old.reload()
    expect(old.get_by_label("Join code")).to_be_visible()
    new = comes(2, TABLET)
    expect(_ready(new).get_by_text("Tom Brandt, class")).to_be_visible()


def test_a_page_comes_back_by_itself_to_what_was_typed(
    comes: Callable[..., Page], open_now: list[OpenClass], quarry: ClassFolder
) -> None:
    zoe = comes(7, TABLET, to=TAPER)
    box = zoe.get_by_label(re.compile("Difference")).first
    box.fill("0.021 in")
    box.press("Tab")
    expect(zoe.get_by_text(re.compile("Saved. Read as 0.021"))).to_be_visible()

    port = int(open_now[0].local.rsplit(":", 1)[1])
    open_now[0].process.send_signal(signal.SIGKILL)
    open_now[0].process.wait()
    expect(zoe.get_by_text(re.compile("This page has lost its connection"))).to_be_visible()
    open_now[0].stop()
    open_now[0] = start_class(quarry, listen="127.0.0.1", port=port)
    open_now[0].wait_until_up()
    _ready(zoe)
    expect(zoe.get_by_text(re.compile("This page has lost its connection"))).to_have_count(0)
    expect(zoe.locator(".jp-Dialog")).to_have_count(0)
    again = zoe.get_by_label(re.compile("Difference")).first
    expect(again).to_have_value("0.021 in")
    again.fill("0.022 in")
    again.press("Tab")
    expect(zoe.get_by_text(re.compile("Saved. Read as 0.022"))).to_be_visible()
    answers = quarry.folder / "desks/007/exercises/02-taper/answers.json"
    assert "0.022 in" in Path(answers).read_text()


def test_a_unit_goes_to_the_projector_and_the_class_closes_in_time(
    comes: Callable[..., Page], open_now: list[OpenClass], quarry: ClassFolder
) -> None:
    boss, zoe = comes(INSTRUCTOR, LAPTOP), comes(7, TABLET)
    with boss.context.expect_page() as opened:
        boss.get_by_role("link", name="Open the projector’s window").click()
    wall = opened.value
    expect(wall.get_by_text("Put this window on the projector.")).to_be_visible()
    for title in ("What is the taper?", "Standard, or not?"):  # the second is on the same page
        boss.get_by_label("On the projector").select_option(label=title)
        boss.get_by_role("button", name="Show it").click()
        expect(boss.get_by_text(f"On the projector: {title}")).to_be_visible()
        shown = wall.frame_locator("iframe")
        expect(shown.get_by_role("heading", name=title).first).to_be_visible()
    wall.close()

    _ready(zoe)
    boss.get_by_label("The class closes at").fill("23:59")
    boss.get_by_role("button", name="Tell the class").click()
    expect(boss.get_by_text(re.compile("Everybody sees: closes at"))).to_be_visible()
    zoe.goto(f"{open_now[0].local}/doc/tree/{MEASURE}")
    _ready(zoe)
    expect(zoe.get_by_text(re.compile(r"The class closes at (23:59|11:59 PM)"))).to_be_visible()
    box = zoe.get_by_label("Inside height").first
    box.fill("1.0100 in")
    box.press("Tab")
    expect(zoe.get_by_text(re.compile("Saved. Read as 1.0100 in"))).to_be_visible()

    Notices(quarry.folder / "open").close_at(time.time() + 1)
    expect(boss.get_by_text(re.compile("nobody but you is in"))).to_be_visible()
    expect(zoe.get_by_text(re.compile("The class closed at"))).to_be_visible()
    late = comes(2, PHONE)
    expect(late.get_by_text("Your instructor opens it again.")).to_be_visible()

    boss.get_by_role("button", name="Open it again").click()
    expect(boss.get_by_text("The class stays open.")).to_be_visible()
    zoe.reload()
    _ready(zoe)
    expect(zoe.get_by_label("Inside height").first).to_have_value("1.0100 in")
    expect(zoe.get_by_text("The class closed at")).not_to_be_visible()
