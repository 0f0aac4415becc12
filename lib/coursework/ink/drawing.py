"""One visual language for every drawing of the course.

Technical drawings follow the manner of ISO 128 (line weights, hatching of cut
metal) and ISO 129 (dimension lines, extension lines, narrow filled arrowheads).
A drawing is 700 units wide, so that one unit is one pixel on a page 700 wide;
text is never smaller than `SMALL`. Colors keep apart for color-blind readers
and in gray print, and nothing is said by color alone.

Drawings hold no identifiers, so that many can stand on one page; hatching is
computed line by line.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

from coursework.ink.look import light
from taperkey.arrays import np

__all__ = [
    "BEARING_BLUE",
    "FINE",
    "FONT",
    "HEAVY",
    "INK",
    "LARGE",
    "MEDIUM",
    "MUTED",
    "OCHRE",
    "ON_KEY",
    "PAPER",
    "SHADE",
    "SMALL",
    "STEEL",
    "STEEL_LIGHT",
    "TEAL",
    "TEXT",
    "VERMILION",
    "WASH",
    "WIDTH",
    "Picture",
    "Point",
    "Sheet",
    "arc_points",
    "circle_points",
    "side_by_side",
]

#: Colors, from the one style sheet: blue-green, vermilion and ochre stay apart for red-green
#: blindness and fall on different grays in print.
PAPER = light("paper")
INK = light("ink")
MUTED = light("muted")
STEEL_LIGHT = light("steel-light")
STEEL = light("steel")
SHADE = light("shade")
TEAL = light("link")
VERMILION = light("vermilion")
OCHRE = light("key")
ON_KEY = light("on-key")  # letters on a key's steel, which stays light in the dark theme
WASH = light("wash")
BEARING_BLUE = light("blue")

#: Line weights (ISO 128: wide to narrow about 2:1).
HEAVY = 2.2
MEDIUM = 1.5
FINE = 1.0

#: Text sizes in units of the 700-wide drawing.
SMALL = 14.0
TEXT = 15.0
LARGE = 18.0

WIDTH = 700.0
FONT = "'Segoe UI', 'Helvetica Neue', Arial, 'DejaVu Sans', sans-serif"

Point = tuple[float, float]


@dataclass(frozen=True)
class Picture:
    """A finished drawing: the SVG text and the same in words.

    Parameters
    ----------
    svg : str
        One ``<svg role="img" aria-label="...">`` element.
    text : str
        Plain text alternative, also inside the drawing as its label.
    """

    svg: str
    text: str

    def html(self) -> str:
        """Return the drawing in its wrapper, ready for a page."""
        return f'<figure class="tk-picture">{self.svg}</figure>'

    def _repr_html_(self) -> str:
        return self.html()


def side_by_side(views: Sequence[Picture]) -> str:
    """Return views of one size as HTML: in a row, and one under the other on a phone."""
    return f'<div class="tk-views">{"".join(view.html() for view in views)}</div>'


def _r(value: float) -> float:
    return round(float(value), 2)


def _dashes(lengths: Sequence[float] | None) -> str | None:
    return " ".join(map(str, lengths)) if lengths else None


def _trace(rings: Iterable[Sequence[Point]], *, closed: bool) -> str:
    """Return a whole path as one piece of text."""
    return "".join(
        "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in ring) + ("Z" if closed else "")
        for ring in rings
    )


def circle_points(*, cx: float, cy: float, radius: float, count: int = 72) -> list[Point]:
    """Return points around a circle."""
    return arc_points(cx=cx, cy=cy, radius=radius, start=0.0, end=2 * math.pi, count=count)[:-1]


def arc_points(
    *, cx: float, cy: float, radius: float, start: float, end: float, count: int = 36
) -> list[Point]:
    """Return points along an arc; angles in radians, anticlockwise as seen, from the right."""
    angles = [start + (end - start) * i / count for i in range(count + 1)]
    return [(cx + radius * math.cos(a), cy - radius * math.sin(a)) for a in angles]


def _hatch_segments(
    rings: Sequence[Sequence[Point]], angle: float, spacing: float
) -> list[tuple[Point, Point]]:
    """Return the hatch lines inside the rings (even-odd), by sweeping a line across them."""
    c, s = math.cos(angle), math.sin(angle)
    starts, ends = [], []
    for ring in rings:
        pts = np.asarray(ring, dtype=float)
        along = pts[:, 0] * c - pts[:, 1] * s
        across = pts[:, 0] * s + pts[:, 1] * c
        turned = np.column_stack([along, across])
        starts.append(turned)
        ends.append(np.roll(turned, -1, axis=0))
    a, b = np.vstack(starts), np.vstack(ends)
    low = math.ceil(a[:, 1].min() / spacing)
    high = math.floor(a[:, 1].max() / spacing)
    segments = []
    for step in range(low, high + 1):
        level = step * spacing + 1e-7
        hit = (a[:, 1] > level) != (b[:, 1] > level)
        if not hit.any():
            continue
        p, q = a[hit], b[hit]
        cuts = np.sort(p[:, 0] + (level - p[:, 1]) / (q[:, 1] - p[:, 1]) * (q[:, 0] - p[:, 0]))
        for one, two in zip(cuts[::2], cuts[1::2], strict=False):
            segments.append(
                (
                    (one * c + level * s, -one * s + level * c),
                    (two * c + level * s, -two * s + level * c),
                )
            )
    return segments


class Sheet:
    """A sheet of paper to draw on; `picture` closes it.

    Parameters
    ----------
    height : float
        Height in drawing units.
    width : float
        Width in drawing units.
    """

    def __init__(self, *, height: float, width: float = WIDTH) -> None:
        self.width = width
        self.height = height
        self._drawing = Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": f"0 0 {_r(width)} {_r(height)}",
                "style": f"display:block;width:100%;height:auto;font-family:{FONT}",
                "role": "img",
            },
        )
        self._put("rect", x=0, y=0, width=_r(width), height=_r(height), fill=PAPER, rx=6)

    def _put(self, kind: str, *, name: str = "", **said: float | str | None) -> Element:
        """Put a part on the sheet, with what is said of it; what is None is left out."""
        attributes = {
            key.replace("_", "-"): str(value) for key, value in said.items() if value is not None
        }
        if name:
            attributes["data-name"] = name
        return SubElement(self._drawing, kind, attributes)

    def line(
        self,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        *,
        ink: str = INK,
        weight: float = MEDIUM,
        dash: Sequence[float] | None = None,
        name: str = "",
    ) -> None:
        """Draw a straight line; `name` tags it so that a test can find it."""
        self._put(
            "line",
            x1=_r(x1),
            y1=_r(y1),
            x2=_r(x2),
            y2=_r(y2),
            stroke=ink,
            stroke_width=weight,
            stroke_dasharray=_dashes(dash),
            name=name,
        )

    def centre_line(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """Draw a long-dash-dot line, as for an axis."""
        self.line(x1, y1, x2, y2, ink=MUTED, weight=FINE, dash=(14, 4, 2, 4))

    def path(
        self,
        rings: Sequence[Sequence[Point]],
        *,
        fill: str = "none",
        ink: str = INK,
        weight: float = MEDIUM,
        closed: bool = True,
        opacity: float | None = None,
        dash: Sequence[float] | None = None,
        name: str = "",
    ) -> None:
        """Draw one or more rings as one shape; an inner ring is a hole."""
        self._put(
            "path",
            d=_trace(rings, closed=closed),
            fill=fill,
            fill_rule="evenodd",
            fill_opacity=opacity,
            stroke=ink,
            stroke_width=weight,
            stroke_linejoin="round",
            stroke_dasharray=_dashes(dash),
            name=name,
        )

    def cut_metal(
        self,
        rings: Sequence[Sequence[Point]],
        *,
        fill: str = STEEL_LIGHT,
        angle_deg: float = 45.0,
        spacing: float = 10.0,
        weight: float = HEAVY,
    ) -> None:
        """Draw metal that the section plane cuts: outline in a wide line, hatched."""
        self.path(rings, fill=fill, ink="none", weight=0)
        hatch = _hatch_segments(rings, math.radians(angle_deg), spacing)
        self.path(hatch, ink=SHADE, weight=0.8, closed=False)
        self.path(rings, weight=weight)

    def rect(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        fill: str = "none",
        ink: str = INK,
        weight: float = MEDIUM,
        round_by: float | None = None,
    ) -> None:
        """Draw a rectangle."""
        self._put(
            "rect",
            x=_r(x),
            y=_r(y),
            width=_r(max(width, 0.0)),
            height=_r(max(height, 0.0)),
            rx=round_by,
            fill=fill,
            stroke=ink,
            stroke_width=weight,
        )

    def circle(
        self,
        cx: float,
        cy: float,
        radius: float,
        *,
        fill: str = "none",
        ink: str = INK,
        weight: float = MEDIUM,
        name: str = "",
    ) -> None:
        """Draw a circle."""
        self._put(
            "circle",
            cx=_r(cx),
            cy=_r(cy),
            r=_r(radius),
            fill=fill,
            stroke=ink,
            stroke_width=weight,
            name=name,
        )

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float = TEXT,
        anchor: str = "start",
        ink: str = INK,
        bold: bool = False,
        turn_deg: float = 0.0,
        halo: bool = False,
        name: str = "",
    ) -> None:
        """Write words; `halo` puts paper behind them where they cross lines."""
        if not words:
            return
        place = self._put(
            "text",
            name=name,
            x=_r(x),
            y=_r(y),
            font_size=size,
            fill=ink,
            font_weight="bold" if bold else None,
            transform=f"rotate({_r(turn_deg)} {_r(x)} {_r(y)})" if turn_deg else None,
            text_anchor=anchor if anchor in ("middle", "end") else None,
        )
        place.text = words
        if halo:
            behind = {"stroke": PAPER, "stroke-width": "5", "paint-order": "stroke"}
            place.attrib.update(behind, **{"stroke-linejoin": "round"})

    def arrowhead(
        self, x: float, y: float, dx: float, dy: float, *, ink: str = INK, length: float = 11.0
    ) -> None:
        """Draw a narrow filled arrowhead with its point at x, y, pointing along dx, dy."""
        size = math.hypot(dx, dy) or 1.0
        ux, uy = dx / size, dy / size
        bx, by = x - ux * length, y - uy * length
        half = length * 0.17
        self.path(
            [[(x, y), (bx - uy * half, by + ux * half), (bx + uy * half, by - ux * half)]],
            fill=ink,
            ink=ink,
            weight=0.5,
        )

    def arrow(
        self,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        *,
        ink: str = INK,
        weight: float = MEDIUM,
        length: float = 13.0,
    ) -> None:
        """Draw an arrow that points at x2, y2."""
        self.line(x1, y1, x2, y2, ink=ink, weight=weight)
        self.arrowhead(x2, y2, x2 - x1, y2 - y1, ink=ink, length=length)

    def dimension(
        self,
        start: Point,
        end: Point,
        *,
        at: float,
        words: str = "",
        upright: bool = True,
        ink: str = INK,
        text_shift: float = 8.0,
        anchor: str = "",
        text_at: float | None = None,
    ) -> None:
        """Dimension the distance between two points.

        Parameters
        ----------
        start, end : Point
            The points that are dimensioned.
        at : float
            x of an upright dimension line, or y of a level one.
        words : str
            What the dimension says; nothing when left out.
        upright : bool
            Upright (measures height) or level (measures length).
        ink : str
            Color of lines and words.
        text_shift : float
            Distance of the words from the dimension line.
        anchor : str
            Side of the words on an upright dimension: start (right) or end (left).
        text_at : float
            Where along the line the words stand; half-way when left out.
        """
        gap, past, tail = 3.0, 6.0, 18.0
        a, b = (start[1], end[1]) if upright else (start[0], end[0])
        low, high = min(a, b), max(a, b)
        middle = (low + high) / 2 if text_at is None else text_at
        for p in (start, end):
            own = p[0] if upright else p[1]
            if abs(at - own) > gap:
                sign = 1.0 if at > own else -1.0
                if upright:
                    self.line(own + sign * gap, p[1], at + sign * past, p[1], ink=ink, weight=0.9)
                else:
                    self.line(p[0], own + sign * gap, p[0], at + sign * past, ink=ink, weight=0.9)
        inside = high - low >= 26.0
        reach = 0.0 if inside else tail
        if upright:
            self.line(at, low - reach, at, high + reach, ink=ink, weight=FINE)
            self.arrowhead(at, low, 0, -1 if inside else 1, ink=ink)
            self.arrowhead(at, high, 0, 1 if inside else -1, ink=ink)
            side = anchor or "start"
            shift = -text_shift if side == "end" else text_shift
            self.text(at + shift, middle + 5, words, anchor=side, ink=ink, halo=True)
        else:
            self.line(low - reach, at, high + reach, at, ink=ink, weight=FINE)
            self.arrowhead(low, at, -1 if inside else 1, 0, ink=ink)
            self.arrowhead(high, at, 1 if inside else -1, 0, ink=ink)
            self.text(middle, at - text_shift, words, anchor=anchor or "middle", ink=ink, halo=True)

    def leader(
        self, x: float, y: float, to_x: float, to_y: float, words: str, *, ink: str = INK
    ) -> None:
        """Point at x, y from words that stand at to_x, to_y."""
        self.line(to_x, to_y, x, y, ink=ink, weight=FINE)
        self.arrowhead(x, y, x - to_x, y - to_y, ink=ink, length=10)
        right = to_x >= x
        self.text(
            to_x + (5 if right else -5),
            to_y + 5,
            words,
            anchor="start" if right else "end",
            ink=ink,
            halo=True,
        )

    def scale_bar(self, x: float, y: float, length: float, words: str) -> None:
        """Draw a scale bar with what its length stands for."""
        self.line(x, y, x + length, y, weight=HEAVY)
        for end in (x, x + length):
            self.line(end, y - 5, end, y + 5, weight=MEDIUM)
        self.text(x + length + 8, y + 5, words, size=SMALL, ink=MUTED, name="scale")

    def picture(self, text: str) -> Picture:
        """Close the sheet: `text` is the drawing in words."""
        self._drawing.set("aria-label", text)
        return Picture(svg=tostring(self._drawing, encoding="unicode"), text=text)
