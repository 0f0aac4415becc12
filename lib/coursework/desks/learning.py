"""`taperkey learn`: lay the course out, open it in the browser, stay until Ctrl+C.

The pages of one person are served as those of a class are, from one process (`serving`); with
``with_code`` JupyterLab opens with all its menus, for whoever wants to see how the pages are made.
"""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import shutil
import socket
import sys
import tempfile
import time
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from coursework.course import course
from coursework.desks.earlydoor import CAN_BE_HANDED, EarlyDoor, open_door
from coursework.desks.frontend import FrontEnd
from coursework.desks.starting import DOOR, server_command
from coursework.room.coursebook import CourseError, default_folder, lay_out, runnable_pages
from coursework.room.launch import (
    HERE,
    START_PAGE,
    START_SECONDS,
    Server,
    answers_at,
    choose_port,
    ended_like_ctrl_c,
    lab_environment,
    sign_pages,
    start_process,
    start_server,
    try_port,
)

__all__ = ["HomeServer", "learn", "start_home"]

Taken = TypeVar("Taken")

BEGINS_WITHIN_S = 20.0  # a course that is just being opened is waited for
OPEN_COURSE = Path(".taperkey") / "open.json"


class HomeServer(Server):
    """The server of one person's pages, with the door that stands open before it is there."""

    door: EarlyDoor | None = None

    def wait_until_up(self, *, seconds: float = START_SECONDS) -> None:
        """Wait until the server itself answers."""
        if self.door is None:
            super().wait_until_up(seconds=seconds)
            return
        end = time.monotonic() + seconds
        while not self.door.server_listens(0.1):
            if self.process.poll() is not None or time.monotonic() > end:
                raise CourseError(self.why_not())

    def why_not(self) -> str:
        """Return one sentence on a server that did not start.

        Where a mistake in a file of words is the reason, loading the course tells it.
        """
        course()
        return super().why_not()

    def stop(self, *, seconds: float = 8.0) -> None:
        """End the server; whoever still waits at the door is sent home."""
        if self.door is not None:
            self.door.close()
        super().stop(seconds=seconds)


def start_home(folder: Path, *, port: int | None = None) -> HomeServer:
    """Start the server of a course folder that is laid out; return it before it is up.

    Where there is an early door the address is good at once.

    Parameters
    ----------
    folder : Path
        Course folder.
    port : int, optional
        Port to use; left out, the first free one from 8710.
    """
    first, retries = choose_port(port)
    state = Path(tempfile.mkdtemp(prefix="taperkey-"))
    token = secrets.token_urlsafe(24)
    settings = (
        "from coursework.desks.serving import configure_home\n"
        f"configure_home(c, folder={str(folder)!r})\n"
    )
    more = [f"--ServerApp.default_url=/doc/tree/{START_PAGE}"]
    more += ["--ServerApp.allow_remote_access=False"]
    try:
        env = lab_environment(state=state, token=token, settings=settings)
        door = None
        if CAN_BE_HANDED:
            opened = _first_free(first, retries, open_door)
            at = opened.getsockname()[1]
            door = EarlyDoor(opened, FrontEnd(state / "config"), token=token)
            env[DOOR] = " ".join(map(str, door.ends))
        else:
            at = _first_free(first, retries, _tried)
        command = server_command(root=folder, port=at, listen=HERE, more=more)
        handed = {"pass_fds": door.ends} if door else None
        process = start_process(command, cwd=folder, env=env, state=state, under=handed)
    except BaseException:
        shutil.rmtree(state, ignore_errors=True)
        raise
    server = HomeServer(process=process, state=state, token=token)
    if door is not None:
        server.base_url = f"http://{HERE}:{at}/"
        server.door = door
        door.begin()
    return server


def _tried(port: int) -> int:
    try_port(HERE, port)
    return port


def _first_free(first: int, more: int, take: Callable[[int], Taken]) -> Taken:
    """Take the first port that can be had, `first` or one of so many above it."""
    for one in range(first, first + more + 1):
        with contextlib.suppress(OSError):
            return take(one)
    raise CourseError(
        f"No port from {first} to {first + more} is free. Name another one: --port 9000"
    )


def _already_open(folder: Path) -> str | None:
    """Return the address of this folder's course if it is open on this computer."""
    try:
        note = json.loads((folder / OPEN_COURSE).read_bytes())
        here = note["computer"] == socket.gethostname()
        if here and answers_at(
            f"{note['base_url']}api/status", note["token"], seconds=BEGINS_WITHIN_S
        ):
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
    server: Server = (
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
            early = bool(server.base_url)  # its address is good before the server is up
            if not early:
                server.wait_until_up()
            _note_open(folder, server)
            _show(server.address(), open_browser=open_browser)
            _say("Leave this window open while you work. Stop with Ctrl+C; your entries are kept.")
            if early:
                server.wait_until_up()
            server.wait_for_its_end()
            course()  # where a mistake in a file of words is the reason, it is told here
            _say("The course page server ended by itself. Start it again: taperkey learn.")
            return 1
    except KeyboardInterrupt:
        _say("The course is closed. Your entries are kept in the course folder.")
        return 0
    finally:
        (folder / OPEN_COURSE).unlink(missing_ok=True)
        server.stop()
