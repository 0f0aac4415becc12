"""A page that has used up its memory says so at its head, whatever ran it out."""

from __future__ import annotations

import re
import subprocess
import sys

import ipywidgets
import pytest
from IPython.core.interactiveshell import InteractiveShell

from coursework.page.memory import RAN_OUT, say_when_memory_runs_out
from keycourse import lesson


@pytest.fixture
def shell():
    InteractiveShell.clear_instance()
    made = InteractiveShell.instance()
    yield made
    InteractiveShell.clear_instance()


def hoard(_: object = None) -> None:
    raise MemoryError


@pytest.mark.parametrize("way", ["a cell", "a press"])
def test_it_is_said_at_the_head_of_the_page(shell, tmp_path, capsys, way) -> None:
    head = lesson.open("01-measure", tmp_path)
    assert RAN_OUT not in head.value
    if way == "a cell":
        shell.run_cell("raise MemoryError")
    else:
        button = ipywidgets.Button()
        button.on_click(hoard)
        content = {"data": {"method": "custom", "content": {"event": "click"}}}
        button._handle_msg({"content": content, "buffers": []})
    assert RAN_OUT in re.sub(r"<[^>]+>", "", head.value)
    assert "Traceback" not in "".join(capsys.readouterr())


def test_another_error_is_shown_as_ever(shell, capsys) -> None:
    said: list[str] = []
    for _ in range(3):  # a page that runs again does not pile one on another
        say_when_memory_runs_out(said.append, shell=shell)
    shell.run_cell("1 / 0")
    assert "ZeroDivisionError" in "".join(capsys.readouterr())
    shell.run_cell("raise MemoryError")
    assert said == [RAN_OUT]


def test_without_a_page_nothing_is_done() -> None:
    InteractiveShell.clear_instance()
    say_when_memory_runs_out(lambda words: None)


@pytest.mark.skipif(sys.platform == "win32", reason="the limit is set on Linux only")
def test_a_file_over_the_limit_is_a_sentence_and_the_old_one_stands(tmp_path) -> None:
    program = """
import resource
from pathlib import Path
from coursework.page.entries import EntriesFile
store = EntriesFile(Path("answers.json"))
assert not store.put("01-why-bottom", "kept").sentence
resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
print(store.put("01-why-bottom", "x" * 5000).sentence)
print(EntriesFile(Path("answers.json")).texts()["01-why-bottom"])
"""
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    told, kept = done.stdout.splitlines()
    assert told == (
        "Not saved: answers.json in . could not be written (File too large). What you typed still "
        "stands here; copy it, make room or ask for a folder you may write to, and type it once "
        "more."
    )
    assert (kept, done.stderr) == ("kept", "")
