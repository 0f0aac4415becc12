"""The booklet as a PDF: a sheet a lesson, then the tables; black and white will do.

What is read at the machine has 11 points or more; only where a table comes from, and the foot of
a sheet, are smaller.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from coursework.ink.signs import LEVELS
from keycourse.booklet.lessons import Kept, kept_of_lessons
from keycourse.booklet.tables import KeyTable, TableSheet, table_sheets
from keycourse.hazards import gravest, sentences
from keycourse.jobsheet.html import PAPERS
from keycourse.jobsheet.ink_pdf import drawing_size, put_drawing
from keycourse.jobsheet.letters import LINE, LOW, MARGIN, NEAR_PT, TOP, Letters
from keycourse.lessonpictures import LESSON_PICTURES
from taperkey import __version__
from taperkey.checks import require_in
from taperkey.files import write_whole
from taperkey.tables.reader import read_source

__all__ = ["booklet_name", "booklet_pdf", "write_booklet"]

_SIZES = (15.0, 14.0, 13.0, 12.0, 11.5, NEAR_PT)  # of the rules: the largest that fits is taken
_TITLE_PT, _FOOT_PT, _HEAD_PT, _SOURCE_PT = 22.0, 9.0, 9.0, 7.5
_PICTURE = 44.0  # mm wide
_GAP = 6.0  # mm between tables side by side
_NOTE_LINE = 9.0  # mm
_COURSE = "The taper-key course, to keep"

Run = tuple[str, bool]


def booklet_pdf(*, paper: str = "A4") -> bytes:
    """Return the booklet as a PDF.

    Parameters
    ----------
    paper : str
        "A4" or "Letter".

    Raises
    ------
    ValueError
        If the paper is unknown.
    """
    require_in("paper", paper, PAPERS, "Choose the paper in the printer.")
    booklet = _Booklet(paper)
    for kept in kept_of_lessons():
        booklet.lesson(kept)
    for sheet in table_sheets():
        booklet.tables(sheet)
    return bytes(booklet.output())


def booklet_name(paper: str) -> str:
    """Return the name of the booklet's file."""
    return f"to-keep-{paper}.pdf"


def write_booklet(*, folder: Path, paper: str = "A4") -> Path:
    """Write the booklet into a folder, in the place of an older one; return its file.

    Raises
    ------
    ValueError
        If the paper is unknown.
    OSError
        If the folder cannot be written.
    """
    document = booklet_pdf(paper=paper)
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / booklet_name(paper)
    write_whole(path, document)
    return path


def _words(text: str) -> list[list[Run]]:
    """Return the words of a rule, each in pieces that are bold or not."""
    found, bold = [], False
    for word in text.split(" "):
        pieces = []
        for place, part in enumerate(word.split("**")):
            bold ^= bool(place)
            if part:
                pieces.append((part, bold))
        found.append(pieces)
    return [one for one in found if one]


