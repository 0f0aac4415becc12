"""The text is for an apprentice of about 14 years' reading age, or younger.

Measure: Flesch-Kincaid grade level (J. P. Kincaid and others, Derivation of New
Readability Formulas, Naval Technical Training Command, Research Branch Report
8-75, 1975), reckoned by textstat. A school year of the United States is
entered at its number and five years of age.
"""

from __future__ import annotations

import re
from pathlib import Path

import nbformat
import pytest
import textstat

from coursework.course import PAGES

ROOT = Path(__file__).resolve().parents[2]
READ = [*sorted((ROOT / "lessons").glob("*.ipynb")), *sorted(ROOT.glob("exercises/*/*.ipynb"))]
OLDEST = 14
FIRST_YEAR_IS_ENTERED_AT = 5


def age(text: str) -> float:
    return float(textstat.flesch_kincaid_grade(text)) + FIRST_YEAR_IS_ENTERED_AT


def sentences(markdown: str) -> str:
    """Return the text without signs of layout; a line or an item of a list ends a sentence."""
    plain = re.sub(r"<details>.*?</details>", " ", markdown, flags=re.DOTALL)  # the instructor's
    plain = re.sub(r"<[^>]+>|!\[[^\]]*\]\([^)]*\)|`[^`]*`", " ", plain)
    plain = re.sub(r"\]\([^)]*\)", "]", plain).replace("|", " ")
    lines = []
    for line in re.split(r"\n(?=\s*(?:[-*#]|\d+\.)|\s*\n)", plain):
        words = re.sub(r"^\s*(?:[-*#]+|\d+\.)\s*", "", line.strip()).replace("\n", " ")
        words = re.sub(r"[*\[\]_]", "", words).strip()
        if len(words.split()) >= 4:
            lines.append(words if words[-1] in ".!?:" else f"{words}.")
    return " ".join(lines)


@pytest.mark.parametrize("path", READ, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_a_page_reads_easily(path: Path):
    page = nbformat.read(path, as_version=4)
    text = "\n\n".join(cell.source for cell in page.cells if cell.cell_type == "markdown")
    assert age(sentences(text)) <= OLDEST


@pytest.mark.parametrize("name", sorted(PAGES))
def test_what_is_asked_and_answered_reads_easily(name: str):
    questions = PAGES[name].questions
    told = [slip.sentence for one in questions for slip in one.slips]
    for text in (" ".join(one.ask for one in questions), " ".join(told)):
        assert age(text) <= OLDEST


def test_the_measure_tells_hard_text_from_easy():
    hard = (
        "Notwithstanding the aforementioned considerations, the determination of the "
        "circumferential interference necessitates comprehensive dimensional verification."
    )
    assert age("Push the key in by hand. Mark it. Pull it out. File the marks.") < 8
    assert age(hard) > OLDEST
