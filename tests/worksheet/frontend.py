"""What a front end does to a page: messages to its widgets, on one thread or on two at once."""

import sys
import threading
from collections.abc import Callable, Iterator
from typing import Any

import comm


def _send(widget: Any, data: dict[str, Any]) -> None:
    message = {"content": {"comm_id": widget.comm.comm_id, "data": data}, "buffers": []}
    comm.get_comm_manager().comm_msg(None, None, message)


def type_in(box: Any, value: Any) -> None:
    """Commit a box, as Enter and leaving it do: nothing is sent when nothing changed."""
    if box.value != value:
        listed = getattr(box, "options", None)  # of a list the place is sent
        state = {"value": value} if listed is None else {"index": list(listed).index(value)}
        _send(box, {"method": "update", "state": state, "buffer_paths": []})


def press(button: Any) -> None:
    """Press a button."""
    _send(button, {"method": "custom", "content": {"event": "click"}})


def at_once(*acts: Callable[[], None]) -> None:
    """Do acts on a thread each, begun together; the threads take turns as often as they can."""
    start = threading.Barrier(len(acts))

    def run(act: Callable[[], None]) -> None:
        start.wait()
        act()

    threads = [threading.Thread(target=run, args=[act]) for act in acts]
    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        for one in threads:
            one.start()
        for one in threads:
            one.join()
    finally:
        sys.setswitchinterval(before)


def all_of(widget: Any) -> Iterator[Any]:
    """Give a widget and everything in it."""
    yield widget
    for child in getattr(widget, "children", ()):
        yield from all_of(child)


def button_of(widget: Any, words: str) -> Any:
    """Return the button with these words."""
    found = [one for one in all_of(widget) if getattr(one, "description", "") == words]
    assert len(found) == 1, [getattr(one, "description", "") for one in all_of(widget)]
    return found[0]
