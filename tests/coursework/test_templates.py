"""Page templates: made ready once, kept beside the program, and never kept for too long."""

from __future__ import annotations

import sys

import pytest
from jinja2 import UndefinedError

from coursework.ink.templates import templates_in


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Give a folder with one template, where what Python makes of modules is kept."""
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", None)
    (tmp_path / "page.j2").write_text("<p>{{ words }}</p>")
    return tmp_path


def _shown(folder, **given):
    return templates_in(folder).get_template("page.j2").render(**given)


def _kept(folder):
    return sorted((folder / "__pycache__").glob("*.page"))


def test_what_is_put_in_is_escaped_and_a_missing_word_is_refused(folder):
    assert _shown(folder, words="a < b") == "<p>a &lt; b</p>"
    with pytest.raises(UndefinedError, match="words"):
        _shown(folder)


def test_a_template_is_made_ready_once_and_again_when_it_changes(folder, monkeypatch):
    _shown(folder, words="a")
    kept = _kept(folder)
    assert len(kept) == 1
    with monkeypatch.context() as none:
        none.setattr("jinja2.environment.Environment._parse", None)  # nothing is read again
        assert _shown(folder, words="b") == "<p>b</p>"
    (folder / "page.j2").write_text("<b>{{ words }}</b>")
    assert _shown(folder, words="b") == "<b>b</b>"


def test_damaged_or_cut_off_it_is_made_again(folder):
    _shown(folder, words="a")
    (kept,) = _kept(folder)
    whole = kept.read_bytes()
    for bad in (b"", whole[:40], whole[: len(whole) // 2], b"\0" * len(whole)):
        kept.write_bytes(bad)
        assert _shown(folder, words="b") == "<p>b</p>"


def test_where_nothing_may_be_kept_the_page_comes_all_the_same(folder, monkeypatch):
    (folder / "__pycache__").write_text("a file where the folder would be")
    assert _shown(folder, words="b") == "<p>b</p>"
    (folder / "__pycache__").unlink()
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    assert _shown(folder, words="b") == "<p>b</p>"
    assert not (folder / "__pycache__").exists()
