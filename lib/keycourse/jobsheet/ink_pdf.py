"""One of the course's drawings put on a PDF page: lines, shapes and words, as it draws them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from xml.etree import ElementTree

from fpdf import FPDF
from fpdf.enums import IntersectionRule

from coursework.ink.drawing import PAPER, Picture

__all__ = ["drawing_size", "put_drawing"]

_NUMBERS = re.compile(r"-?[0-9]*\.?[0-9]+")
_POINTS_PER_MM = 72 / 25.4
Point = tuple[float, float]


def drawing_size(picture: Picture) -> tuple[float, float]:
    """Return width and height of a drawing in its own units."""
    box = [float(one) for one in (_root(picture).get("viewBox") or "").split()]
    return box[2], box[3]


def _root(picture: Picture) -> ElementTree.Element:
    return ElementTree.fromstring(picture.svg)


def put_drawing(pdf: FPDF, picture: Picture, *, x: float, y: float, width: float) -> None:
    """Draw a picture with its corner at x, y [mm], `width` wide [mm].

    Raises
    ------
    ValueError
        If the drawing holds something other than what the course's drawings are made of.
    """
    scale = width / drawing_size(picture)[0]
    for element in _root(picture):
        kind = element.tag.rpartition("}")[2]
        if kind == "rect":
            _rect(pdf, element, x, y, scale)
        elif kind == "line":
            ends = [(_n(element, "x1"), _n(element, "y1")), (_n(element, "x2"), _n(element, "y2"))]
            _stroke(pdf, element, [ends], x, y, scale)
        elif kind == "path":
            _path(pdf, element, x, y, scale)
        elif kind == "circle":
            _circle(pdf, element, x, y, scale)
        elif kind == "text":
            _words(pdf, element, x, y, scale)
        else:
            raise ValueError(f"drawing holds a {kind}; it must hold lines, shapes and words only.")


def _n(element: ElementTree.Element, name: str) -> float:
    return float(element.get(name) or 0.0)


def _colour(text: str | None) -> tuple[int, int, int] | None:
    if not text or text == "none":
        return None
    digits = text.lstrip("#")
    return int(digits[0:2], 16), int(digits[2:4], 16), int(digits[4:6], 16)


def _rings(data: str) -> Iterator[tuple[list[Point], bool]]:
    for part in data.split("M")[1:]:
        numbers = [float(one) for one in _NUMBERS.findall(part)]
        yield list(zip(numbers[::2], numbers[1::2], strict=True)), part.rstrip().endswith("Z")


def _dashes(points: Sequence[Point], pattern: Sequence[float]) -> Iterator[tuple[Point, Point]]:
    """Cut a line into its dashes."""
    place, left = 0, pattern[0]
    for (x1, y1), (x2, y2) in zip(points, points[1:], strict=False):
        length = math.hypot(x2 - x1, y2 - y1)
        done = 0.0
        while length - done > 1e-9:
            step = min(left, length - done)
            a, b = done / length, (done + step) / length
            if place % 2 == 0:
                yield (
                    (x1 + a * (x2 - x1), y1 + a * (y2 - y1)),
                    (x1 + b * (x2 - x1), y1 + b * (y2 - y1)),
                )
            done, left = done + step, left - step
            if left <= 1e-9:
                place = (place + 1) % len(pattern)
                left = pattern[place]


def _stroke(
    pdf: FPDF,
    element: ElementTree.Element,
    lines: Sequence[Sequence[Point]],
    x: float,
    y: float,
    scale: float,
) -> None:
    ink = _colour(element.get("stroke"))
    weight = float(element.get("stroke-width") or 1.0)
    if ink is None or weight <= 0:
        return
    pdf.set_draw_color(*ink)
    pdf.set_line_width(max(weight * scale, 0.1))
    pattern = [float(one) for one in _NUMBERS.findall(element.get("stroke-dasharray") or "")]
    for points in lines:
        pairs = _dashes(points, pattern) if pattern else zip(points, points[1:], strict=False)
        for (x1, y1), (x2, y2) in pairs:
            pdf.line(x + x1 * scale, y + y1 * scale, x + x2 * scale, y + y2 * scale)


def _fill(
    pdf: FPDF,
    element: ElementTree.Element,
    rings: Sequence[Sequence[Point]],
    x: float,
    y: float,
    scale: float,
) -> None:
    fill = element.get("fill")
    if _colour(fill) is None or fill == PAPER:
        return
    with pdf.new_path() as path:
        path.style.fill_color = fill
        path.style.stroke_color = None
        path.style.intersection_rule = IntersectionRule.EVENODD
        if element.get("fill-opacity"):
            path.style.fill_opacity = _n(element, "fill-opacity")
        for ring in rings:
            path.move_to(x + ring[0][0] * scale, y + ring[0][1] * scale)
            for px, py in ring[1:]:
                path.line_to(x + px * scale, y + py * scale)
            path.close()


def _path(pdf: FPDF, element: ElementTree.Element, x: float, y: float, scale: float) -> None:
    rings = list(_rings(element.get("d") or ""))
    _fill(pdf, element, [points for points, _ in rings if len(points) > 2], x, y, scale)
    lines = [[*points, points[0]] if closed else points for points, closed in rings]
    _stroke(pdf, element, lines, x, y, scale)


def _rect(pdf: FPDF, element: ElementTree.Element, x: float, y: float, scale: float) -> None:
    left, top = _n(element, "x"), _n(element, "y")
    right, low = left + _n(element, "width"), top + _n(element, "height")
    ring = [(left, top), (right, top), (right, low), (left, low)]
    _fill(pdf, element, [ring], x, y, scale)
    _stroke(pdf, element, [[*ring, ring[0]]], x, y, scale)


def _circle(pdf: FPDF, element: ElementTree.Element, x: float, y: float, scale: float) -> None:
    cx, cy, radius = _n(element, "cx"), _n(element, "cy"), _n(element, "r")
    ring = [
        (cx + radius * math.cos(turn * math.pi / 36), cy + radius * math.sin(turn * math.pi / 36))
        for turn in range(72)
    ]
    _fill(pdf, element, [ring], x, y, scale)
    _stroke(pdf, element, [[*ring, ring[0]]], x, y, scale)


def _words(pdf: FPDF, element: ElementTree.Element, x: float, y: float, scale: float) -> None:
    words = "".join(element.itertext())
    px, py = x + _n(element, "x") * scale, y + _n(element, "y") * scale
    bold = element.get("font-weight") == "bold"
    pdf.set_font(style="B" if bold else "", size=_n(element, "font-size") * scale * _POINTS_PER_MM)
    long = pdf.get_string_width(words)
    left = px - {"middle": long / 2, "end": long}.get(element.get("text-anchor") or "", 0.0)
    turn = re.search(r"rotate\(([-0-9.]+)", element.get("transform") or "")
    with pdf.rotation(-float(turn[1]) if turn else 0.0, px, py):
        if element.get("paint-order"):  # paper behind words that cross lines
            high = _n(element, "font-size") * scale
            pdf.set_fill_color(255, 255, 255)
            pdf.rect(left - 0.3, py - 0.8 * high, long + 0.6, 1.05 * high, style="F")
        pdf.set_text_color(*(_colour(element.get("fill")) or (0, 0, 0)))
        pdf.text(left, py, words)
