"""Child processes that begin with everything loaded, to be left alone or killed."""

from __future__ import annotations

import os
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path


def start_child(act: Callable[[], object]) -> int:
    """Start a process that does one thing and ends with 0, or 1 after an error; return its id."""
    sys.stdout.flush()
    sys.stderr.flush()
    pid = os.fork()
    if pid:
        return pid
    code = 1
    try:
        act()
        code = 0
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stderr.flush()
        os._exit(code)


def wait_for(pid: int) -> int:
    """Wait for a child to end; return its code, negative for the signal that ended it."""
    return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])


def kill_after(pid: int, seconds: float) -> bool:
    """Kill a child without warning after so long; return whether it was still at work."""
    time.sleep(seconds)
    os.kill(pid, signal.SIGKILL)
    return wait_for(pid) == -signal.SIGKILL


#: What changes something on the disk, by the names under which Python's own audit tells of it.
CHANGES = {"os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.chmod", "os.truncate", "os.link"}


def kill_at(act: Callable[[], object], change: int, folders: Sequence[Path]) -> tuple[int, int]:
    """Do one thing in a child that is killed before its so-manieth change of what lies in folders.

    Parameters
    ----------
    act : callable
        What the child does.
    change : int
        Before which change it dies, counted from 1; 0 for never.
    folders : sequence of Path
        Where changes are counted: a file opened to be written, renamed, removed, and so on.

    Returns
    -------
    int, int
        Its code as `wait_for` returns it, and how many changes it came to.
    """
    places = tuple(str(one) for one in folders)
    with tempfile.TemporaryFile("w+b") as told:

        def watched() -> None:
            count = 0

            def hear(event: str, given: tuple[object, ...]) -> None:
                nonlocal count
                writes = event == "open" and len(given) > 2 and _writes(given)
                if not (writes or event in CHANGES) or not str(given[0]).startswith(places):
                    return
                count += 1
                if count == change:
                    os.kill(os.getpid(), signal.SIGKILL)
                os.pwrite(told.fileno(), b"%9d" % count, 0)

            sys.addaudithook(hear)
            act()

        code = wait_for(start_child(watched))
        told.seek(0)
        return code, int(told.read() or b"0")


def _writes(given: tuple[object, ...]) -> bool:
    flags = given[2]
    return isinstance(flags, int) and bool(flags & (os.O_WRONLY | os.O_RDWR))
