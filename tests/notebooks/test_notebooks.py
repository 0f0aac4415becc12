"""Every page of the course: its form, its words, its links, and its marks."""

from __future__ import annotations

import ast
import itertools
import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest
from nbclient import NotebookClient

from coursework.course import PAGES
from coursework.page.progress import practice_of
from coursework.question import Question, Written
from coursework.room.coursebook import shipped_pages
from keycourse import lesson

ROOT = Path(__file__).resolve().parents[2]
LESSONS = sorted((ROOT / "lessons").glob("*.ipynb"))
LEARNED = [path for path in LESSONS if path.stem != "07-words"]  # words are looked up
MASTERS = sorted((ROOT / "solutions").glob("*/*.ipynb"))
RELEASED = sorted((ROOT / "exercises").glob("*/*.ipynb"))
ALL = [*LESSONS, *MASTERS, *RELEASED]

MOST_WORDS = 80  # prose between two pictures or forms
MOST_WORDS_IN_STEPS = 120
MOST_LINES = 12
SHOP_WORDS_ONLY = re.compile(
    r"\b(kernels?|cells?|python|widgets?|notebooks?|(?<!class )code|jupyter|traceback|run the)\b",
    re.IGNORECASE,
)
UNIT = re.compile(r"\s?(in/in|in/ft|in|mm|lbf|psi|kg|kN|thou|deg|%|°|″)(?![A-Za-z])")
DECIMAL = re.compile(r"(?<![\w.])\d+\.\d+(?!\d|\.\d)")
NO_UNIT_DUE = re.compile(
    r"`[^`]*`"  # what to type, shown as it is typed
    r"|\]\([^)]*\)"  # where a link leads
    r"|\b1910\.\d+"  # 29 CFR
    r"|\bB17\.1\b"  # ASME
    r"|\b\d+(?:\.\d+){2,}"  # chapter of a handbook
    r"|\b[A-Z]\.\d+(?:\.\d+)*"  # chapter of an annex
)


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def each(paths: list[Path]) -> Any:
    return pytest.mark.parametrize("path", paths, ids=name_of)


def read(path: Path) -> Any:
    return nbformat.read(path, as_version=4)


def prose(page: Any) -> Iterator[tuple[str, str]]:
    for cell in page.cells:
        if cell.cell_type == "markdown":
            yield cell.id, cell.source


def lines_that_run(page: Any) -> list[Any]:
    return [cell for cell in page.cells if cell.cell_type == "code"]


def calls(page: Any) -> list[tuple[str, list[Any]]]:
    """Return every call as its name after ``lesson.`` and its plain arguments."""
    found = []
    for cell in lines_that_run(page):
        for node in ast.walk(ast.parse(cell.source)):
            if isinstance(node, ast.Call):
                owner = node.func
                assert isinstance(owner, ast.Attribute), cell.source
                assert isinstance(owner.value, ast.Name), cell.source
                assert owner.value.id == "lesson", cell.source
                found.append((owner.attr, [ast.literal_eval(one) for one in node.args]))
    return found


def words(text: str) -> int:
    text = re.sub(r"\]\([^)]*\)|<aside [^>]*>|</aside>", "]", text)
    return sum(any(letter.isalnum() for letter in word) for word in text.split())


def marked(page: Any) -> list[Any]:
    """Return what carries marks, in order."""
    return [
        cell
        for cell in page.cells
        if cell.metadata.get("nbgrader", {}).get("grade")
        or cell.metadata.get("nbgrader", {}).get("task")
    ]


def test_the_course_has_its_pages():
    lessons = {path.stem for path in LESSONS}
    assert {"00-start", "04-fit", "05-pull", *PAGES} <= lessons
    assert [path.stem for path in MASTERS] == sorted(PAGES)
    assert [path.stem for path in RELEASED] == sorted(PAGES)


@each(ALL)
def test_page_is_well_formed(path: Path):
    page = read(path)
    nbformat.validate(page)
    ids = [cell.id for cell in page.cells]
    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", one) for one in ids), ids
    assert re.fullmatch(r"\d\d-[a-z-]+", path.stem)
    assert page.metadata["taperkey"]["page"] == path.stem
    assert page.metadata["kernelspec"]["name"] == "python3"
    # as a server writes it, so that saving an open page changes nothing
    assert path.read_text("utf-8") == nbformat.writes(page).rstrip("\n") + "\n"
    if path.parent.parent != ROOT:
        assert path.parent.name == path.stem


