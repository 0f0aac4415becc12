"""Letters and lines on paper: wrapping, writing, the box of a hazard; for the course's PDFs."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from fpdf import FPDF

from coursework.ink.fonts import font_file
from coursework.ink.signs import Level

__all__ = ["LINE", "LOW", "MARGIN", "NEAR_PT", "TOP", "Letters"]

NEAR_PT = 11.0  # of what is read at the machine
MARGIN = 12.0  # mm
TOP, LOW = 10.0, 12.0  # mm
LINE = 0.45  # mm of line for each point of letter
_FACE = "DejaVu"


class Letters(FPDF):
    """Wrapping and writing text; a word is measured once."""

    def __init__(self, paper: str) -> None:
        super().__init__(orientation="portrait", unit="mm", format=paper)
        self.set_margins(MARGIN, TOP)
        self.set_auto_page_break(auto=False)
        self.c_margin = 0.0
        self.add_font(_FACE, "", font_file())
        self.add_font(_FACE, "B", font_file(bold=True))
        self.measured: dict[tuple[bool, str], float] = {}
        self.wrapped = cache(self._wrapped)

    def shown(self, text: str) -> str:
        """Return a text with a mark for every letter that the letters here do not have."""
        known = self.fonts[_FACE.lower()].cmap  # type: ignore[union-attr]
        return "".join(one if ord(one) in known else "□" for one in text)

    def letters(self, size: float, *, bold: bool = False, gray: int = 0) -> None:
        """Take letters of a size [pt] for what is written next."""
        self.set_font(_FACE, "B" if bold else "", size)
        self.set_text_color(gray)

    def width_of(self, text: str, size: float, bold: bool) -> float:
        """Return the width of a text in one line [mm]."""
        if (bold, text) not in self.measured:
            self.letters(10.0, bold=bold)
            self.measured[bold, text] = self.get_string_width(text) / 10.0
        return self.measured[bold, text] * size

    def _wrapped(self, text: str, width: float, size: float, bold: bool) -> tuple[str, ...]:
        lines, line, used = [], "", 0.0
        space = self.width_of(" ", size, bold)
        for word in self.shown(text).split(" "):
            for part in self._parts(word, width, size, bold):
                wide = self.width_of(part, size, bold)
                if line and used + space + wide > width:
                    lines.append(line)
                    line, used = part, wide
                else:
                    used += wide + (space if line else 0.0)
                    line = f"{line} {part}" if line else part
        return (*lines, line)

    def _parts(self, word: str, width: float, size: float, bold: bool) -> Iterator[str]:
        """Cut a word that is wider than its column."""
        while self.width_of(word, size, bold) > width and len(word) > 1:
            at = len(word) - 1
            while at > 1 and self.width_of(word[:at], size, bold) > width:
                at -= 1
            yield word[:at]
            word = word[at:]
        yield word

    def tall(self, text: str, width: float, size: float, *, bold: bool = False) -> float:
        """Return the height of a wrapped text [mm]."""
        return len(self.wrapped(text, width, size, bold)) * size * LINE

    def put(
        self, text: str, x: float, y: float, width: float, size: float, *, bold: bool = False
    ) -> None:
        """Write a wrapped text with its corner at x, y [mm]."""
        lines = self.wrapped(text, width, size, bold)
        self.letters(size, bold=bold)
        for place, line in enumerate(lines):
            self.set_xy(x, y + place * size * LINE)
            self.cell(width, size * LINE, line)

    def rule(self, y: float, weight: float) -> None:
        """Draw a line across the page at y, `weight` wide [mm]."""
        self.set_draw_color(0)
        self.set_line_width(weight)
        self.line(MARGIN, y, MARGIN + self.epw, y)

    def signal(self, level: Level, *, top: float, head: float, tall: float, size: float) -> None:
        """Draw a hazard box round a list: panel, safety alert triangle, signal word."""
        dark = level.ink == "#ffffff"
        self.set_draw_color(0)
        self.set_line_width(0.2 + 0.1 * level.border_px)
        self.set_fill_color(level.panel)
        self.rect(MARGIN, top, self.epw, head, style="DF")
        self.rect(MARGIN, top, self.epw, tall)
        x, side = MARGIN + 1.5, head - 1.0
        self.set_fill_color(level.ink)
        corners = [(x, top + 0.5 + side), (x + side / 2, top + 0.5), (x + side, top + 0.5 + side)]
        self.polygon(corners, style="F")
        self.set_font(_FACE, "B", size * 0.62)
        self.set_text_color(level.panel)
        self.set_xy(x, top + 0.9)
        self.cell(side, side, "!", align="C")
        self.letters(size, bold=True, gray=255 if dark else 0)
        self.set_xy(x + side + 1.5, top)
        self.cell(0, head, level.word)
