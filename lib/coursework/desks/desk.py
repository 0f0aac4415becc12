"""One open page: what runs it, inside the server, in a context of its own.

It answers the messages that a page needs and no others. A block is run only as the calls that
stand in the page as it was shipped (`calls`); of what a browser sends to a widget only what a hand
can do is let through (`hands`).
"""

from __future__ import annotations

import logging
import uuid
from collections import deque
from collections.abc import Callable, Mapping
from contextvars import copy_context
from datetime import UTC, datetime
from typing import Any

from coursework.desks.apart import Table, keep_apart, sit_at
from coursework.desks.calls import Call
from coursework.desks.hands import by_hand
from coursework.desks.wire import Message, packed
from coursework.desks.work import Row, Work
from coursework.page.here import Here, stand

__all__ = ["Desk"]

MOST_WAITING = 500  # acts that wait at one page; nobody's hand is so fast
MOST_WIDGETS = 6_000  # of a page in several windows
MOST_KEPT = 3_000  # messages kept for a browser that lost its connection
CONTROL = "jupyter.widget.control"
_STRANGE = "this page was sent something that it does not know"
_log = logging.getLogger("taperkey.desk")

Send = Callable[[bytes], None]
Cells = Mapping[str, tuple[Call, ...]]


class Desk:
    """What runs one page.

    Parameters
    ----------
    key : str
        Its name in messages.
    place : Here
        Where the page stands.
    cells : callable
        Returns the page's blocks with their calls; raises ``OSError`` where there is no such page.
    module : str
        Whose functions are called.
    work : Work
        Who does it.
    soon : callable
        Has something done by the server's own thread.
    """

    def __init__(
        self,
        *,
        key: str,
        place: Here,
        cells: Callable[[], Cells],
        module: str,
        work: Work,
        soon: Callable[..., Any],
    ) -> None:
        keep_apart()
        self.key, self._place, self._cells, self._module = key, place, cells, module
        self._soon = soon
        self._row = Row(work)
        self._told: list[bytes] = []
        self._parent: dict[str, Any] = {}
        self._count = 0
        self._controls: set[str] = set()
        self._listeners: dict[Send, Callable[[], None]] = {}
        self._windows: dict[str, Send] = {}
        self._kept: deque[bytes] = deque()
        self._life = uuid.uuid4().hex
        self.state = "idle"
        self.last = datetime.now(UTC)
        self.table = Table(self._from_widget)
        self._context = copy_context()
        self._context.run(stand, place)
        self._context.run(sit_at, self.table)

    # in the server's own thread

    @property
    def connected(self) -> int:
        """How many browsers are connected."""
        return len(self._listeners)

    def listen(
        self, send: Send, end: Callable[[], None] = lambda: None, *, window: str = ""
    ) -> None:
        """Send everything there from now on, and what was kept meanwhile.

        A window that comes back has one way: what it sent on an older one, and what comes from
        there only now, would be taken after what it sends today.
        """
        old = self._windows.get(window) if window else None
        if old is not None and old in self._listeners:
            self._listeners.pop(old)()
        if window:
            self._windows[window] = send
        self._listeners[send] = end
        kept, self._kept = list(self._kept), deque()
        for raw in kept:
            send(raw)

    def leave(self, send: Send) -> None:
        """Send nothing there any more."""
        self._listeners.pop(send, None)
        self._windows = {key: one for key, one in self._windows.items() if one != send}

    def take(self, message: Message) -> bool:
        """Put a message into the row; False where too many wait there."""
        if len(self._row) >= MOST_WAITING:
            return False
        self.last = datetime.now(UTC)
        self._row.add(lambda: self._context.run(self._handle, message))
        return True

    @property
    def waits(self) -> bool:
        """Whether something waits or is being done."""
        return self._row.busy

    def begin_again(self) -> None:
        """Drop all that is open; what was typed is in the files."""
        self._row.add(lambda: self._context.run(self._clear))

    def dismiss(self) -> None:
        """Cut every browser off, and drop all that is open."""
        for end in list(self._listeners.values()):
            end()
        self._listeners.clear()
        self.begin_again()

    def _deliver(self, told: list[bytes]) -> None:
        if self._listeners:
            for send in list(self._listeners):
                for raw in told:
                    send(raw)
            return
        self._kept.extend(told)
        if len(self._kept) > MOST_KEPT:
            self._kept.clear()
            self._life = uuid.uuid4().hex  # a page that comes back runs again

    # in one of the threads, in the page's own context

    def _pack(self, channel: str, kind: str, content: dict[str, Any], **more: Any) -> bytes:
        return packed(channel, kind, content, parent=self._parent, session=self.key, **more)

    def _tell(self, channel: str, kind: str, content: dict[str, Any], **more: Any) -> None:
        self._told.append(self._pack(channel, kind, content, **more))

    def _from_widget(
        self, kind: str, content: dict[str, Any], *, metadata: Any = None, buffers: Any = None
    ) -> None:
        self._tell("iopub", kind, content, metadata=metadata, buffers=buffers)

    def _handle(self, message: Message) -> None:
        self._parent = message.header
        self._state("busy")
        try:
            answer = getattr(self, f"_on_{message.kind}", None)
            if answer is None:
                self._reply(message, {"status": "error", "ename": "Unknown", "evalue": _STRANGE})
            else:
                answer(message)
        except Exception:
            _log.exception("a page did not answer %s", message.kind[:40])
        self._state("idle")
        told, self._told = self._told, []
        self._soon(self._deliver, told)

    def _state(self, now: str) -> None:
        self.state = now
        self._tell("iopub", "status", {"execution_state": now})

    def _reply(self, message: Message, content: dict[str, Any]) -> None:
        kind = message.kind.removesuffix("_request") + "_reply"
        if message.kind.endswith("_request"):
            self._tell(message.channel, kind, {"status": "ok", **content})

    def _may_clear(self) -> bool:
        """Say whether no second window of the page works with what is open."""
        return self.connected < 2 or len(self.table.widgets) > MOST_WIDGETS

    def _clear(self) -> None:
        self.table.clear()
        self._place.opened.clear()
        self._controls.clear()

    def _on_kernel_info_request(self, message: Message) -> None:
        language = {"name": "python", "version": "3", "mimetype": "text/x-python"}
        language |= {"file_extension": ".py", "pygments_lexer": "python", "nbconvert_exporter": ""}
        told = {
            "protocol_version": "5.3",
            "implementation": "page",
            "implementation_version": self._life,  # another one: what was open is lost
            "language_info": language,
            "banner": "",
            "help_links": [],
            "supported_features": [],
        }
        self._reply(message, told)

    def _on_history_request(self, message: Message) -> None:
        self._reply(message, {"history": []})

    def _on_comm_info_request(self, message: Message) -> None:
        ways = {key: {"target_name": way.target_name} for key, way in self.table.comms.items()}
        self._reply(message, {"comms": ways})

    def _on_shutdown_request(self, message: Message) -> None:
        self._reply(message, {"restart": False})

    def _on_interrupt_request(self, message: Message) -> None:
        self._reply(message, {})

    def _on_execute_request(self, message: Message) -> None:
        code = message.content.get("code")
        count = {"execution_count": self._count + 1}
        try:
            cells = self._cells()
            if not isinstance(code, str) or code not in cells:
                raise ValueError("it was asked to do what does not stand on it")
            if code == next(iter(cells)) and self._may_clear():
                self._clear()
            self._count += 1
            self._tell("iopub", "execute_input", {"code": code, **count})
            shown = None
            for call in cells[code]:
                shown = call.do(self._module)
        except (ValueError, OSError, MemoryError) as refused:
            self._refuse(message, str(refused) or "this computer has no memory left")
        except Exception:
            _log.exception("a block of a page stopped")
            self._refuse(message, "something in it does not work")
        else:
            if shown is not None:
                result = {"data": shown._repr_mimebundle_() or {}, "metadata": {}, **count}
                self._tell("iopub", "execute_result", result)
            self._reply(message, {"payload": [], "user_expressions": {}, **count})

    def _refuse(self, message: Message, why: str) -> None:
        told = {"ename": "Stopped", "evalue": why, "traceback": [why]}
        self._tell("iopub", "error", told)
        self._reply(message, {"status": "error", "execution_count": self._count, **told})

    def _on_comm_open(self, message: Message) -> None:
        key, target = message.content.get("comm_id"), message.content.get("target_name")
        if not isinstance(key, str) or len(key) > 64:
            return
        if target == CONTROL and len(self._controls) < 8:
            self._controls.add(key)
        else:
            self._tell("iopub", "comm_close", {"comm_id": key, "data": {}})

    def _on_comm_msg(self, message: Message) -> None:
        key = message.content.get("comm_id")
        if not isinstance(key, str):
            return
        if key in self._controls:
            self._tell_states(key, message)
            return
        widget, way = self.table.widgets.get(key), self.table.comms.get(key)
        if widget is None or way is None:
            return
        asked = by_hand(widget, message.content.get("data"))
        if asked is not None:
            way.handle_msg({"content": {"data": asked, "comm_id": key}, "buffers": []})

    def _on_comm_close(self, message: Message) -> None:
        key = message.content.get("comm_id")
        if isinstance(key, str):
            self._controls.discard(key)

    def _tell_states(self, key: str, message: Message) -> None:
        data = message.content.get("data")
        if not isinstance(data, dict) or data.get("method") != "request_states":
            return
        states = {
            one.model_id: {
                "model_name": one._model_name,
                "model_module": one._model_module,
                "model_module_version": one._model_module_version,
                "state": one.get_state(),
            }
            for one in list(self.table.widgets.values())
        }
        told = {"method": "update_states", "states": states, "buffer_paths": []}
        self._tell("iopub", "comm_msg", {"comm_id": key, "data": told})
