"""Child processes that begin with everything loaded, to be left alone or killed."""

from __future__ import annotations

import os
import signal
import sys
import time
import traceback
from collections.abc import Callable


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
