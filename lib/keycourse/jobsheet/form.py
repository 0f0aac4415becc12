"""The job as a form: the same entries as the job file, saved as they are typed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from html import escape
from itertools import groupby
from pathlib import Path
from typing import Any
from urllib.parse import quote

import ipywidgets as widgets

from coursework.ink.drawing import TEAL
from coursework.page.controls import FULL_WIDTH
from coursework.page.entries import EntriesFile, Saved
from coursework.page.forms import said
from coursework.page.here import here
from coursework.page.pagefolder import course_root
from keycourse.common import name_now
from keycourse.jobsheet.fields import (
    FIELDS,
    NONE,
    SECTIONS,
    Field,
    example_entries,
)
from keycourse.jobsheet.html import PAPERS
from keycourse.jobsheet.job import JobError, look_at, parse_job
from keycourse.jobsheet.onpaper import Written, write_sheet

__all__ = ["KEY_BEFORE", "job_form"]

KEY_BEFORE = "job:"  # before the entries of the form in the entries file
SHEET_NAME = "job-sheet"
_UNSET = ""
_LINK = f"color:{TEAL};text-decoration:underline;font-weight:bold"
_HINTS = {
    "pull": "Read while the old key is in. Choose the method first; what it needs is then asked.",
    "opening": "The key must be out; while it is still in, leave this part and the next one empty. "
    "Turn the keyway to the bottom first. Two stations at least; the far end if you can reach it. "
    "Readings with ; between them.",
    "key": "What you leave empty is taken as the shop usually does; the sheet says so.",
}


def _fold(fields: list[Field]) -> str:
    """Return the title of entries that are folded: what is in them, if it is known."""
    first, last = fields[0].label, fields[-1].label
    more = {1: "", 2: f", {last}"}.get(len(fields), f" … {last}")
    return f"If known: {first}{more}"


class _Entry:
    """One entry of the form: its box, and one line below when it cannot be read."""

    def __init__(self, form: _JobForm, field: Field, text: str) -> None:
        self.form, self.field, self.filling = form, field, False
        text = name_now(text) if field.kind == "choice" else text
        label = field.label[0].upper() + field.label[1:] + ("" if field.needed else " (if known)")
        if field.kind == "choice":
            self.box: Any = widgets.Dropdown(
                options=[("choose …", _UNSET), *((one, one) for one in field.options)],
                value=text if text in field.options else _UNSET,
                description=label,
                tooltip=field.ask,
                style={"description_width": "14rem"},
                layout=widgets.Layout(width=FULL_WIDTH, max_width="36rem"),
            )
        else:
            self.box = widgets.Text(
                value=text,
                description=label,
                placeholder=f"such as {field.example}" if field.example else "",
                tooltip=field.ask,
                continuous_update=False,
                style={"description_width": "14rem"},
                layout=widgets.Layout(width=FULL_WIDTH, max_width="36rem"),
            )
        self.line = widgets.HTML(layout=widgets.Layout(display="none"))
        hint = (
            '<div style="margin:0 0 .9rem;max-width:36rem;line-height:1.35;color:var(--tk-muted)">'
            f"{escape(field.ask)}</div>"
        )
        self.widget = widgets.VBox([self.box, self.line, widgets.HTML(hint)])
        self.box.observe(self._changed, names="value")

    @property
    def text(self) -> str:
        """What stands in the box."""
        return str(self.box.value or "")

    def show(self, text: str) -> None:
        """Show a text without saving it."""
        self.filling = True
        try:
            if self.field.kind == "choice":
                text = name_now(text) if name_now(text) in self.field.options else _UNSET
            self.box.value = text
        finally:
            self.filling = False

    def look(self) -> None:
        """Say below the box when what stands there cannot be read."""
        sentence = look_at(self.field, self.text, units=self.form.text("job.units"))
        self.line.value = said(f"Saved as typed. {sentence}", "look") if sentence else ""
        self.line.layout.display = "" if sentence else "none"

    def _changed(self, _: Any) -> None:
        if not self.filling:
            self.form.save(self)


class _JobForm:
    """The whole form and its button; `store` is the entries file of the page."""

    def __init__(self, store: EntriesFile, folder: Path) -> None:
        self.store, self.folder = store, folder
        texts = store.texts()
        self.entries = {
            field.key: _Entry(self, field, texts.get(KEY_BEFORE + field.key, ""))
            for field in FIELDS
        }
        self.status = widgets.HTML(said("Every entry is saved as you leave its box."))
        self.paper = widgets.Dropdown(
            options=list(PAPERS),
            value=PAPERS[0],
            description="Paper",
            tooltip="Paper of the sheet",
            style={"description_width": "3.5rem"},
            layout=widgets.Layout(width="11rem"),
        )
        make = widgets.Button(
            description="Make the job sheet",
            tooltip="Write the job sheet beside this page",
            button_style="primary",
            layout=widgets.Layout(width="14rem", min_height="2.6rem"),
        )
        make.on_click(lambda _: self.make())
        example = widgets.Button(
            description="Fill empty boxes with an example",
            tooltip="An invented job at Quillmoor Quarry; what you typed stays",
            layout=widgets.Layout(width="22rem", min_height="2.6rem"),
        )
        example.on_click(lambda _: self.fill_example())
        self.result = widgets.HTML()
        self.widget = widgets.VBox(
            [
                *(self._section(name, title) for name, title in SECTIONS.items()),
                widgets.HBox(
                    [make, self.paper, example],
                    layout=widgets.Layout(flex_flow="row wrap", margin="1rem 0 0"),
                ),
                self.status,
                self.result,
            ]
        )
        self.widget.add_class("tk-form")  # left out on paper: the form to print is another
        self.widget.form = self
        for entry in self.entries.values():
            entry.look()
        self.arrange()

    def _section(self, name: str, title: str) -> Any:
        hint = (
            f"<p style='margin:0 0 .5rem;line-height:1.4'>{escape(_HINTS[name])}</p>"
            if name in _HINTS
            else ""
        )
        parts: list[Any] = []
        fields = [field for field in FIELDS if field.section == name]
        for needed, run in groupby(fields, key=lambda one: one.needed):
            shown = list(run)
            boxes = [self.entries[one.key].widget for one in shown]
            if needed:
                parts.extend(boxes)
            else:  # folded where they stand: the order is that of the job file and the paper form
                parts.append(widgets.Accordion([widgets.VBox(boxes)], titles=(_fold(shown),)))
        return widgets.VBox(
            [widgets.HTML(f"<h3 style='margin:.8rem 0 .3rem'>{escape(title)}</h3>{hint}"), *parts]
        )

    def text(self, key: str) -> str:
        """Return what stands in a box."""
        return self.entries[key].text

    def texts(self) -> dict[str, str]:
        """Return everything that was entered."""
        return {key: entry.text for key, entry in self.entries.items() if entry.text.strip()}

    def save(self, entry: _Entry) -> None:
        """Save an entry as typed, and look at its form."""
        outcome = self.store.put(KEY_BEFORE + entry.field.key, entry.text)
        self._take_over(outcome, entry)
        if outcome.sentence:
            self.status.value = said(outcome.sentence, "look")
        else:
            self.status.value = said(f"Saved: {entry.field.label}.")
        entry.look()
        if entry.field.key == "job.units":
            for other in self.entries.values():
                other.look()
        if entry.field.key == "pull.method":
            self.arrange()

    def _take_over(self, outcome: Saved, entry: _Entry) -> None:
        if not outcome.saved and outcome.text != entry.text:
            entry.show(outcome.text)
        for key, text in outcome.changed.items():
            other = self.entries.get(key.removeprefix(KEY_BEFORE))
            if other is not None and key.startswith(KEY_BEFORE):
                other.show(text)
                other.look()

    def arrange(self) -> None:
        """Show what the method of pulling asks for; what is hidden keeps its text."""
        method = self.text("pull.method")
        for entry in self.entries.values():
            field = entry.field
            if field.section == "pull" and field.key != "pull.method":
                asked = method not in (NONE, _UNSET)
                asked = asked and (not field.methods or method in field.methods)
                entry.widget.layout.display = "" if asked else "none"

    def fill_example(self) -> None:
        """Put the example job into the boxes that are empty."""
        if not self.text("pull.method"):
            self._put("pull.method")
        method = self.text("pull.method")
        for key in example_entries(method):
            self._put(key)
        self.status.value = said("Empty boxes now hold an invented job. What you typed stayed.")

    def _put(self, key: str) -> None:
        entry = self.entries[key]
        if entry.field.example and not entry.text.strip():
            entry.box.value = entry.field.example

    def make(self) -> None:
        """Write the sheet beside the page, and say where it is and what it says first."""
        try:
            written = here().heavy(
                write_sheet,
                job=parse_job(self._wanted()),
                folder=self.folder,
                name=SHEET_NAME,
                paper=self.paper.value,
                today=date.today(),
            )
        except JobError as refused:
            self.status.value = said("No sheet yet. Put right what stands below.", "look")
            self.result.value = "".join(said(one, "look") for one in refused.problems)
        except (OSError, ValueError) as error:
            self.status.value = said(f"No sheet: {str(error).rstrip('.')}.", "look")
        else:
            self.status.value = said("The job sheet is written beside this page.", "good")
            self.result.value = self._told(written)

    def _wanted(self) -> Mapping[str, str]:
        """Return the entries that count: those of another method of pulling are left out."""
        method = self.text("pull.method")
        return {
            key: text
            for key, text in self.texts().items()
            if not self.entries[key].field.methods or method in self.entries[key].field.methods
        }

    def _told(self, written: Written) -> str:
        stops = "".join(said(f"STOP. {one}", "look") for one in written.sheet.stops)
        looks = "".join(said(f"Look again: {one}", "plain") for one in written.sheet.looks)
        links = " · ".join(
            f'<a href="{_address(path)}" target="_blank" style="{_LINK}">{words}</a>'
            for path, words in (
                (written.html, "Look at the sheet, and how it was worked out"),
                (written.pdf, "Print the sheet (PDF)"),
            )
        )
        return f'{stops}{looks}<p style="font-size:1.05rem">{links}</p>'


def _address(path: Path) -> str:
    """Return where the browser finds a file of the course."""
    root = course_root(path.parent.resolve())
    inside = path.resolve().relative_to(root).as_posix()
    return escape(f"{here().files}{quote(inside)}", quote=True)


def job_form(store: EntriesFile, folder: Path) -> Any:
    """Return the form of a mechanic's own job; entries are saved in the page's entries file."""
    return _JobForm(store, folder).widget
