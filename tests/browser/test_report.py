"""The class report in a browser: what is written in a table stays in its cell."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from coursework.room.assessing import report_again
from coursework.room.classfolder import new_class
from coursework.room.roster import Apprentice

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
