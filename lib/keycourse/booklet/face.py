"""The booklet on a page: a press writes it beside the page, and a link opens it."""

from __future__ import annotations

from functools import partial
from html import escape
from pathlib import Path
from typing import Any
from urllib.parse import quote

import ipywidgets

from coursework.page.controls import press_button
from coursework.page.forms import said
from coursework.page.here import here
from coursework.page.pagefolder import course_root
from keycourse.booklet.pdf import write_booklet
from keycourse.jobsheet.html import PAPERS

__all__ = ["booklet_row"]


def booklet_row(folder: Path) -> Any:
    """Return a press for each paper, and room for the link to what it wrote into `folder`."""
    told = ipywidgets.HTML()

    def write(paper: str) -> None:
        told.value = said("The booklet is being written.")
        try:
            path = here().heavy(write_booklet, folder=folder, paper=paper)
        except (OSError, ValueError) as error:
            told.value = said(f"No booklet: {str(error).rstrip('.')}.", "look")
            return
        inside = path.resolve().relative_to(course_root(folder.resolve())).as_posix()
        address = escape(f"{here().files}{quote(inside)}", quote=True)
        told.value = (
            f'<p><a href="{address}" target="_blank">Booklet to print, {paper} (PDF)</a></p>'
        )

    presses = [
        press_button(
            label=f"Write it for {paper}",
            on_press=partial(write, paper),
            tip=f"A sheet for each lesson, and the tables, on {paper}",
        )
        for paper in PAPERS
    ]
    words = ipywidgets.HTML(
        '<h2 class="tk-part">To keep, as one booklet</h2>'
        "<p>What is to be kept of each lesson on one sheet, and the tables of keys, threads and "
        "rigs: to print, and to hang beside the machine.</p>"
    )
    return ipywidgets.VBox([words, ipywidgets.HBox(presses, layout={"grid_gap": "8px"}), told])
