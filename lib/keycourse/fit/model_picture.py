"""What the fitting bench models, in a picture for the instructor, and what it was checked against.

The curves are the bench's own, reckoned when the picture is drawn.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from coursework.ink.curves import Panel, draw_panel
from coursework.ink.drawing import (
    FINE,
    INK,
    MUTED,
    OCHRE,
    SMALL,
    STEEL,
    TEXT,
    VERMILION,
    Picture,
    Point,
    Sheet,
)
from coursework.ink.shop import INCH, ShopUnits
from keycourse.fit.bench.bodies import half_space, key_between
from keycourse.fit.bench.contact import press_faces
from keycourse.fit.bench.touch import Faces
from taperkey import practice
from taperkey.formulas.hubring import CLOSE, LOOSE, ring_opening_in_per_lbf

__all__ = ["draw_fitting_model", "wave_share"]

_WAVE_IN, _AMPLITUDE_IN = 1.0, 0.0002
_CHECKED_PSI = (500.0, 2_000.0, 4_000.0, 8_000.0)
_MOST_PSI = 9_000.0
_LENGTH_IN, _WIDTH_IN, _HEIGHT_IN, _BORE_IN, _OUTSIDE_IN = 8.0, 1.5, 1.0, 6.0, 12.0
_PUSHES_LBF = 30_000.0


def wave_share(mean_psi: float) -> float:
    """Return the share of a wavy face that bears, in closed form.

    (2/pi) asin sqrt(p/p*), p* = pi E' D/wave

    Parameters
    ----------
    mean_psi : float
        Mean pressure [psi].

    Source
    ------
    Westergaard, Bearing pressures and cracks, Journal of Applied Mechanics 6, 1939.
    """
    modulus = practice.value("steel_modulus") / (1 - practice.value("steel_poisson") ** 2)
    full = math.pi * modulus * _AMPLITUDE_IN / _WAVE_IN
    return 2 / math.pi * math.asin(math.sqrt(min(1.0, mean_psi / full)))


@cache
def _bench_share(mean_psi: float) -> float:
    """Return the share of that face which bears on the bench."""
    count, across, length = 768, 3, 6.0
    x = (np.arange(count) + 0.5) * length / count
    gap = _AMPLITUDE_IN * (1 - np.cos(2 * np.pi * x / _WAVE_IN))[:, None] * np.ones((1, across))
    seat = press_faces(
        faces=Faces(
            x_in=x,
            y_in=(np.arange(across) + 0.5) / across - 0.5,
            under_in=-gap,
            over_in=gap.copy(),
            patch_area_in2=length / (count * across),
            key_out_in=0.0,
        ),
        bodies=half_space(length_in=length, width_in=1.0, length_count=count, width_count=across),
        normal_force_lbf=mean_psi * length,
        hardness_psi=1e9,
        close_enough=1e-3,
    )
    return float(seat.bearing_share)


@cache
def _gives() -> tuple[float, float]:
    """Return how far faces and key, and ring, give under a force that is even on the faces [in]."""
    bodies = key_between(
        length_in=_LENGTH_IN, width_in=_WIDTH_IN, height_in=_HEIGHT_IN, length_count=32,
        width_count=8,
    )  # fmt: skip
    even = 2 * float(bodies.kernel_in_per_psi[0, 0]) / (_LENGTH_IN * _WIDTH_IN)
    ring = [
        ring_opening_in_per_lbf(
            outside_in=_OUTSIDE_IN, bore_in=_BORE_IN, length_in=_LENGTH_IN,
            keyway_depth_in=_HEIGHT_IN / 2, key_width_in=_WIDTH_IN, shaft=shaft,
        )
        for shaft in (CLOSE, LOOSE)
    ]  # fmt: skip
    return even * _PUSHES_LBF, sum(ring) / 2 * _PUSHES_LBF


def draw_fitting_model(*, units: ShopUnits = INCH) -> Picture:
    """Draw the bodies of the fitting bench, what gives way, and two checks.

    Parameters
    ----------
    units : ShopUnits
        How lengths, pressures and loads are written.
    """
    sheet = Sheet(height=470)
    sheet.text(12, 26, "What gives way on the fitting bench", size=TEXT, bold=True)
    _bodies(sheet)
    faces, ring = _gives()
    most = units.pressure(_MOST_PSI)
    closed = [(p, wave_share(p)) for p in np.linspace(0.0, _MOST_PSI, 60).tolist()]
    found = [(p, _bench_share(p)) for p in _CHECKED_PSI]
    draw_panel(
        sheet,
        Panel(
            title="Share of a wavy face that bears",
            across="mean pressure",
            up="share",
            most=(_MOST_PSI, 0.6),
            ends=(most, "60 %"),
            lines=[closed],
            points=found,
        ),
        x=40, y=440, width=270, height=120,
    )  # fmt: skip
    sheet.text(320, 428, "line: closed form; dots: bench", size=SMALL, anchor="end", ink=MUTED)
    high = 1.2 * max(faces, ring)
    force = units.load(_PUSHES_LBF)
    draw_panel(
        sheet,
        Panel(
            title="What opens for the drive",
            across="force on the faces",
            up="gives",
            most=(_PUSHES_LBF, high),
            ends=(force, units.height(high)),
            lines=[[(0.0, 0.0), (_PUSHES_LBF, faces)], [(0.0, 0.0), (_PUSHES_LBF, ring)]],
        ),
        x=400, y=440, width=250, height=120,
    )  # fmt: skip
    sheet.text(650, 440 - 120 * ring / high + 22, "hub's ring", size=SMALL, anchor="end",
               ink=VERMILION, halo=True)  # fmt: skip
    sheet.text(650, 440 - 120 * faces / high + 24, "faces and key", size=SMALL, anchor="end",
               halo=True)  # fmt: skip
    shares = ", ".join(f"{100 * share:.0f} % at {units.pressure(p)}" for p, share in found)
    exact = ", ".join(f"{100 * wave_share(p):.0f}" for p in _CHECKED_PSI)
    return sheet.picture(
        "What gives way on the fitting bench. A key lies between shaft and hub. Short waves of its"
        " faces sink as on a deep block, long ones as in a layer of the key's height; the key"
        " bends as a beam; the hub opens as a ring. Left out: friction along the faces, slot"
        " corners, a split hub, hubs with arms. Two checks below. A wavy face bears on"
        f" {shares}; the closed form says {exact} %. Under {force} faces and key give"
        f" {units.height(faces)}, and the hub's ring opens {units.height(ring)}."
    )


def _bodies(sheet: Sheet) -> None:
    left, right = 60.0, 390.0
    sheet.cut_metal([[(left, 60), (right, 60), (right, 112), (left, 112)]], fill=STEEL)
    sheet.cut_metal([[(left, 188), (right, 188), (right, 240), (left, 240)]], angle_deg=-45)
    sheet.text(left + 10, 56, "hub", size=SMALL)
    sheet.text(left + 10, 258, "shaft", size=SMALL)
    top = _wavy(left, right, 116.0, 1.0)
    bottom = _wavy(left, right, 184.0, -1.0)
    sheet.path([[*top, *reversed(bottom)]], fill=OCHRE)
    sheet.text((left + right) / 2, 155, "key", anchor="middle", bold=True)
    said = (
        (112.0, 76.0, "hub: opens as a ring, bore to shaft"),
        (120.0, 108.0, "short waves: as on a deep block"),
        (150.0, 140.0, "long waves: a layer of the key's height"),
        (170.0, 172.0, "key: bends as a beam"),
        (186.0, 204.0, "spots: flat for good at the hardness"),
        (214.0, 236.0, "left out: friction along the faces,"),
    )
    for at, to, words in said:
        out = words.startswith("left out")
        if not out:
            sheet.line(right - 4, at, 410, to - 4, weight=FINE)
        sheet.text(414, to, words, size=SMALL, ink=VERMILION if out else INK)
    sheet.text(414, 254, "slot corners, split hubs and arms", size=SMALL, ink=VERMILION)


def _wavy(left: float, right: float, y: float, way: float) -> list[Point]:
    steps = 60
    return [
        (
            left + (right - left) * n / steps,
            y + way * 4 * (1 + math.sin(n * 0.9)) * (0.4 + 0.6 * math.sin(n * 0.17) ** 2),
        )
        for n in range(steps + 1)
    ]