class _Booklet(Letters):
    def __init__(self, paper: str) -> None:
        super().__init__(paper)
        self.set_title(_COURSE)
        self.set_creator(f"taperkey {__version__}")
        self.set_lang("en")
        self.name = ""  # of the sheet, for its foot

    @property
    def low(self) -> float:
        """Where a sheet ends above its foot [mm]."""
        return float(self.h) - LOW

    def footer(self) -> None:
        """Put the sheet's name and number below."""
        self.set_xy(MARGIN, -10.0)
        self.letters(_FOOT_PT)
        self.cell(self.epw * 0.75, 4, f"{_COURSE} · {self.name}")
        self.letters(NEAR_PT, bold=True)
        self.cell(self.epw * 0.25, 4, f"{self.page_no()} of {{nb}}", align="R")

    def _begin(self, name: str, *, room: float) -> float:
        """Begin a sheet with its name over a line; return where it goes on [mm]."""
        self.add_page()  # with the foot of the sheet before
        self.name = name
        self.start_section(name)
        self.put("To keep", MARGIN, TOP, 60, NEAR_PT)
        width = self.epw - (_PICTURE + 4 if room else 0)
        self.put(name, MARGIN, TOP + 6, width, _TITLE_PT, bold=True)
        tall = max(room, 8 + self.tall(name, width, _TITLE_PT, bold=True)) + 1.5
        self.rule(TOP + tall, 0.6)
        return TOP + tall + 3.0

    # a lesson

    def lesson(self, kept: Kept) -> None:
        """Fill a lesson's sheet: its rules, its hazards, and lines for one's own."""
        picture = LESSON_PICTURES[kept.page]()
        wide, high = drawing_size(picture)
        y = self._begin(kept.title, room=_PICTURE * high / wide)
        put_drawing(self, picture, x=MARGIN + self.epw - _PICTURE, y=TOP - 1, width=_PICTURE)
        warned = self._hazards_high(kept.hazards)
        size = next(
            (one for one in _SIZES if y + self._rules_high(kept.rules, one) + warned <= self.low),
            _SIZES[-1],
        )
        for rule in kept.rules:
            y = self._rule(rule, y, size)
        y = self._hazards(kept.hazards, y + 2.0)
        self._notes(y + 4.0)

    def _lines(self, rule: str, size: float) -> list[list[Run]]:
        """Return a rule's lines; what is bold alike stands in one piece."""
        width, space = self.epw - size * 0.6, self.width_of(" ", size, False)
        lines: list[list[Run]] = [[]]
        used = 0.0
        for word in _words(self.shown(rule)):
            wide = sum(self.width_of(text, size, bold) for text, bold in word)
            if lines[-1] and used + space + wide > width:
                lines.append([])
                used = 0.0
            line = lines[-1]
            used += wide + (space if line else 0.0)
            for place, (text, bold) in enumerate(word):
                between = " " if line and not place else ""
                if line and line[-1][1] == bold:
                    line[-1] = (line[-1][0] + between + text, bold)
                else:
                    if between:
                        line[-1] = (line[-1][0] + between, line[-1][1])
                    line.append((text, bold))
        return lines

    def _rules_high(self, rules: Sequence[str], size: float) -> float:
        return sum(len(self._lines(one, size)) * size * LINE + size * 0.12 for one in rules)

    def _rule(self, rule: str, y: float, size: float) -> float:
        self.put("•", MARGIN, y, 5, size)
        for line in self._lines(rule, size):
            x = MARGIN + size * 0.6
            for text, bold in line:
                wide = self.width_of(text, size, bold)
                self.letters(size, bold=bold)
                self.set_xy(x, y)
                self.cell(wide, size * LINE, text)
                x += wide
            y += size * LINE
        return y + size * 0.12

    def _told(self, names: Sequence[str]) -> list[tuple[str, float]]:
        width = self.epw - 6.0
        return [(one, self.tall(one, width, NEAR_PT) + 0.8) for one in sentences(names)]

    def _hazards_high(self, names: Sequence[str]) -> float:
        return 12.0 + sum(high for _, high in self._told(names)) if names else 0.0

    def _hazards(self, names: Sequence[str], y: float) -> float:
        if not names:
            return y
        told, head = self._told(names), NEAR_PT * LINE + 1.6
        tall = head + 2.0 + sum(high for _, high in told)
        self.signal(LEVELS[gravest(names)], top=y, head=head, tall=tall, size=NEAR_PT)
        at = y + head + 1.2
        for text, high in told:
            self.put(text, MARGIN + 3, at, self.epw - 6.0, NEAR_PT)
            at += high
        return y + tall

    def _notes(self, y: float) -> None:
        """Put lines for one's own notes, where there is room for three."""
        count = int((self.low - y - 6.0) // _NOTE_LINE)
        if count < 3:
            return
        self.put("My own notes", MARGIN, y, self.epw, NEAR_PT, bold=True)
        self.set_draw_color(120)
        self.set_line_width(0.15)
        for turn in range(1, count + 1):
            at = y + 6.0 + turn * _NOTE_LINE
            self.line(MARGIN, at, MARGIN + self.epw, at)

    # tables

    def tables(self, sheet: TableSheet) -> None:
        """Fill a sheet of tables; where they come from stands below them, small."""
        y = self._begin(sheet.title, room=0.0)
        files = []
        for band in sheet.bands:
            room = self.epw - _GAP * (len(band) - 1)
            parts = [max(len(stack[0].heads), 3) for stack in band]
            widths = [room * part / sum(parts) for part in parts]
            x, ends = MARGIN, []
            for stack, wide in zip(band, widths, strict=True):
                at = y
                for table in stack:
                    at = self._table(table, x, at, wide) + 4.0
                    files.append(table.source)
                ends.append(at)
                x += wide + _GAP
            y = max(ends)
        for what, text, file in sheet.lines:
            self.put(what, MARGIN, y, self.epw, NEAR_PT, bold=True)
            self.put(text, MARGIN, y + NEAR_PT * LINE + 0.5, self.epw, NEAR_PT)
            y += NEAR_PT * LINE + self.tall(text, self.epw, NEAR_PT) + 3.0
            files.append(file)
        for file in dict.fromkeys(files):
            text = read_source(file)
            self.put(text, MARGIN, y, self.epw, _SOURCE_PT)
            y += self.tall(text, self.epw, _SOURCE_PT) + 0.8
        self.end = y

    def _table(self, table: KeyTable, x: float, y: float, width: float) -> float:
        self.put(table.title, x, y, width, NEAR_PT, bold=True)
        y += self.tall(table.title, width, NEAR_PT, bold=True) + 0.5
        y = self._row(table.heads, table, x, y, width, _HEAD_PT, weight=0.4)
        for row in table.rows:
            y = self._row(row, table, x, y, width, NEAR_PT, weight=0.12)
        return y

    def _row(
        self,
        row: Sequence[str],
        table: KeyTable,
        x: float,
        y: float,
        width: float,
        size: float,
        *,
        weight: float,
    ) -> float:
        cells = [(text, share * width) for text, share in zip(row, table.shares, strict=True)]
        tall = max(self.tall(text, wide - 1.0, size) for text, wide in cells) + 0.5
        at = x
        for text, wide in cells:
            self.put(text, at, y + 0.3, wide - 1.0, size)
            at += wide
        self.set_draw_color(0)
        self.set_line_width(weight)
        self.line(x, y + tall, x + width, y + tall)
        return y + tall
