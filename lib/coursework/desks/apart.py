"""Keeping the widgets of many pages in one process apart.

ipywidgets holds its widgets and their ways to the browser in places of the whole process. Here
each page has a table of its own, found by the context that the page runs in. A way to the browser
remembers its table: a widget that is collected closes itself in somebody else's turn.
"""

from __future__ import annotations

from collections.abc import Iterator, MutableMapping
from contextvars import ContextVar
from typing import Any, Protocol

import comm
from comm.base_comm import BaseComm, CommManager
from ipywidgets.widgets import widget as widget_module

import coursework.page.acts  # noqa: F401  - before any widget is made

__all__ = ["Table", "keep_apart", "sit_at"]


class _Send(Protocol):
    def __call__(
        self, kind: str, content: dict[str, Any], *, metadata: Any = None, buffers: Any = None
    ) -> None: ...


class Table:
    """The widgets of one page and their ways to the browser."""

    def __init__(self, send: _Send) -> None:
        self.send = send
        self.widgets: dict[str, Any] = {}
        self.comms: dict[str, BaseComm] = {}

    def clear(self) -> None:
        """Drop every widget; nothing more goes to the browser from any of them."""
        for way in self.comms.values():
            way._closed = True
        self.widgets, self.comms = {}, {}


_TABLE: ContextVar[Table | None] = ContextVar("table", default=None)


def sit_at(table: Table) -> None:
    """Let what runs in this context make its widgets at that table."""
    _TABLE.set(table)


class _Widgets(MutableMapping[str, Any]):
    """The widgets of the page at work; of the process where no page is at work."""

    def __init__(self, alone: MutableMapping[str, Any]) -> None:
        self._alone = alone

    def _now(self) -> MutableMapping[str, Any]:
        table = _TABLE.get()
        return self._alone if table is None else table.widgets

    def __getitem__(self, key: str) -> Any:
        return self._now()[key]

    def __setitem__(self, key: str, value: Any) -> None:
        self._now()[key] = value

    def __delitem__(self, key: str) -> None:
        del self._now()[key]

    def __iter__(self) -> Iterator[str]:
        return iter(list(self._now()))

    def __len__(self) -> int:
        return len(self._now())

    def __contains__(self, key: object) -> bool:
        return key in self._now()


class _Way(BaseComm):
    """A widget's way to the browser."""

    def __init__(self, table: Table, **given: Any) -> None:
        self.table = table
        super().__init__(**given)

    def publish_msg(
        self,
        msg_type: str,
        data: Any = None,
        metadata: Any = None,
        buffers: Any = None,
        **more: Any,
    ) -> None:
        content = {"data": data or {}, "comm_id": self.comm_id, **more}
        self.table.send(msg_type, content, metadata=metadata, buffers=buffers)

    def open(self, data: Any = None, metadata: Any = None, buffers: Any = None) -> None:
        self.table.comms[self.comm_id] = self
        self.publish_msg(
            "comm_open",
            data=self._open_data if data is None else data,
            metadata=metadata,
            buffers=buffers,
            target_name=self.target_name,
            target_module=self.target_module,
        )
        self._closed = False

    def close(
        self, data: Any = None, metadata: Any = None, buffers: Any = None, deleting: bool = False
    ) -> None:
        if self._closed:
            return
        self._closed = True
        self.table.comms.pop(self.comm_id, None)
        self.publish_msg("comm_close", data=data, metadata=metadata, buffers=buffers)


class _NoManager(CommManager):
    """What a page has in the place of the process's manager: nothing to register with."""

    def register_target(self, target_name: str, f: Any) -> None:
        return


_before: list[Any] = []


def keep_apart() -> None:
    """Keep the widgets of pages apart from now on; a second time changes nothing."""
    if not isinstance(widget_module._instances, _Widgets):
        widget_module._instances = _Widgets(widget_module._instances)
    if comm.create_comm is not _create:
        _before[:] = [comm.create_comm, comm.get_comm_manager]
        comm.create_comm = _create
        comm.get_comm_manager = _manager


def _create(*given: Any, **named: Any) -> BaseComm:
    table = _TABLE.get()
    made: BaseComm = _before[0](*given, **named) if table is None else _Way(table, **named)
    return made


def _manager() -> CommManager:
    found: CommManager = _before[1]() if _TABLE.get() is None else _NoManager()
    return found
