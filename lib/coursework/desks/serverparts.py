"""What stands in the place of the server's own kernels, sessions and files.

Each asks who is asking: nobody sees, opens or ends what is another's. Pages are read only and come
from the installed course; to save one changes nothing.
"""

# mypy: disable-error-code="override"

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from pathlib import PurePosixPath
from typing import Any

from jupyter_server._tz import utcfromtimestamp
from jupyter_server.base.call_context import CallContext
from jupyter_server.services.contents.manager import AsyncContentsManager
from jupyter_server.services.kernels.connection.base import BaseKernelWebsocketConnection
from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager
from tornado import web
from traitlets import Any as AnyTrait
from traitlets import Unicode
from traitlets.config import LoggingConfigurable

from coursework.desks.desk import Desk
from coursework.desks.seating import Person, Seat, Seating
from coursework.desks.wire import WireError, read

__all__ = ["DeskKernels", "DeskPages", "DeskSessions", "DeskWay", "asking"]

PROTOCOL = "v1.kernel.websocket.jupyter.org"


def asking(seating: Seating) -> Person:
    """Return who asks; raises 403 where that is nobody in the class."""
    handler: Any = CallContext.get(CallContext.JUPYTER_HANDLER)
    user = getattr(handler, "current_user", None)
    person = seating.person(user.number) if user is not None else None
    if person is None:
        raise web.HTTPError(403)
    return person


class _Handle(LoggingConfigurable):
    """A page's desk as the server's way to it wants to see it."""

    kernel_id = Unicode()
    seating: Any = AnyTrait()
    seat: Any = AnyTrait()


class DeskKernels(AsyncMappingKernelManager):
    """The desks, as the server's kernels."""

    seating: Seating  # given by `serving.configure`

    def _mine(self, kernel_id: str) -> Seat:
        person = asking(self.seating)
        for seat in self.seating.seats_of(person):
            if seat.desk_key == kernel_id:
                return seat
        raise web.HTTPError(404)

    def _model(self, seat: Seat) -> dict[str, Any]:
        desk = seat.desk
        return {
            "id": seat.desk_key,
            "name": "python3",
            "last_activity": (desk.last if desk else datetime.now(UTC)).isoformat(),
            "execution_state": desk.state if desk else "idle",
            "connections": desk.connected if desk else 0,
        }

    def __contains__(self, kernel_id: str) -> bool:
        """Say whether there is such a desk."""
        return any(seat.desk_key == kernel_id for seat in self.seating.seats.values())

    def __len__(self) -> int:
        """Say that there is nothing for the server to end."""
        return 0

    def list_kernel_ids(self) -> list[str]:
        """Return none: the desks end with the class."""
        return []

    def list_kernels(self) -> list[dict[str, Any]]:
        """Return the desks of whoever asks."""
        return [self._model(seat) for seat in self.seating.seats_of(asking(self.seating))]

    def kernel_model(self, kernel_id: str) -> dict[str, Any]:
        """Return one desk of whoever asks."""
        return self._model(self._mine(kernel_id))

    def get_kernel(self, kernel_id: str) -> _Handle:
        """Return the way to a desk of whoever asks."""
        seat = self._mine(kernel_id)
        return _Handle(kernel_id=kernel_id, seating=self.seating, seat=seat)

    async def start_kernel(self, **_: Any) -> str:
        """Refuse: a desk comes with its page."""
        raise web.HTTPError(403)

    async def shutdown_kernel(self, kernel_id: str, **_: Any) -> None:
        """Close the page that the desk belongs to."""
        self.seating.stand_up(self._mine(kernel_id))

    async def shutdown_all(self, now: bool = False) -> None:
        """End all work."""

    async def interrupt_kernel(self, kernel_id: str) -> None:
        """Do nothing: no act of a page lasts."""
        self._mine(kernel_id)

    async def restart_kernel(self, kernel_id: str, now: bool = False) -> None:
        """Let a page begin again."""
        seat = self._mine(kernel_id)
        if seat.desk is not None:
            seat.desk.begin_again()


