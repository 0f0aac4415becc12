"""What a class and an apprentice do, by a Python that refuses and notes what Windows has not.

Run by ``test_windows.py`` in a process of its own, with ``-X warn_default_encoding``; what it noted
is written as JSON. What is open is neither renamed, replaced nor removed; to a name that is taken
nothing is renamed; and every text opened without saying how its letters are written is noted,
where our code opens it or the file is one of ours.
"""

from __future__ import annotations

import json
import os
import sys
import warnings
from pathlib import Path
from types import ModuleType
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
OURS = (str(ROOT / "lib"),)
noted: dict[str, list[Any]] = {"letters": [], "open": [], "taken": [], "commands": []}
_at_work = False
_last_opened = ""


def _open_here() -> set[str]:
    """Return the paths of all that this process has open, whoever opened it."""
    found = set()
    for one in os.listdir("/proc/self/fd"):
        try:
            found.add(os.readlink(f"/proc/self/fd/{one}"))
        except FileNotFoundError:
            continue
    return found


def _hear(event: str, given: tuple[Any, ...]) -> None:
    global _at_work, _last_opened
    if event == "open" and not _at_work:
        _last_opened = str(given[0])
    if _at_work or event not in ("os.rename", "os.remove", "os.rmdir"):
        return
    _at_work = True
    try:
        names = {os.path.realpath(one) for one in given[:2] if isinstance(one, str | os.PathLike)}
        held = names & _open_here()
        if held:
            noted["open"].append(f"{event} {sorted(held)}")
            raise PermissionError(13, "The process cannot access the file", str(given[0]))
    finally:
        _at_work = False


def _rename(source: Any, target: Any, **rest: Any) -> None:
    if os.path.lexists(target):
        noted["taken"].append(str(target))
        raise FileExistsError(17, "Cannot create a file when that file already exists", str(target))
    _plain_rename(source, target, **rest)


def _show(message: Any, category: type[Warning], filename: str, lineno: int, *rest: Any) -> None:
    ours = filename.startswith(OURS) or _last_opened.startswith(str(FOLDER))
    if issubclass(category, EncodingWarning) and ours:
        noted["letters"].append(f"{filename}:{lineno} {_last_opened}")


def act(*arguments: str) -> None:
    """Type a command."""
    from keycourse import cli

    words = [one.replace("{class}", str(FOLDER / "class")) for one in arguments]
    noted["commands"].append([arguments, cli.main(words)])


def hand_in(room: Any, number: int, page: str, text: str) -> None:
    from coursework.course import PAGES, issue_card
    from coursework.judging import right_answers, show_answer
    from coursework.page.handin import write_hand_in

    card = issue_card(exercise=page, class_code=room.code, number=number)
    right = right_answers(PAGES[page], card)
    entries = {key: show_answer(PAGES[page].question(key), one) for key, one in right.items()}
    for question in PAGES[page].questions:
        if question.by_assessor and not question.key.endswith("sign-off"):
            entries[question.key] = text
    write_hand_in(
        folder=room.inbox, class_code=room.code, number=number, page=page, page_version="v",
        entries=entries, made="2026-11-25T12:00:00Z",
    )  # fmt: skip


def a_class() -> None:
    from coursework.room.classfolder import open_class

    act("class", "new", "{class}", "--roster", str(FOLDER / "roster.csv"), "--code", "AUX-26",
        "--title", "Keys: autumn? – ½")  # fmt: skip
    room = open_class(FOLDER / "class")
    for number in (1, 2, 999):
        for page in ("01-measure", "06-whole-job"):
            hand_in(room, number, page, "Where it rubs: “Übung”, ½, 課題.")
    for name in ("NUL.handin.json", "REASONS.TXT", "letter.txt"):
        (room.inbox / name).write_text("{}", encoding="utf-8")
    act("class", "cards", "{class}")
    act("class", "sheets", "{class}")
    act("mark", "{class}")
    act("mark", "{class}")
    act("class", "status", "{class}")
    act("class", "second", "{class}", "--share", "100%")
    act("class", "sign", "{class}", "--blank", str(FOLDER / "ticks.csv"))
    act("class", "moderate", "{class}", "--number", "1", "--entry", "01-why-bottom", "--mark", "1",
        "--reason", "Read again – ½", "--by", "Pät Holt")  # fmt: skip
    act("class", "person", "{class}", "--person", "2", "--renumber", "21", "--reason", "Twice",
        "--by", "Pät Holt")  # fmt: skip
    act("class", "release", "{class}")
    act("class", "export", "{class}", "--columns", "number,name,percent", "--to",
        str(FOLDER / "marks.csv"))  # fmt: skip
    act("class", "verify", "{class}")
    act("report", "{class}")


