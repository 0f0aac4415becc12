"""What a page says when it has used up the memory that it may have.

A class's hub gives each page a limit; a full computer is one too. The error would end in a log
that nobody on the page sees. It comes out where every error of a page does, of a cell as of a
press, and is said at the head of the page.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

__all__ = ["RAN_OUT", "say_when_memory_runs_out"]

RAN_OUT = (
    "This page has used up the memory that this computer gives it. What you typed before is kept. "
    "Press “Run this page”; if this line comes again, show it to your instructor."
)


def say_when_memory_runs_out(say: Callable[[str], None], *, shell: Any = None) -> None:
    """Have the sentence said instead of a traceback.

    Parameters
    ----------
    say : callable
        Shows a sentence at the head of the page.
    shell : object, optional
        What runs the page's cells; left out, the one that runs this. Without one nothing is done.
    """
    if shell is None:
        from IPython import get_ipython

        shell = get_ipython()
    if shell is None:
        return
    before = getattr(shell.showtraceback, "before", shell.showtraceback)

    def showtraceback(*given: Any, **named: Any) -> None:
        kind = given[0][0] if given and given[0] else sys.exc_info()[0]
        if isinstance(kind, type) and issubclass(kind, MemoryError):
            say(RAN_OUT)
        else:
            before(*given, **named)

    showtraceback.before = before  # type: ignore[attr-defined]
    shell.showtraceback = showtraceback
