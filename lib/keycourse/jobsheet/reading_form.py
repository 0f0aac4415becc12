"""The form on paper: boxes for every reading in the order of the job file, with a sketch beside.

It is filled in with a pencil at the machine and typed in later, line by line: the names in small
letters are those of the job file. Nothing is printed in a box.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from fpdf import FPDF

from coursework.ink.fonts import font_file
from coursework.ink.signs import LEVELS
from keycourse.jobsheet import cautions
from keycourse.jobsheet.fields import FIELDS, SECTIONS, Field
from keycourse.jobsheet.html import PAPERS
from keycourse.jobsheet.ink_pdf import drawing_size, put_drawing
from keycourse.jobsheet.sketches import LETTERS, SKETCHES
from taperkey import __version__
from taperkey.checks import require_in
from taperkey.files import write_whole

__all__ = ["CHECKS", "form_pdf", "paper_items", "write_form"]

CHECKS = {
    "pull": (
        "Locked out, tagged, tried; hub blocked",
        "Both faces read with the same caliper, twice",
        "Rod: grade marks read, thread looked at under a light",
        "Turns of thread counted: rod in the key",
    ),
    "opening": (
        "Key out, slot clean and dry, burrs off",
        "Keyway turned to the BOTTOM",
        "Gauge rocked in both directions, locked, read three times",
        "The same gauge and micrometer for all heights; micrometer set to its standard today",
    ),
    "key": ("Bar measured, its tag read",),
}
_MARGIN, _TOP, _LOW = 12.0, 10.0, 12.0  # mm
_GAP, _ROW, _BOX, _NAME = 6.0, 8.4, 40.0, 6.5
_FACE = "DejaVu"
_MOST_TICKS = 6  # more options than this are written, not ticked


@dataclass(frozen=True, kw_only=True)
class _Item:
    """One row of the form: a field, a heading or a check."""

    words: str
    letter: str = ""
    name: str = ""
    ticks: tuple[str, ...] = ()
    boxes: int = 1
    kind: str = "field"
    needed: bool = False


def paper_items(section: str) -> Iterator[_Item]:
    """Yield the rows of a section in the order of the job file, the checks first."""
    for check in CHECKS.get(section, ()):
        yield _Item(words=check, kind="check")
    before: tuple[str, ...] = ()
    for field in FIELDS:
        if field.section != section:
            continue
        if field.methods != before and field.methods:
            yield _Item(words=f"For: {', '.join(field.methods)}", kind="heading")
        elif field.methods != before:
            yield _Item(words="For any method", kind="heading")
        before = field.methods
        yield _row(field)


def _row(field: Field) -> _Item:
    ticks = field.options if 0 < len(field.options) <= _MOST_TICKS else ()
    words = field.label[0].upper() + field.label[1:]
    letter = LETTERS.get(field.key, "")
    for start, sign in (("opening.station-", "x"), ("opening.heights-", "h")):
        if field.key.startswith(start):
            letter = sign + field.key.removeprefix(start)
    return _Item(
        words=words,
        letter=letter,
        name=field.name,
        ticks=ticks,
        boxes=3 if field.kind == "readings" else 1,
        needed=field.needed,
    )


def form_pdf(*, paper: str = "A4") -> bytes:
    """Return the empty form as a PDF.

    Parameters
    ----------
    paper : str
        "A4" or "Letter".

    Returns
    -------
    bytes
        The document; every entry of the job file has its box, in the job file's order.

    Raises
    ------
    ValueError
        If the paper is unknown.
    """
    require_in("paper", paper, PAPERS, "Choose the paper in the printer.")
    form = _Form(paper)
    form.lay_out()
    return bytes(form.output())


def write_form(*, path: Path, paper: str = "A4") -> None:
    """Write the empty form; an older one of the same name is replaced, since nothing is in it.

    Raises
    ------
    ValueError
        If the paper is unknown.
    OSError
        If the file cannot be written.
    """
    write_whole(path, form_pdf(paper=paper))


class _Form(FPDF):
    def __init__(self, paper: str) -> None:
        super().__init__(orientation="portrait", unit="mm", format=paper)
        self.set_margins(_MARGIN, _TOP)
        self.set_auto_page_break(auto=False)
        self.c_margin = 0.0
        self.add_font(_FACE, "", font_file())
        self.add_font(_FACE, "B", font_file(bold=True))
        self.set_title("Reading form: taper key")
        self.set_creator(f"taperkey {__version__}")
        self.set_lang("en")

    @property
    def column(self) -> float:
        """Width of one of the two columns [mm]."""
        return float((self.epw - _GAP) / 2)

    def letters(self, size: float, *, bold: bool = False, grey: int = 0) -> None:
        self.set_font(_FACE, "B" if bold else "", size)
        self.set_text_color(grey)

    def footer(self) -> None:
        self.set_y(-9.0)
        self.letters(6.5, grey=60)
        words = (
            "Bold: needed, or the sheet stops. Write the unit behind a number that is not in"
            " the units ticked. Small letters: the name in the job file."
        )
        self.cell(self.epw * 0.9, 4, words)
        self.cell(self.epw * 0.1, 4, f"{self.page_no()} of {{nb}}", align="R")

    def lay_out(self) -> None:
        self.add_page()
        self.letters(14, bold=True)
        self.cell(self.epw * 0.5, 7, "Reading form: taper key")
        self.letters(8)
        self.set_y(_TOP + 8)
        before = cautions.hazard_points(cautions.BEFORE)
        self.letters(9, bold=True)
        self.cell(self.epw, 4.2, LEVELS[before.kind].word, border=1, new_x="LMARGIN", new_y="NEXT")
        self.letters(8)
        for one in before.items:
            self.multi_cell(self.epw, 3.9, one, align="L", new_x="LMARGIN", new_y="NEXT")
        for section, title in SECTIONS.items():
            self._section(title, list(paper_items(section)), section)

    def _section(self, title: str, items: list[_Item], section: str) -> None:
        sketch = SKETCHES.get(section)
        drawn = 0.0
        if sketch is not None:
            wide, high = drawing_size(sketch())
            drawn = self.column * high / wide + 2
        first = True
        while items:
            top = self.get_y() + 2
            room = self.h - _LOW - top - 7
            if room < 60 + drawn:
                self.add_page()
                continue
            self.set_xy(_MARGIN, top)
            self.letters(10.5, bold=True)
            self.cell(0, 5, title if first else f"{title}, continued")
            self.set_line_width(0.4)
            self.line(_MARGIN, top + 5.4, _MARGIN + self.epw, top + 5.4)
            y = top + 7
            shown = drawn if first else 0.0
            if shown and sketch is not None:
                put_drawing(self, sketch(), x=_MARGIN + self.column + _GAP, y=y, width=self.column)
            total = sum(self._high(one) for one in items) + shown
            left_room = min(room, max(total / 2 + _ROW, shown))
            left, rest = self._fill(items, left_room)
            right, items = self._fill(rest, room - shown)
            low = max(
                self._put(left, _MARGIN, y),
                self._put(right, _MARGIN + self.column + _GAP, y + shown),
            )
            self.set_y(low + 1)
            first = False

    def _fill(self, items: Sequence[_Item], room: float) -> tuple[list[_Item], list[_Item]]:
        """Return what goes into a column, and the rest; a heading never stands last."""
        used, taken = 0.0, 0
        for one in items:
            if used + self._high(one) > room:
                break
            used += self._high(one)
            taken += 1
        while taken and items[taken - 1].kind == "heading":
            taken -= 1
        return list(items[:taken]), list(items[taken:])

    def _high(self, one: _Item) -> float:
        if one.kind == "heading":
            return 5.4
        self.letters(8)
        if one.kind == "check":
            return 0.6 + self._tall(f"☐ {one.words}", self.column)
        if one.ticks:
            return _ROW + self._tall(self._ticks(one), self.column - _NAME) - 1.2
        return _ROW

    def _ticks(self, one: _Item) -> str:
        return "   ".join(f"☐ {it}".replace(" ", "\u00a0") for it in one.ticks)

    def _tall(self, words: str, width: float) -> float:
        tall = self.multi_cell(width, 3.9, words, dry_run=True, output="HEIGHT", align="L")
        assert isinstance(tall, float)
        return tall

    def _put(self, items: Sequence[_Item], x: float, y: float) -> float:
        for one in items:
            self._one(one, x, y)
            y += self._high(one)
        return y

    def _one(self, one: _Item, x: float, y: float) -> None:
        if one.kind == "heading":
            self.letters(8, bold=True)
            self.set_xy(x, y + 1.2)
            self.cell(self.column, 4, one.words)
            return
        if one.kind == "check":
            self.letters(8)
            self.set_xy(x, y)
            self.multi_cell(self.column, 3.9, f"☐ {one.words}", align="L")
            return
        self.letters(10, bold=True)
        self.set_xy(x, y + 1.2)
        self.cell(_NAME, 4.5, one.letter)
        words = self.column - _NAME - (0 if one.ticks else _BOX)
        self.letters(8, bold=one.needed)
        while self.get_string_width(one.words) > words - 1 and self.font_size_pt > 6:
            self.letters(self.font_size_pt - 0.2, bold=one.needed)
        self.set_xy(x + _NAME, y + 0.6)
        self.cell(words, 3.9, one.words)
        self.letters(6, grey=70)
        self.set_xy(x + _NAME, y + 4.3)
        self.cell(words, 2.6, one.name)
        if one.ticks:
            self.letters(8)
            self.set_xy(x + _NAME, y + 7.2)
            self.multi_cell(self.column - _NAME, 3.9, self._ticks(one), align="L")
            return
        self.set_draw_color(60)
        self.set_line_width(0.25)
        each = _BOX / one.boxes
        for place in range(one.boxes):
            self.rect(x + self.column - _BOX + place * each, y + 0.6, each, _ROW - 1.4)
