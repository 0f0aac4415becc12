"""What the pulling bench models, in a picture for the instructor, and what it leaves out.

The curves are the bench's own, reckoned when the picture is drawn.
"""

from __future__ import annotations

import numpy as np

from coursework.ink.curves import Panel, draw_panel
from coursework.ink.drawing import (
    FINE,
    MEDIUM,
    OCHRE,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEXT,
    VERMILION,
    Picture,
    Point,
    Sheet,
)
from coursework.ink.shop import INCH, ShopUnits
from keycourse.pull.bench.give import heat_left
from keycourse.pull.bench.pulling import PullingSession, start_pulling
from keycourse.pull.bench.seated import SeatedKey
from keycourse.pull.bench.soaking import SOAK_AGAIN_H, soaked_share

__all__ = ["draw_pulling_model"]

_LINKS = [
    {"name": "jacks", "working_lbf": 32_000.0, "breaking_lbf": 42_000.0},
    {"name": "rod", "working_lbf": 24_000.0, "breaking_lbf": 38_000.0},
]
_GIVE = {
    "spring_lbf_per_in": 165_000.0,
    "ram_area_in2": 4.48,
    "rod_yields_lbf": 35_000.0,
    "jacks": 2.0,
    "slack_in": 0.06,
}
_CHAIN = (
    ("pump", "oil by", "strokes"),
    ("hose, jacks", "oil as a", "spring"),
    ("bar", "bends as", "a beam"),
    ("rod", "springs,", "yields, parts"),
    ("key", "wedge, rust,", "creep, jump"),
    ("hub", "opens as a", "ring; heat"),
)


def _pulled(friction: float) -> tuple[PullingSession, list[Point]]:
    """Return a pull by single strokes, and its load after each of them."""
    key = SeatedKey(
        normal_force_lbf=100_000.0,
        squeeze_in=0.003,
        floor_friction=friction,
        roof_friction=friction,
    )
    session = start_pulling(key=key, seed=1).do("measure ends")
    session = session.do("rig", links=_LINKS, give=_GIVE)
    path: list[Point] = [(0.0, 0.0)]
    for stroke in range(1, 25):
        if not session.state.links or session.finished:
            break
        session = session.do("pump", strokes=1, pumped="one pump")
        seen = session.observations[-1]
        path.append((float(stroke), float(seen.values["load_lbf"])))
        if seen.outcome == "moved":
            path.append((float(stroke), float(seen.values["after_lbf"])))
    return session, path


def draw_pulling_model(*, units: ShopUnits = INCH) -> Picture:
    """Draw the chain of the pulling bench, and how load, penetrant and heat go with time.

    Parameters
    ----------
    units : ShopUnits
        How loads and temperatures are written.
    """
    sheet = Sheet(height=420)
    sheet.text(12, 26, "What the pulling bench reckons with", size=TEXT, bold=True)
    _chain(sheet)
    most_lbf, most_h, most_min = 42_000.0, 48.0, 60.0
    _, moved = _pulled(0.10)
    _, stuck = _pulled(0.35)
    draw_panel(
        sheet,
        Panel(
            title="Load by strokes",
            across="strokes",
            up="load",
            most=(25.0, most_lbf),
            ends=("25", units.load(most_lbf)),
            lines=[moved, stuck],
        ),
        x=30, y=350, width=180, height=120,
    )  # fmt: skip
    once = [
        (h, soaked_share(wet_h=min(h, SOAK_AGAIN_H), open_to_it=1.0, length_in=8.0))
        for h in np.linspace(0.0, most_h, 97).tolist()
    ]
    again = [(h, soaked_share(wet_h=h, open_to_it=1.0, length_in=8.0)) for h, _ in once]
    draw_panel(
        sheet,
        Panel(
            title="Penetrant by hours",
            across="hours",
            up="part of the rust gone",
            most=(most_h, 0.5),
            ends=(f"{most_h:.0f} h", "50 %"),
            lines=[once, again],
        ),
        x=260, y=350, width=180, height=120,
    )  # fmt: skip
    draw_panel(
        sheet,
        Panel(
            title="Heat by minutes",
            across="minutes",
            up="left at the key",
            most=(most_min, 1.0),
            ends=(f"{most_min:.0f} min", "100 %"),
            lines=[[(t, heat_left(t)) for t in np.linspace(0.0, most_min, 61).tolist()]],
        ),
        x=490, y=350, width=180, height=120,
    )  # fmt: skip
    sheet.text(30, 388, "dashed: rusted, rod stretches", size=SMALL, ink=VERMILION)
    sheet.text(260, 388, f"dashed: put on each {SOAK_AGAIN_H:g} h", size=SMALL, ink=VERMILION)
    sheet.text(30, 410, "Left out: friction in the rams, hose walls, bending of the rod, what"
               " shaking and heat do to rust.", size=SMALL)  # fmt: skip
    start, left = moved[-2][1], moved[-1][1]
    return sheet.picture(
        "What the pulling bench reckons with, in a row: pump, oil by strokes; hose and jacks, oil"
        " as a spring; bar, bends as a beam; rod, springs, yields and parts; key, a wedge with"
        " friction, rust, creep and a jump; hub, opens as a ring and by heat. Three curves of it."
        f" Load by strokes: slack first, then a straight rise to {units.load(start)}, where a"
        f" clean key jumps and {units.load(left)} is left; with a rusted key the rise bends over"
        " where the rod stretches for good. Penetrant by hours: steep at first; one coat stops at"
        f" {SOAK_AGAIN_H:g} h with {100 * once[-1][1]:.0f} % of the rust gone, coats put on again"
        f" come to {100 * again[-1][1]:.0f} %. Heat by minutes: after 20 minutes"
        f" {100 * heat_left(20.0):.0f} % of the difference is left. Left out: friction in the rams,"
        " hose walls, bending of the rod, what shaking and heat do to rust."
    )


def _chain(sheet: Sheet) -> None:
    wide, gap, y = 100.0, 12.0, 50.0
    for number, (name, *how) in enumerate(_CHAIN):
        x = 20 + number * (wide + gap)
        fill = OCHRE if name == "key" else STEEL if name == "hub" else STEEL_LIGHT
        sheet.rect(x, y, wide, 38, fill=fill, weight=MEDIUM)
        sheet.text(x + wide / 2, y + 24, name, size=SMALL, anchor="middle", bold=True)
        for line, words in enumerate(how):
            sheet.text(x + wide / 2, y + 60 + 20 * line, words, size=SMALL, anchor="middle")
        if number:
            sheet.line(x - gap, y + 19, x, y + 19, weight=FINE)
