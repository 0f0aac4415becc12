"""The drawings of the course on a matplotlib axis, stroke by stroke.

`equal_inline` shows a live figure as one would with `interactive_output` and inline matplotlib:
the same controls, the same computation, the same lines, hatching and words, drawn into a new
figure at each change. Only the sheet of paper is another.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import ipywidgets as widgets
import matplotlib.pyplot as plt
import traitlets
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, FancyBboxPatch, PathPatch, Rectangle
from matplotlib.path import Path
from matplotlib.patheffects import withStroke

from coursework.ink import drawing as ink
from coursework.ink.drawing import (
    INK,
    MEDIUM,
    PAPER,
    TEXT,
    Picture,
    Point,
    Sheet,
)

__all__ = ["MatplotlibSheet", "equal_inline", "must_draw", "on_matplotlib", "on_paper", "parts_of"]

PER_PIXEL = 72 / 100  # points, at 100 dots per inch


def _stroke(weight: float, dash: Sequence[float] | None) -> dict[str, Any]:
    points = weight * PER_PIXEL
    style = (0, [length * PER_PIXEL / max(points, 0.1) for length in dash]) if dash else "-"
    return {"linewidth": points, "linestyle": style}


class MatplotlibSheet(Sheet):
    """A sheet that draws on a matplotlib axis as wide as the SVG one, pixel for unit."""

    drawn = 0  # pictures, on all sheets

    def __init__(self, *, height: float, width: float = ink.WIDTH) -> None:
        super().__init__(height=height, width=width)
        self.figure = plt.figure(figsize=(width / 100, height / 100), dpi=100, facecolor=PAPER)
        self.ax = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self.ax.set(xlim=(0, width), ylim=(height, 0))
        self.ax.axis("off")

    def line(
        self, x1: float, y1: float, x2: float, y2: float, *, ink: str = INK,
        weight: float = MEDIUM, dash: Sequence[float] | None = None, name: str = "",
    ) -> None:  # fmt: skip
        """Draw a straight line."""
        self.ax.add_line(Line2D([x1, x2], [y1, y2], color=ink, **_stroke(weight, dash)))

    def path(
        self, rings: Sequence[Sequence[Point]], *, fill: str = "none", ink: str = INK,
        weight: float = MEDIUM, closed: bool = True, opacity: float | None = None,
        dash: Sequence[float] | None = None, name: str = "",
    ) -> None:  # fmt: skip
        """Draw rings as one shape."""
        points: list[Point] = []
        codes: list[int] = []
        for ring in rings:
            points += [(float(x), float(y)) for x, y in ring]
            codes += [Path.MOVETO] + [Path.LINETO] * (len(ring) - 1)
            if closed:
                points.append(points[-len(ring)])
                codes.append(Path.CLOSEPOLY)
        if not points:
            return
        patch = PathPatch(
            Path(points, codes), facecolor=fill, edgecolor=ink,
            **_stroke(weight, dash),
        )  # fmt: skip
        if opacity is not None:
            patch.set_alpha(opacity)
        self.ax.add_patch(patch)

    def rect(
        self, x: float, y: float, width: float, height: float, *, fill: str = "none",
        ink: str = INK, weight: float = MEDIUM, round_by: float | None = None,
    ) -> None:  # fmt: skip
        """Draw a rectangle."""
        more = {"facecolor": fill, "edgecolor": ink}
        more |= _stroke(weight, None)
        size = (max(width, 0.0), max(height, 0.0))
        if round_by:
            style = f"round,pad=0,rounding_size={round_by}"
            self.ax.add_patch(FancyBboxPatch((x, y), *size, boxstyle=style, **more))
        else:
            self.ax.add_patch(Rectangle((x, y), *size, **more))

    def circle(
        self, cx: float, cy: float, radius: float, *, fill: str = "none", ink: str = INK,
        weight: float = MEDIUM, name: str = "",
    ) -> None:  # fmt: skip
        """Draw a circle."""
        more = _stroke(weight, None)
        patch = Circle((cx, cy), radius, facecolor=fill, edgecolor=ink, **more)
        self.ax.add_patch(patch)

    def text(
        self, x: float, y: float, words: str, *, size: float = TEXT, anchor: str = "start",
        ink: str = INK, bold: bool = False, turn_deg: float = 0.0, halo: bool = False,
        name: str = "",
    ) -> None:  # fmt: skip
        """Write words."""
        if not words:
            return
        side = {"start": "left", "middle": "center", "end": "right"}[anchor]
        written = self.ax.text(
            x, y, words.replace("$", r"\$"), fontsize=size * PER_PIXEL, color=ink, ha=side,
            va="baseline", rotation=-turn_deg, rotation_mode="anchor",
            fontweight="bold" if bold else "normal",
        )  # fmt: skip
        if halo:
            written.set_path_effects([withStroke(linewidth=5 * PER_PIXEL, foreground=PAPER)])

    def picture(self, text: str) -> Picture:
        """Show the figure where the page's output is."""
        MatplotlibSheet.drawn += 1
        plt.show()
        return Picture(svg="", text=text)


