"""The door of the course at home, open before its server is there.

A server takes a while to begin, and a browser a while to load the front end: here the browser gets
the front end's files meanwhile. Whatever else it asks for waits until the server listens, and is
then handed over as it came, unread. Only where a socket can be handed to another process: elsewhere
than on POSIX systems there is no early door.
"""

from __future__ import annotations

import contextlib
import hmac
import os
import re
import select
import socket
import threading
import time
from urllib.parse import parse_qs, urlsplit

from coursework.desks.frontend import Answer, FrontEnd

__all__ = ["CAN_BE_HANDED", "EarlyDoor", "open_door"]

CAN_BE_HANDED = os.name != "nt" and hasattr(socket, "send_fds")  # a socket, to another process

_LOOK_S = 0.05
_LARGEST_HEAD = 65_536
_HEAD_S = 10.0
_PAGE = re.compile(r"doc/tree/(lessons/[\w-]+\.ipynb)")
_HTML = "text/html; charset=UTF-8"


def open_door(port: int) -> socket.socket:
    """Return a socket where browsers of this computer can come in.

    Raises
    ------
    OSError
        The port is taken, or not allowed.
    """
    door = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        door.bind(("127.0.0.1", port))
        door.listen(128)
    except OSError:
        door.close()
        raise
    return door


class EarlyDoor:
    """Lets browsers in until the server does, and hands it those who wait.

    Parameters
    ----------
    door : socket
        Where they come in; the server holds it as well.
    front : FrontEnd
        What they can have at once.
    token : str
        Word of the address; without it no page is given.
    """

    def __init__(self, door: socket.socket, front: FrontEnd, *, token: str) -> None:
        self._door, self._front, self._token = door, front, token
        self._ours, self._theirs = socket.socketpair()
        self._over = threading.Event()  # the server listens, or never will
        self._sends = threading.Lock()
        self._inside: list[threading.Thread] = []
        self._at_door = threading.Thread(target=self._watch_door, daemon=True)

    @property
    def ends(self) -> tuple[int, int]:
        """What the server is handed: the door, and the way on which it gets those who came."""
        return self._door.fileno(), self._theirs.fileno()

    def begin(self) -> None:
        """Let in whoever comes, once the server has been started with its own ends."""
        self._theirs.close()
        self._at_door.start()

    def server_listens(self, seconds: float) -> bool:
        """Wait for the server to say so; from then on only it lets anybody in."""
        if not self._over.is_set() and select.select([self._ours], [], [], seconds)[0]:
            if not self._ours.recv(1):  # it has ended before
                time.sleep(_LOOK_S)
                return False
            self._over.set()
            self._at_door.join()
            for one in self._inside:
                one.join(_HEAD_S)
            self._ours.close()
        return self._over.is_set()

    def close(self) -> None:
        """Send everybody home who still waits: no server will come."""
        if self._over.is_set():
            return
        self._ours.close()  # nobody is handed over any more
        self._over.set()
        self._at_door.join()

    def _watch_door(self) -> None:
        while not self._over.is_set():
            if not select.select([self._door], [], [], _LOOK_S)[0]:
                continue
            with contextlib.suppress(OSError):
                visitor, _ = self._door.accept()
                thread = threading.Thread(target=self._receive, args=(visitor,), daemon=True)
                self._inside.append(thread)
                thread.start()
        self._door.close()

    def _receive(self, visitor: socket.socket) -> None:
        """Answer one connection while the front end's files are asked for, then hand it over."""
        with contextlib.suppress(OSError), visitor:
            visitor.setblocking(True)
            visitor.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            while (head := self._look(visitor)) is not None:
                found = None if self._over.is_set() else self._answer(head)
                if found is None:
                    self._hand_over(visitor)
                    return
                visitor.recv(len(head))
                visitor.sendall(found)

    def _look(self, visitor: socket.socket) -> bytes | None:
        """Return the head of the next request, which stays where it is; None at the end.

        Empty where the server listens before all of it has come.
        """
        begun = 0.0
        while not self._over.is_set():
            if not select.select([visitor], [], [], _LOOK_S)[0]:
                continue
            seen = visitor.recv(_LARGEST_HEAD, socket.MSG_PEEK)
            if not seen:
                return None
            end = seen.find(b"\r\n\r\n")
            if end >= 0:
                return seen[: end + 4]
            begun = begun or time.monotonic()
            if len(seen) >= _LARGEST_HEAD or time.monotonic() - begun > _HEAD_S:
                return None
            time.sleep(_LOOK_S / 10)
        return b""

    def _answer(self, head: bytes) -> bytes | None:
        """Return what is sent for a request; None where the server must be waited for."""
        first, *lines = head.decode("latin-1").split("\r\n")
        method, _, rest = first.partition(" ")
        told = {
            key.lower(): value.strip() for key, _, value in (one.partition(":") for one in lines)
        }
        if method != "GET" or told.keys() & {"content-length", "transfer-encoding"}:
            return None
        try:
            asked = urlsplit(rest.rpartition(" ")[0])
        except ValueError:  # an address that is none: the server says so
            return None
        more = parse_qs(asked.query)
        path = asked.path.removeprefix(self._front.base)
        page = _PAGE.fullmatch(path)
        if page and self._known(more.get("token", [""])[0]):
            return _sent(Answer(self._front.page(page.group(1), token=self._token), _HTML))
        if self._known(told.get("authorization", "").removeprefix("token ")):
            found = self._front.told(path, names_only=more.get("ids_only") == ["true"])
            if found is not None:
                return _sent(Answer(found, "application/json"))
        file = self._front.answer(path)
        return None if file is None else _sent(file)

    def _known(self, word: str) -> bool:
        """Say whether it is the word of the address; the server knows others by their cookie."""
        return hmac.compare_digest(word.encode(), self._token.encode())

    def _hand_over(self, visitor: socket.socket) -> None:
        self._over.wait()
        with self._sends, contextlib.suppress(OSError):
            socket.send_fds(self._ours, [b"1"], [visitor.fileno()])


def _sent(found: Answer) -> bytes:
    lines = (
        "HTTP/1.1 200 OK",
        f"Content-Type: {found.kind}",
        f"Content-Length: {len(found.content)}",
        f"Cache-Control: {found.keep}",
        "X-Content-Type-Options: nosniff",
        "Content-Security-Policy: frame-ancestors 'self'",
    )
    return "\r\n".join(lines).encode() + b"\r\n\r\n" + found.content
