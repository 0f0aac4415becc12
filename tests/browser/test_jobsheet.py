"""The mechanic's own job: the form in the lesson, its sheet in the browser, and as it prints."""

import io
from datetime import date

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader
from tests.browser.conftest import RIGHT_EDGES

from keycourse.jobsheet.fields import example_entries
from keycourse.jobsheet.html import sheet_html
from keycourse.jobsheet.job import parse_job
from keycourse.jobsheet.sheet import make_sheet

pytestmark = pytest.mark.browser

LESSON = "lessons/06-whole-job.ipynb"


@pytest.fixture(scope="module")
def course(open_course):
    """Give the shipped course, opened as `taperkey learn` opens it."""
    return open_course(None)


def bring(page: Page, words: str):
    """Scroll until a button with these words stands on the page, and return it."""
    wanted = page.get_by_role("button", name=words)
    for _ in range(90):
        if wanted.count() and wanted.first.is_visible():
            wanted.first.scroll_into_view_if_needed()
            return wanted.first
        page.evaluate(
            """() => {
              const box = [...document.querySelectorAll('*')]
                .filter(one => one.scrollHeight > one.clientHeight + 5
                  && /auto|scroll/.test(getComputedStyle(one).overflowY))
                .sort((a, b) => b.scrollHeight - a.scrollHeight)[0];
              if (box) box.scrollTop += box.clientHeight * 0.7;
            }"""
        )
        page.wait_for_timeout(200)
    raise AssertionError(f"no button “{words}” on the page")


def test_form_keeps_what_is_typed_and_makes_a_sheet(course, walker, size) -> None:
    walker.page.set_viewport_size(size)
    page = walker.show(course.address(LESSON, unit="your-own-job"))
    bring(page, "Fill empty boxes with an example").click()
    expect(page.get_by_text("Empty boxes now hold an invented job.")).to_be_visible()
    page.get_by_label("Heights at station 1").first.scroll_into_view_if_needed()
    page.wait_for_timeout(400)
    walker.picture(f"job-form-{size['width']}")
    title = page.locator("input[type=text][placeholder*='Bucket elevator']")
    title.fill(f"Log washer, bull gear {size['width']}")
    title.press("Tab")
    bring(page, "Make the job sheet").click()
    link = page.get_by_role("link", name="Look at the sheet, and how it was worked out")
    expect(link).to_be_visible()
    link.scroll_into_view_if_needed()
    walker.picture(f"job-form-made-{size['width']}")
    kept = (course.folder / "lessons" / "answers.json").read_text(encoding="utf-8")
    assert f"Log washer, bull gear {size['width']}" in kept
    with page.context.expect_page() as opened:
        link.click()
    sheet = opened.value
    sheet.wait_for_load_state()
    assert f"Log washer, bull gear {size['width']}" in sheet.inner_text("header")
    sheet.get_by_text("How this was worked out").click()
    expect(sheet.locator("#n-large-end")).to_be_visible()
    sheet.close()
    assert max(page.evaluate(RIGHT_EDGES), default=0) <= size["width"]
    assert not walker.errors


WORN = {
    "job.units": "mixed",
    "opening.station-1": "0 in",
    "opening.heights-1": "0.9700; 0.9702; 0.9701; 0.9820; 0.9703 in",
    "opening.station-2": "3 in",
    "opening.heights-2": "1.0012; 1.0014; 1.0013; 1.0132; 1.0015 in",
    "opening.keyway-at-bottom": "no",
    "opening.hub-widths": "1.0312 in",
    "opening.shaft-widths": "1.0006 in",
    "opening.slot-radius": "0.1 in",
    "key.thread": "1-8 UNC",
    "pull.surface": "rusted",
    "pull.thread": "none",
    "pull.rod-grade": "unknown",
}


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("changes", [{}, WORN], ids=["ordinary", "worn"])
def test_page_prints_on_three_pages_at_most(walker, tmp_path, changes, paper) -> None:
    entries = {**example_entries("hollow-ram"), **changes}
    sheet = make_sheet(job=parse_job(entries), today=date(2026, 11, 25))
    path = tmp_path / "sheet.html"
    path.write_text(sheet_html(sheet=sheet, paper=paper), encoding="utf-8")
    walker.page.goto(path.as_uri())
    printed = PdfReader(io.BytesIO(walker.page.pdf(prefer_css_page_size=True)))
    assert len(printed.pages) <= 3
    walker.page.emulate_media(media="print")
    near = walker.page.evaluate(
        "[...document.querySelectorAll('.near, .near td, .near li, .stop p')]"
        ".map(one => parseFloat(getComputedStyle(one).fontSize))"
    )
    walker.page.emulate_media(media="screen")
    assert len(near) > 10
    assert min(near) >= 11 * 96 / 72 - 0.01  # 11 points, at arm's length
    width = round(float(printed.pages[0].mediabox.width))
    assert width == (595 if paper == "A4" else 612)
    text = " ".join(" ".join(page.extract_text() for page in printed.pages).split())
    assert "Fitted and checked" in text
    assert "How this was worked out" not in text
    assert ("STOP" in text.split("Before a hand")[0]) == bool(changes)
    assert not walker.errors
