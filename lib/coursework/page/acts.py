"""A page's acts, one after the other, whatever the front end does.

A front end may send what was typed and the press that follows on two threads. Every message to
every widget of the page comes in through :meth:`Widget._handle_msg`; there it waits for its turn,
so that no act of a page meets another halfway. Importing this module is enough.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any

from ipywidgets import Widget

from coursework.page.here import here

__all__: list[str] = []


def _in_turn(handle: Callable[[Any, Any], None]) -> Callable[[Any, Any], None]:
    @functools.wraps(handle)
    def handled(widget: Any, message: Any) -> None:
        with here().turn:
            handle(widget, message)

    return handled


Widget._handle_msg = _in_turn(Widget._handle_msg)
