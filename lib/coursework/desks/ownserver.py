"""The server of pages: jupyter_server's, which can be handed a door that is open already.

`learn` opens the door before this server is there, and answers browsers for the front end's files
(`earlydoor`). Whoever asks for more waits there, and is handed over once the server listens.
"""

from __future__ import annotations

import os
import socket
from typing import Any

from jupyter_server.serverapp import ServerApp
from tornado.httpserver import HTTPServer
from tornado.iostream import IOStream

from coursework.desks.starting import DOOR

__all__ = ["PageServer", "main"]

_MOST_AT_ONCE = 32


class PageServer(ServerApp):
    """The server; where it was handed a door it opens none."""

    def init_httpserver(self) -> None:
        """Make the server that listens, at the given door or at one of its own."""
        given = os.environ.pop(DOOR, "")
        if not given:
            super().init_httpserver()
            return
        door, way = (socket.socket(fileno=int(one)) for one in given.split())
        self._http_server: Any = HTTPServer(
            self.web_app,
            max_body_size=self.max_body_size,
            max_buffer_size=self.max_buffer_size,
        )
        self.io_loop.add_callback(self._take_over, door, way)

    def _take_over(self, door: socket.socket, way: socket.socket) -> None:
        """Listen at the door, say so, and take those who came before."""
        for one in (door, way):
            one.setblocking(False)
        self._http_server.add_socket(door)
        self.io_loop.add_handler(way, self._take, self.io_loop.READ)
        way.send(b"1")

    def _take(self, way: Any, _events: int) -> None:
        word: bytes = b""
        handed: list[int] = []
        try:
            word, handed, *_ = socket.recv_fds(way, 1, _MOST_AT_ONCE)
        except BlockingIOError:
            return
        except OSError:
            pass  # whoever let them in is gone
        for one in handed:
            visitor = socket.socket(fileno=one)
            try:
                address = visitor.getpeername()
            except OSError:  # gone meanwhile
                visitor.close()
                continue
            stream = IOStream(visitor, max_buffer_size=self.max_buffer_size)
            self._http_server.handle_stream(stream, address)
        if not word:  # whoever came before is here
            self.io_loop.remove_handler(way)
            way.close()


main = PageServer.launch_instance
