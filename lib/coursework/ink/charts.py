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
    "draw_check_gains",
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


def draw_check_gains(
    rows: Sequence[tuple[str, Sequence[float | None]]],
    times: Sequence[str],
    ax: Axes | None = None,
) -> Chart:
    """Draw what share was right at each time, a line a skill: a dot a time, joined.

    Parameters
    ----------
    rows : sequence of (str, sequence of float or None)
        Each skill with its mean share at each time, 0 to 1; None where nobody did that form.
    times : sequence of str
        What the times are called, up to three.
    ax : Axes, optional
        Where to draw.
    """
    ax = _axes(ax, 0.75 + 0.36 * len(rows))
    if not rows:
        return _nothing(ax, "Nobody has done the check yet.")
    looks = (("o", "#ffffff", INK), ("o", TEAL, INK), ("D", OCHRE, INK))
    for place, (_, shares) in enumerate(rows):
        there = [100 * one for one in shares if one is not None]
        ax.plot(there, [place] * len(there), color=MUTED, linewidth=1.6, zorder=1)
    for (marker, face, edge), when, name in zip(looks, range(len(times)), times, strict=False):
        dots = [
            (100 * share, y)
            for y, (_, shares) in enumerate(rows)
            if (share := shares[when]) is not None
        ]
        if dots:
            ax.scatter(
                [x for x, _ in dots],
                [y for _, y in dots],
                marker=marker,
                s=62,
                facecolor=face,
                edgecolor=edge,
                linewidth=1.3,
                label=name,
                zorder=2 + when,
            )
    ax.set_xlim(-3, 103)
    ax.set_xticks(range(0, 101, 25))
    ax.set_ylim(len(rows) - 0.5, -0.5)
    ax.set_yticks(range(len(rows)), [_short(name) for name, _ in rows])
    ax.set_xlabel("right, per cent", fontsize=11, color=INK)
    ax.grid(axis="x", color=MUTED, alpha=0.3, linewidth=0.8)
    ax.legend(loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=3, frameon=False, fontsize=10.5)
    _quiet(ax)
    said = "; ".join(
        f"{name}: "
        + ", ".join(
            f"{when} {100 * share:.0f} per cent"
            for when, share in zip(times, shares, strict=False)
            if share is not None
        )
        for name, shares in rows
    )
    return _chart(ax, f"What was right in the check, by skill. {said}.")


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