@each(ALL)
def test_nothing_on_a_page_can_be_cut_by_accident(path: Path):
    for cell in read(path).cells:
        assert cell.metadata.get("deletable") is False, cell.id
        assert cell.metadata.get("editable") is False, cell.id


@each(ALL)
def test_lines_that_run_are_few_and_folded_away(path: Path):
    page = read(path)
    lengths = []
    for cell in lines_that_run(page):
        assert cell.metadata["jupyter"]["source_hidden"] is True, cell.id
        assert cell.outputs == [], f"{cell.id}: results are made on opening, not stored"
        assert cell.execution_count is None, cell.id
        lengths.append(len(cell.source.splitlines()))
        kinds = {type(node) for node in ast.walk(ast.parse(cell.source))}
        logic = kinds & {ast.FunctionDef, ast.ClassDef, ast.Lambda, ast.For, ast.While, ast.If}
        assert not logic, f"{cell.id}: logic belongs in the library"
    assert max(lengths) <= MOST_LINES
    assert sorted(lengths)[len(lengths) // 2] <= 3


@each(ALL)
def test_page_calls_only_what_the_course_offers(path: Path):
    keys = {one.key for page in PAGES.values() for one in (*page.questions, *page.practised)}
    seen = calls(read(path))
    assert seen[0] == ("open", [path.stem])
    for name, arguments in seen:
        assert callable(getattr(lesson, name, None)), f"lesson.{name} does not exist"
        if name in ("ask", "practise", "worked"):
            assert arguments, f"lesson.{name}() names no question"
            assert set(arguments) <= keys, f"lesson.{name}{tuple(arguments)} has no question"


@each(LESSONS)
def test_text_stays_short(path: Path):
    for where, text in prose(read(path)):
        if "<details>" in text:
            continue
        steps = len(re.findall(r"^\d\. ", text, re.MULTILINE)) >= 2
        most = MOST_WORDS_IN_STEPS if steps or text.startswith("## To keep") else MOST_WORDS
        assert words(text) <= most, f"{where}: {words(text)} words"


@each(ALL)
def test_text_uses_shop_words(path: Path):
    for where, text in prose(read(path)):
        found = SHOP_WORDS_ONLY.search(re.sub(r"`[^`]*`|\]\([^)]*\)", "", text))
        assert found is None, f"{where}: “{found and found.group()}”"


@each(ALL)
def test_decimals_have_a_unit(path: Path):
    for where, text in prose(read(path)):
        plain = NO_UNIT_DUE.sub(" ", text)
        for found in DECIMAL.finditer(plain):
            after = plain[found.end() :]
            assert UNIT.match(after), f"{where}: {found.group()}{after[:20]!r} has no unit"


@pytest.mark.parametrize(
    ("text", "bare"),
    [
        ("it reads 0.2862 in today", []),
        ("it reads 0.2862 today", ["0.2862"]),
        ("it reads 0.2862 inside", ["0.2862"]),
        ("type `1.0104`, see 29 CFR 1910.147 and ASME B17.1", []),
        ("at 0.0085 in/ft that is 7.5 %", []),
    ],
)
def test_the_unit_rule_itself(text: str, bare: list[str]):
    plain = NO_UNIT_DUE.sub(" ", text)
    found = [one.group() for one in DECIMAL.finditer(plain) if not UNIT.match(plain[one.end() :])]
    assert found == bare


@each(ALL)
def test_links_lead_somewhere(path: Path):
    targets = [
        target
        for _, text in prose(read(path))
        for target in re.findall(r"\]\(([^)\s]+)\)|href=\"([^\"]+)\"", text)
    ]
    inside = [one or other for one, other in targets if "://" not in (one or other)]
    assert inside, "a page links back at least to the start"
    for target in inside:
        assert (path.parent / target.partition("#")[0]).resolve().is_file(), target


@each(ALL)
def test_pictures_have_words(path: Path):
    for where, text in prose(read(path)):
        for alt in re.findall(r"!\[([^\]]*)\]\(", text):
            assert len(alt.split()) >= 3, f"{where}: picture without words"
        for tag in re.findall(r"<(?:img|svg)\b[^>]*>", text):
            assert re.search(r"(?:alt|aria-label)=\"[^\"]{10,}\"", tag), f"{where}: {tag}"


@each(LEARNED)
def test_lesson_has_its_parts(path: Path):
    page = read(path)
    texts = [text for _, text in prose(page)]
    assert texts[0].startswith(f"# {path.stem[:2]} ")
    head = texts[0] if path.stem[:2] != "00" else "".join(texts[:3])  # the start page comes first
    assert "you can:" in head
    assert "**The job.**" in head
    assert "Quillmoor Quarry" in head
    assert any('<aside class="hazard ' in text and "ite rules" in text for text in texts)
    assert any(text.startswith("## Usual mistakes, and what they cost") for text in texts)
    assert sum(text.startswith("## To keep") for text in texts) == 1
    assert texts[-1].startswith("<details>\n<summary>For the instructor</summary>\n\n")
    assert texts[-1].endswith("</details>")


@each([path for path in LESSONS if path.stem in PAGES])
def test_lesson_practises_what_its_exercise_asks(path: Path):
    seen = calls(read(path))
    practiced = [one for name, arguments in seen if name == "practise" for one in arguments]
    assert len(practiced) >= 3
    assert len(set(practiced)) == len(practiced)
    own = {question.key for question in practice_of(PAGES[path.stem])}
    assert set(practiced) <= own
    worked = {one for name, arguments in seen if name == "worked" for one in arguments}
    assert worked <= own
    assert worked & set(practiced), "a worked line comes before its practice"
    links = "".join(text for _, text in prose(read(path)))
    assert f"(../exercises/{path.stem}/{path.stem}.ipynb)" in links


# Lessons in which an entry is not worked or not practiced yet. Take one off as soon as all are.
IN_PART: frozenset[str] = frozenset()


@each([path for path in LESSONS if path.stem in PAGES])
def test_each_graded_entry_is_worked_once_and_practiced_once(path: Path):
    own = [question.key for question in PAGES[path.stem].questions if not question.by_assessor]
    alone = {question.key for question in PAGES[path.stem].practised}
    seen = [(name, key) for name, arguments in calls(read(path)) for key in arguments]
    practiced = [key for name, key in seen if name == "practise"]
    assert {key for key in practiced if key in alone} == alone, "what only the lesson asks"
    done = [
        sorted(key for name, key in seen if name == one and key not in alone)
        for one in ("worked", "practise")
    ]
    if path.stem in IN_PART:
        assert done != [sorted(own)] * 2, f"{path.stem} has them all: take it off IN_PART"
        return
    assert done == [sorted(own)] * 2
    for key in own:
        assert seen.index(("worked", key)) < seen.index(("practise", key)), key


@each(LEARNED)
def test_the_words_of_the_trade_are_one_press_away(path: Path):
    assert "](07-words.ipynb)" in "".join(text for _, text in prose(read(path)))


@each([path for path in LESSONS if path.stem in PAGES])
def test_units_stand_on_the_page_as_they_stand_in_the_words(path: Path):
    page, units = read(path), PAGES[path.stem].units
    by_id = {unit.id: unit for unit in units}
    begun: list[str] = []
    finish: dict[str, set[str]] = {unit.id: set() for unit in units}
    for cell in page.cells:
        if cell.id in by_id:
            begun.append(cell.id)
            title = by_id[cell.id].title
            assert cell.source.splitlines()[0] == f"## {title}"
            # the front end cuts a lesson where an id is its heading's own name
            assert re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-") == cell.id
        elif cell.cell_type == "code" and "lesson.practise(" in cell.source:
            finish[begun[-1]].update(re.findall(r'"(\d\d-[\w-]+)"', cell.source))
    assert begun == [unit.id for unit in units]
    assert {unit.id: set(unit.asks) for unit in units} == finish
    told = next(cell.source for cell in page.cells if "**Time.**" in cell.source)
    time = re.search(r"\*\*Time\.\*\* (\d+) minutes", told)
    assert sum(unit.minutes for unit in units) == int(time[1])


def questions_of(path: Path) -> tuple[Question, ...]:
    return PAGES[path.stem].questions


@each([*MASTERS, *RELEASED])
def test_marks_are_those_of_the_questions(path: Path):
    cells = marked(read(path))
    wanted = [(question.key, question.marks) for question in questions_of(path)]
    found = [
        (cell.metadata["nbgrader"]["grade_id"], cell.metadata["nbgrader"]["points"])
        for cell in cells
    ]
    assert found == wanted
    for cell, question in zip(cells, questions_of(path), strict=True):
        grading = cell.metadata["nbgrader"]
        assert grading["schema_version"] == 3
        assert grading["locked"] is True, "the marker puts the course's own text back"
        assert grading["solution"] is False
        assert grading["task"] is question.by_assessor
        assert grading["grade"] is not question.by_assessor
        assert cell.cell_type == ("markdown" if question.by_assessor else "code")
        if question.by_assessor:
            assert question.ask in cell.source


@each([*MASTERS, *RELEASED])
def test_every_typed_answer_has_its_form(path: Path):
    asked = [arguments[0] for name, arguments in calls(read(path)) if name == "ask"]
    assert asked == [
        question.key
        for question in questions_of(path)
        if not question.by_assessor or isinstance(question.kind, Written)
    ]
    names = [name for name, _ in calls(read(path))]
    assert names[:2] == ["open", "card"]
    assert names[-1] == "hand_in"


@each(MASTERS)
def test_master_says_how_to_mark(path: Path):
    by_key = {question.key: question for question in questions_of(path)}
    for cell in marked(read(path)):
        if cell.metadata["nbgrader"]["task"]:
            begin, end = "=== BEGIN MARK SCHEME ===", "=== END MARK SCHEME ==="
            assert cell.source.count(begin) == cell.source.count(end) == 1
            guide = cell.source.partition(begin)[2].partition(end)[0]
            key = cell.metadata["nbgrader"]["grade_id"]
            given = sum(int(mark) for mark in re.findall(r"^- (\d) marks?: ", guide, re.MULTILINE))
            assert given == by_key[key].marks, f"{key}: the guide gives {given} marks"


@each(MASTERS)
def test_master_holds_the_worked_solution_once(path: Path):
    source = "\n".join(cell.source for cell in lines_that_run(read(path)))
    assert source.count("### BEGIN SOLUTION") == source.count("### END SOLUTION") == 1
    assert f'lesson.solution("{path.stem}")' in source


@each(RELEASED)
def test_released_exercise_gives_nothing_away(path: Path):
    text = path.read_text(encoding="utf-8")
    for secret in ("BEGIN SOLUTION", "lesson.solution", "MARK SCHEME", "HIDDEN TESTS", "1 mark:"):
        assert secret not in text, secret
    for stub in ("NotImplementedError", "YOUR CODE HERE", "YOUR ANSWER HERE"):
        assert stub not in text, stub


@each(RELEASED)
def test_released_exercise_is_its_master_without_the_answers(path: Path):
    master = read(ROOT / "solutions" / path.stem / path.name)

    def visible(page: Any) -> list[tuple[str, str]]:
        return [
            (
                cell.id,
                re.sub(r"=== BEGIN.*?END MARK SCHEME ===", "", cell.source, flags=re.S).strip(),
            )
            for cell in page.cells
            if not cell.metadata.get("nbgrader", {}).get("solution")
        ]

    assert visible(read(path)) == visible(master)


@each([*MASTERS, *RELEASED])
def test_exercise_runs_through(path: Path, tmp_path: Path):
    """Lessons are run by nbval; the exercises are run here, in a copy of the course."""
    folder = tmp_path / path.parent.parent.name / path.stem
    folder.mkdir(parents=True)
    shutil.copy(path, folder)
    page = read(folder / path.name)
    NotebookClient(
        page, timeout=120, kernel_name="python3", resources={"metadata": {"path": str(folder)}}
    ).execute()
    for cell in lines_that_run(page):
        for output in cell.outputs:
            assert output.output_type != "error", cell.id
            assert output.get("name") != "stderr", f"{cell.id}: {output.get('text')}"


@pytest.mark.parametrize(
    ("path", "after"),
    list(itertools.pairwise(LEARNED)),
    ids=lambda one: one.stem,
)
def test_a_lesson_has_the_way_on_to_the_next(path: Path, after: Path):
    last = [text for _, text in prose(read(path))]
    assert any(re.search(rf"\*\*Next: \[[^]]+\]\({re.escape(after.name)}\)", one) for one in last)


@pytest.mark.parametrize("name", [name for name in shipped_pages() if name.endswith(".ipynb")])
def test_no_page_needs_the_setter_of_formulas(name: str) -> None:
    # `room/lab/quiet.json` leaves it out: it is a sixth of all that a page loads
    cells = json.loads(shipped_pages()[name].read_text("utf-8"))["cells"]
    words = "\n".join("".join(one["source"]) for one in cells if one["cell_type"] == "markdown")
    assert re.findall(r"\$[^$\n]+\$|\$\$|\\\(|\\\[|\\begin\{", words) == []
