"""The sheet as a page: for the screen, and to print on A4 or Letter.

Printed, its letters have the sizes that the PDF's pages have room for; what is read at the machine
has 11 points.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from coursework.ink.signs import LEVELS, hazard_box
from keycourse.jobsheet.blocks import Facts, Sheet
from keycourse.jobsheet.pdf import NEAR_PT, setting_of

__all__ = ["PAPERS", "sheet_html"]

_SHARE = 0.95  # of a page: a browser breaks lines and pages by rules of its own
PAPERS = ("A4", "Letter")


@cache
def _template() -> Any:
    from markupsafe import Markup

    from coursework.ink.templates import templates_in

    def facts(block: Facts) -> Any:
        rows = Markup("").join(
            Markup('<tr><th scope="row">{}</th><td>{}</td></tr>').format(what, value)
            for what, value in block.rows
        )
        if not block.two:
            kind = "facts near" if block.near else "facts"
            return Markup('<table class="{}"><tbody>{}</tbody></table>').format(kind, rows)
        return Markup(
            '<div class="two"><table class="facts"><tbody>{}</tbody></table></div>'
        ).format(rows)

    pages = templates_in(Path(__file__).resolve().parent / "templates")
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
    setting = setting_of(sheet=sheet, paper=paper, share=_SHARE)
    html: str = _template().render(
        sheet=sheet,
        paper=paper,
        near_pt=NEAR_PT,
        sizes=setting.sizes,
        flowing=setting.flowing,
        rows=0 if setting.flowing else setting.rows,
    )
    return html
