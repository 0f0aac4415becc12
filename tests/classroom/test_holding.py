"""Holding a class folder: the second hears who is at work; a dead holder hinders nobody."""

from __future__ import annotations

import os
import time

import pytest

from coursework.room.holding import HOLDER, held

from .children import kill_after, start_child


def test_the_second_hears_who_and_since_when(tmp_path):
    with held(tmp_path, doing="marking") as first:
        assert first == ""
        with held(tmp_path, doing="moderating", patience_s=0.1) as second:
            assert second.startswith(" (marking, by ")
            assert second.count(" since ") == 1
        assert (tmp_path / HOLDER).is_file()  # the second did not take the note away
    assert not (tmp_path / HOLDER).exists()
    with held(tmp_path, doing="moderating", patience_s=0.1) as third:
        assert third == ""


@pytest.mark.parametrize("note", ["", "{", "[]", '{"since": "yesterday"}', "null"])
def test_a_damaged_note_still_gives_a_sentence(tmp_path, note):
    with held(tmp_path, doing="marking"):
        (tmp_path / HOLDER).write_text(note)
        with held(tmp_path, doing="x", patience_s=0.05) as other:
            assert other == " (it does not say whose)"


def test_what_happens_inside_is_passed_on_and_the_folder_let_go(tmp_path):
    with pytest.raises(ZeroDivisionError), held(tmp_path, doing="marking"):
        raise ZeroDivisionError
    with held(tmp_path, doing="marking", patience_s=0.05) as other:
        assert other == ""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks")
def test_a_killed_holder_hinders_nobody(tmp_path):
    def hold():
        with held(tmp_path, doing="marking"):
            time.sleep(60)

    child = start_child(hold)
    while not (tmp_path / HOLDER).is_file():
        time.sleep(0.01)
    assert kill_after(child, 0.05)
    assert (tmp_path / HOLDER).is_file()
    with held(tmp_path, doing="moderating", patience_s=1.0) as other:
        assert other == ""