class DeskWay(BaseKernelWebsocketConnection):
    """The way between a browser and its page's desk."""

    _desk: Desk | None = None

    @classmethod
    async def close_all(cls) -> None:
        """Nothing is left open."""

    async def connect(self) -> None:
        """Connect, where both speak the same way and the page is one of the course."""
        handler = self.websocket_handler
        handle: Any = self.parent
        if handler.selected_subprotocol != PROTOCOL:
            handler.close(1002)
            return
        handler.set_nodelay(True)
        try:
            self._desk = handle.seating.desk(handle.seat)
        except OSError:
            handler.close(1008)
            return
        window = handler.get_argument("session_id", "")
        self._desk.listen(self._send, self._end, window=window)
        handle.seating.ways.add(handler)

    def _send(self, raw: bytes) -> None:
        handler = self.websocket_handler
        if handler.ws_connection is not None:
            handler.write_message(raw, binary=True)

    def _end(self) -> None:
        self._desk = None  # what comes late on this way is not taken
        self.websocket_handler.close(1001)

    def disconnect(self) -> None:
        """Leave the desk; it goes on."""
        handle: Any = self.parent
        handle.seating.ways.discard(self.websocket_handler)
        if self._desk is not None:
            self._desk.leave(self._send)
            self._desk = None

    def handle_incoming_message(self, incoming_msg: Any) -> None:
        """Put what came into the desk's row; who sends what cannot be read is cut off."""
        handle: Any = self.parent
        if self._desk is None:
            return
        seating, seat = handle.seating, handle.seat
        user = self.websocket_handler.current_user
        still = seat.key in seating.seats and user is not None and seating.stays(user)
        try:
            if still and self._desk.take(read(incoming_msg)):
                return
        except WireError as error:
            self.log.warning("cut off: %s", error)
        self.websocket_handler.close(1008)


class DeskSessions(LoggingConfigurable):
    """Open pages, as the server's sessions; found by whose they are, never by path alone."""

    kernel_manager: Any = AnyTrait()
    contents_manager: Any = AnyTrait()

    @property
    def _school(self) -> Seating:
        seating: Seating = self.kernel_manager.seating
        return seating

    def _mine(self, session_id: str | None) -> Seat:
        person = asking(self._school)
        seat = self._school.seats.get(session_id or "")
        if seat is None or seat.number != person.number:
            raise web.HTTPError(404)
        return seat

    def _model(self, seat: Seat) -> dict[str, Any]:
        return {
            "id": seat.key,
            "path": seat.path,
            "name": seat.name,
            "type": "notebook",
            "kernel": self.kernel_manager._model(seat),
            "notebook": {"path": seat.path, "name": seat.name},
        }

    async def session_exists(self, path: str) -> bool:
        """Say no: each window has a page of its own."""
        return False

    async def create_session(
        self, path: Any = None, name: Any = None, type: Any = None, **_: Any
    ) -> dict[str, Any]:
        """Open a page for whoever asks."""
        if type != "notebook" or not _short(path) or not _short(name):
            raise web.HTTPError(400)
        person = asking(self._school)
        if not self._school.folder_of(path):
            raise web.HTTPError(404)
        return self._model(self._school.sit(person, path, name))

    async def get_session(self, session_id: Any = None, **_: Any) -> dict[str, Any]:
        """Return an open page of whoever asks."""
        return self._model(self._mine(session_id))

    async def update_session(
        self, session_id: str, path: Any = None, name: Any = None, **more: Any
    ) -> None:
        """Take up which page it is."""
        seat = self._mine(session_id)
        if "kernel_id" in more and more["kernel_id"] != seat.desk_key:
            raise web.HTTPError(403)
        if _short(name):
            seat.name = name
        if _short(path) and not self._school.move(seat, path):
            raise web.HTTPError(403)

    async def list_sessions(self) -> list[dict[str, Any]]:
        """Return the open pages of whoever asks."""
        return [self._model(seat) for seat in self._school.seats_of(asking(self._school))]

    async def delete_session(self, session_id: str) -> None:
        """Close a page."""
        self._school.stand_up(self._mine(session_id))

    def close(self) -> None:
        """Nothing is left open."""


