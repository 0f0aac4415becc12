"""Two instructors at one class at once: one waits or is told, and neither undoes the other.

What one has opened may be old by the time it is that run's turn; so each looks again once it holds
the folder.
"""

from __future__ import annotations

import os
import shutil

import pytest

from coursework.room import people, registrar
from coursework.room.assessing import mark_and_report, verify_class
from coursework.room.classfolder import ROSTER, ClassError, open_class
from coursework.room.people import people_register
from coursework.room.roster import read_roster, write_roster

from .children import start_child, wait_for
from .test_assessing import NOW, hand_in, room  # noqa: F401
from .test_kill_commands import COMMANDS, MANY, act, classes, finish, run  # noqa: F401

SAID = {"reason": "On two lists", "by": "Pat Holt"}


def test_neither_undoes_what_the_other_changed_meanwhile(room):  # noqa: F811
    first, second = open_class(room.folder), open_class(room.folder)
    registrar.renumber(first, number=7, to=21, **SAID)
    registrar.renumber(second, number=1, to=22, **SAID)
    assert {one.number for one in read_roster(room.folder / ROSTER)} >= {21, 22}
    with pytest.raises(ClassError, match=r"^Zoë Ferrant has number 21 already\. Nothing was"):
        registrar.renumber(second, number=7, to=21, **SAID)
    assert len(people_register(room.folder).lines()) == 2


def test_marking_that_waited_knows_the_new_number(room):  # noqa: F811
    waiting = open_class(room.folder)
    registrar.renumber(open_class(room.folder), number=7, to=21, **SAID)
    hand_in(room.inbox, 21, made="2026-11-25T12:00:00Z", page="02-taper")
    done = mark_and_report(waiting, now=NOW)
    assert done.intake.set_aside == []
    assert [one.number for one in done.intake.admitted] == [21]


def test_a_renumbering_cut_off_before_the_list_is_completed(room):  # noqa: F811
    people.note_change(room.folder, number=7, change=people.RENUMBERED, to="21", **SAID)
    there = open_class(room.folder)
    assert there.names[21] == there.names[7] == "Zoë Ferrant"
    assert 7 not in {one.number for one in there.roster}
    mark_and_report(there, now=NOW)
    assert read_roster(room.folder / ROSTER) == there.roster
    assert verify_class(there).differences == []


def test_a_list_that_cannot_be_written_stands(room, monkeypatch):  # noqa: F811
    before = read_roster(room.folder / ROSTER)

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(OSError, match="No space left"):
            write_roster(room.folder / ROSTER, roster=before[:1])
    assert read_roster(room.folder / ROSTER) == before


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks")
@pytest.mark.timeout(300)
def test_all_at_once_come_to_the_same_as_one_after_the_other(classes, tmp_path):  # noqa: F811
    acts = ("mark", "extend", "release", "second") if MANY else ("mark", "extend")
    plain, together = tmp_path / "plain", tmp_path / "together"
    for place in (plain, together):
        shutil.copytree(classes, place)
    for one in acts:
        assert run(COMMANDS[one], plain)[0] == 0
    told = {one: together.with_name(f"{one}.txt") for one in acts}
    waiting = {
        one: start_child(lambda one=one: act(COMMANDS[one], together, told[one])) for one in acts
    }
    codes = {one: wait_for(child) for one, child in waiting.items()}
    for one, code in codes.items():
        said = told[one].read_text("utf-8")
        assert code in (0, 2), said
        if code == 2:
            assert "and another run is at work in it (" in said
            assert said.endswith("Wait for it, then start this one again.\n"), said
            code, _, said = run(COMMANDS[one], together)
            assert code == 0 or " already" in said, said
    for place in (plain, together):
        for one in ("release", "mark"):
            assert run(COMMANDS[one], place)[0] == 0
    wanted, found = (finish("mark", place, 0) for place in (plain, together))
    for name in sorted({*wanted, *found}):
        assert found.get(name) == wanted.get(name), name
