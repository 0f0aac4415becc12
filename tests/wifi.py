"""A shop's Wi-Fi between browsers and a server: it can go silent, be cut off, be slow.

Bytes are handed on in their order. `hold` lets nothing through and cuts nothing, as where somebody
walks out of reach; `cut` ends every connection and takes no new one; `late_s` is how long each
piece is under way, and `lost` the share of pieces that come a second later still, as where they had
to be sent again.
"""

from __future__ import annotations

import contextlib
import random
import select
import socket
import threading
import time
from types import TracebackType

__all__ = ["Wifi"]

AGAIN_S = 1.0  # a piece that was lost is sent again after about so long: RFC 6298, 2.1
PIECE = 16_384


class Wifi:
    """A port of this computer that leads to another, through the air.

    Parameters
    ----------
    to : int
        Port of the server.
    late_s : float
        How long a piece is under way, one way [s].
    lost : float
        Share of the pieces that are lost once.
    """

    def __init__(self, to: int, *, late_s: float = 0.0, lost: float = 0.0) -> None:
        self._to, self._late_s, self._lost = to, late_s, lost
        self._draw = random.Random(1)
        self._flows = threading.Event()
        self._flows.set()
        self._is_cut = False
        self._ends = False
        self._open: set[socket.socket] = set()
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._door.getsockname()[1]
        self.pieces = 0
        threading.Thread(target=self._take, daemon=True).start()

    def __enter__(self) -> Wifi:
        """Be there."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """End every connection, and the port."""
        self._ends = True
        self._flows.set()
        self._door.close()
        self._end_all()

    @property
    def address(self) -> str:
        """Where browsers go."""
        return f"http://127.0.0.1:{self.port}"

    def hold(self) -> None:
        """Let nothing through from now on; both sides believe that they are connected."""
        self._flows.clear()

    def cut(self) -> None:
        """End every connection, and take no new one."""
        self._is_cut = True
        self._end_all()

    def come_back(self) -> None:
        """Let everything through again, what was held first."""
        self._is_cut = False
        self._flows.set()

    def end_what_is_open(self) -> None:
        """End every connection that there is; new ones are taken."""
        self._end_all()

    def _end_all(self) -> None:
        for one in list(self._open):
            with contextlib.suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)

    def _take(self) -> None:
        while not self._ends:
            try:
                near, _ = self._door.accept()
            except OSError:
                return
            if self._is_cut:
                near.close()
                continue
            try:
                far = socket.create_connection(("127.0.0.1", self._to))
            except OSError:
                near.close()
                continue
            self._open |= {near, far}
            for one, other in ((near, far), (far, near)):
                one.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                threading.Thread(target=self._carry, args=(one, other), daemon=True).start()

    def _carry(self, one: socket.socket, other: socket.socket) -> None:
        """Hand on what comes from one side to the other."""
        under_way: list[tuple[float, bytes]] = []
        last = 0.0
        ended = False
        with contextlib.suppress(OSError, ValueError):
            while under_way or not ended:
                wait = max(0.0, under_way[0][0] - time.monotonic()) if under_way else 0.5
                came = not ended and bool(select.select([one], [], [], wait)[0])
                if ended:
                    time.sleep(wait)
                if came:
                    piece = one.recv(PIECE)
                    ended = not piece
                    late = AGAIN_S if self._draw.random() < self._lost else 0.0
                    last = max(last, time.monotonic() + self._late_s + late)  # in their order
                    under_way.append((last, piece))
                    self.pieces += 1
                while under_way and under_way[0][0] <= time.monotonic():
                    self._flows.wait()
                    piece = under_way.pop(0)[1]
                    if piece:
                        other.sendall(piece)
                    else:
                        other.shutdown(socket.SHUT_WR)
        for each in (one, other):
            with contextlib.suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)
        self._open.discard(one)
