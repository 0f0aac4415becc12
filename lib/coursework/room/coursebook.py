"""The apprentice's copy of the course: laid out once, refreshed, never overwritten.

The pages ship inside the package. `lay_out` copies them to the apprentice's
folder. A page still as it came is refreshed when the course brings a newer
one; a page the apprentice changed stays, and the newer one is put beside it.
Answers, hand-ins and every other file in the folder are left alone.

A page is judged by its text, not by its results: running a page saves
pictures and numbers into it, and that is no change. The record of what was
laid out is ``.taperkey/pages.json`` in the course folder.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from coursework.course import course_folder
from coursework.page.pagefolder import KEPT_HERE
from taperkey.checks import sentence
from taperkey.files import write_whole

__all__ = [
    "CourseError",
    "LaidOut",
    "default_folder",
    "lay_out",
    "leave_results_out",
    "page_fingerprint",
    "runnable_pages",
    "shipped_pages",
]

ROOMS = ("lessons", "exercises")
RECORD = Path(".taperkey") / "pages.json"
NEVER_COPIED = (*KEPT_HERE, "gradebook.db", "Thumbs.db")
PASSING_METADATA = {"execution", "trusted", "collapsed", "scrolled", "ExecuteTime"}


class CourseError(ValueError):
    """The course cannot be laid out or opened; the message is one plain sentence."""


@dataclass(frozen=True)
class LaidOut:
    """What `lay_out` did; page names are relative to the folder, with ``/``."""

    folder: Path
    added: tuple[str, ...] = ()
    refreshed: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    put_aside: tuple[str, ...] = ()
    sentences: tuple[str, ...] = field(default=())


def default_folder() -> Path:
    """Return the folder the course is laid out in when none is named."""
    return Path.home() / "taper-key-course"


def shipped_pages() -> dict[str, Path]:
    """Return every file of the course as ``{"lessons/00-start.ipynb": path}``.

    An installed package holds them in ``pages`` of the course's package; in a checkout they
    lie in ``lessons`` and ``exercises`` at its top.
    """
    package = course_folder()
    for root in (package / "pages", package.parents[1]):
        if (root / "lessons").is_dir():
            return {name: path for room in ROOMS for name, path in _files(root, room)}
    raise CourseError(
        sentence(
            "course page folder",
            package / "pages",
            "",
            "part of the installation",
            "Install taperkey again.",
        )
    )


def _files(root: Path, room: str) -> Iterator[tuple[str, Path]]:
    for path in sorted((root / room).rglob("*")):
        name = path.relative_to(root).as_posix()
        hidden = any(part.startswith((".", "__pycache__")) for part in name.split("/"))
        kept = any(path.match(one) for one in NEVER_COPIED)
        if path.is_file() and not hidden and not kept:
            yield name, path


def page_fingerprint(content: bytes, *, page: bool) -> str:
    """Return the sha256 of what an author wrote, without results.

    Parameters
    ----------
    content : bytes
        The file as it lies on the disk.
    page : bool
        True for a notebook: text and settings of each block count, outputs,
        run numbers and the traces of running do not. False: all bytes count.

    Returns
    -------
    str
        64 hexadecimal digits.

    Raises
    ------
    ValueError
        The file is called a page and is not a readable notebook.
    """
    if page:
        notebook = _parse(content)
        blocks = [
            [cell["cell_type"], _source(cell), _lasting(cell.get("metadata", {}))]
            for cell in notebook["cells"]
        ]
        mark = notebook.get("metadata", {}).get("taperkey")
        content = json.dumps([blocks, mark], sort_keys=True).encode()
    return hashlib.sha256(content).hexdigest()


def _parse(content: bytes) -> dict[str, Any]:
    try:
        notebook = json.loads(content)
        cells = notebook["cells"]
        usable = isinstance(cells, list) and all(cell["cell_type"] for cell in cells)
    except (ValueError, KeyError, TypeError) as error:
        raise ValueError("not a readable page") from error
    if not usable:
        raise ValueError("not a readable page")
    return dict(notebook)


def _source(cell: dict[str, Any]) -> str:
    source = cell.get("source", "")
    return source if isinstance(source, str) else "".join(source)


def _lasting(metadata: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in metadata.items() if key not in PASSING_METADATA}


def _code(notebook: dict[str, Any]) -> list[str]:
    return [_source(cell) for cell in notebook["cells"] if cell["cell_type"] == "code"]


def _drop_results(notebook: dict[str, Any]) -> None:
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code":
            cell["outputs"] = []
            cell["execution_count"] = None
            for key in PASSING_METADATA - {"trusted"}:
                cell.get("metadata", {}).pop(key, None)
    notebook.get("metadata", {}).pop("widgets", None)


def _without_results(content: bytes) -> bytes:
    notebook = _parse(content)
    _drop_results(notebook)
    return (json.dumps(notebook, indent=1, ensure_ascii=False) + "\n").encode()


def leave_results_out(
    model: dict[str, Any], path: str = "", contents_manager: Any = None, **_: object
) -> None:
    """Take out of a course page, about to be saved, what running it put in.

    Results are made again on every opening; saved, they would only show dead
    forms until then. What the server says of its own language stays out too, so
    a page is saved as it lay there, and no save finds the file changed under it.
    The server calls this before it saves; pages without the course's mark keep
    theirs.
    """
    content = model.get("content")
    if (
        model.get("type") == "notebook"
        and isinstance(content, dict)
        and content.get("metadata", {}).get("taperkey")
    ):
        _drop_results(content)
        if contents_manager is not None:
            _keep_head(content["metadata"], Path(contents_manager._get_os_path(path)))


def _keep_head(metadata: dict[str, Any], file: Path) -> None:
    """Let the page's head stand as it is in the file."""
    try:
        lying = _parse(file.read_bytes())["metadata"]
    except (OSError, ValueError, KeyError):
        return
    for key in ("kernelspec", "language_info"):
        metadata.pop(key, None)
        if key in lying:
            metadata[key] = lying[key]


