"""Hazards: each classed once, drawn in one place, the same on page, bench, form and sheet.

Signal words and what they mean: ANSI Z535.6 and ISO 3864-2, from memory. Contrast: WCAG 2.1,
success criterion 1.4.3 (4.5:1 for text), relative luminance as defined there.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from tests.vocabulary.texts import all_texts, page_texts

from coursework.course import PAGES, course
from coursework.ink.signs import LEVELS, hazard_box, must_be_right, style
from coursework.question import Practical
from keycourse import hazards as hazard_file
from keycourse.fit.bench import book
from keycourse.hazards import box, box_text, gravest, hazards, main, rules, sentences
from keycourse.jobsheet import cautions, ways
from keycourse.pull.bench import state

BOX = re.compile(
    r'<aside class="hazard ([^"]+)">\n\n\*\*([A-Z]+)\*\*\n\n(.*?)\n\n</aside>', re.DOTALL
)


def luminance(color):
    def linear(part):
        return part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(int(color[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_and_white_is_21():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)  # WCAG 2.1, the largest there is


def test_signal_words_can_be_read_and_told_apart_without_color():
    for level in LEVELS.values():
        assert contrast(level.panel, level.ink) >= 4.5, level.word
    assert [level.word for level in LEVELS.values()] == ["DANGER", "WARNING", "CAUTION"]
    assert len({level.border_px for level in LEVELS.values()}) == 3
    grays = sorted(luminance(level.panel) for level in LEVELS.values())
    assert all(later - one > 0.15 for one, later in zip(grays, grays[1:], strict=False))


def test_levels_mean_what_the_standard_says():
    assert LEVELS["danger"].meaning.startswith("will kill or seriously injure")
    assert LEVELS["warning"].meaning.startswith("could kill or seriously injure")
    assert "moderately" in LEVELS["caution"].meaning


def test_a_page_s_boxes_are_those_of_the_file():
    """`uv run python -m keycourse.hazards` writes them."""
    found = 0
    for one in page_texts():
        boxes = BOX.findall(one.text)
        assert one.text.count("<aside") == len(boxes) + one.text.count('class="must-be-right"')
        for classes, word, _ in boxes:
            level, *names = classes.split()
            assert LEVELS[level].word == word
            if names:
                assert box_text(*names) in one.text, f"{one.file}, {one.place}"
                found += 1
            else:
                assert one.place.endswith("sign-off"), f"{one.file}, {one.place}"
    assert found >= 20


def test_no_hazard_stands_in_another_form():
    for one in all_texts():
        assert not re.search(r"^> \*\*|\*\*Caution|<b>Caution", one.text, re.MULTILINE), one.place
        assert "⚠" not in one.text, f"{one.file}, {one.place}: one sign, drawn in ink/signs.py"


def test_a_box_is_headed_by_its_gravest_hazard_and_closed_by_the_rules():
    assert gravest(["edges", "slide", "starts"]) == "danger"
    assert gravest(["edges", "slide"]) == "warning"
    assert gravest(["edges"]) == "caution"
    for names in (["edges", "starts"], ["lead"], ["slide", "file"]):
        said = sentences(names)
        assert said[0] == next(
            hazards()[name].text for name in names if hazards()[name].level == gravest(names)
        )
        assert said[-1] == rules()
        assert LEVELS[gravest(names)].word in box(*names)
        assert all(text in box(*names) for text in (rules(),))


def test_a_hazard_that_is_not_known_is_one_sentence():
    with pytest.raises(LookupError, match=r"^hazard is “tigers”; it must be one of: course, "):
        box("tigers")


def used():
    names = {
        name for one in page_texts() for c, _, _ in BOX.findall(one.text) for name in c.split()
    }
    for page in PAGES.values():
        for question in page.questions:
            if isinstance(question.kind, Practical):
                names |= set(question.kind.caution.split())
    for stage in (
        cautions.BEFORE,
        cautions.CUTTING,
        cautions.DRIVING,
        cautions.PULLING,
        cautions.WELDING,
        cautions.STRIKING,
        cautions.UNDECIDED,
        ways.PUSHING,
        ways.FORCING,
    ):
        names |= set(stage)
    names |= set(book.HAZARDS) | {"hot-hub"}  # of the measuring bench's conditions
    return names | {name for step in state.HAZARDS.values() for name in step}


def test_every_hazard_is_shown_somewhere_and_everything_shown_is_known():
    assert used() - {"danger", "warning", "caution"} == set(hazards())


def test_a_bench_task_says_its_hazards():
    for page in PAGES.values():
        for question in page.questions:
            if isinstance(question.kind, Practical):
                level, said = course().caution(question.kind.caution)
                assert level in LEVELS
                assert said[-1] == rules()


def test_what_is_put_into_a_box_is_escaped():
    assert "<b>" not in hazard_box("danger", ["<b>bold</b>"])


def test_must_be_right_borrows_nothing_from_the_hazard_box():
    tag = must_be_right()
    assert "Must be right" in tag
    for level in LEVELS.values():
        assert level.panel not in tag
        assert level.word not in tag
    assert "polygon" not in tag
    assert "Z" not in re.findall(r' d="([^"]+)"', tag)[0]  # a key, no closed triangle


def test_the_page_style_knows_every_level():
    sheet = style()
    for name, level in LEVELS.items():
        assert f"aside.hazard.{name} " in sheet
        assert level.panel in sheet
    assert "aside.must-be-right" in sheet


def test_the_writer_mends_a_box_and_touches_nothing_else(tmp_path, capsys):
    here = Path(__file__).parents[2]
    for room in ("lessons", "solutions"):
        shutil.copytree(here / room, tmp_path / room)
    pages = sorted(tmp_path.rglob("*.ipynb"))
    before = {path: path.read_bytes() for path in pages}
    assert main(tmp_path) == 0
    assert capsys.readouterr().out == ""
    told = hazards()["starts"].text
    lessons = (path for path in pages if path.is_relative_to(tmp_path / "lessons"))
    changed = [path for path in lessons if told in path.read_text("utf-8")]
    assert changed
    for path in changed:
        path.write_text(path.read_text("utf-8").replace(told, "Mind it."), "utf-8")
    assert main(tmp_path) == 0
    said = capsys.readouterr().out.splitlines()
    assert said == [f"{path.relative_to(tmp_path)}: boxes written again" for path in changed]
    assert {path: path.read_bytes() for path in pages} == before


@pytest.mark.parametrize(
    "wrong",
    ['level = "grave"\ntext = "x"', 'level = "danger"', 'level = "danger"\ntext = "x"\nmore = 1'],
)
def test_a_wrong_line_of_the_file_is_told_with_its_name(tmp_path, monkeypatch, wrong):
    path = tmp_path / "hazards.toml"
    path.write_text(f'rules = "x"\n[hazards.starts]\n{wrong}\n')
    monkeypatch.setattr(hazard_file, "__file__", str(path.with_name("hazards.py")))
    with pytest.raises(ValueError, match=r"hazards\.toml: starts needs a text and a level, one of"):
        hazard_file._file.__wrapped__()
