"""The benches in a real browser, worked from the keyboard alone."""

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from coursework.page.entries import EntriesFile
from keycourse.pull.bench.book import PullingBook
from keycourse.pull.bench.cases import draw_case
from keycourse.pull.bench.rigs import links_of
from keycourse.sessions import BENCHES

pytestmark = pytest.mark.browser

PULL, UNIT = "lessons/05-pull.ipynb", "the-pulling-bench"


@pytest.fixture(scope="module")
def course(open_course):
    """Give the shipped course, opened as `taperkey learn` opens it."""
    return open_course(None)


def open_at(screen, course, name: str, button: str) -> Page:
    """Open the unit of a bench and wait until a button of it stands."""
    page = screen.show(course.address(name, unit=UNIT))
    # parts of a long page are drawn when they come into sight
    for _ in range(60):
        if page.get_by_role("button", name=button).count():
            break
        page.evaluate("document.querySelector('.jp-WindowedPanel-outer').scrollBy(0, 600)")
        page.wait_for_timeout(100)
    page.get_by_role("button", name=button).first.scroll_into_view_if_needed()
    return page


def focus(page: Page, part: Locator) -> None:
    """Put the focus on a control, and see that it stays there."""
    for _ in range(50):  # a page that is still being drawn takes the focus away again
        part.focus()
        page.wait_for_timeout(100)
        if part.evaluate("one => one === document.activeElement"):
            break
    expect(part).to_be_focused()


def press(page: Page, button: str, key: str = "Enter") -> None:
    """Press a button from the keyboard."""
    focus(page, page.get_by_role("button", name=button, exact=True))
    page.keyboard.press(key)


def pick(page: Page, label: str, *, words: str) -> None:
    """Choose from a list from the keyboard: typed first letters, as anybody would."""
    listed = page.get_by_label(label, exact=True)
    focus(page, listed)
    page.keyboard.type(words)
    expect(listed.locator("option:checked")).to_contain_text(words)


def table_of(page: Page, caption: str) -> Locator:
    """Return the table with this caption."""
    return page.locator("table").filter(has=page.locator("caption", has_text=caption))


def easy_pull() -> tuple[int, int]:
    """Return the number of a serviced key that a marked rod draws, and the steps it takes."""
    for seed in range(1, 200):
        case = draw_case(kind="serviced", seed=seed)
        if case.end == "tapped":
            links = links_of(case=case, rig="two jacks", hold="marked rod")
            working = min(link.working_lbf for link in links)
            steps = case.key.start_lbf / max(500.0, round(working / 10 / 500) * 500.0)
            if 1 < steps < 8 and case.key.start_lbf < 0.9 * working:
                return seed, int(steps) + 1
    raise AssertionError("no such key in 200")


def test_a_pull_from_the_keyboard_is_stopped_and_taken_up_again(course, screen) -> None:
    seed, steps = easy_pull()
    kept = PullingBook(seed=seed - 1).record()  # the key before it is on the bench
    EntriesFile(course.folder / "lessons" / "answers.json").set(BENCHES["pulling"], kept)
    page = open_at(screen, course, PULL, "Start a new pull")
    pick(page, "Next key", words="A key drawn at")
    press(page, "Start a new pull")
    expect(page.get_by_text("A new key is on the bench.")).to_be_visible()
    done = table_of(page, "What was done")
    press(page, "One step more")
    expect(page.get_by_text("No rig stands on the key")).to_be_visible()
    press(page, "Measure the key at both ends")
    expect(page.get_by_text("the large end shows, a pull can draw it").first).to_be_visible()

    pick(page, "Rig at hand", words="Strongback")
    pick(page, "What holds the key", words="Rod with its grade")
    press(page, "Set up this rig", key="Space")
    chain = page.locator("svg[role=img][aria-label^='What each link carries']")
    expect(chain).to_have_attribute("aria-label", re.compile("key section .* nut .* seat .*lbf"))
    press(page, "One step more")
    expect(page.get_by_text(re.compile(r"^[\d,]+ lbf, and nothing moves\.")).first).to_be_visible()
    rig = page.locator("svg[role=img][aria-label*='strongback across the end']")
    expect(rig).to_have_attribute("aria-label", re.compile(r"The pull is [\d,]+ lbf"))
    pulled, told = rig.get_attribute("aria-label"), done.inner_text()
    screen.picture("pulling-bench")

    page = open_at(screen, course, PULL, "Start a new pull")  # a stopped page opened again
    expect(page.get_by_text("Your earlier pull is back.")).to_be_visible()
    expect(
        page.locator("svg[role=img][aria-label*='strongback across the end']")
    ).to_have_attribute("aria-label", str(pulled))
    done = table_of(page, "What was done")
    assert done.inner_text() == told

    for _ in range(steps - 1):
        rows = done.locator("tr").count()
        press(page, "One step more")
        expect(done.locator("tr")).to_have_count(rows + 1)
    expect(done).to_contain_text("it moved")
    expect(page.locator("svg[role=img][aria-label*='The key is out.']")).to_be_attached()
    press(page, "One step more")
    expect(page.get_by_text("The key is out: there is nothing left to do to it.")).to_be_visible()
    press(page, "Show what was hidden")
    expect(page.get_by_text(re.compile(r"^The key is out, at [\d,]+ lbf")).first).to_be_visible()
    expect(
        page.get_by_text(re.compile(r"On the faces: [\d,]+ lbf at the start")).first
    ).to_be_visible()
    assert not screen.errors

    # and the instructor steps through it
    page.locator(".tk-side a[data-tk-unit='to-keep']").click()
    replay = "For the instructor: replay of the pulling bench (show)"
    press(page, replay)
    press(page, "Replay the session of this page")
    expect(page.get_by_text(re.compile(r"^Step 1 of \d+: measured both ends"))).to_be_visible()
    press(page, "Next")
    expect(page.get_by_text(re.compile(r"^Step 2 of \d+: set up the rig"))).to_be_visible()
    number = page.get_by_label("Step", exact=True)
    number.fill("3")
    number.press("Tab")
    expect(page.get_by_text(re.compile(r"^Step 3 of \d+: pumped up to"))).to_be_visible()
    press(page, "Last")
    expect(table_of(page, "Summing-up")).to_contain_text("Load that starts it now")
    screen.picture("pulling-replay")
    assert not screen.errors
