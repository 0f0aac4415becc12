"""Open to everyone: axe-core's rules, room for a finger, no scrolling sideways, large text.

A few pages are looked at in each run; ``TAPERKEY_AXE=all`` looks at every page that an apprentice
or an instructor opens, at three widths, in light, dark and high contrast. Each page is opened once.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import expect
from tests.browser.conftest import Screen
from tests.browser.looking import Looker, unsaid_numbers
from tests.classroom.test_signform import served
from tests.desks.test_doors import free_port

from coursework.course import PAGES, issue_card
from coursework.desks.joincodes import INSTRUCTOR, JoinCodes
from coursework.desks.opening import start_class
from coursework.mark.signoff import tasks
from coursework.page.handin import write_hand_in
from coursework.room.assessing import mark_and_report
from coursework.room.classfolder import ClassFolder, new_class
from coursework.room.roster import Apprentice
from keycourse.demo import HABITS, typed_entries
from keycourse.jobsheet.fields import example_entries
from keycourse.jobsheet.html import sheet_html
from keycourse.jobsheet.job import parse_job
from keycourse.jobsheet.sheet import make_sheet

pytestmark = pytest.mark.browser

WHOLE = os.environ.get("TAPERKEY_AXE") == "all"
whole_only = pytest.mark.skipif(not WHOLE, reason="looked at with TAPERKEY_AXE=all")
#: A few units, each with what is most of its kind: figure, worked table, bench; and an exercise.
FEW = (
    ("lessons/00-start.ipynb", ("",)),
    ("lessons/02-taper.ipynb", ("what-is-the-taper",)),
    ("lessons/04-fit.ipynb", ("the-fitting-bench",)),
    ("exercises/02-taper/02-taper.ipynb", ("",)),
)
EVERY = (
    *((f"lessons/{name}.ipynb", ()) for name in PAGES),
    ("lessons/07-words.ipynb", ()),
    *((f"exercises/{name}/{name}.ipynb", ("",)) for name in PAGES),
)
WIDTHS = (1280, 800, 390)


@pytest.fixture(scope="module")
def course(open_course):
    """Give the shipped course, opened as `taperkey learn` opens it."""
    return open_course(None)


@pytest.fixture
def looker(walker: Screen) -> Looker:
    """Give a browser page that keeps a list of what is wrong on what it is shown."""
    return Looker(walker.page)


def all_ways(looker: Looker, where: str) -> None:
    """Look at what the page shows in each width and theme."""
    looker.turn(1280)
    looker.look(f"{where}, 1280")
    for width in WIDTHS[1:] if WHOLE else WIDTHS[2:]:
        looker.turn(width)
        looker.look(f"{where}, {width}", axe=WHOLE)
    for theme in ("dark", "high contrast") if WHOLE else ("dark",):
        looker.turn(1280, theme)
        looker.look(f"{where}, {theme}", colors_only=True)
    looker.turn(1280)


@pytest.mark.parametrize(("name", "units"), EVERY if WHOLE else FEW)
def test_a_page_has_no_fault_in_any_width_or_theme(
    course, walker: Screen, looker: Looker, name, units
) -> None:
    looker.turn(1280)
    walker.walk(course, name, unit=units[0] if len(units) == 1 else "")
    looker.settle()
    for each in looker.units(units):
        all_ways(looker, each or name)
    assert looker.found == [], "\n".join(looker.found)


def test_a_number_left_out_of_the_words_is_found() -> None:
    said = "The key is 1.25 in wide; the load is 12,000 lbf."
    assert unsaid_numbers(said, ["1.25 in", "12,000 lbf", "Drawn twice as large"]) == []
    assert unsaid_numbers(said, ["1.5 in", "taper 0.0104 in/in"]) == ["1.5", "0.0104"]


PEOPLE = (Apprentice(2, "Tom Brandt"), Apprentice(7, "Zoë Ferrant"))


@pytest.fixture(scope="module")
def quarry(tmp_path_factory: pytest.TempPathFactory) -> ClassFolder:
    """Give a class whose two apprentices handed everything in, marked and reported."""
    room = new_class(
        tmp_path_factory.mktemp("quarry") / "class", code="QQ-28", title="Keys", roster=PEOPLE
    )
    for one, habit in zip(PEOPLE, HABITS, strict=False):
        for page in PAGES.values():
            card = issue_card(exercise=page.name, class_code="QQ-28", number=one.number)
            write_hand_in(
                folder=room.inbox,
                class_code="QQ-28",
                number=one.number,
                page=page.name,
                page_version="v",
                entries=typed_entries(habit, page, card),
                made="2026-11-25T12:00:00Z",
            )
    mark_and_report(room)
    return room


def look_at_sheet(looker: Looker, address: str, where: str) -> None:
    """Open a sheet that stands alone, and look at it in each way."""
    looker.turn(1280)
    looker.page.goto(address)
    looker.page.evaluate(
        "document.querySelectorAll('details').forEach(one => { one.open = true; })"
    )
    all_ways(looker, where)


@whole_only
def test_feedback_and_report_have_no_fault(quarry: ClassFolder, looker: Looker) -> None:
    pages = sorted(quarry.folder.glob("report/*.html")) + sorted(quarry.feedback.rglob("*.html"))
    assert len(pages) >= 2 + len(PAGES)
    for path in pages:
        look_at_sheet(looker, path.as_uri(), str(path.relative_to(quarry.folder)))
    assert looker.found == [], "\n".join(looker.found)


@whole_only
def test_the_job_sheet_has_no_fault(looker: Looker, tmp_path: Path) -> None:
    sheet = make_sheet(job=parse_job(example_entries("hollow-ram")), today=date(2026, 11, 28))
    path = tmp_path / "sheet.html"
    path.write_text(sheet_html(sheet=sheet), encoding="utf-8")
    look_at_sheet(looker, path.as_uri(), "job sheet")
    assert looker.found == [], "\n".join(looker.found)


@whole_only
def test_the_sign_off_form_has_no_fault(quarry: ClassFolder, looker: Looker) -> None:
    with served(quarry) as link:
        looker.page.goto(link)
        looker.page.wait_for_url("**/sign-off/")  # the link is taken out of the address
        base = looker.page.url
        look_at_sheet(looker, base, "sign-off, tasks")
        for task in tasks():
            look_at_sheet(looker, f"{base}{task}", f"sign-off, {task}")
        look_at_sheet(looker, f"{base}{task}/7", f"sign-off, {task}, one apprentice")
    assert looker.found == [], "\n".join(looker.found)


@contextmanager
def stopped(open_now) -> Iterator:
    """Stop an open class at the end."""
    try:
        yield open_now
    finally:
        open_now.stop()


@whole_only
def test_an_open_class_has_no_fault(quarry: ClassFolder, looker: Looker) -> None:
    with stopped(start_class(quarry, listen="127.0.0.1", port=free_port())) as open_now:
        open_now.wait_until_up()
        codes = JoinCodes(open_now.codes.path.parent)
        look_at_sheet(looker, f"{open_now.local}/login", "join page")
        for number, where in ((7, "first page of an open class"), (INSTRUCTOR, "class page")):
            looker.page.context.clear_cookies()
            looker.page.goto("about:blank")
            looker.page.goto(f"{open_now.local}/login#{codes.of(number)}")
            looker.page.get_by_role("button", name="Join the class").click()
            looker.page.wait_for_url(lambda url: "/login" not in url)
            if number != INSTRUCTOR:
                looker.page.wait_for_selector("[data-taperkey-page='ready']")
            looker.page.wait_for_timeout(2000)
            all_ways(looker, where)
    assert looker.found == [], "\n".join(looker.found)


def test_text_twice_as_large_stays_on_a_narrow_page(course, walker: Screen, looker: Looker) -> None:
    # WCAG 2.2, 1.4.4 and 1.4.10: 200 % text, and 320 CSS pixels, without scrolling two ways
    page = walker.walk(course, "lessons/02-taper.ipynb", unit="what-is-the-taper")
    looker.settle()
    sizes = page.context.new_cdp_session(page)
    sizes.send("Page.setFontSizes", {"fontSizes": {"standard": 32, "fixed": 26}})
    cut_off = """() => [...document.querySelectorAll('.jp-OutputArea input, .jp-OutputArea button')]
      .filter(one => one.checkVisibility())
      .filter(one => one.getBoundingClientRect().right > innerWidth || one.offsetWidth < 40)
      .map(one => one.ariaLabel || one.textContent || one.labels?.[0]?.textContent)"""
    for size, width in ((32, 640), (16, 320)):
        sizes.send("Page.setFontSizes", {"fontSizes": {"standard": size, "fixed": 13}})
        looker.turn(width)
        body = page.locator(".jp-MarkdownOutput p").first
        assert body.evaluate("e => parseFloat(getComputedStyle(e).fontSize)") >= size
        looker.look(f"{size} px letters on {width} px")
        assert page.evaluate(cut_off) == []
    sizes.detach()  # and letters are of the ordinary size again
    assert looker.found == [], "\n".join(looker.found)


def test_focus_is_seen_and_a_unit_is_reached_from_the_keyboard(course, walker: Screen) -> None:
    page = walker.show(course.address("lessons/02-taper.ipynb", unit=""))
    link = page.locator(".tk-side a[data-tk-unit=standard-or-not]")
    link.focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Shift+Tab")  # so that it is the keyboard's focus
    style = "e => getComputedStyle(e).outlineStyle + getComputedStyle(e).outlineWidth"
    assert link.evaluate(style) == "solid3px"
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Standard, or not?").wait_for()
    assert page.url.endswith("#standard-or-not")
    assert not page.get_by_role("heading", name="Another way: the taper bar").is_visible()
    page.go_back()
    page.locator(".tk-side a[aria-current]", has_text="02 Find the taper").wait_for()
    page.locator(".tk-side a[data-tk-unit=how-well-do-you-know-it]").click()  # its part runs now
    slider = page.locator(".noUi-handle:visible").first
    expect(slider).to_have_attribute("aria-label", "Base length")  # named when the page is live


def test_every_unit_is_walked_by_its_way_on(course, walker: Screen) -> None:
    page = walker.show(course.address("lessons/02-taper.ipynb", unit="what-is-the-taper"))
    walked = []
    for unit in PAGES["02-taper"].units:
        heading = page.locator(".tk-unit-head h2")
        heading.get_by_text(unit.title).wait_for()
        assert heading.count() == 1
        walked.append(page.url.partition("#")[2])
        page.locator(".tk-foot a").hover()  # the foot is written anew while the page sets up
        page.wait_for_timeout(300)
        page.locator(".tk-foot a").click()
    assert walked == [unit.id for unit in PAGES["02-taper"].units]
    last = page.locator(".tk-side li", has_text="To keep")
    last.locator(".tk-sign-ok").wait_for()  # it was read, and nothing else is to be done in it
    assert page.locator(".tk-side li.tk-unit-done").count() == 2  # with the usual mistakes
    assert not walker.errors
