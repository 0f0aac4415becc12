"""Writing the sheet beside its job: one page for the screen, one document to print."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from keycourse.jobsheet.blocks import Sheet
from keycourse.jobsheet.html import PAPERS, sheet_html
from keycourse.jobsheet.job import Job
from keycourse.jobsheet.pdf import sheet_pdf
from keycourse.jobsheet.sheet import make_sheet
from keycourse.jobsheet.template import template_text
from taperkey.checks import require_in
from taperkey.files import write_whole

__all__ = ["Written", "write_sheet", "write_template"]


@dataclass(frozen=True, kw_only=True)
class Written:
    """A sheet that was written.

    Attributes
    ----------
    html, pdf : Path
        The two files.
    sheet : Sheet
        What they hold.
    """

    html: Path
    pdf: Path
    sheet: Sheet


def write_sheet(
    *, job: Job, folder: Path, name: str = "job-sheet", paper: str = "A4", today: date
) -> Written:
    """Write NAME.html and NAME.pdf into a folder.

    Parameters
    ----------
    job : Job
        As read.
    folder : Path
        Made if it is not there.
    name : str
        Of the files, without an ending.
    paper : str
        "A4" or "Letter".
    today : date
        Day that the sheet is made.

    Returns
    -------
    Written
        Where they are, and what they hold.

    Raises
    ------
    ValueError
        One sentence, where the job's inputs do not fit together or the paper is unknown.
    OSError
        If the folder cannot be written.
    """
    require_in("paper", paper, PAPERS, "Choose the paper in the printer.")
    sheet = make_sheet(job=job, today=today)
    page, document = folder / f"{name}.html", folder / f"{name}.pdf"
    # the old pair goes only when both new ones are made
    html, pdf = sheet_html(sheet=sheet, paper=paper), sheet_pdf(sheet=sheet, paper=paper)
    write_whole(page, html.encode())
    write_whole(document, pdf)
    return Written(html=page, pdf=document, sheet=sheet)


def write_template(path: Path) -> None:
    """Write the commented job file to begin from; a file that is there is left alone.

    Raises
    ------
    ValueError
        If the file is there already.
    """
    if path.exists():
        raise ValueError(
            f"{path.name} is there already and was left alone. Give another name, or move it away."
        )
    write_whole(path, template_text().encode())
