"""The sheet as a PDF: three pages at most, letters embedded, legible in black and white."""

from __future__ import annotations

from collections.abc import Sequence

from fpdf import FPDF

from coursework.ink.fonts import font_file
from coursework.ink.signs import LEVELS, Level
from keycourse.jobsheet.blocks import (
    Block,
    Drawing,
    Facts,
    Grid,
    Points,
    Section,
    Sheet,
    Words,
)
from keycourse.jobsheet.ink_pdf import drawing_size, put_drawing
from taperkey import __version__

__all__ = ["MOST_PAGES", "sheet_pdf"]

MOST_PAGES = 3
# letters [pt], most rows of the fitting log, whether sections follow each other without new
# pages: the first that keeps to the pages is taken
_TRIES = (
    (8.4, 11, False),
    (7.9, 9, False),
    (7.9, 8, True),
    (7.4, 6, True),
    (6.8, 5, True),
    (6.6, 2, True),
)
LARGE = 11.0  # letters of what is read at the machine [pt]
_LINE = 0.46  # of a line, for each point of its letters [mm]
_MARGIN = 12.0  # mm
_TOP, _LOW = 11.0, 13.0  # mm
_TALLEST, _LOWEST = 96.0, 52.0  # of the drawing, mm
_FACE = "DejaVu"
_MARKS = {"plain": "•", "tick": "☐"}


def sheet_pdf(*, sheet: Sheet, paper: str = "A4") -> bytes:
    """Return the sheet as a PDF.

    Parameters
    ----------
    sheet : Sheet
        Content.
    paper : str
        "A4" or "Letter".

    Returns
    -------
    bytes
        The document, at most three pages.
    """
    for size, rows, flowing in _TRIES:
        pages = _Paper(sheet, paper, size, rows, flowing)
        pages.lay_out()
        if pages.page_no() <= MOST_PAGES:
            break
    return bytes(pages.output())