def on_matplotlib() -> None:
    """Put the matplotlib sheet under every drawing of the course that is loaded, or will be."""
    _put(MatplotlibSheet, instead_of=Sheet)


def on_paper() -> None:
    """Put the course's own sheet back."""
    _put(Sheet, instead_of=MatplotlibSheet)


def _put(one: type, *, instead_of: type) -> None:
    for name, module in list(sys.modules.items()):
        ours = name.split(".")[0] in ("coursework", "keycourse")
        if ours and getattr(module, "Sheet", None) is instead_of:
            module.Sheet = one  # type: ignore[attr-defined]


@contextmanager
def must_draw(name: str) -> Iterator[None]:
    """Refuse what does not draw the live figure `name` with matplotlib."""
    before = MatplotlibSheet.drawn
    yield
    if MatplotlibSheet.drawn == before:
        raise RuntimeError(f"{name} was not drawn with matplotlib")


def parts_of(name: str) -> tuple[dict[str, Any], Any, Any, Any]:
    """Return controls, computation, drawing and words of the live figure `name`."""
    from keycourse import lesson

    face = getattr(lesson, name)().face
    if name == "measuring_bench":
        return _gauge(face)
    for one in face.inputs.values():
        one.unobserve(face._changed, names="value")
    return face.inputs, face._compute, face._draw, face._tell


def _gauge(face: Any) -> tuple[dict[str, Any], Any, Any, Any]:
    """Return the gauge in the slot, which is what moves on the measuring bench."""
    from keycourse.measure import telescoping

    inputs = {"lean": face.lean, "station": face.station, "angle": face.angle}
    for one in inputs.values():
        one.unobserve_all("value")
        traitlets.link((one.box, "value"), (one, "value"))
    length = face.book.session.slot.parameters.length_in

    def draw(values: dict[str, float]) -> Picture:
        largest = telescoping.largest_lean_rad(station_in=values["station"], height_in=1.0)
        lean = math.radians(values["lean"])
        return telescoping.draw_telescoping(
            station_in=values["station"],
            tilt_rad=max(-largest, min(largest, lean)),
            keyway_angle_rad=math.radians(values["angle"]),
            slot_length_in=length,
        )

    return inputs, lambda **values: values, draw, lambda _: ["Rock it through square."]


def equal_inline(name: str) -> Any:
    """Return the live figure `name` made with interactive_output and inline matplotlib."""
    inputs, compute, draw, tell = parts_of(name)
    on_matplotlib()

    def show(**values: Any) -> None:
        result = compute(**values)
        draw(result)
        print("\n".join(tell(result)))

    inner = {name: getattr(one, "slider", one) for name, one in inputs.items()}
    rows = [getattr(one, "widget", one) for one in inputs.values()]
    with must_draw(name):
        return widgets.VBox([*rows, widgets.interactive_output(show, inner)])
