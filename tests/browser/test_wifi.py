"""An open class on a shop's Wi-Fi: cut off, gone silent, slow. In a real browser."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.desks.test_doors import free_port
from tests.wifi import Wifi

from coursework.desks.joincodes import JoinCodes
from coursework.desks.opening import OpenClass, start_class
from coursework.page.handin import read_hand_in
from coursework.room.classfolder import ClassFolder, new_class
from coursework.room.roster import Apprentice

pytestmark = pytest.mark.browser

TABLET = {"width": 800, "height": 1280}
MEASURE = "exercises/01-measure/01-measure.ipynb"
TAPER = "exercises/02-taper/02-taper.ipynb"
LOST = re.compile("This page has lost its connection")
BACK = re.compile("The connection is back, and what you typed meanwhile is saved. If you pressed")


@pytest.fixture(scope="module")
def quarry(tmp_path_factory: pytest.TempPathFactory) -> ClassFolder:
    folder = tmp_path_factory.mktemp("quarry") / "class"
    roster = [Apprentice(number, f"Apprentice {number}") for number in (1, 4)]
    return new_class(folder, code="QQ-26-K7PX", title="Taper keys, autumn", roster=roster)


@pytest.fixture(scope="module")
def open_now(quarry: ClassFolder) -> Iterator[OpenClass]:
    served = start_class(quarry, listen="127.0.0.1", port=free_port())
    served.wait_until_up()
    yield served
    served.stop()


@pytest.fixture
def comes(chromium: Browser, open_now: OpenClass) -> Iterator[Callable[..., tuple[Page, Wifi]]]:
    """Let somebody open a page over a Wi-Fi of their own."""
    with ExitStack() as stack:

        def in_with(number: int, way: str, *, late_s: float = 0.0, lost: float = 0.0):
            port = int(open_now.local.rsplit(":", 1)[1])
            wifi = stack.enter_context(Wifi(port, late_s=late_s, lost=lost))
            context = chromium.new_context(viewport=TABLET, has_touch=True)  # type: ignore[arg-type]
            stack.callback(context.close)
            page = context.new_page()
            page.set_default_timeout(60_000)
            code = JoinCodes(open_now.codes.path.parent).of(number)
            page.goto(f"{wifi.address}/login#{code}")
            with page.expect_response("**/login"):
                page.get_by_role("button", name="Join the class").click()
            page.goto(f"{wifi.address}/doc/tree/{way}")
            return _ready(page), wifi

        yield in_with


def _ready(page: Page) -> Page:
    page.wait_for_selector("[data-taperkey-page='ready']")
    return page


def _types(page: Page, label: str, text: str) -> None:
    box = page.get_by_label(label).first
    box.fill(text)
    box.press("Tab")


def _kept(quarry: ClassFolder, number: int, exercise: str) -> dict[str, str]:
    file = quarry.folder / f"desks/{number:03d}/exercises/{exercise}/answers.json"
    return {key: one["text"] for key, one in json.loads(file.read_bytes())["entries"].items()}


def test_what_is_typed_while_the_connection_is_gone_is_not_lost(
    comes: Callable[..., tuple[Page, Wifi]], quarry: ClassFolder
) -> None:
    page, wifi = comes(1, MEASURE)
    _types(page, "Mouth height", "1.0311 in")
    expect(page.get_by_text("Saved. Read as 1.0311 in")).to_be_visible()

    wifi.cut()
    expect(page.get_by_text(LOST)).to_be_visible()
    _types(page, "Inside height", "1.0100 in")
    assert _kept(quarry, 1, "01-measure") == {"01-mouth-height": "1.0311 in"}
    wifi.come_back()
    expect(page.get_by_text(LOST)).to_have_count(0)
    expect(page.get_by_text("Saved. Read as 1.0100 in")).to_be_visible()
    expect(page.get_by_label("Mouth height").first).to_have_value("1.0311 in")

    wifi.hold()  # it goes silent: the browser believes that it is connected
    for text in ("1.0312 in", "1.0313 in"):  # sent and never answered; waits for that answer
        _types(page, "Mouth height", text)
    _types(page, "Inside height", "1.0101 in")
    expect(page.get_by_text(LOST)).to_be_visible()
    wifi.end_what_is_open()  # as the server does after a while: what was under way is gone
    wifi.come_back()
    expect(page.get_by_text(BACK)).to_be_visible()
    expect(page.get_by_text(LOST)).to_have_count(0)
    expect(page.get_by_text("Saved. Read as 1.0101 in")).to_be_visible()
    expect(page.get_by_text("Saved. Read as 1.0313 in")).to_be_visible()

    wifi.hold()
    for text in ("1.0314 in", "1.0315 in"):
        _types(page, "Mouth height", text)
    expect(page.get_by_text(LOST)).to_be_visible()
    wifi.come_back()  # and what was under way comes after all
    expect(page.get_by_text(LOST)).to_have_count(0)
    expect(page.get_by_text("Saved. Read as 1.0315 in")).to_be_visible()
    _types(page, "Mouth height", "1.0316 in")
    expect(page.get_by_text("Saved. Read as 1.0316 in")).to_be_visible()
    time.sleep(0.5)  # nothing older comes after it
    kept = {"01-mouth-height": "1.0316 in", "01-inside-height": "1.0101 in"}
    assert _kept(quarry, 1, "01-measure") == kept


def test_a_slow_wifi_keeps_the_order_of_what_is_done(
    comes: Callable[..., tuple[Page, Wifi]], quarry: ClassFolder
) -> None:
    way = "lessons/02-taper.ipynb#how-well-do-you-know-it"
    page, wifi = comes(4, way, late_s=0.15, lost=0.01)
    handle = page.locator(".noUi-handle:visible").first
    handle.focus()
    at = float(handle.get_attribute("aria-valuenow") or "nan")
    pictures = page.locator("svg[role=img]:visible")
    before = pictures.first.get_attribute("aria-label")
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    moved = float(handle.get_attribute("aria-valuenow") or "nan")
    assert moved > at
    expect(pictures.first).not_to_have_attribute("aria-label", str(before))
    time.sleep(1.5)  # every step has come back by now
    assert float(handle.get_attribute("aria-valuenow") or "nan") == moved, "it does not jump back"

    page.goto(f"{wifi.address}/doc/tree/{TAPER}")
    _ready(page)
    for text in ("0.020 in", "0.021 in", "0.022 in"):
        _types(page, "Difference", text)
    page.get_by_role("button", name="Hand in").click()
    expect(page.get_by_text(re.compile("It is with your class."))).to_be_visible()
    [came] = [Path(one) for one in quarry.inbox.iterdir()]
    hand_in = read_hand_in(came.read_bytes())
    assert (hand_in.number, hand_in.entries["02-difference"]) == (4, "0.022 in")
    assert wifi.pieces > 100, "all of it went through the air"
