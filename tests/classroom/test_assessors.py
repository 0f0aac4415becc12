"""Nobody moderates in another's name."""

from __future__ import annotations

import pytest

from coursework.room.assessors import name_of_assessor
from coursework.room.classfolder import ClassError


def test_it_is_asked_once_and_another_is_never_taken_silently(tmp_path):
    with pytest.raises(ClassError, match="Nobody is named as the assessor"):
        name_of_assessor(tmp_path, None)
    assert name_of_assessor(tmp_path, "Seán  O'Brien") == "Seán O'Brien"
    assert name_of_assessor(tmp_path, None) == "Seán O'Brien"
    with pytest.raises(ClassError) as refusal:
        name_of_assessor(tmp_path, "W. Ashby")
    path = tmp_path / "assessors.txt"
    assert str(refusal.value) == (
        f"--by is “W. Ashby”, and {path} names Seán O'Brien; nobody moderates in another's name. "
        "Write the new assessor there on a line of their own, or leave --by out."
    )
    path.write_text("Seán O'Brien\nW. Ashby\n", "utf-8")
    assert name_of_assessor(tmp_path, "W. Ashby") == "W. Ashby"
    with pytest.raises(ClassError, match="names 2 assessors"):
        name_of_assessor(tmp_path, None)


def test_what_is_no_name_is_refused_and_not_kept(tmp_path):
    with pytest.raises(ClassError, match="holds “<”"):
        name_of_assessor(tmp_path, "<script>")
    assert not (tmp_path / "assessors.txt").exists()
