"""What only one system has: no part of what is used on Windows or a Mac leans on it.

Read from the code itself, without running it there: a hub (``room/hub*``) runs on Linux only and is
left out, as is serving from an account of its own, which is refused elsewhere in one sentence. What
cannot be tried here is said in the README.
"""

from __future__ import annotations

import ast
import importlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path, PureWindowsPath

import pytest

from coursework.room.classfolder import new_class
from coursework.room.coursebook import CourseError, lay_out
from coursework.room.roster import Apprentice

LIB = Path(__file__).resolve().parents[2] / "lib"
ONE_SYSTEM = {LIB / "coursework/desks/counter.py"}  # what it refuses is held below
MODULES = sorted(
    path
    for path in {*LIB.rglob("*.py")} - ONE_SYSTEM
    if "hub" not in path.stem or "room" not in path.parts
)
POSIX_ONLY = {"fcntl", "grp", "pwd", "pty", "resource", "syslog", "termios", "tty"}
#: Of `os`, `signal`, `time` and `socket`, what Windows has not (the documentation of Python 3.13
#: marks it "Unix"), or not before 3.12.
NOT_THERE = {
    *("chown", "chroot", "fchmod", "fchown", "fork", "forkpty", "geteuid", "getgid", "getgroups"),
    *("getpgid", "getuid", "killpg", "lchown", "mkfifo", "mknod", "nice", "setegid", "seteuid"),
    *("setgid", "setsid", "setuid", "statvfs", "sync", "uname", "wait3", "wait4", "O_DIRECTORY"),
    *("O_NOFOLLOW", "O_NONBLOCK", "SIGALRM", "SIGCHLD", "SIGHUP", "SIGKILL", "SIGQUIT"),
    *("SIGUSR1", "SIGUSR2", "pthread_kill", "alarm", "pause", "setitimer", "sigwait", "SIGXFSZ"),
    *("getpgrp", "initgroups", "lockf", "posix_fadvise", "posix_spawn", "pread"),
    *("pwrite", "register_at_fork", "sched_getaffinity", "set_blocking", "setgroups", "setpgid"),
    *("tzset", "AF_UNIX", "SO_REUSEPORT"),
}
WHOSE = {"os", "signal", "time", "socket"}
#: Of an event loop and of starting a process: refused there.
REFUSED = {"add_signal_handler", "create_unix_server", "create_unix_connection"}
REFUSED_WORDS = {"preexec_fn", "pass_fds"}
STARTS = {"fork", "forkserver"}
PLACES = ("/tmp/", "/proc/", "/dev/", "/etc/", "/usr/", "/var/", "/home/")
READS_ARE_GUARDED = {"launch.py"}  # looks for what is installed where; a folder not there is none


def _text_without_encoding(call: ast.Call) -> bool:
    """Say whether a call opens text in whatever encoding the system happens to have."""
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    named = {one.arg for one in call.keywords}
    texts = [
        one.value for one in call.args if isinstance(one, ast.Constant) and type(one.value) is str
    ]
    if "encoding" in named or name not in ("open", "read_text", "write_text", "fdopen"):
        return False
    if name == "read_text":
        return not call.args
    if name == "write_text":
        return len(call.args) < 2
    if isinstance(call.func, ast.Attribute) and getattr(call.func.value, "id", "") == "webbrowser":
        return False
    if name == "open" and isinstance(call.func, ast.Attribute):
        modes = texts[:1]
        if any(mode not in ("r", "w", "a", "x", "rb", "wb", "ab", "xb", "r+b") for mode in modes):
            return False  # it is no file that is opened
        if not call.args:
            return False
    else:
        modes = texts[:1] if name == "fdopen" else texts[-1:] if len(call.args) > 1 else []
    return not any("b" in mode for mode in modes) and bool(modes)