def lay_out(*, folder: Path, pages: dict[str, Path] | None = None) -> LaidOut:
    """Lay the course out in `folder`, or bring an earlier lay-out up to date.

    Parameters
    ----------
    folder : Path
        Course folder; made if it is not there.
    pages : dict of str to Path, optional
        Files to lay out, by their name in the folder; the shipped ones if left out.

    Returns
    -------
    LaidOut
        What was added, refreshed, kept and put aside, with a sentence for
        everything the apprentice should know.

    Raises
    ------
    CourseError
        The folder is a file, cannot be written, or its disk is full.
    """
    shipped = shipped_pages() if pages is None else pages
    folder = Path(os.path.abspath(folder.expanduser()))
    if folder.exists() and not folder.is_dir():
        raise _refused(folder, "a folder, not a file")
    try:
        (folder / RECORD.parent).mkdir(parents=True, exist_ok=True)
        return _lay_out(folder, shipped)
    except OSError as error:
        raise _cannot_write(folder, error) from error


def _refused(folder: Path, rule: str) -> CourseError:
    step = "Name another one: taperkey learn FOLDER."
    return CourseError(sentence("course folder", folder, "", rule, step))


def _cannot_write(folder: Path, error: OSError) -> CourseError:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return _refused(folder, "on a disk with room left, and this one is full")
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return _refused(folder, "a folder you may write in")
    if error.errno in (errno.ENOTDIR, errno.EEXIST):
        at_fault = Path(error.filename) if error.filename else folder
        return CourseError(
            sentence(
                "course folder",
                folder,
                "",
                f"a folder, and {at_fault} is a file",
                "Move that file away, or name another folder: taperkey learn FOLDER.",
            )
        )
    return _refused(folder, f"usable, and the disk says: {error.strerror or error}")


def _lay_out(folder: Path, shipped: dict[str, Path]) -> LaidOut:
    record = _read_record(folder)
    done: dict[str, list[str]] = {"added": [], "refreshed": [], "kept": [], "put_aside": []}
    told: list[str] = []
    for name, path in shipped.items():
        page = name.endswith(".ipynb")
        content = path.read_bytes()
        new = page_fingerprint(content, page=page)
        content = _without_results(content) if page else content
        target = folder / name
        if not target.exists():
            write_whole(target, content)
            done["added"].append(name)
            record[name] = new
            continue
        try:
            now = page_fingerprint(target.read_bytes(), page=page)
        except ValueError:
            spoilt = _free_name(target, "unreadable")
            target.replace(spoilt)
            write_whole(target, content)
            done["added"].append(name)
            record[name] = new
            told.append(
                f"{name} could not be read. It is kept as {spoilt.name}, "
                "and the course's own page is back in its place."
            )
            continue
        if now == new:
            record[name] = new
        elif now == record.get(name):
            write_whole(target, content)
            done["refreshed"].append(name)
            record[name] = new
        else:
            done["kept"].append(name)
            aside = _put_aside(target, content, new=new, page=page, before=record.get(name))
            record[name] = new
            if aside:
                done["put_aside"].append(aside.relative_to(folder).as_posix())
                told.append(
                    f"{name} was changed by you and stays as it is. "
                    f"The course has a newer one; it lies beside it as {aside.name}."
                )
    text = json.dumps({"version": 1, "pages": record}, indent=1, ensure_ascii=False)
    write_whole(folder / RECORD, (text + "\n").encode())
    return LaidOut(
        folder, **{key: tuple(value) for key, value in done.items()}, sentences=tuple(told)
    )


def _put_aside(
    target: Path, content: bytes, *, new: str, page: bool, before: str | None
) -> Path | None:
    """Write the newer page beside a changed one, once; None when it is no news."""
    if before == new:
        return None
    for other in target.parent.glob(f"{target.stem}-newer*{target.suffix}"):
        try:
            if page_fingerprint(other.read_bytes(), page=page) == new:
                return None
        except ValueError:
            continue
    aside = _free_name(target, "newer")
    write_whole(aside, content)
    return aside


def _free_name(target: Path, word: str) -> Path:
    number = 1
    while True:
        tail = word if number == 1 else f"{word}-{number}"
        free = target.with_name(f"{target.stem}-{tail}{target.suffix}")
        if not free.exists():
            return free
        number += 1


def _read_record(folder: Path) -> dict[str, str]:
    """Return the record; a lost or spoilt one only makes `lay_out` more careful."""
    try:
        pages = json.loads((folder / RECORD).read_bytes())["pages"]
        return {str(name): str(mark) for name, mark in pages.items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return {}


def runnable_pages(*, folder: Path, pages: dict[str, Path] | None = None) -> tuple[Path, ...]:
    """Return the pages in `folder` that may run by themselves, with old results cleared.

    A page may when every line that runs is the course's own. Written answers
    and notes beside them do not matter. Saved results are taken out, because
    they are made again on opening and could otherwise come from anywhere.
    """
    shipped = shipped_pages() if pages is None else pages
    good = []
    for name, path in shipped.items():
        target = folder / name
        if not name.endswith(".ipynb") or not target.is_file():
            continue
        own = _parse(path.read_bytes())
        content = target.read_bytes()
        try:
            laid = _parse(content)
        except ValueError:
            continue
        if _code(laid) != _code(own):
            continue
        cleared = _without_results(content)
        if json.loads(cleared) != laid:
            try:
                write_whole(target, cleared)
            except OSError as error:
                raise _cannot_write(folder, error) from error
        good.append(target)
    return tuple(good)
