"""Warming up: each page is run once for nobody, before the first apprentice comes.

What a page needs is then loaded, and the collector of what is no longer used leaves all of it
alone: going through it again and again would hold every page up.
"""

from __future__ import annotations

import gc
import logging
import shutil
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path

from coursework.course import course
from coursework.desks.desk import Desk
from coursework.desks.seating import Seating
from coursework.desks.wire import packed, read
from coursework.memory import look_seldom
from coursework.page.here import Here
from coursework.room.launch import START_PAGE

__all__ = ["begin_to_warm", "warm"]

BETWEEN_S = 0.02  # whoever comes meanwhile goes first
_log = logging.getLogger("taperkey.desk")


def begin_to_warm(seating: Seating, *, give_up: Callable[[], None]) -> None:
    """Warm up beside everything else; give up where the course itself cannot be loaded."""
    look_seldom()
    threading.Thread(target=_warm, args=(seating, give_up), name="warming", daemon=True).start()


def _warm(seating: Seating, give_up: Callable[[], None]) -> None:
    try:
        course()
    except ValueError as error:  # a mistake in a file of words
        _log.critical("%s", error)
        give_up()
        return
    folder = Path(tempfile.mkdtemp(prefix="taperkey-"))
    try:
        warm(seating, folder)
    except Exception:
        _log.exception("warming up stopped; pages open all the same")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    _leave_alone(seating)


def _leave_alone(seating: Seating) -> None:
    """Let the collector leave alone what is loaded now.

    Nothing where a page is open: what it holds would be left alone, too, and never freed.
    """
    if all(one.desk is None for one in list(seating.seats.values())):
        gc.collect()
        gc.freeze()


def _let_others_first(seating: Seating) -> None:
    """Wait while pages are at work; at home until the first has been opened."""
    end = time.monotonic() + seating.first_comes_s
    while time.monotonic() < end and all(one.desk is None for one in seating.seats.values()):
        time.sleep(BETWEEN_S * 5)
    quiet = 0
    while quiet < 5:
        time.sleep(BETWEEN_S)
        quiet = 0 if seating.busy else quiet + 1


def warm(seating: Seating, folder: Path) -> int:
    """Run each page once in an empty folder; return how many blocks were run."""
    count = 0
    for path in sorted(seating.pages, key=lambda name: name != START_PAGE):
        page = seating.pages[path]
        if path != START_PAGE:
            _let_others_first(seating)
        place = (folder / path).parent
        place.mkdir(parents=True, exist_ok=True)
        desk = Desk(
            key="warm",
            place=Here(place=place, top=folder, pages=page.parent, by_class=True),
            cells=lambda path=path: seating.cells(path),  # type: ignore[misc]
            module=course().calls,
            work=seating.work,
            soon=lambda *_: None,
        )
        for block in seating.cells(path):
            asked = packed("shell", "execute_request", {"code": block}, parent={}, session="w")
            desk.take(read(asked))
            while desk.waits:
                time.sleep(BETWEEN_S)
            count += 1
        desk.begin_again()
        while desk.waits:
            time.sleep(BETWEEN_S)
        if path == START_PAGE:
            _leave_alone(seating)
    return count