def _guarded(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    """Say whether a name is used only where somebody looked whether it is there."""
    while node in parents:
        node = parents[node]
        if isinstance(node, ast.If | ast.IfExp):
            told = ast.unparse(node.test)
            if "hasattr" in told or "os.name" in told or "sys.platform" in told:
                return True
    return False


def _faults(path: Path) -> Iterator[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    parents = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    for node in ast.walk(tree):
        where = f"{path.relative_to(LIB)}:{getattr(node, 'lineno', 0)}"
        match node:
            case ast.Import(names=names):
                yield from (
                    f"{where} imports {one.name}" for one in names if one.name in POSIX_ONLY
                )
            case ast.ImportFrom(module=module) if module in POSIX_ONLY:
                yield f"{where} imports {module}"
            case ast.Attribute(value=ast.Name(id=whose), attr=attr) if whose in WHOSE:
                if attr in NOT_THERE and not _guarded(node, parents):
                    yield f"{where} uses {whose}.{attr}"
            case ast.Attribute(attr=attr) if attr in REFUSED:
                yield f"{where} uses {attr}"
            case ast.keyword(arg=word) if word in REFUSED_WORDS:
                yield f"{where} uses {word}"
            case ast.Call(func=ast.Attribute(attr="get_context" | "set_start_method")):
                if {one.value for one in node.args if isinstance(one, ast.Constant)} & STARTS:
                    yield f"{where} starts processes by a fork"
            case ast.Constant(value=str(text)) if text.startswith(PLACES):
                if path.name not in READS_ARE_GUARDED:
                    yield f"{where} names {text[:40]}"
            case ast.Call() if _text_without_encoding(node):
                yield f"{where} opens text without saying how its letters are written"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(LIB)))
def test_nothing_leans_on_what_only_one_system_has(path: Path) -> None:
    assert not list(_faults(path))


def test_an_account_to_serve_from_is_refused_where_there_is_none(monkeypatch) -> None:
    counter = importlib.import_module("coursework.desks.counter")  # others' parts as they are here
    monkeypatch.setattr("sys.platform", "win32")
    for name in ("geteuid", "chown", "O_NOFOLLOW", "O_DIRECTORY", "O_NONBLOCK"):
        monkeypatch.delattr(os, name)
    monkeypatch.setitem(sys.modules, "pwd", None)
    counter = importlib.reload(counter)
    with pytest.raises(CourseError, match="--as is nobody; it must be used by root, on Linux"):
        counter.account_of("nobody")


@pytest.mark.parametrize(
    ("source", "fault"),
    [
        ("import fcntl", "imports fcntl"),
        ("from pwd import getpwnam", "imports pwd"),
        ("import os\nos.fork()", "uses os.fork"),
        ("import signal\nsignal.SIGKILL", "uses signal.SIGKILL"),
        ("open('x', 'w')", "opens text"),
        ("from pathlib import Path\nPath('x').read_text()", "opens text"),
        ("where = '/tmp/x'", "names /tmp/x"),
        ("import time\ntime.tzset()", "uses time.tzset"),
        ("import asyncio\nasyncio.get_event_loop().add_signal_handler(2, print)", "uses add_sig"),
        ("import subprocess\nsubprocess.run(['x'], preexec_fn=print)", "uses preexec_fn"),
        ("import multiprocessing\nmultiprocessing.get_context('fork')", "starts processes by a f"),
    ],
)
def test_such_a_thing_would_be_found(tmp_path: Path, source: str, fault: str, monkeypatch) -> None:
    path = tmp_path / "module.py"
    path.write_text(source, encoding="utf-8")
    monkeypatch.setitem(globals(), "LIB", tmp_path)
    [found] = _faults(path)
    assert fault in found


def test_names_of_files_are_names_there_too(tmp_path: Path) -> None:
    people = [Apprentice(7, "Zoë Ferrant"), Apprentice(8, "Con Aux")]
    room = new_class(tmp_path / "class", code="QQ-26-K7PX", title="Keys: autumn?", roster=people)
    lay_out(folder=tmp_path / "course")
    made = [*room.folder.rglob("*"), *(tmp_path / "course").rglob("*")]
    assert len(made) > 30
    for path in made:
        name = PureWindowsPath(path.name)
        assert not set('<>:"/\\|?*') & set(path.name), path
        assert not path.name.endswith((" ", ".")), path
        assert name.stem.upper() not in {"CON", "PRN", "AUX", "NUL", "COM1", "LPT1"}, path
