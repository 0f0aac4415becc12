"""Charts for the class report: marks, skills, items, slips, as drawings on the page.

Each function draws into `ax`, or into a new figure, and returns a `Chart`: the
figure and the same in words. `as_svg` makes the picture.
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any

from coursework.ink.drawing import (
    FONT,
    INK,
    MUTED,
    OCHRE,
    PAPER,
    TEAL,
    VERMILION,
    Picture,
)
from taperkey.checks import require_range
from taperkey.counts import counted

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = [
    "SKILL_STATES",
    "Chart",
    "as_svg",
    "draw_marks_distribution",
]

#: States of a skill, with the letter that says the same without color.
SKILL_STATES = {"competent": "C", "not yet": "N", "no evidence": "–"}
_SKILL_COLOURS = {"competent": TEAL, "not yet": OCHRE, "no evidence": PAPER}


@dataclass(frozen=True)
class Chart:
    """A drawn figure and the same in words."""

    figure: Figure
    text: str


def _axes(ax: Axes | None, height: float) -> Axes:
    if ax is not None:
        return ax
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7.0, height), facecolor=PAPER, layout="constrained")
    return figure.add_subplot()


def _quiet(ax: Axes) -> None:
    ax.set_facecolor("#ffffff")
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        ax.spines[side].set_color(MUTED)
    ax.tick_params(colors=INK, labelsize=10.5)


def _chart(ax: Axes, text: str) -> Chart:
    figure: Any = ax.get_figure()
    return Chart(figure, text)


def _nothing(ax: Axes, what: str) -> Chart:
    ax.set_axis_off()
    ax.text(0.5, 0.5, what, ha="center", va="center", color=MUTED, fontsize=12)
    return _chart(ax, what)


def draw_marks_distribution(
    marks_percent: Sequence[float], ax: Axes | None = None, *, pass_mark: float | None = None
) -> Chart:
    """Draw how many apprentices came to each ten per cent of the marks.

    Parameters
    ----------
    marks_percent : sequence of float
        Total of each apprentice, 0 to 100 [%].
    ax : Axes, optional
        Where to draw.
    pass_mark : float, optional
        Drawn as an upright line [%].
    """
    require_range("mark", marks_percent, 0.0, 100.0, "%")
    ax = _axes(ax, 3.0)
    if not len(marks_percent):
        return _nothing(ax, "No marks yet.")
    counts = [0] * 10
    for mark in marks_percent:
        counts[min(9, int(mark // 10))] += 1
    ax.bar([10 * i + 5 for i in range(10)], counts, width=9.2, color=TEAL, edgecolor=INK)
    for i, count in enumerate(counts):
        if count:
            ax.text(10 * i + 5, count, f"{count}", ha="center", va="bottom", fontsize=11, color=INK)
    ax.set_xlim(0, 100)
    ax.set_ylim(0, max(counts) * 1.18)
    ax.set_xticks(range(0, 101, 10))
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.set_xlabel("marks, per cent", fontsize=11, color=INK)
    ax.set_ylabel("apprentices", fontsize=11, color=INK)
    if pass_mark is not None:
        ax.axvline(pass_mark, color=VERMILION, linestyle=(0, (5, 3)), linewidth=2)
    _quiet(ax)
    ax.spines["left"].set_visible(False)
    listed = ", ".join(
        f"{10 * i} to {10 * i + 10} per cent: {count}" for i, count in enumerate(counts) if count
    )
    line = f" The dashed line stands at {pass_mark:g} per cent." if pass_mark is not None else ""
    return _chart(ax, f"Marks of {counted(len(marks_percent), 'apprentice')}. {listed}.{line}")


def _box(x: float, y: float, color: str) -> Any:
    from matplotlib.patches import Rectangle

    return Rectangle((x - 0.47, y - 0.45), 0.94, 0.9, facecolor=color, edgecolor=MUTED, lw=0.7)


def _short(name: str) -> str:
    return name if len(name) <= 44 else name[:43] + "…"


def as_svg(chart: Chart) -> Picture:
    """Return a chart as a picture: SVG text without XML head, with its words as the label."""
    import matplotlib
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    FigureCanvasAgg(chart.figure)
    out = io.StringIO()
    with matplotlib.rc_context({"svg.fonttype": "none", "svg.hashsalt": chart.text}):
        chart.figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    text = out.getvalue()
    text = text[text.index("<svg") :]
    text = re.sub(r"<metadata>.*?</metadata>", "", text, flags=re.S)
    text = re.sub(r'font: ([0-9.]+px)[^;"]*', rf"font: \1 {FONT}", text)
    text = re.sub(r'\s(?:width|height)="[0-9.]+pt"', "", text, count=2)
    label = escape(chart.text, quote=True)
    opening = f'<svg role="img" aria-label="{label}" style="display:block;width:100%;height:auto"'
    return Picture(svg=text.replace("<svg", opening, 1), text=chart.text)
