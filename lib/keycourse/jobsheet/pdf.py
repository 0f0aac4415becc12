"""The sheet as a PDF: three pages at most, letters embedded, legible in black and white.

What is read at the machine is set in letters of 11 points and never smaller. The rest is set as
large as its page has room for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coursework.ink.signs import LEVELS
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
from keycourse.jobsheet.letters import LINE, LOW, MARGIN, NEAR_PT, TOP, Letters
from taperkey import __version__

__all__ = ["MOST_PAGES", "NEAR_PT", "Setting", "setting_of", "sheet_pdf"]

MOST_PAGES = 3
_SIZES = (9.0, 8.6, 8.2, 7.8, 7.4, 7.0, 6.6, 6.2)  # of the rest: the largest that fits is taken
_ROWS = (11, 9, 7, 5, 3)  # empty rows of the fitting log, most first
_TIERS = ((8.2, _ROWS[:3]), (7.4, _ROWS[:4]), (6.2, _ROWS[1:]))  # letters from, rows
_MARKS = {"plain": "•", "tick": "☐"}


@dataclass(frozen=True, kw_only=True)
class Setting:
    """How the sections are set.

    Attributes
    ----------
    sizes : tuple of float
        Letters of each section, but for what is read at the machine [pt].
    rows : int
        Most empty rows of a table.
    flowing : bool
        Whether sections follow each other without a new page.
    """

    sizes: tuple[float, ...]
    rows: int
    flowing: bool


def setting_of(*, sheet: Sheet, paper: str = "A4", share: float = 1.0) -> Setting:
    """Return the largest setting that keeps to three pages.

    Parameters
    ----------
    sheet : Sheet
        Content.
    paper : str
        "A4" or "Letter".
    share : float
        Part of each page that may be filled: less than 1 for a page that is set by a browser.

    Returns
    -------
    Setting
        Each page by itself where it fits so; else one size for all, sections following on.
    """
    trial = _Paper(sheet, paper)
    trial.share = share
    single = trial.single_pages()
    if single is not None:
        return single
    for size in _SIZES:
        for rows in (_ROWS[1], _ROWS[-1], 0):
            setting = Setting(sizes=(size,) * len(sheet.sections), rows=rows, flowing=True)
            if trial.pages_of(setting) <= MOST_PAGES:
                return setting
    return Setting(sizes=(_SIZES[-1],) * len(sheet.sections), rows=0, flowing=True)


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
    pages = _Paper(sheet, paper)
    pages.lay_out(setting_of(sheet=sheet, paper=paper))
    return bytes(pages.output())


class _Paper(Letters):
    """Pages that are filled from the top, section by section."""

    def __init__(self, sheet: Sheet, paper: str) -> None:
        super().__init__(paper)
        self.sheet = sheet
        self.setting = Setting(sizes=(), rows=_ROWS[0], flowing=False)
        self.size = _SIZES[0]
        self.share = 1.0
        self.set_title(f"{sheet.title}, {sheet.under}")
        self.set_creator(f"taperkey {__version__}")
        self.set_lang("en")

    # how much goes on a page

    @property
    def room(self) -> float:
        """Height of a page between its margins [mm]."""
        return float(self.h - TOP - LOW) * self.share

    def single_pages(self) -> Setting | None:
        """Return the setting where each page holds its own sections; None if one cannot."""
        groups: list[list[Section]] = [[]]
        for section in self.sheet.sections:
            if section.page and groups[-1]:
                groups.append([])
            groups[-1].append(section)
        if len(groups) > MOST_PAGES:
            return None
        sizes: list[float] = []
        fewest = _ROWS[0]
        for place, group in enumerate(groups):
            found = self._largest(group, first=place == 0)
            if found is None:
                return None
            sizes += [found[0]] * len(group)
            fewest = min(fewest, found[1])
        return Setting(sizes=tuple(sizes), rows=fewest, flowing=False)

    def _largest(self, group: Sequence[Section], *, first: bool) -> tuple[float, int] | None:
        """Return the largest letters, and empty rows, with which one page holds its sections."""
        for least, rows_of_tier in _TIERS:
            for rows in rows_of_tier:
                for size in (one for one in _SIZES if one >= least):
                    self.size = size
                    self.setting = Setting(sizes=(), rows=rows, flowing=False)
                    high = self._top(draw=False) if first else 0.0
                    if high + sum(self._section(one, draw=False) for one in group) <= self.room:
                        return size, rows
        return None

    def pages_of(self, setting: Setting) -> int:
        """Return how many pages a setting takes."""
        self.setting, self.size = setting, setting.sizes[0]
        pages, used = 1, self._top(draw=False)
        for place, section in enumerate(self.sheet.sections):
            self.size = setting.sizes[place]
            if not setting.flowing:
                high = self._section(section, draw=False)
                if (section.page and used) or used + high > self.room:
                    pages, used = pages + 1, 0.0
                used += high
                continue
            for number, high in enumerate(self._pieces(section)):
                more = high + (self._heading(section, draw=False) if number == 0 else 0.0)
                if used + more > self.room:
                    pages, used = pages + 1, 0.0
                used += more
        return pages

    def _pieces(self, section: Section) -> list[float]:
        return [self._block(block, draw=False) for block in section.blocks]

    # the sheet

    def lay_out(self, setting: Setting) -> None:
        """Fill the pages."""
        self.setting, self.size = setting, setting.sizes[0]
        self.add_page()
        self._top(draw=True)
        for place, section in enumerate(self.sheet.sections):
            self.size = setting.sizes[place]
            if not setting.flowing:
                high = self._section(section, draw=False)
                over = high > self.h - LOW - self.get_y() + 0.01
                if (section.page and place) or over:
                    self.add_page()
                self._section(section, draw=True)
                continue
            for number, (block, high) in enumerate(
                zip(section.blocks, self._pieces(section), strict=True)
            ):
                more = high + (self._heading(section, draw=False) if number == 0 else 0.0)
                if more > self.h - LOW - self.get_y() + 0.01:
                    self.add_page()
                if number == 0:
                    self._heading(section, draw=True)
                self._block(block, draw=True)

    def footer(self) -> None:
        self.set_y(-9.0)
        self.letters(6.5, gray=40)
        self.cell(self.epw * 0.86, 4, self.sheet.foot)
        self.cell(self.epw * 0.14, 4, f"Page {self.page_no()} of {{nb}}", align="R")

    def _top(self, *, draw: bool) -> float:
        """Put title, who and when, stops and places to look; return their height [mm]."""
        total = self._head(draw=draw)
        if self.sheet.stops:
            total += self._stops(draw=draw)
        if self.sheet.looks:
            total += self._looks(draw=draw)
        return total

    def _head(self, *, draw: bool) -> float:
        y = self.get_y()
        left = self.epw * 0.42
        high = max(7.0, self.tall(self.sheet.under, self.epw - left, NEAR_PT, bold=True) + 1.5)
        if draw:
            self.letters(14, bold=True)
            self.set_xy(MARGIN, y)
            self.cell(left, 7, self.sheet.title)
            self.put(self.sheet.under, MARGIN + left, y + 1, self.epw - left, NEAR_PT, bold=True)
            self.rule(y + high + 0.4, 0.6)
        used = high + 1.4
        third = self.epw / 3
        cells = [f"{what}: {text}" for what, text in self.sheet.head[1:]]
        for start in range(0, len(cells), 3):
            row = cells[start : start + 3]
            if draw:
                for place, text in enumerate(row):
                    self.put(text, MARGIN + place * third, y + used, third - 3, self.size)
            used += max(self.tall(text, third - 3, self.size) for text in row)
        if draw:
            self.set_y(y + used + 0.8)
        return used + 0.8

    def _stops(self, *, draw: bool) -> float:
        inside, y = self.epw - 8, self.get_y()
        highs = [self.tall(one, inside, NEAR_PT, bold=True) + 0.8 for one in self.sheet.stops]
        tall = 9.6 + sum(highs)
        if draw:
            self.set_draw_color(0)
            self.set_line_width(0.9)
            self.rect(MARGIN, y, self.epw, tall)
            self.set_xy(MARGIN + 4, y + 0.8)
            self.letters(19, bold=True)
            self.cell(0, 8, "STOP")
            at = y + 9.0
            for one, high in zip(self.sheet.stops, highs, strict=True):
                self.put(one, MARGIN + 4, at, inside, NEAR_PT, bold=True)
                at += high
            self.set_y(y + tall + 1.2)
        return tall + 1.2

    def _looks(self, *, draw: bool) -> float:
        y, inside = self.get_y(), self.epw - 3
        lines = ("Look again:", *self.sheet.looks)
        used = 0.0
        for place, one in enumerate(lines):
            if draw:
                self.put(one, MARGIN + 3, y + used, inside, self.size, bold=place == 0)
            used += self.tall(one, inside, self.size, bold=place == 0)
        if draw:
            self.set_line_width(0.4)
            self.set_draw_color(0)
            for x in (MARGIN + 0.5, MARGIN + 1.5):
                self.line(x, y, x, y + used)
            self.set_y(y + used + 0.8)
        return used + 0.8

    def _section(self, section: Section, *, draw: bool) -> float:
        high = self._heading(section, draw=draw)
        return high + sum(self._block(block, draw=draw) for block in section.blocks)

    def _heading(self, section: Section, *, draw: bool) -> float:
        size = max(self.size + 1.4, 9.0)
        if draw:
            y = self.get_y() + 0.8
            self.put(section.title, MARGIN, y, self.epw, size, bold=True)
            self.rule(y + size * LINE + 0.3, 0.3)
            self.set_y(y + size * LINE + 1.0)
        return 1.8 + size * LINE

    # blocks

    def _block(self, block: Block, *, draw: bool) -> float:
        kept, near = self.size, getattr(block, "near", False)
        if near:
            self.size = NEAR_PT
        try:
            if isinstance(block, Words):
                return self._words(block, draw=draw)
            if isinstance(block, Points):
                return self._points(block, draw=draw)
            if isinstance(block, Facts):
                return self._facts(block, draw=draw)
            if isinstance(block, Grid):
                return self._grid(block, draw=draw)
            return self._drawing(block, draw=draw)
        finally:
            self.size = kept

    def _words(self, block: Words, *, draw: bool) -> float:
        high = self.tall(block.text, self.epw, self.size, bold=block.strong) + 0.8
        if draw:
            y = self.get_y()
            self.put(block.text, MARGIN, y, self.epw, self.size, bold=block.strong)
            self.set_y(y + high)
        return high

    def _drawing(self, block: Drawing, *, draw: bool) -> float:
        wide, tall = drawing_size(block.picture)
        high = self.epw * tall / wide
        if draw:
            y = self.get_y()
            put_drawing(self, block.picture, x=MARGIN, y=y, width=self.epw)
            self.set_y(y + high)
        return high + self._facts(block.beside, draw=draw)

    def _points(self, block: Points, *, draw: bool) -> float:
        level, size = LEVELS.get(block.kind), self.size
        box = 1.0 if level else 0.0
        head = size * LINE + 0.8 if level else 0.0  # the panel with the signal word
        columns = 2 if block.kind == "tick" else 1
        width = (self.epw - 2 * box) / columns
        indent = size * 0.55
        heights = [self.tall(one, width - indent - 2, size) + 0.4 for one in block.items]
        each = -(-len(heights) // columns)
        tall = max(sum(heights[n * each : (n + 1) * each]) for n in range(columns)) + 2 * box + head
        if draw:
            top = self.get_y()
            for place, one in enumerate(block.items):
                column, row = divmod(place, each)
                x = MARGIN + box + column * width
                y = top + head + box + sum(heights[column * each : column * each + row])
                mark = f"{place + 1}." if block.kind == "steps" else _MARKS.get(block.kind, "•")
                self.put(mark, x, y, indent, size)
                self.put(one, x + indent, y, width - indent - 2, size)
            if level:
                self.signal(level, top=top, head=head, tall=tall, size=size)
            self.set_y(top + tall + 0.8)
        return tall + 0.8

    def _facts(self, block: Facts, *, draw: bool) -> float:
        """Put facts in one column, or short ones in two."""
        size, y = self.size, self.get_y()
        columns = 2 if block.two else 1
        width = (self.epw - 4.0 * (columns - 1)) / columns
        share = 0.42 if block.two else 0.22
        name, value = width * share - 1, width * (1 - share)
        highs = [
            0.6 + max(self.tall(what, name, size), self.tall(text, value, size))
            for what, text in block.rows
        ]
        each = -(-len(highs) // columns)
        if draw:
            for place, ((what, text), high) in enumerate(zip(block.rows, highs, strict=True)):
                column, row = divmod(place, each)
                x = MARGIN + column * (width + 4.0)
                at = y + sum(highs[column * each : column * each + row])
                self.put(what, x, at + 0.2, name, size)
                self.put(text, x + width * share, at + 0.2, value, size)
                self.set_draw_color(150)
                self.set_line_width(0.1)
                self.line(x, at + high, x + width, at + high)
        total = max((sum(highs[n * each : (n + 1) * each]) for n in range(columns)), default=0.0)
        if draw:
            self.set_y(y + total + 0.9)
        return total + 0.9

    def _grid(self, block: Grid, *, draw: bool) -> float:
        widths = [share * self.epw for share in block.shares]
        total = self._row(block.header, widths, bold=True, draw=draw)
        for place, row in enumerate(block.rows):
            strong = place == block.strong_row
            total += self._row(row, widths, bold=strong, draw=draw, least=_least(row))
        for place in range(min(block.blank, self.setting.rows)):
            row = (str(place + 1), *("" for _ in widths[1:]))
            total += self._row(row, widths, draw=draw, least=6.4)
        if draw:
            self.set_y(self.get_y() + 0.9)
        return total + 0.9

    def _row(
        self,
        row: Sequence[str],
        widths: Sequence[float],
        *,
        bold: bool = False,
        draw: bool,
        least: float = 0.0,
    ) -> float:
        size = self.size
        tall = max(
            least,
            0.8
            + max(
                self.tall(text, width - 1.4, size, bold=bold)
                for text, width in zip(row, widths, strict=True)
            ),
        )
        if draw:
            x, y = MARGIN, self.get_y()
            for text, width in zip(row, widths, strict=True):
                self.set_draw_color(60)
                self.set_line_width(0.15)
                self.rect(x, y, width, tall)
                self.put(text, x + 0.7, y + 0.4, width - 1.4, size, bold=bold)
                x += width
            self.set_y(y + tall)
        return tall


def _least(row: Sequence[str]) -> float:
    return 0.0 if any(row[1:]) else 6.6
