"""The engine works for another subject: three questions about curtains, from card to report."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import nbformat
import pytest

from coursework import course as engine
from coursework.card import JobCard
from coursework.draws import Draws
from coursework.judging import judge_page
from coursework.mark.records import read_records
from coursework.mark.release import build_release
from coursework.page.handin import write_hand_in
from coursework.question import Fact, Measure
from coursework.room.assessing import mark_and_report
from coursework.room.cards import write_cards
from coursework.room.classfolder import new_class
from coursework.room.roster import Apprentice
from coursework.words import Words

WORDS = """\
name = "01-curtain"
title = "Cut a curtain"

[01-gathered]
{}
label = "Gathered width"
ask = "The cloth hangs twice as wide as the window. How wide is it?"
[01-gathered.slips."gathers left out"]
share = 0.5
sentence = "This is the window. Cloth that hangs in folds is wider."
[01-cloth]
{}
label = "Cloth to cut"
ask = "5 in goes into each side's hem. How wide is the cloth cut?"
[01-why]
{}
label = "Why wash first"
ask = "Why is the cloth washed before it is cut?"
guide = ["it shrinks."]
""".replace("{}", 'skill = "sew"\nmarks = 1')
LENGTH = Measure(dimension="length", unit="in", low=20, high=400, places=1)


@dataclass(frozen=True, kw_only=True)
class Window(JobCard):
    width_in: float


def draw(**whose: object) -> Window:
    return Window(width_in=float(Draws(f"{whose}").whole(low=30, high=90)), **whose)


@pytest.fixture
def curtains(tmp_path: Path) -> Iterator[Path]:
    (tmp_path / "words.toml").write_text(WORDS)
    (tmp_path / "common.toml").write_text("")
    words = Words(tmp_path / "words.toml", tmp_path / "common.toml")
    gathered = words.question("01-gathered", kind=LENGTH, expected=lambda c, g: 2 * c.width_in,
                              slips={"gathers left out": lambda c, g: c.width_in})  # fmt: skip
    cloth = words.question("01-cloth", kind=LENGTH, expected=lambda c, g: g["01-gathered"] + 10,
                           needs=("01-gathered",))  # fmt: skip
    page = words.page(reckoned=[gathered, cloth],
                      facts=lambda card: (Fact("Window", f"{card.width_in} in"),))  # fmt: skip
    before = engine.course()
    engine.use(
        engine.Course(pages=(page,), draw=draw, head=lambda card: (), modules=(), folder=tmp_path,
                      pass_share=0.5)
    )  # fmt: skip
    master = nbformat.v4.new_notebook(metadata={"taperkey": {"page": page.name}})
    for question in page.questions:
        more = {"grade_id": question.key, "points": 1, "schema_version": 3, "solution": False,
                "locked": True, "grade": not question.by_assessor, "task": question.by_assessor,
                "cell_type": "markdown" if question.by_assessor else "code"}  # fmt: skip
        new = getattr(nbformat.v4, f"new_{more['cell_type']}_cell")
        master.cells.append(new("#", id=question.key, metadata={"nbgrader": more}))
    (tmp_path / "solutions" / page.name).mkdir(parents=True)
    nbformat.write(master, tmp_path / "solutions" / page.name / f"{page.name}.ipynb")
    build_release(solutions=tmp_path / "solutions", exercises=tmp_path / "pages" / "exercises")
    yield tmp_path
    engine.use(before)


def test_from_card_to_report(curtains: Path) -> None:
    room = new_class(curtains / "class", code="SEW-1", title="Sewing",
                     roster=[Apprentice(number=1, name="Ida Loom")])  # fmt: skip
    card = engine.issue_card(exercise="01-curtain", class_code="SEW-1", number=1)
    assert f"{card.width_in}\u00a0in" in write_cards(room).read_text()
    entries = {"01-gathered": f"{card.width_in} in", "01-cloth": f"{card.width_in + 10} in"}
    states = [one.state for one in judge_page(engine.PAGES["01-curtain"], card, entries)]
    assert states == ["slip", "carried", "blank"]
    write_hand_in(folder=room.inbox, class_code="SEW-1", number=1, page="01-curtain",
                  page_version="0" * 12, entries=entries, made="2026-11-25T12:00:00Z")  # fmt: skip
    report = mark_and_report(room).report.read_text()
    assert [one.mark for one in read_records(room.folder)[0].verdicts[:2]] == [0.5, 1.0]
    assert "gathers left out" in report and "Ida Loom" in report  # noqa: PT018