def _short(text: Any) -> bool:
    return isinstance(text, str) and 0 < len(text) <= 200


class DeskPages(AsyncContentsManager):
    """The pages of the course, the same for all, read only."""

    seating: Seating  # given by `serving.configure`
    _read: dict[str, dict[str, Any]]

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self._read = {}

    def get_extra_handlers(self) -> list[Any]:
        """Return none: files have a door of their own."""
        return []

    async def is_hidden(self, path: str) -> bool:
        """Say whether a path is hidden; none of the course's pages is."""
        return any(part.startswith(".") for part in PurePosixPath(path).parts)

    async def file_exists(self, path: str = "") -> bool:
        """Say whether this is a page of the course."""
        return path.strip("/") in self.seating.pages

    async def dir_exists(self, path: str) -> bool:
        """Say whether this is a folder of the course."""
        inside = path.strip("/")
        return not inside or any(name.startswith(f"{inside}/") for name in self.seating.pages)

    async def get(
        self,
        path: str,
        content: bool = True,
        type: str | None = None,
        format: str | None = None,
        require_hash: bool = False,
    ) -> dict[str, Any]:
        """Return a page, or an empty folder: there is nothing to choose from."""
        inside = path.strip("/")
        if inside in self.seating.pages and type in (None, "notebook"):
            return self._page(inside, content, require_hash)
        if await self.dir_exists(inside) and type in (None, "directory"):
            now = datetime(2026, 1, 1, tzinfo=UTC)
            model = self._head(inside, "directory", now, now)
            return model | {"content": [] if content else None, "format": "json"}
        raise web.HTTPError(404)

    def _head(self, path: str, kind: str, made: Any, changed: Any) -> dict[str, Any]:
        return {
            "name": PurePosixPath(path).name,
            "path": path,
            "type": kind,
            "created": made,
            "last_modified": changed,
            "writable": True,  # else a badge stands on each page; a save changes nothing
            "mimetype": None,
            "content": None,
            "format": None,
        }

    def _page(self, path: str, content: bool, require_hash: bool) -> dict[str, Any]:
        if path not in self._read:
            file = self.seating.pages[path]
            when = utcfromtimestamp(int(file.stat().st_mtime))
            raw = file.read_bytes()
            page = json.loads(raw)
            for cell in page["cells"]:
                cell["source"] = "".join(cell["source"])
                cell["metadata"] |= {"editable": False, "deletable": False}
                if cell["cell_type"] == "code":
                    cell["metadata"]["trusted"] = True
                    cell["outputs"], cell["execution_count"] = [], None
            whole = self._head(path, "notebook", when, when)
            whole |= {"hash": hashlib.sha256(raw).hexdigest(), "hash_algorithm": "sha256"}
            self._read[path] = whole | {"content": page, "format": "json"}
        model = dict(self._read[path])
        if not require_hash:
            model |= {"hash": None, "hash_algorithm": None}
        return model if content else model | {"content": None, "format": None}

    async def save(self, model: dict[str, Any], path: str = "") -> dict[str, Any]:
        """Change nothing; the page is as it was."""
        return await self.get(path, content=False)

    async def create_checkpoint(self, path: str) -> dict[str, Any]:
        """Change nothing."""
        return {"id": "page", "last_modified": (await self.get(path, False))["last_modified"]}

    async def list_checkpoints(self, path: str) -> list[dict[str, Any]]:
        """Return none."""
        return []

    async def _no(self, *_: Any, **__: Any) -> None:
        raise web.HTTPError(403)

    delete_file = rename_file = restore_checkpoint = delete_checkpoint = _no
    new_untitled = new = copy = update = delete = rename = _no

    async def trust_notebook(self, path: str) -> None:
        """Nothing to do: the pages are the course's own."""
