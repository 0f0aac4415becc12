"""`taperkey learn`: lay the course out, open it in the browser, stay until Ctrl+C.

The pages of one person are served as those of a class are, from one process (`serving`); with
``with_code`` JupyterLab opens with all its menus, for whoever wants to see how the pages are made.
"""

from __future__ import annotations

import contextlib
import json
import os
import socket
import sys
import webbrowser
from pathlib import Path

from coursework.room.coursebook import default_folder, lay_out, runnable_pages
from coursework.room.launch import (
    START_PAGE,
    Server,
    answers_at,
    ended_like_ctrl_c,
    sign_pages,
    start_server,
)

__all__ = ["learn", "start_home"]

OPEN_COURSE = Path(".taperkey") / "open.json"


def start_home(folder: Path, *, port: int | None = None) -> Server:
    """Start the server of a course folder that is laid out; return it before it is up.

    Parameters
    ----------
    folder : Path
        Course folder.
    port : int, optional
        Port to use; left out, the first free one from 8710.
    """
    settings = (
        "from coursework.desks.serving import configure_home\n"
        f"configure_home(c, folder={str(folder)!r})\n"
    )
    return start_server(
        root=folder, port=port, open_at=f"/doc/tree/{START_PAGE}", settings=settings
    )


def _already_open(folder: Path) -> str | None:
    """Return the address of this folder's course if it is open on this computer."""
    try:
        note = json.loads((folder / OPEN_COURSE).read_bytes())
        here = note["computer"] == socket.gethostname()
        if here and answers_at(f"{note['base_url']}api/status", note["token"]):
            return f"{note['base_url']}doc/tree/{START_PAGE}?token={note['token']}"
    except (OSError, ValueError, KeyError, TypeError):
        pass
    return None


def _note_open(folder: Path, server: Server) -> None:
    path = folder / OPEN_COURSE
    note = {
        "computer": socket.gethostname(),
        "base_url": server.base_url,
        "token": server.token,
    }
    with contextlib.suppress(OSError):
        path.unlink(missing_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(note, file)


def _say(text: str) -> None:
    """Print at once, whatever letters the terminal can show."""
    encoding = sys.stdout.encoding or "utf-8"
    print(text.encode(encoding, "replace").decode(encoding), flush=True)


def _show(address: str, *, open_browser: bool) -> None:
    _say(f"The course is open at {address}")
    if open_browser and not webbrowser.open(address):
        _say("No browser came up by itself: copy the address into your browser.")


def learn(
    folder: Path | None = None,
    *,
    open_browser: bool = True,
    port: int | None = None,
    with_code: bool = False,
) -> int:
    """Lay the course out, open it, and stay until Ctrl+C.

    Parameters
    ----------
    folder : Path, optional
        Course folder; ``taper-key-course`` in the home folder if left out.
    open_browser : bool
        False prints the address only.
    port : int, optional
        Port to use; left out, the first free one from 8710.
    with_code : bool
        True opens JupyterLab with its menus and the pages' code.

    Returns
    -------
    int
        0 after a clean stop, 1 if the server ended by itself.

    Raises
    ------
    CourseError
        The folder or the port cannot be used, or the server did not start.
    """
    folder = Path(os.path.abspath((folder or default_folder()).expanduser()))
    open_at = _already_open(folder)
    if open_at:
        _say("The course in this folder is already open.")
        _show(open_at, open_browser=open_browser)
        return 0
    laid = lay_out(folder=folder)
    server = (
        start_server(root=folder, port=port, quiet=False)
        if with_code
        else start_home(folder, port=port)
    )
    try:
        with ended_like_ctrl_c():
            _say(f"Course folder: {folder}")
            for told in laid.sentences:
                _say(told)
            if with_code:
                sign_pages(runnable_pages(folder=folder), data=server.state / "data")
            server.wait_until_up()
            _note_open(folder, server)
            _show(server.address(), open_browser=open_browser)
            _say("Leave this window open while you work. Stop with Ctrl+C; your entries are kept.")
            server.process.wait()
            _say("The course page server ended by itself. Start it again: taperkey learn.")
            return 1
    except KeyboardInterrupt:
        _say("The course is closed. Your entries are kept in the course folder.")
        return 0
    finally:
        (folder / OPEN_COURSE).unlink(missing_ok=True)
        server.stop()
