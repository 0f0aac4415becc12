"""A course opened in a real browser: Chromium through Playwright, our own server."""

import os
import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, expect, sync_playwright

from coursework.desks.learning import start_home
from coursework.room.coursebook import lay_out, runnable_pages
from coursework.room.launch import Server, sign_pages, start_server

expect.set_options(timeout=30_000)  # machines are shared; a slow one is not a broken page

PICTURES = Path(__file__).parent / "pictures"
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
# Chromium's own address bar makes suggestions in a page of its own, for every window; and what
# Playwright switches off besides, since the last such list is the one that holds.
OFF = """WebUIOmniboxPopup WebUIOmniboxAimPopup AvoidUnnecessaryBeforeUnloadCheckSync
DestroyProfileOnBrowserClose HttpsUpgrades HttpsFirstBalancedModeAutoEnable LensOverlay MediaRouter
PaintHolding ThirdPartyStoragePartitioning AvoidCorsURLLoaderRestartOnRedirect OptimizationHints
NetworkTimeServiceQuerying AimEnabled PreconnectToSearch"""
FLAGS.append(f"--disable-features={','.join(OFF.split())}")
LAPTOP = {"width": 1280, "height": 800}
TABLET = {"width": 800, "height": 1280}
SIZES = (LAPTOP, TABLET)
FOLLOW = """([page, unit]) => {
  const link = document.body.appendChild(document.createElement('a'));
  Object.assign(link.dataset, { tkPage: page, tkUnit: unit });
  link.click();
  link.remove();
}"""
ALONE_THERE = """page => document.querySelectorAll('.jp-NotebookPanel').length === 1
  && decodeURIComponent(location.pathname).endsWith(page)"""
STANDS = """() => {
  const outputs = document.querySelectorAll('.jp-OutputArea-output');
  const busy = [...outputs].some(one => /Loading widget/.test(one.textContent));
  return outputs.length > 0 && !busy;
}"""
RIGHT_EDGES = """() => [...document.querySelectorAll('input[type=text]')]
  .filter(one => one.checkVisibility({ visibilityProperty: true }))
  .map(one => one.getBoundingClientRect().right)"""
STILL = """() => new Promise(done => {
  const begun = performance.now();
  let waiting;
  const look = new MutationObserver(() => still());
  const over = () => { look.disconnect(); done(); };
  const still = () => {
    clearTimeout(waiting);
    waiting = setTimeout(over, performance.now() - begun > 3000 ? 0 : 300);
  };
  look.observe(document.body, { childList: true, subtree: true, attributes: true });
  still();
})"""


def _chromium() -> str | None:
    names = ("chromium", "chromium-browser", "google-chrome")
    found = [shutil.which(name) for name in ("/usr/bin/chromium", *names)]
    return next(filter(None, found), None)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Give the installed browser; without one skip, but fail where tests must run (CI)."""
    path = _chromium()
    if path is None:
        reason = "No Chromium on this computer: the pages were not looked at in a browser."
        if os.environ.get("CI", "").lower() == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()


@dataclass
class OpenCourse:
    """A laid-out course and the server that shows it."""

    folder: Path
    server: Server
    shipped: bool = False

    def address(self, page: str, *, unit: str = "all") -> str:
        """Return the address of a page, pass word included; of a lesson the whole, or one unit."""
        part = f"#{unit}" if unit and self.shipped and page.startswith("lessons/") else ""
        return self.server.address(page) + part


@pytest.fixture(scope="session")
def open_course(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Callable[..., OpenCourse]]:
    """Lay out the given pages (None: the shipped ones) and serve them as `taperkey learn` does.

    With ``kernels`` each page has a kernel of its own, as on a hub.
    """
    with ExitStack() as stack:

        def opened(pages: dict[str, Path] | None = None, *, kernels: bool = False) -> OpenCourse:
            folder = tmp_path_factory.mktemp("course")
            lay_out(folder=folder, pages=pages)
            kernels = kernels or pages is not None  # pages of a test's own hold code of its own
            server = start_server(root=folder) if kernels else start_home(folder)
            stack.callback(server.stop)
            if kernels:
                ready = runnable_pages(folder=folder, pages=pages)
                sign_pages(ready, data=server.state / "data")
            server.wait_until_up()
            return OpenCourse(folder, server, shipped=pages is None)

        yield opened


@dataclass
class Screen:
    """A browser page, and every error its console showed."""

    page: Page
    errors: list[str] = field(default_factory=list)
    _front_end: str = ""  # the server whose front end stands in the browser

    def show(self, address: str, *, until: str = "ready") -> Page:
        """Open an address and wait until the page says that it is `until`."""
        self.page.goto(address)
        self.page.wait_for_selector(f"[data-taperkey-page='{until}']")
        return self.page

    def walk(self, course: OpenCourse, name: str, *, unit: str = "all") -> Page:
        """Go to a page by a link of the course, as an apprentice does; the first by its address."""
        there, self._front_end = self._front_end, ""  # where this fails, the next has it fresh
        unit = unit if name.startswith("lessons/") else ""
        if there and there == course.server.base_url and self.page.url.startswith(there):
            self.page.evaluate(FOLLOW, [name, unit])
            self.page.wait_for_function(ALONE_THERE, arg=name)
        else:
            self.page.goto(course.address(name, unit=unit))
        self.page.wait_for_selector("[data-taperkey-page='ready']")
        self._front_end = course.server.base_url
        return self.page

    def picture(self, name: str) -> Path:
        """Save a picture of the screen to look at: tests/browser/pictures/NAME.png."""
        PICTURES.mkdir(exist_ok=True)
        path = PICTURES / f"{re.sub(r'[^A-Za-z0-9-]+', '-', name)}.png"
        self.page.screenshot(path=path)
        return path


def _told(message: ConsoleMessage) -> str:
    return f"{message.text} {message.location.get('url', '').split('?')[0]}".strip()


@contextmanager
def fresh(chromium: Browser, size: dict[str, int], **more: Any) -> Iterator[Screen]:
    """Give a fresh browser page that collects console errors."""
    context = chromium.new_context(viewport=size, **more)  # type: ignore[arg-type]
    page = context.new_page()
    page.set_default_timeout(60_000)
    view = Screen(page)
    page.on("console", lambda m: view.errors.append(_told(m)) if m.type == "error" else None)
    page.on("pageerror", lambda error: view.errors.append(str(error)))
    yield view
    context.close()


def settle(page: Page) -> None:
    """Wait until every form and figure of the page stands, and nothing is drawn any more."""
    page.wait_for_function(STANDS)
    page.evaluate(STILL)


@pytest.fixture
def screen(chromium: Browser) -> Iterator[Screen]:
    """Give a fresh browser page of laptop size."""
    with fresh(chromium, LAPTOP) as view:
        yield view


@pytest.fixture(scope="module")
def window(chromium: Browser) -> Iterator[Screen]:
    """Give a browser page that stays open for all checks of a module: see `walker`."""
    with fresh(chromium, LAPTOP) as view:
        yield view


@pytest.fixture
def walker(window: Screen) -> Screen:
    """Give a browser page that walks from page to page, the front end loaded once for all."""
    window.errors.clear()
    window.page.set_viewport_size(LAPTOP)  # type: ignore[arg-type]
    window.page.emulate_media(
        media="null", color_scheme="null", reduced_motion="null", contrast="null"
    )
    return window


@pytest.fixture(params=SIZES, ids=["laptop", "tablet"])
def size(request: pytest.FixtureRequest) -> dict[str, int]:
    """Give the two screen sizes that every page must suit."""
    return dict(request.param)
