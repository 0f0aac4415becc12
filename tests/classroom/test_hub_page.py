"""A page server on a hub: what it makes ready, and what it becomes."""

import json
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from nbformat import reader
from nbformat.sign import NotebookNotary

from coursework.room.classfolder import new_class
from coursework.room.launch import lab_environment
from coursework.room.roster import Apprentice

if sys.platform == "win32":
    pytest.skip("a hub runs on Linux only", allow_module_level=True)

from coursework.page.pagefolder import read_name_tag
from coursework.room import coursebook, hub_lean, hub_page

PAGE = "exercises/01-measure/01-measure.ipynb"
TOLD = {"TAPERKEY_CLASS": "QQ-26", "TAPERKEY_NUMBER": "7", "TAPERKEY_NAME": "Zoë Ferrant"}


def a_page(source: str) -> dict[str, Any]:
    cell = {"cell_type": "code", "id": "one", "metadata": {}, "source": source}
    return {
        "cells": [{**cell, "outputs": [], "execution_count": None}],
        "metadata": {"taperkey": {"version": "1"}},
        "nbformat": 4,
        "nbformat_minor": 5,
    }


@pytest.fixture
def shipped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, Path]:
    """Give a course of two pages."""
    pages = {}
    for name in ("lessons/00-start.ipynb", PAGE):
        path = tmp_path / "shipped" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(a_page(f"show('{path.stem}')")), "utf-8")
        pages[name] = path
    monkeypatch.setattr(coursebook, "shipped_pages", lambda: pages)
    return pages


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "home" / "taper-key-course"


def signed(page: Path, data: Path) -> bool:
    notary = NotebookNotary(data_dir=str(data))
    try:
        return bool(notary.check_signature(reader.reads(page.read_text("utf-8"))))
    finally:
        notary.store.close()


def kept(folder: Path) -> dict[str, Any]:
    return json.loads((folder / "name-tag.json").read_text("utf-8"))


# what it makes ready


def test_the_course_the_name_tag_and_the_signatures(shipped, folder: Path, tmp_path: Path) -> None:
    data = tmp_path / "data"
    data.mkdir()
    hub_page.prepare_apprentice(folder, TOLD, data=data)

    assert folder.stat().st_mode & 0o777 == 0o700
    assert kept(folder) == {"class": "QQ-26", "number": 7, "name": "Zoë Ferrant"}
    for name in shipped:
        assert signed(folder / name, data)
    foreign = a_page("import os")
    (folder / PAGE).write_text(json.dumps(foreign), "utf-8")
    hub_page.prepare_apprentice(folder, TOLD, data=data)
    assert not signed(folder / PAGE, data)  # code that did not come with the course runs by hand


def test_the_class_list_decides_the_name_tag_and_nothing_else(
    shipped, folder: Path, tmp_path: Path
) -> None:
    data = tmp_path / "data"
    data.mkdir()
    folder.mkdir(parents=True)
    tag = {"class": "QQ-26", "number": 8, "name": "Zoë", "units": "metric"}
    (folder / "name-tag.json").write_text(json.dumps(tag))
    answers = folder / "exercises" / "01-measure" / "answers.json"
    answers.parent.mkdir(parents=True)
    answers.write_text('{"entries": {}}')

    hub_page.prepare_apprentice(folder, TOLD, data=data)

    assert kept(folder) == {
        "class": "QQ-26", "number": 7, "name": "Zoë Ferrant", "units": "metric",
    }  # fmt: skip
    assert answers.read_text() == '{"entries": {}}'


