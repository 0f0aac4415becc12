"""The sheet as a page: for the screen, and to print on A4 or Letter."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

from coursework.ink.signs import LEVELS, hazard_box
from keycourse.jobsheet.blocks import Facts, Grid, Sheet

__all__ = ["PAPERS", "sheet_html"]

PAPERS = ("A4", "Letter")
_CROWDED = 600  # letters of stops and places to look; from there on they are written smaller
_TALLEST, _LOWEST = 92.0, 50.0  # of the drawing, mm


@cache
def _template() -> Any:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    def facts(block: Facts) -> Any:
        rows = Markup("").join(
            Markup('<tr><th scope="row">{}</th><td>{}</td></tr>').format(what, value)
            for what, value in block.rows
        )
        return Markup('<table class="facts"><tbody>{}</tbody></table>').format(rows)

    pages = Environment(
        loader=FileSystemLoader(Path(__file__).resolve().parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    pages.globals["facts"] = facts
    pages.globals["levels"] = LEVELS
    pages.globals["hazard_box"] = hazard_box
    # the drawing is our own SVG: its words were escaped when it was drawn
    pages.filters["drawn"] = lambda svg: Markup(svg)
    return pages.get_template("sheet.html.j2")


def sheet_html(*, sheet: Sheet, paper: str = "A4") -> str:
    """Return the sheet as one HTML page without anything from outside.

    Parameters
    ----------
    sheet : Sheet
        Content.
    paper : str
        "A4" or "Letter".

    Returns
    -------
    str
        The page; what came from the job is escaped.
    """
    letters = sum(len(one) for one in (*sheet.stops, *sheet.looks))
    short = paper == "Letter"
    crowded = letters > _CROWDED
    flowing = letters > 2 * _CROWDED
    html: str = _template().render(
        sheet=sheet,
        paper=paper,
        stop_pt=9 if crowded else 12,
        print_pt=7.4 if flowing else 7.6 if crowded or short else 8.2,
        drawing_mm=round(_drawing_mm(sheet, crowded, paper)),
        flowing=flowing,
        rows=6 if flowing else 8 if short else 10,
    )
    return html


def _drawing_mm(sheet: Sheet, crowded: bool, paper: str) -> float:
    """Return the height that the first page leaves for the drawing [mm]."""
    used = 122.0 if paper == "A4" else 140.0
    for one in sheet.stops:
        used += 4.6 * math.ceil(len(one) / 100) + 1 if crowded else 6.0 * math.ceil(len(one) / 78)
    used += 14.0 if sheet.stops else 0.0
    for one in sheet.looks:
        used += 3.8 * math.ceil(len(one) / 118) + 1
    stations = next(
        block for section in sheet.sections for block in section.blocks if isinstance(block, Grid)
    )
    for row in stations.rows[2:]:
        used += 4.6 * math.ceil(len(row[1]) / 50)
    return min(_TALLEST, max(_LOWEST, 268.0 - used))