class _Paper(FPDF):
    """Pages that are filled from the top, section by section."""

    def __init__(self, sheet: Sheet, paper: str, size: float, rows: int, flowing: bool) -> None:
        super().__init__(orientation="portrait", unit="mm", format=paper)
        self.sheet, self.size, self.rows, self.flowing = sheet, size, rows, flowing
        self.line_mm = size * _LINE
        self.set_margins(_MARGIN, _TOP)
        self.set_auto_page_break(auto=False)
        self.c_margin = 0.0
        self.add_font(_FACE, "", font_file())
        self.add_font(_FACE, "B", font_file(bold=True))
        self.set_title(f"{sheet.title}, {sheet.under}")
        self.set_creator(f"taperkey {__version__}")
        self.set_lang("en")

    # small tools

    def shown(self, text: str) -> str:
        """Return a text with a mark for every letter that the letters here do not have."""
        known = self.fonts[_FACE.lower()].cmap  # type: ignore[union-attr]
        return "".join(one if ord(one) in known else "□" for one in text)

    @property
    def left_over(self) -> float:
        """Room below on this page [mm]."""
        return float(self.h - _LOW - self.get_y())

    def letters(self, *, bold: bool = False, size: float | None = None, gray: int = 0) -> None:
        self.set_font(_FACE, "B" if bold else "", size or self.size)
        self.set_text_color(gray)

    def height_of(self, text: str, width: float, *, bold: bool = False) -> float:
        """Return the height of a wrapped text [mm]."""
        self.letters(bold=bold)
        return self._measured(text or " ", width, self.line_mm)

    def _measured(self, text: str, width: float, line: float) -> float:
        tall = self.multi_cell(width, line, text, dry_run=True, output="HEIGHT", align="L")
        assert isinstance(tall, float)
        return tall

    def put(self, text: str, x: float, y: float, width: float, *, bold: bool = False) -> None:
        self.letters(bold=bold)
        self.set_xy(x, y)
        self.multi_cell(width, self.line_mm, text, align="L")

    def rule(self, y: float, weight: float, x: float = _MARGIN, width: float | None = None) -> None:
        self.set_draw_color(0)
        self.set_line_width(weight)
        self.line(x, y, x + (self.epw if width is None else width), y)

    # the sheet

    def lay_out(self) -> None:
        """Fill the pages."""
        self.add_page()
        self._head()
        if self.sheet.stops:
            self._stops()
        if self.sheet.looks:
            self._looks()
        for section in self.sheet.sections:
            self._section(section)

    def footer(self) -> None:
        self.set_y(-9.5)
        self.letters(size=6.5, gray=40)
        self.cell(self.epw * 0.86, 4, self.sheet.foot)
        self.cell(self.epw * 0.14, 4, f"Page {self.page_no()} of {{nb}}", align="R")

    def _head(self) -> None:
        y = self.get_y()
        self.letters(bold=True, size=14)
        self.cell(self.epw * 0.45, 7, self.sheet.title)
        self.set_xy(_MARGIN + self.epw * 0.4, y + 1)
        self.letters(bold=True, size=9.5)
        self.multi_cell(self.epw * 0.6, 4.6, self.shown(self.sheet.under), align="R")
        self.set_y(max(self.get_y(), y + 7) + 0.6)
        self.rule(self.get_y(), 0.6)
        self.set_y(self.get_y() + 1.2)
        third = self.epw / 3
        cells = [self.shown(f"{what}: {text}") for what, text in self.sheet.head[1:]]
        for start in range(0, len(cells), 3):
            row, y = cells[start : start + 3], self.get_y()
            tall = max(self.height_of(text, third - 3) for text in row)
            for place, text in enumerate(row):
                self.put(text, _MARGIN + place * third, y, third - 3)
            self.set_y(y + tall)
        self.set_y(self.get_y() + 1)

    def _stops(self) -> None:
        crowded = sum(len(one) for one in self.sheet.stops) > 700
        size, inside = (9.0 if crowded else 11.0), self.epw - 8
        line = size * 0.46
        self.letters(bold=True, size=size)
        tall = 11.0 + sum(self._measured(one, inside, line) + 0.8 for one in self.sheet.stops)
        y = self.get_y()
        self.set_draw_color(0)
        self.set_line_width(0.9)
        self.rect(_MARGIN, y, self.epw, tall + 1)
        self.set_xy(_MARGIN + 4, y + 1.2)
        self.letters(bold=True, size=21)
        self.cell(0, 9, "STOP")
        self.set_y(y + 10.5)
        for one in self.sheet.stops:
            self.letters(bold=True, size=size)
            self.set_x(_MARGIN + 4)
            self.multi_cell(inside, line, one, align="L", new_x="LMARGIN", new_y="NEXT")
            self.set_y(self.get_y() + 0.8)
        self.set_y(y + tall + 2.5)

    def _looks(self) -> None:
        y = self.get_y()
        self.put("Look again:", _MARGIN + 3, y, self.epw - 3, bold=True)
        for one in self.sheet.looks:
            self.put(one, _MARGIN + 3, self.get_y(), self.epw - 3)
        self.set_line_width(0.4)
        self.set_draw_color(0)
        for x in (_MARGIN + 0.5, _MARGIN + 1.5):
            self.line(x, y, x, self.get_y())
        self.set_y(self.get_y() + 1)

    def _section(self, section: Section) -> None:
        tall = 7.0 + sum(self._height(block, self.epw) for block in section.blocks)
        if (section.page and not self.flowing) or tall > self.left_over:
            self.add_page()
        y = self.get_y() + 1.5
        self.set_xy(_MARGIN, y)
        self.letters(bold=True, size=self.size + 1.6)
        self.cell(0, 4.6, section.title)
        self.rule(y + 4.8, 0.3)
        self.set_y(y + 5.6)
        for block in section.blocks:
            self._block(block)

    # blocks

    def _height(self, block: Block, width: float) -> float:
        if isinstance(block, Words):
            return self.height_of(block.text, width, bold=block.strong) + 1
        if isinstance(block, Points):
            return self._points(block, draw=False)
        if isinstance(block, Facts):
            return self._facts(block, _MARGIN, width, draw=False)
        if isinstance(block, Grid):
            return self._grid(block, draw=False)
        return max(_LOWEST, self._facts(block.beside, _MARGIN, self.epw * 0.36, draw=False))

    def _block(self, block: Block) -> None:
        if isinstance(block, Words):
            self.put(block.text, _MARGIN, self.get_y(), self.epw, bold=block.strong)
            self.set_y(self.get_y() + 1)
        elif isinstance(block, Points):
            self._points(block, draw=True)
        elif isinstance(block, Facts):
            self._facts(block, _MARGIN, self.epw, draw=True)
        elif isinstance(block, Grid):
            self._grid(block, draw=True)
        else:
            self._drawing(block)

    def _drawing(self, block: Drawing) -> None:
        y, beside = self.get_y(), self.epw * 0.36
        wide, tall = drawing_size(block.picture)
        width = min(self.epw * 0.61, min(_TALLEST, self.left_over - 1) * wide / tall)
        put_drawing(self, block.picture, x=_MARGIN, y=y, width=width)
        self.set_xy(_MARGIN, y)
        right = self._facts(block.beside, _MARGIN + self.epw - beside, beside, draw=True)
        self.set_y(y + max(width * tall / wide, right) + 1)

    def _points(self, block: Points, *, draw: bool) -> float:
        level = LEVELS.get(block.kind)
        box = 1.2 if level else 0.0
        head = self.line_mm + 0.8 if level else 0.0  # the panel with the signal word
        columns = 2 if block.kind == "tick" else 1
        width = (self.epw - 2 * box) / columns
        indent = 4.6
        heights = [self.height_of(one, width - indent - 2) + 0.5 for one in block.items]
        each = -(-len(heights) // columns)
        tall = max(sum(heights[n * each : (n + 1) * each]) for n in range(columns)) + 2 * box + head
        if draw:
            top = self.get_y()
            for place, (one, high) in enumerate(zip(block.items, heights, strict=True)):
                column, row = divmod(place, each)
                x = _MARGIN + box + column * width
                y = top + head + box + sum(heights[column * each : column * each + row])
                mark = f"{place + 1}." if block.kind == "steps" else _MARKS.get(block.kind, "•")
                self.put(mark, x, y, indent)
                self.put(one, x + indent, y, width - indent - 2)
                assert high > 0
            if level:
                self._signal(level, top, head, tall)
            self.set_y(top + tall + 1)
        return tall + 1

    def _signal(self, level: Level, top: float, head: float, tall: float) -> None:
        """Draw a hazard box round a list: panel, safety alert triangle, signal word."""
        dark = level.ink == "#ffffff"
        self.set_draw_color(0)
        self.set_line_width(0.2 + 0.1 * level.border_px)
        self.set_fill_color(level.panel)
        self.rect(_MARGIN, top, self.epw, head, style="DF")
        self.rect(_MARGIN, top, self.epw, tall)
        x, side = _MARGIN + 1.5, head - 1.0
        self.set_fill_color(level.ink)
        corners = [(x, top + 0.5 + side), (x + side / 2, top + 0.5), (x + side, top + 0.5 + side)]
        self.polygon(corners, style="F")
        self.set_font(_FACE, "B", self.size * 0.62)
        self.set_text_color(level.panel)
        self.set_xy(x, top + 0.9)
        self.cell(side, side, "!", align="C")
        self.letters(bold=True, gray=255 if dark else 0)
        self.set_xy(x + side + 1.5, top)
        self.cell(0, head, level.word)
        self.letters()

    def _facts(self, block: Facts, x: float, width: float, *, draw: bool) -> float:
        share = 0.24 if width > 100 else 0.47
        total, y = 0.0, self.get_y()
        for what, value in block.rows:
            tall = 0.7 + max(
                self.height_of(what, width * share - 1), self.height_of(value, width * (1 - share))
            )
            if draw:
                self.put(what, x, y + total + 0.3, width * share - 1)
                self.put(value, x + width * share, y + total + 0.3, width * (1 - share))
                self.set_draw_color(150)
                self.set_line_width(0.1)
                self.line(x, y + total + tall, x + width, y + total + tall)
            total += tall
        if draw:
            self.set_y(y + total + 1.2)
        return total + 1.2

    def _grid(self, block: Grid, *, draw: bool) -> float:
        widths = [share * self.epw for share in block.shares]
        small = self.size, self.line_mm
        total = self._row(block.header, widths, bold=True, draw=draw)
        if block.large:
            self.size, self.line_mm = LARGE, LARGE * _LINE
        for place, row in enumerate(block.rows):
            strong = place == block.strong_row
            total += self._row(row, widths, bold=strong, draw=draw, least=_least(row))
        for place in range(min(block.blank, self.rows)):
            row = (str(place + 1), *("" for _ in widths[1:]))
            total += self._row(row, widths, draw=draw, least=6.4)
        self.size, self.line_mm = small
        if draw:
            self.set_y(self.get_y() + 1.2)
        return total + 1.2

    def _row(
        self,
        row: Sequence[str],
        widths: Sequence[float],
        *,
        bold: bool = False,
        draw: bool,
        least: float = 0.0,
    ) -> float:
        tall = max(
            least,
            0.9
            + max(
                self.height_of(text, width - 1.4, bold=bold)
                for text, width in zip(row, widths, strict=True)
            ),
        )
        if draw:
            x, y = _MARGIN, self.get_y()
            for text, width in zip(row, widths, strict=True):
                self.set_draw_color(60)
                self.set_line_width(0.15)
                self.rect(x, y, width, tall)
                self.put(text, x + 0.7, y + 0.45, width - 1.4, bold=bold)
                x += width
            self.set_y(y + tall)
        return tall


def _least(row: Sequence[str]) -> float:
    return 0.0 if any(row[1:]) else 7.0
