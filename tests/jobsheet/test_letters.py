"""Legible at arm's length: what is read at the machine has 11 points, in the document itself."""

import io
from datetime import date

import pytest
from pypdf import PdfReader

from keycourse.jobsheet.blocks import Drawing, Facts, Grid, Points, Words
from keycourse.jobsheet.job import parse_job
from keycourse.jobsheet.pdf import sheet_pdf
from keycourse.jobsheet.sheet import make_sheet

JOBS = {
    "ordinary": {},
    "crowded": {
        "job.units": "mixed",
        "opening.heights-1": "0.9700; 0.9702; 0.9701; 0.9820; 0.9703 in",
        "opening.heights-2": "1.0012; 1.0014; 1.0013; 1.0132; 1.0015 in",
        "opening.keyway-at-bottom": "no",
        "opening.hub-widths": "1.0312 in",
        "opening.shaft-widths": "1.0006 in",
        "opening.slot-radius": "0.1 in",
        "key.thread": "1-8 UNC",
        "pull.surface": "rusted",
        "pull.thread": "none",
        "pull.rod-grade": "unknown",
    },
}


def sheet_of(entries, name="ordinary"):
    return make_sheet(job=parse_job({**entries, **JOBS[name]}), today=date(2026, 11, 25))


LEAST_NEAR, LEAST = 11.0, 6.0


def letters_of(document):
    """Return (page, text, points) for each piece of text that stands in a PDF."""
    found = []
    for number, page in enumerate(PdfReader(io.BytesIO(document)).pages, start=1):

        def keep(text, _, matrix, __, size, number=number):
            if text.strip():
                found.append((number, text.strip(), size * abs(matrix[3] or 1.0)))

        page.extract_text(visitor_text=keep)
    return found


def near_words(sheet):
    """Return the first words of everything that is read at the machine."""
    for section in sheet.sections:
        for block in section.blocks:
            if isinstance(block, Drawing) or not block.near:
                continue
            if isinstance(block, Words):
                yield block.text
            elif isinstance(block, Points):
                yield from block.items
            elif isinstance(block, Grid):
                yield from (row[0] for row in block.rows)
            elif isinstance(block, Facts):
                yield from (what for what, _ in block.rows)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", JOBS)
def test_what_is_read_at_the_machine_has_eleven_points(entries, name, paper):
    sheet = sheet_of(entries, name)
    pieces = letters_of(sheet_pdf(sheet=sheet, paper=paper))
    wanted = [*near_words(sheet), *sheet.stops]
    assert len(wanted) >= 10
    for words in wanted:
        start = " ".join(words.split()[:4])
        sizes = [
            size
            for _, text, size in pieces
            if text.startswith(start) or (len(text) > 2 and start.startswith(text))
        ]
        assert sizes, words
        assert max(sizes) >= LEAST_NEAR - 0.01, words
    # the drawing's own measures, and the smallest print there is
    drawn = [size for _, text, size in pieces if text == "LARGE END"]
    assert drawn
    assert min(drawn) >= LEAST_NEAR
    assert min(size for _, text, size in pieces if text != "!") >= LEAST  # "!" is a sign


def test_the_first_page_bears_the_drawing_and_the_readings(entries):
    sheet = sheet_of(entries)
    pages = {text: page for page, text, _ in letters_of(sheet_pdf(sheet=sheet))}
    assert pages["LARGE END"] == 1
    assert next(page for text, page in pages.items() if text.startswith("1.0102 in; 1.0105")) == 1
    assert pages["4  Cutting plan"] == 2
    assert pages["7  Pulling plan"] == 3
