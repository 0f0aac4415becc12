"""What a browser may ask of a widget: what a hand can do, within what the widget allows."""

from __future__ import annotations

import math
from typing import Any

__all__ = ["by_hand"]

LONGEST_TEXT = 60_000
FARTHEST = 1e12
MOST_VALUES = 200
#: What a person changes by typing, choosing, sliding and folding.
_CHANGED = frozenset({"value", "index", "selected_index"})


def by_hand(widget: Any, data: Any) -> dict[str, Any] | None:
    """Return what is left of a request when only a person's acts are let through; None for nothing.

    Parameters
    ----------
    widget : Widget
        Whom it is for.
    data : object
        What the browser sent.
    """
    if not isinstance(data, dict):
        return None
    method = data.get("method")
    if method == "request_state":
        return {"method": method}
    if getattr(widget, "disabled", False):
        return None
    if method == "custom":
        pressed = data.get("content") == {"event": "click"} and hasattr(widget, "click")
        return {"method": method, "content": {"event": "click"}} if pressed else None
    state = data.get("state")
    if method != "update" or not isinstance(state, dict):
        return None
    kept = {
        name: value
        for name, value in state.items()
        if name in _CHANGED
        and name in widget.keys
        and _usable(name, value)
        and _meant(widget, name)
    }
    return {"method": method, "state": kept, "buffer_paths": []} if kept else None


def _meant(widget: Any, name: str) -> bool:
    """Say whether a hand can change this: a text that is only shown has a value, too."""
    return name != "value" or widget._model_name not in ("HTMLModel", "HTMLMathModel", "LabelModel")


def _usable(name: str, value: Any) -> bool:
    if value is None or isinstance(value, bool):
        return True
    if isinstance(value, str):
        return len(value) <= LONGEST_TEXT
    if isinstance(value, int | float):
        return math.isfinite(value) and abs(value) <= FARTHEST
    if isinstance(value, list):
        return len(value) <= MOST_VALUES and all(
            not isinstance(one, list | dict) and _usable(name, one) for one in value
        )
    return False
