"""The shell of every bench's face: frame, rows, headings, cautions, tables, refusals, keeping.

A bench's own face brings its controls, its acts and its pictures. What it does to a session goes
through a book (`coursework.bench`); what is kept goes through `coursework.page.keeping`.
"""

from __future__ import annotations

import functools
import secrets
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
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
    "beside",
    "button",
    "darken",
    "group",
    "hands",
    "hazard",
    "new_seed",
    "open_bench",
    "part",
    "readouts",
    "row",
    "table",
    "ways",
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


def group(words: str, *parts: Any, wide: bool = False) -> ipywidgets.VBox:
    """Return what one hand does: its name over its controls."""
    name = ipywidgets.HTML(f'<h3 class="tk-group-name">{escape(words)}</h3>')
    box = ipywidgets.VBox([name, *parts])
    box.add_class("tk-group")
    if wide:
        box.add_class("tk-group-wide")
    return box


def hands(*groups: Any) -> ipywidgets.VBox:
    """Return a bench's controls: one sheet, grouped by what the hand does."""
    box = ipywidgets.VBox(list(groups))
    box.add_class("tk-hands")
    return box


def beside(thing: Sequence[Any], read: Any) -> ipywidgets.HBox:
    """Return the thing with its read-outs beside it; above it where there is no room."""
    box = ipywidgets.HBox([ipywidgets.VBox(list(thing)), read])
    box.add_class("tk-beside")
    return box


def readouts(rows: Iterable[tuple[str, str, str]]) -> str:
    """Return read-outs as HTML: label, figure with its unit, and what it was before."""
    shown = []
    for label, figure, before in rows:
        number, _, unit = figure.partition(" ")
        changed = ' class="tk-changed"' if before and before != figure else ""
        was = f"was {escape(before)}" if before and before != figure else ""
        shown.append(
            f"<div><dt>{escape(label)} </dt><dd><span{changed}>{escape(number)}</span> "
            f'<span class="tk-unit">{escape(unit)} </span><span class="tk-was">{was} </span></dd>'
            "</div>"
        )
    return f'<dl class="tk-readouts">{"".join(shown)}</dl>'


def ways(choose: str, named: Mapping[str, Sequence[Any]]) -> ipywidgets.VBox:
    """Return ways of which one is in sight: a button for each, and what belongs to it."""
    boxes = {name: ipywidgets.VBox(list(parts)) for name, parts in named.items()}
    buttons: dict[str, ipywidgets.Button] = {}

    def show(chosen: str) -> None:
        for name, box in boxes.items():
            box.layout.display = None if name == chosen else "none"
            (buttons[name].add_class if name == chosen else buttons[name].remove_class)("tk-now")

    for name in named:
        buttons[name] = button(name, functools.partial(show, name), f"{choose}: {name}")
    show("")
    picks = row(*buttons.values())
    picks.add_class("tk-row")
    return ipywidgets.VBox([picks, *boxes.values()])


def darken(now: ipywidgets.Button | None, among: Iterable[ipywidgets.Button]) -> None:
    """Make the button that is pressed next the only dark one."""
    for one in among:
        one.button_style = "primary" if one is now else ""


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
