"""Three people at one hub at the same time: one hands in, one works on, one runs the class."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from tests import hub_class

pytestmark = pytest.mark.browser

PAGE = "exercises/02-taper/02-taper.ipynb"
PICTURES = Path(__file__).parent / "pictures"
LAPTOP = {"width": 1280, "height": 800}


@pytest.fixture(scope="module")
def served(chromium: Browser) -> Iterator[object]:
    why = hub_class.missing()
    if why:
        pytest.skip(why)
    room = hub_class.ServedClass(2)
    try:
        room.start()
        yield room
    finally:
        room.stop()


def log_in(context: BrowserContext, served, account: str, *, choose: str = "") -> Page:
    """Log in; who has the first password takes one of their own now, or not yet."""
    page = context.new_page()
    page.set_default_timeout(120_000)
    page.goto(served.address)
    first = served.passwords()[account]
    page.get_by_label("Account").fill(account)
    page.get_by_label("Password").fill(first)
    page.get_by_role("button", name="Log in").click()
    expect(page.get_by_role("heading", name="Choose a password of your own")).to_be_visible()
    if not choose:
        page.get_by_role("link", name="Not now").click()
        return page
    page.get_by_label("Present password").fill(first)
    page.get_by_label("New password", exact=True).fill(choose)
    page.get_by_label("New password once more").fill(choose)
    PICTURES.mkdir(exist_ok=True)
    page.screenshot(path=PICTURES / "hub-password.png")
    page.get_by_role("button", name="Change it").click()
    expect(page.get_by_role("heading", name="Your password is changed")).to_be_visible()
    page.get_by_role("link", name="To your pages").click()
    return page


def ready(page: Page) -> Page:
    page.wait_for_selector("[data-taperkey-page='ready']")
    return page


def at_exercise(page: Page, served) -> Page:
    page.goto(f"{served.address}/services/class/doc/tree/{PAGE}")
    return ready(page)


def test_three_people_at_once(served, chromium: Browser) -> None:
    one, two = served.apprentices
    sizes = (LAPTOP, {"width": 390, "height": 844}, LAPTOP)
    contexts = [chromium.new_context(viewport=size) for size in sizes]  # type: ignore[arg-type]
    try:
        first, second, staff = (
            log_in(context, served, account, choose="Keyway 1:96" if account == one else "")
            for context, account in zip(contexts, (one, two, served.instructor), strict=True)
        )
        for page, name in ((first, "Hand 1"), (second, "Hand 2")):
            ready(page)
            expect(page).to_have_url(re.compile("/services/class/doc/tree/lessons/00-start"))
            expect(page.get_by_text(f"{name}, class {served.code}, number")).to_be_visible()
        expect(staff.get_by_role("button", name="New password for Hand 1")).to_be_visible()
        expect(staff.get_by_role("link", name="Print join codes")).to_have_count(0)
        for page, name in ((first, "laptop"), (second, "phone"), (staff, "class")):
            page.screenshot(path=PICTURES / f"hub-{name}.png")

        at_exercise(first, served)
        at_exercise(second, served)
        why = first.locator("textarea").last
        why.fill("A longer base, so the same slip of the gauge tilts the line less.")
        why.press("Tab")
        other = second.locator("textarea").last
        other.fill("A short base tilts the line more.")
        other.press("Tab")
        first.get_by_role("button", name="Hand in").click()
        expect(first.get_by_text("It is with your class.")).to_be_visible()
        served.command("mark", str(served.folder))
        staff.get_by_role("button", name=re.compile("feedback", re.IGNORECASE)).click()
        expect(staff.get_by_text(re.compile("feedback", re.IGNORECASE)).first).to_be_visible()

        first.wait_for_timeout(2000)
        first.reload()
        ready(first)
        with contexts[0].expect_page() as opened:
            first.get_by_role("link", name="Your feedback on this exercise has come").click()
        expect(opened.value.get_by_text("so the same slip of the gauge")).to_be_visible()

        second.reload()  # who did not hand in has no feedback, and still has what was typed
        ready(second)
        expect(second.get_by_role("link", name="Your feedback")).to_have_count(0)
        expect(second.locator("textarea").last).to_have_value("A short base tilts the line more.")

        second.goto(f"{served.address}/services/class/doc/tree/lessons/00-start.ipynb")
        ready(second)
        second.get_by_role("link", name="Log out").first.click()
        second.wait_for_url(re.compile("/hub/"))
        staff.get_by_role("link", name="Log out").click()
        staff.wait_for_url(re.compile("/hub/"))
        second.wait_for_timeout(25_000)  # the hub's word on who somebody is holds for 20 s
        for page, way in ((second, f"doc/tree/{PAGE}"), (staff, "class")):
            page.goto(f"{served.address}/services/class/{way}")
            expect(page.get_by_label("Account")).to_be_visible()
    finally:
        for context in contexts:
            context.close()
