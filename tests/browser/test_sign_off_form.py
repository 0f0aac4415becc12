"""The sign-off form on a phone beside the machine, by touch, and from the marking screen."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader
from tests.classroom.test_signform import served

from coursework.mark.signoff import read_sign_offs, task_of, tasks
from coursework.room.classfolder import ClassFolder, new_class
from coursework.room.markingscreen import start_marking_screen
from coursework.room.roster import Apprentice
from coursework.room.signform import PLACE
from coursework.room.signing import write_sheets

pytestmark = pytest.mark.browser

TASK = "01-sign-off"
COUNT = len(task_of(TASK).items)
MUST = next(place for place, one in enumerate(task_of(TASK).items, 1) if one.must)
SMALLEST_PX = 44  # side of what a finger has to hit, WCAG 2.2, 2.5.5 (from memory)


@pytest.fixture
def room(tmp_path: Path) -> ClassFolder:
    people = [Apprentice(1, "Ada Brindle"), Apprentice(7, "Zoë Ferrant")]
    return new_class(tmp_path / "class", code="QQ-26", title="Taper keys", roster=people)


@pytest.fixture
def phone(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
    )
    yield context.new_page()
    context.close()


def small_targets(page: Page) -> list[str]:
    """Return what can be hit and is smaller than a finger."""
    return page.evaluate(
        """least => [...document.querySelectorAll(
            'a, button, select, input:not([type=hidden]), summary, textarea')]
        .map(one => [one.outerHTML.slice(0, 60), one.getBoundingClientRect()])
        .filter(([, box]) => box.width < least || box.height < least)
        .map(([text, box]) => `${text}: ${box.width} x ${box.height}`)""",
        SMALLEST_PX,
    )


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def test_a_task_is_signed_off_by_touch(room: ClassFolder, phone: Page, tmp_path: Path) -> None:
    with served(room) as link:
        phone.goto(link)
        expect(phone.get_by_text("Choose the task that you watch.")).to_be_visible()
        assert link.rpartition("/")[2] not in phone.url
        assert fits(phone), phone.url
        assert small_targets(phone) == []
        phone.screenshot(path=tmp_path / "tasks.png")
        phone.get_by_role("link", name=task_of(TASK).question.label).first.tap()
        expect(phone.get_by_text("Choose who is at the bench.")).to_be_visible()
        assert fits(phone)
        assert small_targets(phone) == []
        phone.get_by_role("link", name="Zoë Ferrant").tap()
        expect(phone.get_by_role("button", name="Keep it")).to_be_visible()
        expect(phone.get_by_text("Assessor: Pat Holt")).to_be_visible()
        assert fits(phone)
        assert small_targets(phone) == []
        for place in range(1, COUNT + 1):
            word = "No" if place == MUST else "Yes"
            item = phone.get_by_role("group").nth(place)  # the first is the folded conditions
            item.get_by_label(word, exact=True).tap()
        phone.screenshot(path=tmp_path / "ticked.png")
        phone.get_by_role("button", name="Keep it").tap()  # one is not answered: it stays here
        assert phone.url.endswith(f"/{TASK}/7")
        phone.get_by_label("Unprompted", exact=True).tap()
        phone.get_by_role("button", name="Keep it").tap()
        expect(phone.get_by_role("status")).to_contain_text("Zoë Ferrant: not yet competent")
        assert fits(phone)
        phone.screenshot(path=tmp_path / "kept.png")
    (one,) = read_sign_offs(room.folder)
    assert (one.number, one.by, one.attempt, one.prompted) == (7, "Pat Holt", 1, False)
    assert one.failed == (MUST,)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_task_is_printed_on_one_sheet(
    room: ClassFolder, chromium: Browser, tmp_path: Path, paper: str
) -> None:
    page = chromium.new_page()
    page.goto(write_sheets(room).as_uri())
    page.pdf(path=tmp_path / "sheets.pdf", format=paper)
    page.close()
    sheets = [one.extract_text() for one in PdfReader(tmp_path / "sheets.pdf").pages]
    found = [
        re.search(r"task (\d\d-sign-off)", " ".join(one.split()).replace("ﬀ", "ff"))
        for one in sheets
    ]
    assert [one and one[1] for one in found] == list(tasks())


def test_the_form_works_by_keyboard(room: ClassFolder, chromium: Browser) -> None:
    page = chromium.new_context(viewport={"width": 1280, "height": 800}).new_page()
    with served(room) as link:
        page.goto(link)
        page.wait_for_url("**/sign-off/")
        page.goto(page.url + f"{TASK}/1")
        page.locator("input[type=radio]").first.focus()
        for _ in range(COUNT + 1):
            page.keyboard.press("Space")
            page.keyboard.press("Tab")
        page.get_by_role("button", name="Keep it").press("Enter")
        expect(page.get_by_role("status")).to_contain_text("Ada Brindle: signed off")
    page.context.close()
    (one,) = read_sign_offs(room.folder)
    assert one.passed


def test_the_marking_screen_has_the_form_behind_its_own_log_in(
    room: ClassFolder, chromium: Browser
) -> None:
    server = start_marking_screen(room, by="Pat Holt")
    try:
        stranger = chromium.new_context().new_page()
        stranger.goto(f"{server.base_url}{PLACE}/{TASK}")
        expect(stranger.get_by_text("This page is for assessors.")).to_be_visible()
        stranger.context.close()
        page = chromium.new_context().new_page()
        page.goto(f"{server.base_url}{PLACE}/?token={server.token}")
        page.goto(f"{server.base_url}{PLACE}/{TASK}/7")
        for box in page.locator("input[value=yes], input[value=unprompted]").all():
            box.check()
        page.get_by_role("button", name="Keep it").click()
        expect(page.get_by_role("status")).to_contain_text("Zoë Ferrant: signed off")
        page.context.close()
    finally:
        server.stop()
    (one,) = read_sign_offs(room.folder)
    assert (one.number, one.by, one.passed) == (7, "Pat Holt", True)
