"""Learning alone, in a real browser: hand in, mark it oneself, see what was wrong."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import expect

from coursework.course import issue_card
from coursework.page.pagefolder import ALONE

pytestmark = pytest.mark.browser

ROOT = Path(__file__).resolve().parents[2]
PAGE = "exercises/00-start/00-start.ipynb"


def test_somebody_alone_marks_their_own_hand_in(open_course, screen) -> None:
    course = open_course({PAGE: ROOT / PAGE})
    (course.folder / "lessons").mkdir(exist_ok=True)
    page = screen.show(course.address(PAGE))
    start = issue_card(
        exercise="00-start", class_code=ALONE.class_code, number=ALONE.number
    ).readings
    page.get_by_label("Inch micrometer in").fill(f"{start.micrometer_in + 0.025:.3f}")
    page.get_by_label("Metric micrometer mm").fill(f"{start.micrometer_mm:.2f}")
    page.keyboard.press("Tab")
    page.get_by_role("button", name="Hand in", exact=True).click()
    expect(page.get_by_text("You can mark it yourself below")).to_be_visible()
    page.get_by_role("button", name="Mark my hand-in").click()
    expect(page.get_by_text("1.5 of 11 marks")).to_be_visible()
    expect(page.get_by_text("You counted one sleeve line too many")).to_be_visible()
    expect(page.get_by_text("Must be right").last).to_be_visible()
    expect(page.get_by_text(f"→ {start.micrometer_in:.3f} in")).to_be_visible()
    screen.picture("own-marking")
    assert screen.errors == []
