"""The class report in a browser: what is written in a table stays in its cell."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from pypdf import PdfReader

from coursework.check import check_card, check_forms
from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.page.handin import write_hand_in
from coursework.room.assessing import mark_and_report, report_again
from coursework.room.classfolder import new_class
from coursework.room.roster import Apprentice
from keycourse.demo import HABITS, typed_entries

pytestmark = pytest.mark.browser

PEOPLE = [
    Apprentice(1, "Wilhelmina-Alexandra Throckmorton-Featherstonehaugh of Upper Quillmoor"),
    Apprentice(2, "Krzysztofina Hubertinaszczykiewiczowska"),
    Apprentice(3, "Ada Brindle"),
]


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("report") / "class"
    return report_again(new_class(place, code="KWT-9X4", title="Keys", roster=PEOPLE))


@pytest.mark.parametrize("width", [1280, 800, 390])
@pytest.mark.parametrize("media", ["screen", "print"])
def test_names_and_skills_stay_in_their_cells(chromium: Browser, report, width, media) -> None:
    page = chromium.new_page(viewport={"width": width, "height": 900})
    page.emulate_media(media=media)
    page.goto(report.as_uri())
    out = page.evaluate(
        """() => [...document.querySelectorAll('.matrix th, .matrix td')]
          .filter(cell => cell.textContent.trim()).filter(cell => {
            const inside = document.createRange();
            inside.selectNodeContents(cell);
            const words = inside.getBoundingClientRect(), box = cell.getBoundingClientRect();
            return words.right > box.right + 0.5 || words.left < box.left - 0.5
              || words.bottom > box.bottom + 0.5;
        }).map(cell => cell.textContent.trim())"""
    )
    shown = page.locator(".matrix tbody th").all_inner_texts()
    page.close()
    assert [one[4:] for one in shown] == [one.name for one in PEOPLE]
    if media == "screen" or width > 390:  # no paper is as narrow as a phone
        assert out == []


def test_a_class_of_25_prints_on_at_most_8_pages_and_what_to_teach_on_one(
    chromium: Browser, tmp_path: Path
) -> None:
    people = [Apprentice(number, f"Quarrier No. {number}") for number in range(1, 26)]
    room = new_class(tmp_path / "class", code="QQ-28", title="Keys", roster=people)
    for one in people:
        habit = HABITS[one.number % len(HABITS)]
        for exercise in PAGES.values():
            card = issue_card(exercise=exercise.name, class_code="QQ-28", number=one.number)
            write_hand_in(
                folder=room.inbox,
                class_code="QQ-28",
                number=one.number,
                page=exercise.name,
                page_version="v",
                entries=typed_entries(habit, exercise, card),
                made="2026-11-25T12:00:00Z",
            )
        for name, form in check_forms().items():
            check = check_card(name=name, class_code="QQ-28", number=one.number)
            right = right_answers(form, check)
            known = form.questions[: 3 + one.number % 6]
            write_hand_in(
                folder=room.inbox,
                class_code="QQ-28",
                number=one.number,
                page=name,
                page_version="check",
                entries={each.key: show_answer(each, right[each.key]) for each in known},
                made="2026-11-25T12:00:00Z",
            )
    report = mark_and_report(room).report
    page = chromium.new_page()
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(report.as_uri())
    assert page.evaluate(
        "[...document.querySelectorAll('.before-after *')].every(one => "
        "one.getBoundingClientRect().right <= innerWidth)"
    )
    for name, most in (("index.html", 8), ("teach-next.html", 1)):
        page.goto(report.with_name(name).as_uri())
        printed = PdfReader(io.BytesIO(page.pdf(format="A4", prefer_css_page_size=True)))
        assert len(printed.pages) <= most
        assert "Quarrier No. 7" in "".join(one.extract_text() for one in printed.pages)
    page.close()