def an_open_class() -> None:
    """Open a class: everybody opens a page, types and hands in, and gets feedback."""
    from tests.desks.test_kill_open import LABEL, Apprenticed
    from tests.postgres_server import free_port

    from coursework.desks.feedback import give_out
    from coursework.desks.joincodes import JoinCodes
    from coursework.desks.opening import start_class
    from coursework.desks.school import School
    from coursework.room.classfolder import open_class

    room = open_class(FOLDER / "class")
    started = start_class(room, listen="127.0.0.1", port=free_port(), https=True)
    try:
        started.wait_until_up()
    finally:
        started.stop()
    assert JoinCodes(room.folder / "open").path.is_file()
    school = School(room.folder, soon=lambda act, *given: act(*given))
    for number in (1, 21, 999):
        page = Apprenticed(school, number)
        page.open()
        told = str(page.change(page.box(LABEL), value="1½ in"))
        assert "Saved." in told, told
        assert "Not handed in" not in str(page.press("Hand in"))
    school.tell_whereabouts()
    give_out(school)
    school.stop()
    act("mark", "{class}")


def alone() -> None:
    """Do what somebody does who learns alone, or has a job."""
    from tests.desks.test_kill_open import LABEL, Apprenticed

    from coursework.desks.home import Home
    from coursework.page.entries import EntriesFile
    from coursework.page.pagefolder import NameTag, write_name_tag
    from coursework.room.coursebook import lay_out

    course = FOLDER / "course"
    for _ in range(2):
        lay_out(folder=course)
    write_name_tag(course, NameTag(class_code="AUX-26", number=1, name="Zoë Ferrant"))
    home = Home(course, soon=lambda act, *given: act(*given))
    page = Apprenticed(home, 1)
    page.open()
    assert "Saved." in str(page.change(page.box(LABEL), value="1½ in"))
    assert "Not handed in" not in str(page.press("Hand in"))
    home.stop()
    path = course / "exercises" / "06-whole-job" / "answers.json"
    for turn in range(3):
        assert EntriesFile(path).put("06-why", f"{turn} ½ – 課題").saved
    path.write_bytes(b"{")
    assert EntriesFile(path).put("06-why", "again").saved
    act("sheet", "--new", str(FOLDER / "new.toml"))
    act("sheet", str(FOLDER / "job.toml"))
    act("sheet", "--blank", "--out", str(FOLDER))
    act("keep", str(FOLDER / "keep"))


def begin(folder: Path) -> None:
    """Refuse and note from here on, in a folder."""
    global FOLDER, _plain_rename
    FOLDER, _plain_rename = folder.resolve(), os.rename
    os.rename = _rename
    warnings.showwarning = _show  # type: ignore[assignment]
    warnings.simplefilter("always", EncodingWarning)
    sys.addaudithook(_hear)


if __name__ == "__main__":
    sys.modules["tests"] = ModuleType("tests")  # where another package of that name is installed
    sys.modules["tests"].__path__ = [str(ROOT / "tests")]
    begin(Path(sys.argv[1]))
    a_class()
    an_open_class()
    alone()
    (FOLDER / "noted.json").write_text(json.dumps(noted), encoding="utf-8")
