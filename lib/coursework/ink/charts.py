"""Charts for the class report: marks, skills, items, slips, as drawings on the page.

Each function draws into `ax`, or into a new figure, and returns a `Chart`: the
figure and the same in words. `as_svg` makes the picture.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any

from coursework.ink.drawing import (
    FONT,
    INK,
    MUTED,
    OCHRE,
    PAPER,
    STEEL,
    TEAL,
    VERMILION,
    Picture,
)
from taperkey.checks import require_in, require_range
from taperkey.counts import counted

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = [
    "SKILL_STATES",
    "Chart",
    "as_svg",
    "draw_common_slips",
    "draw_item_difficulty",
    "draw_marks_distribution",
    "draw_skill_matrix",
]

#: States of a skill, with the letter that says the same without colour.
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


def draw_skill_matrix(states: Mapping[str, Mapping[str, str]], ax: Axes | None = None) -> Chart:
    """Draw who is competent in what; letters say it beside the colours.

    Parameters
    ----------
    states : mapping of mapping
        Apprentice, then skill, to a key of ``SKILL_STATES``.
    ax : Axes, optional
        Where to draw.
    """
    skills = list(dict.fromkeys(skill for row in states.values() for skill in row))
    ax = _axes(ax, 1.0 + 0.3 * max(len(states), 1))
    if not states or not skills:
        return _nothing(ax, "No skills assessed yet.")
    people = list(states)
    for y, person in enumerate(people):
        for x, skill in enumerate(skills):
            state = states[person].get(skill, "no evidence")
            require_in(f"state of {skill}", state, SKILL_STATES)
            ax.add_patch(_box(x, y, _SKILL_COLOURS[state]))
            ink = "#ffffff" if state == "competent" else INK
            ax.text(x, y, SKILL_STATES[state], ha="center", va="center", color=ink, fontsize=10)
    ax.set_xlim(-0.5, len(skills) - 0.5)
    ax.set_ylim(len(people) - 0.5, -0.5)
    ax.set_xticks(range(len(skills)), skills, rotation=20 if len(skills) > 6 else 0, ha="center")
    ax.set_yticks(range(len(people)), people)
    ax.xaxis.tick_top()
    _quiet(ax)
    for side in ("left", "bottom"):
        ax.spines[side].set_visible(False)
    ax.tick_params(length=0)
    ax.set_xlabel("C competent, N not yet competent, – no evidence", fontsize=10.5, color=INK)
    said = []
    for skill in skills:
        found = [row.get(skill, "no evidence") for row in states.values()]
        said.append(
            f"{skill}: {found.count('competent')} competent, {found.count('not yet')} not yet, "
            f"{found.count('no evidence')} without evidence"
        )
    return _chart(ax, f"Skills of {counted(len(people), 'apprentice')}. " + "; ".join(said) + ".")


def _box(x: float, y: float, colour: str) -> Any:
    from matplotlib.patches import Rectangle

    return Rectangle((x - 0.47, y - 0.45), 0.94, 0.9, facecolor=colour, edgecolor=MUTED, lw=0.7)


def draw_item_difficulty(
    items: Mapping[str, tuple[float, float | None]], ax: Axes | None = None
) -> Chart:
    """Draw the share of right answers for each entry, with its discrimination written beside.

    Parameters
    ----------
    items : mapping
        Entry to (share right 0 to 1, discrimination -1 to 1 or None).
    ax : Axes, optional
        Where to draw.
    """
    ax = _axes(ax, 0.9 + 0.3 * max(len(items), 1))
    if not items:
        return _nothing(ax, "No entries marked yet.")
    said = []
    for y, (name, (share, discrimination)) in enumerate(items.items()):
        require_range(f"share right of {name}", share, 0.0, 1.0)
        ax.barh(y, 100, color="#ffffff", edgecolor=STEEL, height=0.66)
        weak = share < 0.4
        ax.barh(y, 100 * share, color=OCHRE if weak else TEAL, edgecolor=INK, height=0.66)
        note = "" if discrimination is None else f"  {discrimination:+.2f}"
        ax.text(101.5, y, f"{100 * share:.0f} %{note}", va="center", fontsize=10.5, color=INK)
        said.append(f"{name} {100 * share:.0f} per cent right")
        if discrimination is not None:
            said[-1] += f", discrimination {discrimination:+.2f}"
    ax.set_xlim(0, 124)
    ax.set_ylim(len(items) - 0.4, -0.6)
    ax.set_xticks(range(0, 101, 20))
    ax.set_yticks(range(len(items)), list(items))
    ax.set_xlabel("share right, per cent; discrimination beside", fontsize=11, color=INK)
    _quiet(ax)
    return _chart(ax, "Difficulty of the entries. " + "; ".join(said) + ".")


def draw_common_slips(slips: Mapping[str, int], ax: Axes | None = None, *, most: int = 10) -> Chart:
    """Draw the class's commonest slips, most frequent on top.

    Parameters
    ----------
    slips : mapping
        Slip in words to how often it was made.
    ax : Axes, optional
        Where to draw.
    most : int
        How many to show.
    """
    ranked = sorted(((n, name) for name, n in slips.items() if n > 0), key=lambda p: (-p[0], p[1]))
    ranked = ranked[:most]
    ax = _axes(ax, 0.7 + 0.34 * max(len(ranked), 1))
    if not ranked:
        return _nothing(ax, "No known slip was made.")
    ax.barh(range(len(ranked)), [n for n, _ in ranked], color=OCHRE, edgecolor=INK, height=0.66)
    for y, (count, _) in enumerate(ranked):
        ax.text(count + 0.012 * ranked[0][0], y, f"{count}", va="center", fontsize=11, color=INK)
    ax.set_yticks(range(len(ranked)), [_short(name) for _, name in ranked])
    ax.set_ylim(len(ranked) - 0.4, -0.6)
    ax.set_xlim(0, ranked[0][0] * 1.12)
    ax.set_xticks([])
    _quiet(ax)
    ax.spines["bottom"].set_visible(False)
    listed = "; ".join(f"{name}: {count}" for count, name in ranked)
    return _chart(ax, f"Commonest slips. {listed}.")


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
