"""Real browsers among the invented apprentices: what somebody in front of the glass waits for.

They share the machine with the server and with everything that is invented, so their times hold
their own work too.
"""

from __future__ import annotations

import asyncio
import shutil
import time
from dataclasses import dataclass, field
from typing import Any

from playwright.async_api import BrowserContext, async_playwright

READY = "[data-taperkey-page='ready']"
UNIT = "lessons/02-taper.ipynb#how-well-do-you-know-it"  # a slider, and an entry to check
OPENED = (UNIT, "exercises/02-taper/02-taper.ipynb", "lessons/01-measure.ipynb")
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run"]
PATIENCE_MS = 60_000
_LABELS = "() => [...document.querySelectorAll('svg[role=img]')].map(e => e.ariaLabel).join()"
_WORDS = "() => [...document.querySelectorAll('.widget-html-content')].map(e => e.innerText).join()"


@dataclass
class Seen:
    """What was seen in browsers, in seconds."""

    first: list[float] = field(default_factory=list)
    ready: list[float] = field(default_factory=list)
    slider: list[float] = field(default_factory=list)
    check: list[float] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)


async def _changed(page: Any, told: str, before: str) -> None:
    await page.wait_for_function(f"before => ({told})() !== before", arg=before, polling=10)


async def _come_in(context: BrowserContext, address: str, code: str, seen: Seen) -> Any:
    """Come in on an empty device: nothing is kept there yet."""
    page = await context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    await page.goto(f"{address}/login#{code}")
    began = time.monotonic()
    await page.get_by_role("button", name="Join the class").click()
    await page.wait_for_selector(READY)
    seen.first.append(time.monotonic() - began)
    return page


async def _open(page: Any, way: str, turn: int, seen: Seen) -> None:
    """Open a page; in the unit with a slider and an entry, move the one and check the other."""
    origin = await page.evaluate("location.origin")
    began = time.monotonic()
    await page.goto(f"{origin}/doc/tree/{way.replace('#', f'?n={turn}#')}")
    await page.wait_for_selector(READY)
    seen.ready.append(time.monotonic() - began)
    if way != UNIT:
        return
    handle = page.locator(".noUi-handle:visible").first
    await handle.focus()
    before = await page.evaluate(_LABELS)
    began = time.monotonic()
    await page.keyboard.press("ArrowRight")
    await _changed(page, _LABELS, before)
    seen.slider.append(time.monotonic() - began)
    box = page.locator(".tk-do input[type=text]:visible").first
    await box.fill(f"0.0{turn % 90 + 10} in/ft")
    before = await page.evaluate(_WORDS)
    began = time.monotonic()
    await box.press("Tab")  # leaving the box checks the entry, as its button does
    await _changed(page, _WORDS, before)
    seen.check.append(time.monotonic() - began)


class Browsers:
    """So many browsers, one beside the other."""

    def __init__(self, address: str, codes: list[str]) -> None:
        self.address, self.codes, self.seen = address, codes, Seen()
        self._turn = 0

    async def __aenter__(self) -> Browsers:
        """Let all come in."""
        self._driver = await async_playwright().start()
        path = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))))
        self._browser = await self._driver.chromium.launch(executable_path=path, args=FLAGS)
        self._pages = []
        for code in self.codes:
            context = await self._browser.new_context(viewport={"width": 1280, "height": 800})
            self._pages.append(await _come_in(context, self.address, code, self.seen))
        self._held = [asyncio.Lock() for _ in self.codes]
        return self

    async def __aexit__(self, *told: object) -> None:
        """Close them."""
        await self._browser.close()
        await self._driver.stop()

    async def open_next(self) -> None:
        """Open a page in the browser whose turn it is."""
        turn, self._turn = self._turn, self._turn + 1
        which = turn % len(self._pages)
        async with self._held[which]:
            try:
                await _open(self._pages[which], OPENED[turn % len(OPENED)], turn, self.seen)
            except Exception as error:  # noqa: BLE001 - told at the end
                self.seen.failed.append(f"browser: {type(error).__name__}: {error}"[:160])
