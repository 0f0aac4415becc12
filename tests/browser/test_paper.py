"""A lesson on paper: six sheets at most, A4 and Letter, every sentence of its text on them.

One lesson is printed in each run; ``TAPERKEY_PAPER=all`` prints every lesson on both papers, tells
how many sheets each takes (with ``-s``), and keeps the PDFs in tests/browser/pictures.
"""

import os
import re
import unicodedata

import pytest
from pypdf import PdfReader
from tests.browser.conftest import PICTURES, settle

from coursework.course import PAGES

MOST_SHEETS = 6
PAPERS = ("A4", "Letter")
WHOLE = os.environ.get("TAPERKEY_PAPER", "")
LESSONS = tuple(PAGES) if WHOLE == "all" else tuple(WHOLE.split()) or ("05-pull",)
LEAST_PT = 10.0  # of the text, as a book for the shop has it

# what is read: each piece of text by itself; left out are what is folded, what leads on, and what
# tells of the screen only
_READ = """() => {
  const of = (one, id) => one.closest('.jp-Cell')
    .querySelector(`[id='${id}'], [data-jupyter-id='${id}']`);
  return [...document.querySelectorAll('.jp-MarkdownOutput :is(h1, h2, h3, li, td, th, p)')]
    .filter(one => !one.closest('details:not([open])') && !one.querySelector(':is(p, li)'))
    .filter(one => !of(one, 'What-to-practice-next') && !of(one, 'How-far-you-are'))
    .filter(one => !of(one, 'To-keep') || !one.querySelector(':scope > a, :scope > strong > a'))
    .map(one => one.textContent);
}"""
_SIZES = """() => [...document.querySelectorAll('.jp-MarkdownOutput :is(p, li)')]
  .filter(one => one.getClientRects().length)
  .map(one => parseFloat(getComputedStyle(one).fontSize) * 72 / 96)"""
# figures, tables and lines that stick out of the column they stand in
_OUT = """() => [...document.querySelectorAll('.jp-Cell :is(figure, table, td, dd, p, aside)')]
  .filter(one => one.getClientRects().length && one.scrollWidth > one.clientWidth + 2)
  .map(one => one.textContent.trim().slice(0, 60))"""


@pytest.fixture(scope="module")
def course(open_course):
    """Give the shipped course, opened as `taperkey learn` opens it."""
    return open_course(None)


def run_together(text: str) -> str:
    """Return a text without its spaces and joined letters: lines and pages break anywhere."""
    return "".join(unicodedata.normalize("NFKC", text.replace("¶", "")).split())


def stands_in(text: str, words: str) -> bool:
    """Whether a text is there, in one piece or in two where a column ends within it."""
    cut = next((at for at in range(len(text), 0, -1) if text[:at] in words), 0)
    return bool(cut) and text[cut:] in words or not text


@pytest.mark.parametrize("name", LESSONS)
def test_a_lesson_prints_on_six_sheets_with_all_that_is_read(course, walker, tmp_path, name):
    page = walker.walk(course, f"lessons/{name}.ipynb")
    settle(page)
    read = page.evaluate(_READ)
    page.emulate_media(media="print")
    assert min(page.evaluate(_SIZES)) >= LEAST_PT - 0.01
    page.set_viewport_size({"width": 700, "height": 1000})  # between the margins of a sheet
    assert page.evaluate(_OUT) == []
    folder = PICTURES if WHOLE else tmp_path
    folder.mkdir(exist_ok=True)
    told = {}
    for paper in PAPERS:
        printed = folder / f"{name}-{paper}.pdf"
        page.pdf(path=printed, format=paper)
        sheets = [one.extract_text() for one in PdfReader(printed).pages]
        assert min(len(one) for one in sheets) > 100, "a sheet with nothing on it"
        words = run_together("".join(re.sub(r"^\d+ of \d+\n", "", one) for one in sheets))
        assert [one for one in read if not stands_in(run_together(one), words)] == []
        assert [one for one in sheets if not re.match(r"\d+ of \d+\n", one)] == []
        told[paper] = len(sheets)
    print(f"\n{name}: {', '.join(f'{count} sheets of {paper}' for paper, count in told.items())}")
    assert max(told.values()) <= MOST_SHEETS


def test_the_booklet_is_written_from_the_start_page(course, walker) -> None:
    page = walker.walk(course, "lessons/00-start.ipynb", unit="")
    page.get_by_role("button", name="Write it for Letter").click()
    link = page.get_by_role("link", name="Booklet to print, Letter (PDF)")
    link.wait_for()
    written = course.folder / "lessons" / "to-keep-Letter.pdf"
    assert link.get_attribute("href") == "/files/lessons/to-keep-Letter.pdf"
    assert len(PdfReader(written).pages) > len(PAGES)
