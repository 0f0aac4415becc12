"""Three people at one hub at the same time: one hands in, one works on, one marks."""

import importlib.util
import os
import re
import signal
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

pytestmark = pytest.mark.browser

PAGE = "exercises/02-taper/02-taper.ipynb"
PICTURES = Path(__file__).parent / "pictures"
LAPTOP = {"width": 1280, "height": 800}


def _kit(name: str) -> ModuleType:
    if name in sys.modules:
        return sys.modules[name]
    path = Path(__file__).parents[1] / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


TAPER = re.compile(r"^Taper per (inch|millimeter) \(")  # on an inch card, on a metric card


@pytest.fixture(scope="module")
def served(chromium: Browser) -> Iterator[object]:
    kit = _kit("hub_class")
    why = kit.missing()
    if why:
        if os.environ.get("TAPERKEY_HUB") == "1":
            pytest.fail(why)
        pytest.skip(why)
    room = kit.ServedClass(2)
    try:
        room.start()
        yield room
    finally:
        room.stop()


OWN: dict[str, str] = {}  # password by account, where it is not the first one any more


def log_in(context: BrowserContext, served, account: str, *, choose: str = "") -> Page:
    """Log in; who has the first password still takes one of their own now, or not yet."""
    page = context.new_page()
    page.set_default_timeout(120_000)
    page.goto(served.address)
    first = served.passwords()[account]
    page.get_by_label("Username").fill(account)
    page.get_by_label("Password").fill(OWN.get(account, first))
    page.get_by_role("button", name="Sign in").click()
    if account in OWN:
        return page
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
    OWN[account] = choose
    expect(page.get_by_role("heading", name="Your password is changed")).to_be_visible()
    page.get_by_role("link", name="To your pages").click()
    return page


def ready(page: Page) -> Page:
    page.wait_for_selector("[data-taperkey-page='ready']")
    return page


def at_exercise(page: Page, served, account: str) -> Page:
    page.goto(f"{served.address}/user/{account}/doc/tree/{PAGE}")
    return ready(page)


def test_three_people_at_once(served, chromium: Browser) -> None:
    one, two = served.apprentices
    contexts = [chromium.new_context(viewport=LAPTOP) for _ in range(3)]  # type: ignore[arg-type]
    try:
        first, second, marker = (
            log_in(context, served, account, choose="Keyway 1:96" if account == one else "")
            for context, account in zip(contexts, (one, two, served.assessor), strict=True)
        )
        for page in (first, second):  # each lands on the start page, with the name tag filled in
            ready(page)
            expect(page).to_have_url(re.compile(r"/user/[^/]+/doc/tree/lessons/00-start"))
        expect(first.get_by_label("Your number")).to_have_value("1")
        expect(second.get_by_label("Your number")).to_have_value("2")
        marker.wait_for_selector("#jp-main-dock-panel")
        with contexts[0].expect_page() as change:  # later too, from the start page
            first.get_by_role("link", name="Change your password").click()
        expect(change.value.get_by_role("heading", name="Change your password")).to_be_visible()
        change.value.close()
        first.screenshot(path=PICTURES / "hub-start.png")

        at_exercise(first, served, one)
        at_exercise(second, served, two)
        why = first.locator("textarea").last
        why.fill("A longer base, so the same slip of the gauge tilts the line less.")
        why.press("Tab")
        second.get_by_label(TAPER).first.fill("0.0104 in/in")
        second.keyboard.press("Tab")
        first.get_by_role("button", name="Hand in").click()
        expect(first.get_by_text("It is with your class.")).to_be_visible()
        served.command("mark", str(served.folder))

        marker.goto(
            f"{served.address}/user/{served.assessor}/formgrader/gradebook/02-taper/02-taper"
        )
        with marker.expect_response(re.compile("/formgrader/api/comments")):
            marker.get_by_role("link", name="Submission #1").click()
        marker.wait_for_load_state("networkidle")
        expect(marker.get_by_text("so the same slip of the gauge")).to_be_visible()
        score = marker.locator("input.score:visible").nth(-2)
        score.fill("2")
        with marker.expect_response(re.compile("/formgrader/api/grade/")) as saved:
            score.press("Tab")
        assert saved.value.status == 200
        comment = marker.locator("textarea.comment:visible").first
        comment.fill("Well put, from the bench.")
        with marker.expect_response(re.compile("/formgrader/api/comment/")) as saved:
            comment.press("Tab")
        assert saved.value.status == 200
        served.command("mark", str(served.folder))

        first.reload()
        ready(first)
        with contexts[0].expect_page() as opened:
            first.get_by_role("link", name="Your feedback on this exercise has come").click()
        expect(opened.value.get_by_text("so the same slip of the gauge")).to_be_visible()
        expect(opened.value.get_by_text("Well put, from the bench.")).to_be_visible()

        second.reload()  # who did not hand in has no feedback, and still has what was typed
        ready(second)
        expect(second.get_by_role("link", name="Your feedback")).to_have_count(0)
        expect(second.get_by_label(TAPER).first).to_have_value("0.0104 in/in")
        second.get_by_role("button", name="Log out").click()
        expect(second.get_by_label("Username")).to_be_visible()
    finally:
        for context in contexts:
            context.close()


def test_a_lost_page_server_is_said_and_what_was_typed_stands(served, chromium: Browser) -> None:
    one = served.apprentices[0]
    context = chromium.new_context(viewport=LAPTOP)  # type: ignore[arg-type]
    try:
        page = log_in(context, served, one)
        ready(page)
        at_exercise(page, served, one)
        box = page.get_by_label(TAPER).first
        box.fill("0.0105 in/in")
        page.keyboard.press("Tab")
        expect(page.get_by_text("0.0105").first).to_be_visible()
        page.wait_for_timeout(1000)
        for process in served.processes(one, "hub_lean"):
            os.kill(process, signal.SIGKILL)
        expect(
            page.get_by_text(
                "This page has lost its connection. What you typed before is kept; what you type "
                "now is not saved. Wait until this line is gone."
            )
        ).to_be_visible()
        page.wait_for_timeout(10_000)  # by then the hub has seen it too
        page.goto(f"{served.address}/hub/spawn")
        ready(page)
        at_exercise(page, served, one)
        expect(page.get_by_label(TAPER).first).to_have_value("0.0105 in/in")
    finally:
        context.close()
