"""A lesson's signoff.toml: what cannot be used there is told with file, line, what is expected."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from coursework import course as engine
from coursework.mark import signoff
from coursework.mark.signoff import SignOffError, task_of, tasks
from coursework.words import WordsError

GOOD = """\
["01-sign-off"]
conditions = "A drive out of service."
tools = ["light and mirror"]
must_points = [2]
must = ["eye protection on."]
"""


@pytest.fixture
def lesson(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the one signoff.toml of a course that is else as ours."""
    made = replace(engine.course(), folder=tmp_path)
    monkeypatch.setattr(engine, "_in_use", [made])
    signoff._instruments.cache_clear()
    path = tmp_path / "measure" / "signoff.toml"
    path.parent.mkdir()
    path.write_text(GOOD)
    return path


def test_what_stands_there_is_on_the_sheet(lesson: Path) -> None:
    task = task_of("01-sign-off")
    assert (task.conditions, task.tools) == ("A drive out of service.", ("light and mirror",))
    assert [one.must for one in task.items] == [
        place == 2 or not one.earns for place, one in enumerate(task.items, 1)
    ]
    assert [one.text for one in task.items if not one.earns] == ["eye protection on."]
    assert not task_of("02-sign-off").tools, (
        "a task that it does not name has no more than its guide"
    )
    with pytest.raises(SignOffError, match="must be one of"):
        task_of("09-sign-off")


@pytest.mark.parametrize(
    ("old", "new", "line", "told"),
    [
        ('["01-sign-off"]', '["09-sign-off"]', 1, "[09-sign-off] is no practical task; the course"),
        ('["01-sign-off"]', '["01-mouth-height"]', 1, "[01-mouth-height] is no practical task"),
        ("[2]", '["2"]', 4, "“must_points” in [01-sign-off] must be a list of numbers."),
        ("[2]", "2", 4, "“must_points” in [01-sign-off] must be a list of numbers."),
        ("[2]", "[true]", 4, "“must_points” in [01-sign-off] must be a list of numbers."),
        ("[2]", "[0]", 4, "“must_points” in [01-sign-off] names 0; the guide of 01-sign-off in"),
        ("[2]", "[2, 99]", 4, "“must_points” in [01-sign-off] names 99; the guide of 01-sign-off"),
        ("must =", 'counts_for = ["sew"]\nmust =', 5, "“counts_for” in [01-sign-off] names “sew”;"),
        ('["01-sign-off"]', 'title = "x"\n["01-sign-off"]', 1, "“title” must be a table with the"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_its_line(
    lesson: Path, old: str, new: str, line: int, told: str
) -> None:
    assert old in GOOD
    lesson.write_text(GOOD.replace(old, new, 1))
    with pytest.raises(WordsError) as refused:
        tasks()
    assert f"{lesson}, line {line}" in str(refused.value)
    assert told in str(refused.value)