def test_feedback_that_has_come_is_brought_in(
    shipped, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data, place = tmp_path / "data", tmp_path / "returned"
    data.mkdir()
    place.mkdir()
    (place / "01-measure.html").write_text("well measured")
    monkeypatch.setenv("TAPERKEY_RETURNED", str(place))
    hub_page.prepare_apprentice(folder, TOLD, data=data)
    assert (folder / "feedback" / "01-measure.html").read_text() == "well measured"


def test_log_out_stands_last_beside_the_other_buttons(tmp_path: Path) -> None:
    lab_environment(state=tmp_path, token="", quiet=True)
    path = tmp_path / "config" / "labconfig" / "default_setting_overrides.json"
    panel = "@jupyterlab/notebook-extension:panel"
    before = json.loads(path.read_text("utf-8"))
    hub_page.offer_log_out(tmp_path / "config")
    after = json.loads(path.read_text("utf-8"))
    added = after[panel]["toolbar"].pop()
    assert (added["label"], added["command"]) == ("Log out", "hub:logout")
    assert after == before


def test_staffs_screen_is_for_marking(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(hub_page, "_server_extensions", lambda: {"another_server", "jupyterlab"})
    hub_page.keep_to_marking(tmp_path / "config")
    text = (tmp_path / "config" / "jupyter_server_config.py").read_text("utf-8")
    assert eval(text.split("=", 1)[1]) == {
        "another_server": False,
        "jupyterlab": True,
        "jupyter_server_terminals": True,
        "nbgrader.server_extensions.formgrader": True,
        "coursework.room.signserver": True,
    }
    page = json.loads((tmp_path / "config" / "labconfig" / "page_config.json").read_text("utf-8"))
    assert page["disabledExtensions"]["@jupyter/nbgrader:create-assignment"]
    assert "@jupyter/nbgrader:formgrader" not in page["disabledExtensions"]


# what it becomes


class Become(Exception):  # noqa: N818
    """Instead of another program: what it would have been started with."""


@pytest.fixture
def start(
    tmp_path: Path, shipped, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[dict[str, str]]:
    """Give the environment that the hub starts a page server with."""
    state = tmp_path / "state"
    state.mkdir()
    (state / "data").mkdir()
    (state / "data" / "old").write_text("of an earlier run")
    told = {
        **TOLD,
        "TAPERKEY_ACCOUNT": "qq26-007",
        "TAPERKEY_ROLE": "apprentice",
        "TAPERKEY_STATE": str(state),
        "JUPYTERHUB_API_TOKEN": "word-of-the-hub",
        "JUPYTER_PATH": "/home/somebody",
    }
    for name, value in told.items():
        monkeypatch.setenv(name, value)
    monkeypatch.delenv("OMP_NUM_THREADS", raising=False)
    monkeypatch.setattr(hub_page, "default_folder", lambda: folder)

    def become(program: str, command: list[str], env: dict[str, str]) -> None:
        raise Become(command, env)

    monkeypatch.setattr(os, "execve", become)
    before = Path.cwd()
    yield told
    os.chdir(before)


def started() -> tuple[list[str], dict[str, str]]:
    with pytest.raises(Become) as become:
        hub_page.main()
    command, env = become.value.args
    return command, env


def test_an_apprentices_server(start, folder: Path, tmp_path: Path) -> None:
    command, env = started()

    assert command[:3] == [sys.executable, "-m", "coursework.room.hub_lean"]
    assert f"--ServerApp.root_dir={folder}" in command
    assert "--ServerApp.terminals_enabled=False" in command
    assert "--KernelSpecManager.allowed_kernelspecs=python3" in command
    assert not [one for one in command if "port" in one or "default_url" in one]  # the hub's say
    assert env["JUPYTERHUB_API_TOKEN"] == "word-of-the-hub"
    assert "JUPYTER_TOKEN" not in env
    assert "JUPYTER_PATH" not in env
    assert env["OMP_NUM_THREADS"] == "1"
    assert not (tmp_path / "state" / "data" / "old").exists()
    assert Path.cwd() == folder
    tag = read_name_tag(folder)
    assert tag is not None
    assert tag.number == 7
    config = tmp_path / "state" / "config" / "jupyter_server_config.py"
    assert "contents_manager_class = PageFiles" in config.read_text("utf-8")


def test_staffs_server_is_in_the_class_folder(
    start, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    room = new_class(
        tmp_path / "class", code="QQ-26", title="Keys", roster=[Apprentice(7, "Zoë Ferrant")]
    )
    monkeypatch.setenv("TAPERKEY_ROLE", "staff")
    monkeypatch.setenv("TAPERKEY_CLASS_FOLDER", str(room.folder))
    command, _ = started()
    assert command[:3] == [sys.executable, "-m", "jupyterhub.singleuser"]
    assert f"--ServerApp.root_dir={room.folder}" in command
    assert "--ServerApp.terminals_enabled=True" in command
    assert "QQ-26" in (room.folder / "nbgrader_config.py").read_text("utf-8")


def test_a_folder_that_cannot_be_used_is_said_in_the_log_and_the_server_still_comes(
    start, folder: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    folder.parent.mkdir()
    folder.write_text("a file where the course should be")
    command, _ = started()
    said = capfd.readouterr().err
    assert said.startswith(f"qq26-007: course folder is {folder}; ")
    assert said.count("\n") == 1
    assert command[2] == "coursework.room.hub_lean"
    assert Path.cwd() == Path("/")


# without the hub's database


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Give a stand-in for JupyterHub's part in a page server, and the loaded modules back."""
    place = tmp_path / "library" / "jupyterhub"
    (place / "singleuser").mkdir(parents=True)
    (place / "__init__.py").write_text("")
    (place / "singleuser" / "__init__.py").write_text("")
    (place / "singleuser" / "extension.py").write_text(
        "from jupyterhub import orm\n"
        "from sqlalchemy.exc import NoSuchTableError\n"
        "assert not isinstance(3, orm.User)\n"
    )
    (place / "orm.py").write_text("raise RuntimeError('the database layer was loaded')\n")
    theirs = {"sqlalchemy", "jupyterhub", *hub_lean.OPTIONAL}
    before = {name: sys.modules.pop(name) for name in [*sys.modules] if _top(name) in theirs}
    monkeypatch.syspath_prepend(str(place.parent))
    yield place
    for name in [*sys.modules]:
        if _top(name) in theirs:
            del sys.modules[name]
    sys.modules.update(before)


def _top(name: str) -> str:
    return name.split(".")[0]


def test_the_database_layer_is_left_out(library: Path) -> None:
    (library / "scopes.py").write_text("def _intersect_expanded_scopes(a, b): return a & b\n")
    assert hub_lean.leave_out()
    assert isinstance(sys.modules["jupyterhub.orm"], hub_lean._StandIn)


@pytest.mark.parametrize("wrong", ["a", "a | b", "set()"])
def test_rights_that_do_not_meet_as_they_should_bring_all_of_it_back(
    library: Path, wrong: str
) -> None:
    (library / "scopes.py").write_text(f"def _intersect_expanded_scopes(a, b): return {wrong}\n")
    assert not hub_lean.leave_out()
    assert not [name for name in hub_lean.DATABASE if name in sys.modules]
    assert "jupyterhub" not in sys.modules


def test_a_later_jupyterhub_without_that_part_is_loaded_as_it_comes(library: Path) -> None:
    assert not hub_lean.leave_out()  # there is no scopes.py
    assert "jupyterhub.singleuser.extension" not in sys.modules
