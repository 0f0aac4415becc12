"""The class folder: set up, opened, and every damage said in a sentence."""

from __future__ import annotations

import json
import os
import stat

import pytest
from markupsafe import escape

from coursework.course import PAGES, card_facts, course, issue_card
from coursework.room import roster
from coursework.room.cards import write_cards
from coursework.room.classfolder import ClassError, new_class, open_class
from coursework.room.roster import Apprentice
from taperkey.files import write_whole

PEOPLE = (Apprentice(1, "Ada <b>Brindle</b>"), Apprentice(7, "Zoë Ferrant"))
BEGIN = "Begin one: taperkey class new FOLDER --roster FILE."


@pytest.fixture
def folder(tmp_path, monkeypatch):
    # As if the border had let it through: pages still write it out.
    monkeypatch.setattr(roster, "require_name", lambda what, text, step: None)
    new_class(tmp_path / "class", code="QQ-26", title='Keys "A" \\ autumn', roster=PEOPLE)
    return tmp_path / "class"


def test_set_up_and_opened_again(folder):
    opened = open_class(folder)
    assert (opened.code, opened.title, opened.roster) == ("QQ-26", 'Keys "A" \\ autumn', PEOPLE)
    assert opened.names == {1: "Ada <b>Brindle</b>", 7: "Zoë Ferrant"}
    for room in ("cards", "inbox", "set-aside", "hand-ins", "records", "feedback", "report"):
        assert (folder / room).is_dir()
    assert "do not change it once cards are given out" in (folder / "class.toml").read_text()


def test_a_folder_with_something_in_it_is_not_touched(folder):
    before = sorted(folder.rglob("*"))
    with pytest.raises(ClassError) as refusal:
        new_class(folder, code="QQ-27", title="Other", roster=PEOPLE)
    assert str(refusal.value) == (
        f"class folder is {folder}; it must be new or empty, so that nothing in it is "
        "overwritten. Name another folder."
    )
    assert sorted(folder.rglob("*")) == before
    assert open_class(folder).code == "QQ-26"


@pytest.mark.parametrize(
    ("code", "title", "sentence"),
    [
        (
            "../up",
            "Title",
            "class code is “../up”; it must be 1 to 24 letters, digits and hyphens, such as "
            "QQ-26. Ask the instructor for the code of your class.",
        ),
        (
            "QQ-26",
            " ",
            "class title has 1 characters; it must be one line of 1 to 120. Write a title such "
            "as “Taper keys, autumn”.",
        ),
        (
            "QQ-26",
            "two\nlines",
            "class title has 9 characters; it must be one line of 1 to 120. Write a title such "
            "as “Taper keys, autumn”.",
        ),
        (
            "QQ-26",
            "x" * 121,
            "class title has 121 characters; it must be one line of 1 to 120. Write a title such "
            "as “Taper keys, autumn”.",
        ),
    ],
)
def test_bad_code_or_title(tmp_path, code, title, sentence):
    with pytest.raises(ClassError) as refusal:
        new_class(tmp_path / "class", code=code, title=title, roster=PEOPLE)
    assert str(refusal.value) == sentence
    assert not (tmp_path / "class").exists()


@pytest.mark.skipif(os.name == "nt", reason="the system says it in other words there")
def test_a_class_without_apprentices_or_without_a_place(tmp_path):
    file = tmp_path / "file"
    file.write_text("mine")
    for place, people, sentence in (
        (tmp_path / "class", (), "roster has no apprentices; it must have at least one."),
        (file, PEOPLE, f"class folder is {file}; it must be a folder, not a file."),
        (
            file / "class",
            PEOPLE,
            f"class folder is {file / 'class'}; it must be one you may write in, on a disk with "
            "room left (Not a directory). Name another folder.",
        ),
    ):
        with pytest.raises(ClassError) as refusal:
            new_class(place, code="QQ-26", title="Title", roster=people)
        assert str(refusal.value) == sentence
    assert file.read_text() == "mine"
    assert not (tmp_path / "class").exists()


def test_settings_that_cannot_be_opened(folder):
    path = folder / "class.toml"
    path.unlink()
    path.mkdir()
    with pytest.raises(ClassError) as refusal:
        open_class(folder)
    assert str(refusal.value) == f"{path} cannot be opened; it must be a file you may read."


def test_missing_folder(tmp_path):
    with pytest.raises(ClassError) as refusal:
        open_class(tmp_path / "no")
    assert str(refusal.value) == (
        f"class folder is {tmp_path / 'no'}; it must be a folder that is there. {BEGIN}"
    )


