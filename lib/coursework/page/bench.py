"""The shell of every bench's face: frame, rows, headings, cautions, tables, refusals, keeping.

A bench's own face brings its controls, its acts and its pictures. What it does to a session goes
through a book (`coursework.bench`); what is kept goes through `coursework.page.keeping`.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Collection, Iterable, Sequence
from html import escape
from typing import Any, TypeVar

import ipywidgets

from coursework.ink.shop import ShopUnits
from coursework.ink.signs import hazard_box
from coursework.page.controls import FULL_WIDTH, MemoryStore, Store, heading, press_button, say
from coursework.page.keeping import KeptBench
from taperkey.said import what_was_said
from taperkey.units import System

__all__ = [
    "Bench",
    "Struck",
    "button",
    "hazard",
    "new_seed",
    "open_bench",
    "part",
    "row",
    "table",
]

Given = TypeVar("Given")
_NEW_SEED_BELOW = 10**6


class Bench(KeptBench):
    """A bench's face; `widget` is what is shown."""

    units: ShopUnits
    widget: ipywidgets.VBox

    def frame(self, name: str, under: str, parts: Iterable[Any]) -> None:
        """Lay the parts out under the bench's name and what is done there."""
        self.widget = ipywidgets.VBox([heading(name, under), *parts], layout={"width": FULL_WIDTH})
        self.widget.face = self

    def attempt(self, box: ipywidgets.HTML, act: Callable[[], Given]) -> Given | None:
        """Do one act and return what came of it; None after saying why the bench refuses it."""
        try:
            return act()
        except ValueError as refused:
            say(box, self.units.say(what_was_said(refused)), tone="wrong")
            return None

    def keep(self, box: ipywidgets.HTML, lines: Sequence[str] = ()) -> None:
        """Keep the steps; if that fails, say so after what was said already."""
        if trouble := self._keep_steps():
            say(box, [*lines, trouble], tone="wrong")


def open_bench(
    kind: Callable[..., Bench],
    *,
    store: Store | None,
    seed: int | None,
    system: System,
    **more: Any,
) -> ipywidgets.VBox:
    """Return a bench's face: what the store keeps, or a new thing where nothing is kept."""
    face = kind(
        seed=new_seed() if seed is None else seed,
        store=store or MemoryStore(),
        system=system,
        **more,
    )
    return face.widget


def new_seed() -> int:
    """Return a number that decides what is hidden on a bench."""
    return secrets.randbelow(_NEW_SEED_BELOW)


def button(
    label: str, act: Callable[[], None], tip: str = "", *, strong: bool = False
) -> ipywidgets.Button:
    """Return a button of a bench."""
    return press_button(label=label, on_press=act, tip=tip, strong=strong)


def row(*parts: Any) -> ipywidgets.HBox:
    """Return controls side by side; they break into lines where there is no room."""
    return ipywidgets.HBox(list(parts), layout={"flex_flow": "row wrap", "align_items": "center"})


def part(words: str) -> ipywidgets.HTML:
    """Return the heading of a part of the bench."""
    return ipywidgets.HTML(
        f'<h3 class="tk-part">{escape(words)}</h3>',
        layout={"width": FULL_WIDTH},
    )


def hazard(level: str, sentences: Sequence[str]) -> ipywidgets.HTML:
    """Return the hazard box of this place."""
    return ipywidgets.HTML(hazard_box(level, sentences), layout={"width": FULL_WIDTH})


class Struck(str):
    """A text in a table that is crossed out and stays readable."""


def table(
    rows: Iterable[Sequence[str]],
    *,
    caption: str = "",
    heads: Sequence[str] = (),
    align: str = "left",
    named: bool = False,
    whole: Collection[int] = (),
) -> str:
    """Return a table of a bench as HTML; nothing when it has no rows.

    Parameters
    ----------
    rows : iterable of sequence of str
        Texts by row; a :class:`Struck` one is crossed out.
    caption : str
        Above it.
    heads : sequence of str
        Over the columns.
    align : {"left", "right"}
        Words or numbers.
    named : bool
        Whether the first column names its row.
    whole : collection of int
        Columns, counted from 0, whose texts are not broken into lines.
    """

    def cell(place: int, text: str) -> str:
        keep = ' style="white-space:nowrap"' if place in whole else ""
        inside = f"<s>{escape(text)}</s>" if isinstance(text, Struck) else escape(text)
        if named and place == 0:
            return f'<th scope="row"{keep}>{inside}</th>'
        return f"<td{keep}>{inside}</td>"

    body = "".join(
        f"<tr>{''.join(cell(place, text) for place, text in enumerate(one))}</tr>" for one in rows
    )
    if not body:
        return ""
    over = "".join(f'<th scope="col">{escape(one)}</th>' for one in heads)
    named_so = f"<caption>{escape(caption)}</caption>" if caption else ""
    look = "tk-table tk-right" if align == "right" else "tk-table"
    return f'<table class="{look}">{named_so}{f"<tr>{over}</tr>" if over else ""}{body}</table>'
