"""The booklet: a sheet a lesson and the tables, every rule on it, legible, nothing cut off."""

import io
import unicodedata

import pytest
from pypdf import PdfReader

from coursework.course import PAGES
from coursework.room.coursebook import shipped_pages
from keycourse.booklet.lessons import kept_of_lessons
from keycourse.booklet.pdf import booklet_pdf
from keycourse.booklet.tables import table_sheets
from keycourse.cli import main
from keycourse.hazards import sentences
from taperkey.tables.reader import read_table

ARM = 11.0  # points of what is read at the machine (see test_letters.py)
MM = 72 / 25.4
WIDTHS = {"A4": 210 * MM, "Letter": 215.9 * MM}


@pytest.fixture(scope="module", params=["A4", "Letter"])
def booklet(request):
    """Give the paper, and the booklet's sheets: the text of each, and its pieces with places."""
    sheets = []
    for page in PdfReader(io.BytesIO(booklet_pdf(paper=request.param))).pages:
        pieces = []

        def keep(text, _, matrix, __, size, pieces=pieces):
            if text.strip():
                pieces.append((text.strip(), matrix[4], matrix[5], size * abs(matrix[3] or 1.0)))

        text = page.extract_text(visitor_text=keep)
        sheets.append((run_together(text), pieces, float(page.mediabox.height)))
    return request.param, sheets


def run_together(text):
    """Return a text without spaces: where a line ends does not matter."""
    return "".join(unicodedata.normalize("NFKC", text).split())


def test_there_is_a_sheet_a_lesson_then_the_tables_all_numbered(booklet) -> None:
    _, sheets = booklet
    tables = table_sheets()
    assert len(sheets) == len(PAGES) + len(tables)
    names = [one.title for one in (*kept_of_lessons(), *tables)]
    for number, ((text, pieces, _), name) in enumerate(zip(sheets, names, strict=True), start=1):
        assert f"{number}of{len(sheets)}" in text
        foot = [one for one, _, y, _ in pieces if y < 12 * MM]
        assert any(name in one for one in foot)


def test_each_lesson_sheet_has_its_page_s_rules_and_hazards(booklet) -> None:
    _, sheets = booklet
    for (text, _, _), kept in zip(sheets, kept_of_lessons(), strict=False):
        page = shipped_pages()[f"lessons/{kept.page}.ipynb"].read_text("utf-8")
        assert len(kept.rules) >= 5
        for rule in kept.rules:
            assert run_together(rule.replace("**", "")) in text
            assert rule.partition(" **")[0] in page.replace("`", "").replace('\\"', '"')
        for hazard in sentences(kept.hazards) if kept.hazards else ():
            assert run_together(hazard) in text


def test_every_row_of_a_table_is_on_its_sheet(booklet) -> None:
    _, sheets = booklet
    for (text, _, _), sheet in zip(sheets[len(PAGES) :], table_sheets(), strict=True):
        for band in sheet.bands:
            for table in (one for stack in band for one in stack):
                assert table.rows
                for row in table.rows:
                    assert run_together("".join(row)) in text


def test_tables_are_whole() -> None:
    counted: dict[str, int] = {}
    for sheet in table_sheets():
        for table in (one for band in sheet.bands for stack in band for one in stack):
            counted[table.source] = counted.get(table.source, 0) + len(table.rows)
    for source, rows in counted.items():
        if source != "inch_key_tolerances":  # of these, the taper key's only
            assert rows == len(read_table(source)), source


def test_a_row_says_what_the_standard_prints(booklet) -> None:
    # ASME B17.1, Table 1: shaft over 3-3/4 to 4-1/2 in, key 1 x 1, flat 3/4 (as in
    # Shop Reference for Students and Apprentices, 2nd ed., Table 1); UNC 3/4-10: 0.334 in²
    # (Shigley, 9th ed., Table 8-2); DIN 6886: shaft over 75 to 85 mm, key 22 x 14 (from memory)
    rows = {row for sheet in table_sheets() for band in sheet.bands for stack in band
            for table in stack for row in table.rows}  # fmt: skip
    assert ("3-3/4", "4-1/2", "1", "1", "3/4") in rows
    assert ("3/4-10 UNC", "0.334") in rows
    assert any(row[:4] == ("75", "85", "22", "14") for row in rows)
    assert (
        "SAE J429 grade 8",
        "to 1-1/2 in",
        "120",
        "130",
        "150",
    ) in rows  # Shigley-Mischke, 5th ed.


def test_what_is_read_at_the_machine_is_legible_and_on_the_paper(booklet) -> None:
    paper, sheets = booklet
    cells = {cell for sheet in table_sheets() for band in sheet.bands for stack in band
             for table in stack for row in table.rows for cell in row}  # fmt: skip
    for place, (_, pieces, height) in enumerate(sheets):
        body = [one for one in pieces if one[2] > 12 * MM]
        for text, x, y, size in body:
            assert 11 * MM < x < WIDTHS[paper] - 12 * MM
            assert y < height - 9 * MM
            if text != "!" and (place < len(PAGES) or text in cells):
                assert size >= ARM - 0.01, text
        # nothing runs into the foot: between it and the body is a clear line
        foot = [one for one in pieces if one[2] <= 12 * MM]
        assert len(foot) == 2


def test_the_command_writes_both_papers_or_the_one_asked_for(tmp_path, capsys) -> None:
    assert main(["keep", str(tmp_path / "new"), "--paper", "Letter"]) == 0
    assert [one.name for one in (tmp_path / "new").iterdir()] == ["to-keep-Letter.pdf"]
    assert "to-keep-Letter.pdf" in capsys.readouterr().out
