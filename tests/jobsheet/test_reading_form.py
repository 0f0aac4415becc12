"""The form on paper asks what the job file asks, in its order, and holds nothing."""

import io
import re

import pytest
from pypdf import PdfReader

from keycourse.cli import main
from keycourse.jobsheet.fields import FIELDS, SECTIONS
from keycourse.jobsheet.reading_form import form_pdf
from keycourse.jobsheet.sketches import LETTERS, SKETCHES


@pytest.fixture(scope="module", params=["A4", "Letter"])
def pages(request):
    return request.param, PdfReader(io.BytesIO(form_pdf(paper=request.param))).pages


def test_it_is_on_its_paper(pages):
    paper, sheets = pages
    size = [round(float(one)) for one in sheets[0].mediabox[2:]]
    assert size == ([595, 842] if paper == "A4" else [612, 792])
    assert len(sheets) <= 3


def test_every_entry_has_its_place_in_the_order_of_the_job_file(pages):
    text = "\n".join(page.extract_text() for page in pages[1])
    lines = [line.strip() for line in text.splitlines()]
    at = 0
    for section, title in SECTIONS.items():
        at = lines.index(title, at)
        for field in FIELDS:
            if field.section == section:
                at = lines.index(field.name, at) + 1


def test_no_box_holds_an_example(pages):
    text = " ".join(" ".join(page.extract_text().split()) for page in pages[1])
    for field in FIELDS:
        if re.search(r"\d\.\d|QQ-", field.example):
            assert field.example not in text, field.key


def test_every_letter_of_a_row_stands_in_the_sketch_of_its_section():
    for key, letter in LETTERS.items():
        picture = SKETCHES[key.partition(".")[0]]()
        drawn = re.findall(r"<text[^>]*>([^<]*)</text>", picture.svg)
        assert any(letter in re.findall(r"\w+", words) for words in drawn), key
        assert re.search(rf"\b{letter}\b", picture.text), key


def test_the_slot_of_the_sketch_gets_lower_going_in():
    svg = SKETCHES["opening"]().svg
    roof = re.search(r"M400\.0 ([\d.]+)L660\.0 ([\d.]+)L660\.0", svg)
    at_mouth, inside = (float(one) for one in roof.groups())
    assert at_mouth > inside > 130  # further from the shaft's lower edge, drawn at 130


def test_the_command_writes_it(tmp_path, capsys):
    assert main(["sheet", "--blank", "--paper", "Letter", "--out", str(tmp_path)]) == 0
    path = tmp_path / "reading-form.pdf"
    assert f"To print and fill in: {path}" in capsys.readouterr().out
    assert path.read_bytes().startswith(b"%PDF")
    assert main(["sheet", "--blank", "--new", str(tmp_path / "job.toml")]) == 2
