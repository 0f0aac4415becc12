"""How far somebody is in the units, what is finished by what, and where they go on."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from coursework.course import PAGES
from coursework.page.entries import EntriesFile
from coursework.page.frontpage import front_html
from coursework.page.howfar import lesson_rows
from coursework.page.units import DONE, HALF, OPEN, mark_read, next_place, states_of
from coursework.unit import units_of
from coursework.wordsfile import WordsError, WordsFile
from keycourse.firstlook import draw_first_look
from keycourse.lessonpictures import LESSON_PICTURES

TODAY = date(2026, 11, 28)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    for name in ("lessons", "exercises", "hand-ins"):
        (tmp_path / name).mkdir()
    return tmp_path


def store(root: Path) -> EntriesFile:
    return EntriesFile(root / "lessons" / "answers.json")


def right(kept: EntriesFile, *keys: str, last: str = "2026-11-28") -> None:
    for key in keys:
        note = {"box": 2, "tried": 1, "right": 1, "last": last, "slip": ""}
        assert kept.set(f"practice:{key}", note) == ""


def states(root: Path, page: str) -> dict[str, str]:
    return states_of(page, store(root).notes(), root / "lessons")


def test_a_unit_with_questions_is_finished_when_each_was_right_once(root):
    assert set(states(root, "02-taper").values()) == {OPEN}
    kept = store(root)
    right(kept, "02-large-end")
    assert states(root, "02-taper")["which-end-is-large"] == HALF
    right(kept, "02-what-first")
    assert states(root, "02-taper")["which-end-is-large"] == DONE


def test_reading_finishes_only_a_unit_that_asks_nothing(root):
    kept = store(root)
    for unit in ("to-keep", "standard-or-not", "no such unit"):
        assert mark_read(kept, "02-taper", unit) == ""
    assert kept.get("read:02-taper") == ["to-keep", "standard-or-not"]
    now = states(root, "02-taper")
    assert now["to-keep"] == DONE
    assert now["standard-or-not"] == HALF


def test_five_readings_in_a_row_and_a_driven_key_finish_their_units(root):
    kept = store(root)
    kept.set("micrometer inch", {"best": 4})
    assert states(root, "00-start")["read-an-inch-micrometer"] == HALF
    kept.set("micrometer inch", {"best": 5})
    assert states(root, "00-start")["read-an-inch-micrometer"] == DONE
    steps = [{"do": "blue"}, {"do": "push", "load_lbf": 50.0}]
    kept.set("bench:fitting", {"bench": "fitting", "seed": 1, "steps": steps})
    assert states(root, "04-fit")["the-fitting-bench"] == OPEN
    steps = [*steps, {"do": "drive", "blows": 3, "energy_in_lbf": 1000.0}]
    kept.set("bench:fitting", {"bench": "fitting", "seed": 1, "steps": steps})
    assert states(root, "04-fit")["the-fitting-bench"] == DONE


def test_one_goes_on_in_the_lesson_begun_last(root):
    place = next_place(root)
    assert (place.page, place.turn, place.begun) == ("00-start", 1, False)
    right(store(root), *PAGES["02-taper"].units[0].asks)
    place = next_place(root)
    assert (place.page, place.unit.id) == ("02-taper", "how-well-do-you-know-it")


def test_what_was_right_fades_by_the_spacing_rule(root):
    right(store(root), "02-difference", last="2026-11-26")  # once right: due two days on
    right(store(root), "02-ratio", last="2026-11-28")
    row = {one.page: one for one in lesson_rows(root, today=TODAY)}["02-taper"]
    assert [(one.label, one.days) for one in row.faded] == [("Difference", 2)]
    assert row.missed == 0
    assert row.words.startswith("2 of ")
    assert "1 faded since" in row.words
    skill = row.skills[0]
    assert (skill.right, skill.asked) == (2, 4)
    assert skill.words == "2 of 4 right last time, 1 faded, the longest right 2 days ago"


def test_a_file_that_cannot_be_read_is_no_progress(root):
    (root / "lessons" / "answers.json").write_text("{" * 9)
    assert next_place(root).page == "00-start"
    (root / "lessons" / "answers.json").write_text(json.dumps({"notes": {"read:02-taper": 3}}))
    assert not any(one.begun for one in lesson_rows(root, today=TODAY))


def test_the_first_page_leads_on_and_to_every_lesson_and_exercise(root):
    right(store(root), *PAGES["02-taper"].units[0].asks)
    html = front_html(
        root,
        views=draw_first_look(),
        pictures=LESSON_PICTURES,
        besides="",
        settings="",
        today=TODAY,
    )
    assert "Go on: How well do you know it?" in html
    assert "02 Find the taper, unit 2 of 7 · 20 minutes" in html
    for name in PAGES:
        assert f'data-tk-page="lessons/{name}.ipynb"' in html
        assert f'data-tk-page="exercises/{name}/{name}.ipynb"' in html


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('[units.a]\ntitle = "A"\n', "line 1: “minutes” of the unit a is missing. Write it."),
        (
            '[units.a]\ntitle = "A"\nminutes = 45\n',
            "line 3: the unit a takes 45 minutes; it must be 1 to 20.",
        ),
        (
            '[units.a]\ntitle = "A"\nminutes = 5\nfinish = ["bench: drive"]\n',
            "line 4: “bench: drive” is no act; expected is such as “bench:fitting: drive 1”.",
        ),
    ],
)
def test_a_wrong_unit_is_told_with_file_and_line(tmp_path, text, told):
    path = tmp_path / "words.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(WordsError) as refused:
        units_of(WordsFile(path))
    assert str(refused.value) == f"{path}, {told}"
