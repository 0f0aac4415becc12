"""The contents of a lesson: its units with their minutes, what is finished, and where to go on.

The list stands on the lesson's first page. The front end shows it at the side as well, shows one
unit at a time, and says back which unit was read to its end, by way of a box that nobody sees.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import Any

import ipywidgets as widgets

import coursework.page.acts  # noqa: F401  - before any widget is made
from coursework.course import PAGES
from coursework.page.entries import EntriesFile
from coursework.page.units import DONE, HALF, OPEN, here_next, mark_read, states_of
from coursework.unit import Unit

__all__ = ["STATE_WORDS", "go_on_link", "state_sign", "unit_contents"]

#: How a unit stands, in words; the sign before it says the same.
STATE_WORDS = {DONE: "done", HALF: "begun", OPEN: "not begun"}
_SIGNS = {DONE: "ok", HALF: "half", OPEN: "open"}


def state_sign(state: str) -> str:
    """Return the sign of a state, with its words for whoever cannot see it."""
    return f'<span class="tk-sign tk-sign-{_SIGNS[state]}">{STATE_WORDS[state]}: </span>'


def go_on_link(
    *, page: str, unit: Unit, head: str, under: str, here: bool = False, strong: bool = True
) -> str:
    """Return the one large link that leads on to a unit."""
    path = f"{page}.ipynb"
    look = "tk-go" if strong else "tk-go tk-go-quiet"
    where = "" if here else f' data-tk-page="lessons/{path}"'
    return (
        f'<a class="{look}" href="{"" if here else path}#{unit.id}"{where} '
        f'data-tk-unit="{unit.id}"><span><b>{escape(head)} </b>'
        f'<span>{escape(under)} </span></span><span aria-hidden="true" '
        'class="tk-sign tk-sign-arrow"></span></a>'
    )


def _list_html(page: str, states: Mapping[str, str]) -> str:
    units = PAGES[page].units
    rows = "".join(
        f'<li class="tk-unit-{states[one.id]}"><a href="#{one.id}" data-tk-unit="{one.id}">'
        f"{state_sign(states[one.id])}<span>{escape(one.title)} </span>"
        f"<span>{one.minutes} min </span></a></li>"
        for one in units
    )
    nav = f'<nav class="tk-units" aria-label="Contents of this lesson"><ol>{rows}</ol></nav>'
    unit = here_next(page, states)
    if unit is None:
        return f'<p class="tk-quiet">Every unit of this lesson is done.</p>{nav}'
    turn = units.index(unit) + 1
    begun = any(state != OPEN for state in states.values())
    head = f"{'Go on' if begun else 'Begin'}: {unit.title}"
    under = f"unit {turn} of {len(units)} · {unit.minutes} minutes"
    return go_on_link(page=page, unit=unit, head=head, under=under, here=True) + nav


def unit_contents(page: str, store: EntriesFile) -> Any:
    """Return the contents of a lesson; they follow whatever is kept while the page is open.

    Parameters
    ----------
    page : str
        The lesson.
    store : EntriesFile
        What was read, answered and done.
    """
    shown = widgets.HTML()
    read_to = widgets.Text(tooltip="Unit read to its end")
    read_to.add_class("tk-read-to")

    def refresh() -> None:
        html = _list_html(page, states_of(page, store.notes(), store.path.parent))
        if shown.value != html:
            shown.value = html

    def read(change: Any) -> None:
        mark_read(store, page, str(change["new"]))

    read_to.observe(read, names="value")
    store.watchers.append(refresh)
    refresh()
    box = widgets.VBox([shown, read_to])
    box.add_class("tk-lesson-contents")
    return box
