"""The front end as it was installed: what is told of it, and what is said of a missing part."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from coursework.desks import frontend
from coursework.desks.frontend import FrontEnd
from coursework.room.coursebook import CourseError
from coursework.room.launch import lab_environment

KEPT = ("_extensions", "_lab", "_extension_folder", "_roots", "_begins")


@pytest.fixture(scope="module")
def config(tmp_path_factory: pytest.TempPathFactory) -> Path:
    state = tmp_path_factory.mktemp("state")
    lab_environment(state=state, token="word")
    return state / "config"


@pytest.fixture
def afresh() -> Iterator[None]:
    """Look for everything again, and once more when the check is over."""
    for name in KEPT:
        getattr(frontend, name).cache_clear()
    yield
    for name in KEPT:
        getattr(frontend, name).cache_clear()


def told(config: Path, path: str) -> Any:
    found = FrontEnd(config).told(path)
    return None if found is None else json.loads(found)


def test_one_language_and_no_arrangement_of_windows_is_known(config: Path) -> None:
    assert list(told(config, "lab/api/translations")["data"]) == ["en"]
    assert told(config, "lab/api/translations/de")["data"] == {}
    assert told(config, "lab/api/workspaces") == {"workspaces": {"ids": [], "values": []}}
    assert told(config, "lab/api/workspaces/mine") == {"data": {}, "metadata": {"id": "mine"}}
    assert told(config, "lab/api/settings/@jupyterlab/none:none") is None
    assert told(config, "lab/api/listings") is None


def test_a_file_of_a_kind_that_no_page_loads_is_not_given(
    config: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("LICENSE.txt", "page.html", "bare", "made.py", "good.css"):
        (tmp_path / name).write_text("x")
    monkeypatch.setattr(frontend, "_roots", lambda: {"static/lab/": tmp_path})
    given = [
        one.name for one in tmp_path.iterdir() if FrontEnd(config).answer(f"static/lab/{one.name}")
    ]
    assert given == ["good.css"]


@pytest.mark.usefixtures("afresh")
@pytest.mark.parametrize("found", [[], ["nothing in it"]])
def test_without_the_installed_front_end_there_is_one_sentence(
    config: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, found: list[str]
) -> None:
    monkeypatch.setattr(frontend, "shared_folders", lambda *_: [tmp_path / one for one in found])
    for ask in (lambda: FrontEnd(config).page("lessons/00-start.ipynb"), frontend._roots):
        with pytest.raises(
            CourseError,
            match=r"^JupyterLab's front end is not where it is installed to\. Install it again\.$",
        ):
            ask()


@pytest.mark.usefixtures("afresh")
def test_a_front_end_that_begins_otherwise_is_told(
    config: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "static").mkdir()
    (tmp_path / "static" / "index.html").write_text("<script src='bundle.js'></script>")
    real = frontend.shared_folders
    monkeypatch.setattr(
        frontend,
        "shared_folders",
        lambda *parts: [tmp_path] if parts[-1] == "lab" else real(*parts),
    )
    with pytest.raises(
        CourseError,
        match=r"^JupyterLab's front end begins otherwise\. Install taperkey again\.$",
    ):
        FrontEnd(config).page("lessons/00-start.ipynb")
    assert frontend._version(tmp_path / "static") == "N/A"


@pytest.mark.usefixtures("afresh")
def test_a_part_that_is_not_installed_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(frontend, "_extensions", lambda: ("@taperkey/none",))
    with pytest.raises(
        CourseError,
        match=r"^the front end's part @taperkey/none is missing\. Install taperkey again\.$",
    ):
        frontend._roots()
