"""Open to everyone: axe-core's rules, room for a finger, no scrolling sideways, large text.

axe-core comes with axe-playwright-python and tells what a machine can tell of WCAG 2.2. A few pages
are looked at in each run; ``TAPERKEY_AXE=all`` looks at every page, at three widths, in light and
dark.
The size of a target is that of WCAG 2.2, 2.5.5: 44 CSS pixels, links within a sentence left out.
"""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from coursework.course import PAGES

WHOLE = os.environ.get("TAPERKEY_AXE") == "all"
FEW = (
    ("lessons/00-start.ipynb", ""),
    ("lessons/02-taper.ipynb", "what-is-the-taper"),
    ("lessons/04-fit.ipynb", "the-fitting-bench"),
    ("exercises/02-taper/02-taper.ipynb", ""),
)
EVERY = (
    *((f"lessons/{name}.ipynb", unit) for name in PAGES for unit in ("", "all")),
    ("lessons/07-words.ipynb", ""),
    *((f"exercises/{name}/{name}.ipynb", "") for name in PAGES),
)
WAYS = [(1280, "light"), (390, "dark")]
IN_ALL_WAYS = [(width, theme) for width in (1280, 800, 390) for theme in ("light", "dark")]

_SMALL = """() => [...document.querySelectorAll(
    '.jp-NotebookPanel :is(a, button, select, summary, input:not([type=radio], [type=checkbox]))')]
  .filter(one => one.getClientRects().length && getComputedStyle(one).visibility !== 'hidden')
  .filter(one => !(one.tagName === 'A' && one.closest('p, td, li:not(nav li)')
    && !one.closest('nav')))
  .map(one => [one.getBoundingClientRect(), one])
  .filter(([box]) => box.height < 43.5)
  .map(([box, one]) => `${one.tagName} ${(one.textContent || one.type || '').trim().slice(0, 40)}`
    + ` ${Math.round(box.width)} x ${Math.round(box.height)}`)"""
_SIDEWAYS = """() => {
  const outer = document.querySelector('.jp-WindowedPanel-outer');
  return outer.scrollWidth - outer.clientWidth;
}"""


@pytest.fixture(scope="module")
def course(open_course):
    """Give the shipped course, opened as `taperkey learn` opens it."""
    return open_course(None)


@pytest.fixture(params=IN_ALL_WAYS if WHOLE else WAYS, ids=str)
def page(chromium: Browser, request) -> Iterator[Page]:
    """Give a browser page of one width and theme, for somebody who wants no motion."""
    width, theme = request.param
    context = chromium.new_context(
        viewport={"width": width, "height": 900}, color_scheme=theme, reduced_motion="reduce"
    )
    yield context.new_page()
    context.close()


def shown(page: Page, course, name: str, unit: str) -> None:
    """Open a page, and wait until every form on it stands."""
    page.goto(course.address(name, unit=unit))
    page.wait_for_selector("[data-taperkey-page='ready']", timeout=90_000)
    page.wait_for_timeout(1200)


def test_axe_finds_nothing_and_nothing_runs_out_sideways(course, page: Page) -> None:
    axe, found = Axe(), []
    for name, unit in EVERY if WHOLE else FEW if page.viewport_size["width"] > 800 else FEW[:2]:
        shown(page, course, name, unit)
        told = axe.run(page, options={"resultTypes": ["violations"]}).response["violations"]
        found += [
            f"{name}#{unit}: {one['id']}: {node['html'][:120]}"
            for one in told
            for node in one["nodes"]
        ]
        if page.evaluate(_SIDEWAYS) > 0:
            found.append(f"{name}#{unit}: runs out sideways")
        found += [f"{name}#{unit}: too small: {one}" for one in page.evaluate(_SMALL)]
    assert found == []


def test_text_twice_as_large_stays_on_a_narrow_page(course, chromium: Browser) -> None:
    # WCAG 2.2, 1.4.4 and 1.4.10: 200 % text, and 320 CSS pixels, without scrolling two ways
    context = chromium.new_context(viewport={"width": 640, "height": 900})
    page = context.new_page()
    shown(page, course, "lessons/02-taper.ipynb", "what-is-the-taper")
    page.evaluate("document.documentElement.style.fontSize = '32px'")
    page.wait_for_timeout(400)
    assert page.evaluate(_SIDEWAYS) <= 0
    page.evaluate("document.documentElement.style.fontSize = ''")
    page.set_viewport_size({"width": 320, "height": 900})
    page.wait_for_timeout(400)
    assert page.evaluate(_SIDEWAYS) <= 0
    context.close()


def test_focus_is_seen_and_a_unit_is_reached_from_the_keyboard(course, screen) -> None:
    page = screen.show(course.address("lessons/02-taper.ipynb", unit=""))
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
    slider = page.locator(".noUi-handle").first
    expect(slider).to_have_attribute("aria-label", "Base length")  # named when the page is live


def test_every_unit_is_walked_by_its_way_on(course, screen) -> None:
    page = screen.show(course.address("lessons/02-taper.ipynb", unit="what-is-the-taper"))
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
    assert not screen.errors
