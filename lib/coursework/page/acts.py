"""A page's acts, one after the other, whatever the front end does.

A front end may send what was typed and the press that follows on two threads. Every message to
every widget of the page comes in through :meth:`Widget._handle_msg`; there it waits for its turn,
so that no act of a page meets another halfway. Importing this module is enough.
"""

from __future__ import annotations

import functools
import threading
from collections.abc import Callable
from typing import Any

from ipywidgets import Widget

__all__ = ["TURN"]

#: Held while a message of the page is handled; a page is a process.
TURN = threading.RLock()


def _in_turn(handle: Callable[[Any, Any], None]) -> Callable[[Any, Any], None]:
    @functools.wraps(handle)
    def handled(widget: Any, message: Any) -> None:
        with TURN:
            handle(widget, message)

    return handled


Widget._handle_msg = _in_turn(Widget._handle_msg)
