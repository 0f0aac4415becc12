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
from pathlib import Path

from coursework.course import course
from coursework.desks.desk import Desk
from coursework.desks.school import School
from coursework.desks.wire import packed, read
from coursework.page.here import Here

__all__ = ["begin_to_warm", "warm"]

BETWEEN_S = 0.02  # whoever comes meanwhile goes first
_log = logging.getLogger("taperkey.desk")


def begin_to_warm(school: School) -> None:
    """Warm up beside everything else."""
    gc.set_threshold(20_000, 20, 50)  # many pages: look less often
    threading.Thread(target=_warm, args=(school,), name="warming", daemon=True).start()


def _warm(school: School) -> None:
    folder = Path(tempfile.mkdtemp(prefix="taperkey-"))
    try:
        warm(school, folder)
    except Exception:
        _log.exception("warming up stopped; pages open all the same")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    gc.collect()
    gc.freeze()


def warm(school: School, folder: Path) -> int:
    """Run each page once in an empty folder; return how many blocks were run."""
    count = 0
    for path, page in school.pages.items():
        place = (folder / path).parent
        place.mkdir(parents=True, exist_ok=True)
        desk = Desk(
            key="warm",
            place=Here(place=place, top=folder, pages=page.parent, by_class=True),
            cells=lambda path=path: school.cells(path),  # type: ignore[misc]
            module=course().calls,
            work=school.work,
            soon=lambda *_: None,
        )
        for block in school.cells(path):
            asked = packed("shell", "execute_request", {"code": block}, parent={}, session="w")
            desk.take(read(asked))
            while desk.waits:
                time.sleep(BETWEEN_S)
            count += 1
        desk.begin_again()
    return count