def test_a_folder_that_is_no_class(tmp_path):
    with pytest.raises(ClassError) as refusal:
        open_class(tmp_path)
    assert str(refusal.value) == f"{tmp_path} has no class.toml; it must be a class folder. {BEGIN}"


@pytest.mark.parametrize(
    ("text", "tail"),
    [
        (
            'title = "A"\n',
            'class.toml has no code; it must have a line code = "…". '
            "Copy it from a job card or from the name of a hand-in.",
        ),
        (
            "code = 7\n",
            'class.toml has no code; it must have a line code = "…". '
            "Copy it from a job card or from the name of a hand-in.",
        ),
        (
            'code = "QQ-26"\ntitle = 3\n',
            'class.toml has no usable title; it must have a line title = "…".',
        ),
        (
            'code = "a b"\n',
            "class.toml: class code is “a b”; it must be 1 to 24 letters, digits and hyphens, "
            "such as QQ-26. Ask the instructor for the code of your class.",
        ),
    ],
)
def test_damaged_settings(folder, text, tail):
    (folder / "class.toml").write_text(text)
    with pytest.raises(ClassError) as refusal:
        open_class(folder)
    assert str(refusal.value) == f"{folder}{os.sep}{tail}"


def test_settings_that_are_no_toml(folder):
    (folder / "class.toml").write_text('code = "QQ-26\n')
    with pytest.raises(ClassError) as refusal:
        open_class(folder)
    told = str(refusal.value)
    assert told.startswith(f"{folder / 'class.toml'} cannot be read (")
    assert told.endswith(
        "); it must have the lines code = … and title = … . "
        "Put the missing quotation mark or line back."
    )


def test_missing_roster(folder):
    (folder / "roster.csv").unlink()
    with pytest.raises(ClassError) as refusal:
        open_class(folder)
    assert str(refusal.value) == (
        f"{folder}: roster is {folder / 'roster.csv'}; it must be a file that is there. "
        "Name a file with two columns, number and name."
    )


def test_title_saved_by_an_editor_with_a_mark_in_front(folder):
    text = f'code = "QQ-26"\ntitle = "Zoë"\nedition = {course().edition}\n'
    (folder / "class.toml").write_bytes(text.encode("utf-8-sig"))
    assert open_class(folder).title == "Zoë"


def test_two_runs_do_not_work_at_once(folder):
    opened = open_class(folder)
    with opened.alone("marking"):
        holder = json.loads((folder / ".class.holder.json").read_text("utf-8"))
        with pytest.raises(ClassError) as refusal, open_class(folder).alone():
            pass
        assert str(refusal.value) == (
            f"class folder is {folder}, and another run is at work in it (marking, by "
            f"{holder['who']} on {holder['machine']} since {holder['since'][11:16]}); it must end "
            "first. Wait for it, then start this one again."
        )
    with open_class(folder).alone():
        assert opened.released() == ()


def test_release_is_remembered_once_each(folder):
    opened = open_class(folder)
    opened.release(["02-taper"])
    opened.release(["02-taper", "01-measure"])
    assert open_class(folder).released() == ("01-measure", "02-taper")


def test_a_file_that_cannot_be_finished_leaves_the_old_one(tmp_path, monkeypatch):
    path = tmp_path / "page.html"
    write_whole(path, b"old")
    monkeypatch.setattr(os, "replace", lambda *names: (_ for _ in ()).throw(OSError(28, "full")))
    with pytest.raises(OSError, match="full"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert [one.name for one in tmp_path.iterdir()] == ["page.html"]
    assert stat.S_IMODE(path.stat().st_mode) == 0o644


def test_job_cards_one_a_page_with_each_apprentices_own_numbers(folder):
    path = write_cards(open_class(folder))
    text = path.read_text("utf-8").replace("\N{NO-BREAK SPACE}", " ")
    assert text.count("<article") == len(PEOPLE) * len(PAGES)
    assert "break-after:page" in text
    assert "Ada &lt;b&gt;Brindle&lt;/b&gt;" in text
    assert "Ada <b>" not in text
    for page in PAGES:
        facts = [
            card_facts(issue_card(exercise=page, class_code="QQ-26", number=one.number))
            for one in PEOPLE
        ]
        assert facts[0] != facts[1]
        for fact in (fact for card in facts for fact in card):
            assert f"<td>{escape(fact.value)}</td>" in text
