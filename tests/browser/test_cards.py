"""Job cards as a browser prints them: one sheet a card, on both papers, with its head on it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from pypdf import PdfReader

from coursework.course import PAGES, issue_card
from coursework.room.cards import write_cards
from coursework.room.classfolder import new_class
from coursework.room.roster import Apprentice

CODE = "KWT-9X4"
NUMBERS = range(1, 31)  # every turn of the machines, the traps and the metric cards
LONG_NAME = "Wilhelmina-Alexandra Throckmorton-Featherstonehaugh of Upper Quillmoor"
# Only words are read from the print: what else is drawn keeps its place and is left out of it.
WORDS_ONLY = """svg * { visibility: hidden }
svg text, svg text * { visibility: visible }"""
SMALLEST_PT = 9.0  # what a card says in words is printed no smaller than a newspaper does


FEW = range(1, 9)  # the long name too


def written(place: Path, numbers: range) -> Path:
    people = [Apprentice(n, LONG_NAME if n == 4 else f"Hand {n}") for n in numbers]
    return write_cards(new_class(place, code=CODE, title="Keys", roster=people))


@pytest.fixture(scope="module")
def cards(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(tmp_path_factory.mktemp("cards") / "class", FEW)


def printed(chromium: Browser, cards: Path, to: Path, **how: object) -> list[str]:
    """Return the words of each sheet that the browser prints."""
    page = chromium.new_page()
    page.goto(cards.as_uri())
    page.add_style_tag(content=WORDS_ONLY)
    page.pdf(path=to, **how)
    page.close()
    return [_words(one.extract_text()) for one in PdfReader(to).pages]


def _words(text: str) -> str:
    return " ".join(text.replace("ﬁ", "fi").replace("ﬂ", "fl").split())


def head_of(sheet: str) -> tuple[int, str]:
    number = re.search(r"\b(\d{3}) · \S", sheet)
    exercise = re.search(rf"Class {CODE} · exercise ([\w-]+)", sheet)
    assert number, sheet[:200]
    assert exercise, sheet[:200]
    return int(number[1]), exercise[1]


@pytest.mark.parametrize(("paper", "numbers"), [("Letter", NUMBERS), ("A4", FEW)])
def test_every_card_is_one_sheet(chromium, cards, tmp_path, paper, numbers) -> None:
    """All of them on the shorter paper; some on the other, which is 17 mm longer, 6 narrower."""
    place = cards if numbers == FEW else written(tmp_path / "class", numbers)
    sheets = printed(chromium, place, tmp_path / "cards.pdf", format=paper)
    assert [head_of(sheet) for sheet in sheets] == [
        (number, exercise) for number in numbers for exercise in PAGES
    ]
    for sheet in sheets:
        number, exercise = head_of(sheet)
        assert sheet.count(" · exercise ") == 1
        assert PAGES[exercise].title in sheet
        assert (LONG_NAME if number == 4 else f"Hand {number}") in sheet
        assert "Lock out and tag out the drive" in sheet
        assert re.search(r"Apprentice Assessor Date", sheet)


@pytest.mark.parametrize("exercise", PAGES)
def test_inch_and_metric_cards_are_among_those_printed(exercise) -> None:
    cards = (issue_card(exercise=exercise, class_code=CODE, number=number) for number in NUMBERS)
    assert {card.metric for card in cards} == {False, True}


def test_the_words_of_a_card_are_not_printed_small(chromium, cards) -> None:
    page = chromium.new_page()
    page.goto(cards.as_uri())
    page.emulate_media(media="print")
    sizes = page.evaluate(
        """() => [...document.querySelectorAll("article *")]
            .filter(e => !e.closest("svg") && [...e.childNodes].some(
                n => n.nodeType == 3 && n.textContent.trim()))
            .map(e => parseFloat(getComputedStyle(e).fontSize) * 0.75)"""
    )
    page.close()
    assert min(sizes) >= SMALLEST_PT


def test_a_card_that_does_not_fit_has_its_head_on_every_sheet(chromium, cards, tmp_path) -> None:
    """Printed on half the paper, as from a small printer; each sheet still says whose it is."""
    sheets = printed(chromium, cards, tmp_path / "cards.pdf", format="A5")
    assert len(sheets) > len(FEW) * len(PAGES)
    heads = [head_of(sheet) for sheet in sheets]
    assert heads == sorted(heads)
    assert set(heads) == {(number, exercise) for number in FEW for exercise in PAGES}
