"""The files of words: joined with their values, checked on load, and written into the masters."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

import keycourse
from coursework.course import PAGES
from coursework.mark.pages import guide_text
from coursework.page.progress import practice_of
from coursework.question import ByAssessor, Choice, Page, Written
from coursework.unit import units_of
from coursework.words import Words, WordsError, WordsFile

COMMON = """\
[critical]
rig = "A rig can let go."

[slips."upside down"]
share = 0.25
sentence = "The wrong way up."
"""
LESSON = """\
name = "09-belt"
title = "Choose a belt"

[critical]
guard = "Hands stay out."

[slips."one step off"]
share = 0.5
sentence = "One step off ({step})."

[09-length]
label = "Length"
skill = "measure"
marks = 2
ask = "How long?"
hint = "Twice the distance, and round both wheels."
critical = "guard"

[09-length.slips."half of it"]
sentence = "One side only."

[09-length.metric]
ask = "How long in mm?"

[09-why]
label = "Why"
skill = "explain"
marks = 2
ask = "Why slack first?"
guide = [
  "it goes on by hand.",
  "no lever near the nip.",
]
"""


def written(folder: Path, lesson: str = LESSON, common: str = COMMON) -> Words:
    (folder / "lesson").mkdir(parents=True, exist_ok=True)
    (folder / "words.toml").write_text(common, encoding="utf-8")
    (folder / "lesson" / "words.toml").write_text(lesson, encoding="utf-8")
    return Words(folder / "lesson" / "words.toml")


def joined(told: Words, slips: tuple[str, ...] = ("half of it", "upside down", "one step off")):
    return told.question(
        "09-length",
        kind=Choice(options=("a", "b")),
        expected=lambda card, given: "a",
        slips={name: lambda card, given: "b" for name in slips},
        places={"step": "1 in"},
    )


def whole(folder: Path, lesson: str = LESSON, common: str = COMMON) -> Page:
    told = written(folder, lesson, common)
    return told.page(reckoned=[joined(told)], facts=lambda card: ())


def test_words_and_values_are_joined(tmp_path: Path) -> None:
    page = whole(tmp_path)
    assert (page.name, page.title) == ("09-belt", "Choose a belt")
    length, why = page.questions
    assert [(one.name, one.share, one.sentence) for one in length.slips] == [
        ("half of it", 0.0, "One side only."),
        ("upside down", 0.25, "The wrong way up."),
        ("one step off", 0.5, "One step off (1 in)."),
    ]
    assert length.critical == "Hands stay out."
    assert length.metric is not None
    assert (length.metric.ask, length.metric.label) == ("How long in mm?", "Length")
    assert isinstance(why.kind, ByAssessor)
    assert why.kind.points == ("1 mark: it goes on by hand.", "1 mark: no lever near the nip.")


def test_a_question_of_no_marks_is_practiced_and_never_in_the_exercise(tmp_path: Path) -> None:
    page = whole(tmp_path, LESSON.replace('marks = 2\nask = "How', 'marks = 0\nask = "How'))
    assert [one.key for one in page.questions] == ["09-why"]
    assert [one.key for one in page.practised] == ["09-length"]
    assert page.question("09-length") is page.practised[0]
    assert practice_of(page) == page.practised


SAYS = """
[says]
"look again" = "Look at {place} once more."
"""


def test_a_sentence_is_said_with_its_places_filled(tmp_path: Path) -> None:
    say = written(tmp_path, LESSON + SAYS).sayings(
        "look again", "one step off", places=("place", "step")
    )
    assert say("look again", place="the belt", step="1 in") == "Look at the belt once more."
    assert say("one step off", place="", step="1 in") == "One step off (1 in)."


@pytest.mark.parametrize(
    ("lesson", "names", "places", "said"),
    [
        (LESSON + SAYS, ("look gain",), ("place",), ", line 1: no sentence is named “look gain”"),
        (LESSON + SAYS, ("look again",), ("part",), "a place {place} that nothing fills"),
        (LESSON + SAYS.replace("{place}", "{place"), (), (), "a brace is left open"),
    ],
)
def test_a_sentence_that_cannot_be_said_is_told_at_once(
    tmp_path: Path, lesson: str, names: tuple[str, ...], places: tuple[str, ...], said: str
) -> None:
    with pytest.raises(WordsError) as refused:
        written(tmp_path, lesson).sayings(*names, places=places)
    assert said in str(refused.value)
    if names != ("look gain",):
        at = lesson.splitlines().index(
            next(one for one in lesson.splitlines() if "look again" in one)
        )
        assert f"words.toml, line {at + 1}: " in str(refused.value)


def test_a_sentence_that_nobody_says_is_told(tmp_path: Path) -> None:
    with pytest.raises(WordsError, match="“look again” is used by no question"):
        whole(tmp_path, LESSON + SAYS)


@pytest.mark.parametrize(
    ("old", "new", "line_of", "said"),
    [
        ("hint =", "hnt =", "hnt =", "“hnt” is not known in [09-length]; expected is one of"),
        ('label = "Why"', "", "[09-why]", "“label” of 09-why is missing"),
        ("marks = 2\nask = \"How", "marks = -1\nask = \"How", "marks = -1", "0 is the least"),
        ('marks = 2\nask = "How', 'marks = "2"\nask = "How', 'marks = "2"', "must be a number"),
        ('ask = "How long?"', 'ask = " "', 'ask = " "', "“ask” in [09-length] is empty"),
        ("share = 0.5", "share = 1.5", "share = 1.5", "must be from 0 to below 1"),
        ("share = 0.5", "shar = 0.5", "shar = 0.5", "“shar” is not known"),
        ("({step})", "({stride})", '[slips."one step off"]', "a place {stride} that 09-length"),
        ("({step})", "({step)", 'sentence = "One step', "a brace is left open"),
        ('sentence = "One side only."', "", '[09-length.slips."half of it"]', "no sentence"),
        ('"half of it"', '"half"', "[09-length]", "knows the slip “half of it”, but no words"),
        ("it goes on by hand.\",", 'it goes on.", "by hand",', "guide = [", "3 points for 2"),
        ('critical = "guard"', 'critical = "gard"', 'critical = "gard"', "for “gard”"),
        ("[09-length.metric]", '[09-length.slips."x"]\nsentence = "x"\n[09-length.metric]',
         '[09-length.slips."x"]', "“x” is used by no question"),
        ("guide = [", "gide = [", "gide = [", "“gide” is not known"),
        ('name = "09-belt"', "", "", "“name” of the exercise is missing"),
        ('hint = "Twice', 'guide = ["a", "b"]\nhint = "Twice', '[09-length.slips.', "takes no"),
    ],
)  # fmt: skip
def test_a_wrong_file_is_one_sentence_with_its_line(
    tmp_path: Path, old: str, new: str, line_of: str, said: str
) -> None:
    assert LESSON.count(old) == 1
    lesson = LESSON.replace(old, new)
    with pytest.raises(WordsError) as refused:
        whole(tmp_path, lesson)
    told = str(refused.value)
    assert said in told
    assert "\n" not in told
    line = re.search(r"lesson/words\.toml, line (\d+): ", told)
    assert line
    assert lesson.splitlines()[int(line[1]) - 1].startswith(line_of)


def test_a_file_that_is_no_toml_names_its_line(tmp_path: Path) -> None:
    with pytest.raises(WordsError, match=r"words\.toml: .*line 3.*Correct that line"):
        written(tmp_path, 'name = "a"\ntitle = "b"\n[broken\n')
    (tmp_path / "lesson" / "words.toml").unlink()
    with pytest.raises(WordsError, match="cannot be read"):
        Words(tmp_path / "lesson" / "words.toml")


@pytest.mark.parametrize(
    ("minutes", "taken"), [(0, False), (1, True), (20, True), (21, False), (-5, False)]
)
def test_a_unit_takes_one_to_twenty_minutes(tmp_path: Path, minutes: int, taken: bool) -> None:
    path = tmp_path / "words.toml"
    unit = f'[units.belts]\ntitle = "Belts"\nminutes = {minutes}\n'
    path.write_text(f'name = "09-belt"\ntitle = "Choose a belt"\n\n{unit}', encoding="utf-8")
    if taken:
        assert [one.minutes for one in units_of(WordsFile(path))] == [minutes]
        return
    with pytest.raises(WordsError) as refused:
        units_of(WordsFile(path))
    assert str(refused.value) == (
        f"{path}, line 6: the unit belts takes {minutes} minutes; it must be 1 to 20."
    )


@pytest.mark.parametrize(
    ("left_out", "line"), [("title", "minutes = 5"), ("minutes", 'title = "B"')]
)
def test_a_unit_has_a_title_and_its_minutes(tmp_path: Path, left_out: str, line: str) -> None:
    path = tmp_path / "words.toml"
    path.write_text(f"[units.belts]\n{line}\n", encoding="utf-8")
    with pytest.raises(WordsError, match=f"line 1: “{left_out}” of the unit belts is missing"):
        units_of(WordsFile(path))


def test_a_question_without_words_or_values_is_refused(tmp_path: Path) -> None:
    told = written(tmp_path)
    with pytest.raises(WordsError, match="09-depth is reckoned, but no table"):
        told.question("09-depth", kind=Choice(options=("a",)), expected=lambda card, given: "a")
    with pytest.raises(WordsError, match="09-why is reckoned; it takes no guide"):
        told.question("09-why", kind=Choice(options=("a",)), expected=lambda card, given: "a")
    with pytest.raises(WordsError, match="09-length has neither a right value nor a guide"):
        told.page(reckoned=[], facts=lambda card: ())


def test_answers_and_steps_are_taken_by_name(tmp_path: Path) -> None:
    lesson = LESSON.replace('hint = "Twice', 'steps = ["Pull.", "Cut."]\nhint = "Twice').replace(
        "[09-length.metric]", '[09-length.options]\nlong = "Long."\n\n[09-length.metric]'
    )
    told = written(tmp_path, lesson)
    assert told.steps("09-length") == ("Pull.", "Cut.")
    assert tuple(told.options("09-length").values()) == ("Long.",)
    assert told.options("09-length")["long"] == "Long."
    with pytest.raises(WordsError, match=r"line \d+: “short” is missing in \[09-length.options\]"):
        told.options("09-length")["short"]
    with pytest.raises(WordsError, match="09-why offers answers, but has no"):
        told.options("09-why")
    with pytest.raises(WordsError, match="09-why has steps to put in order, but no"):
        told.steps("09-why")


ROOT = Path(__file__).resolve().parents[2]
FOLDER = Path(keycourse.__file__).parent
FILES = sorted(FOLDER.glob("*/words.toml"))


def test_every_lesson_has_its_words() -> None:
    names = [tomllib.loads(path.read_text(encoding="utf-8"))["name"] for path in FILES]
    assert sorted(names) == sorted(PAGES)


def test_shared_words_are_shared() -> None:
    common = tomllib.loads((FOLDER / "words.toml").read_text(encoding="utf-8"))
    for name in common["slips"]:
        users = {
            page.name
            for page in PAGES.values()
            for question in page.questions
            for asked in (question, question.metric or question)
            for slip in asked.slips
            if (slip.name, slip.sentence) == (name, common["slips"][name]["sentence"])
        }
        assert len(users) > 1, name
    for name, text in common["critical"].items():
        users = {p.name for p in PAGES.values() for q in p.questions if q.critical == text}
        assert len(users) > 1, name


def python_texts() -> str:
    return "\n".join(path.read_text(encoding="utf-8") for path in FOLDER.rglob("*.py"))


@pytest.mark.parametrize("pick", [lambda q: q.ask, lambda q: q.hint, lambda q: q.critical])
def test_no_python_file_says_it_again(pick: Callable[..., str]) -> None:
    code = re.sub(r'"\s*\n\s*f?"', "", python_texts())  # a sentence over several lines
    for page in PAGES.values():
        for question in page.questions:
            assert not pick(question) or pick(question) not in code, question.key
            for slip in question.slips:
                assert slip.sentence not in code, (question.key, slip.name)


@pytest.mark.parametrize("command", [["demo", "class"], ["learn", "--no-browser"]])
def test_a_command_tells_the_line_and_does_not_start(tmp_path: Path, command: list[str]) -> None:
    lib = tmp_path / "lib"
    shutil.copytree(FOLDER.parent, lib)
    for pages in ("lessons", "exercises"):
        shutil.copytree(ROOT / pages, tmp_path / pages)
    broken = lib / "keycourse" / "taper" / "words.toml"
    broken.write_text(broken.read_text(encoding="utf-8").replace("hint =", "hnt =", 1), "utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "keycourse.cli", *command],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(lib)},
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 2
    assert re.fullmatch(r"\S*words\.toml, line \d+: “hnt” is not known .*\n", done.stderr)


WRITTEN = [
    question
    for page in PAGES.values()
    for question in page.questions
    if isinstance(question.kind, Written)
]


@pytest.mark.parametrize("question", WRITTEN, ids=lambda question: question.key)
def test_a_written_answer_has_samples_that_two_assessors_can_hold_it_against(question) -> None:
    earned = [marks for marks, _ in question.kind.samples]
    assert earned[0] == question.marks > earned[1] > earned[2] == 0
    assert len({text for _, text in question.kind.samples}) == 3
    assert len(question.kind.unrewarded) >= 2
    shown = guide_text(question.kind)
    for _, text in question.kind.samples:
        assert text in shown


def test_a_written_answer_without_its_samples_is_refused(tmp_path: Path) -> None:
    course = Path(keycourse.__file__).parent
    shutil.copyfile(course / "words.toml", tmp_path / "words.toml")
    path = tmp_path / "taper" / "words.toml"
    path.parent.mkdir()
    text = (course / "taper" / "words.toml").read_text(encoding="utf-8")
    table = text.index("[02-why-longer.samples]")
    at, end = text.index("half = ", table), text.index("nothing = ", table)
    path.write_text(text[:at] + text[end:], encoding="utf-8")
    with pytest.raises(WordsError, match=r"“half” is missing in the samples of 02-why-longer"):
        Words(path)
