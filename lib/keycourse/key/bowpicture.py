"""A drawn bar whose skin is cut off one face, or off both: how it bows, and its picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coursework.ink.drawing import (
    HEAVY,
    LARGE,
    MEDIUM,
    MUTED,
    SHADE,
    SMALL,
    STEEL,
    VERMILION,
    Picture,
    Point,
    Sheet,
)
from coursework.ink.look import light
from coursework.ink.shop import shop_units
from taperkey.formulas.bow import bow_of_cut_bar_in
from taperkey.units import MM_PER_IN, System, fraction_text

__all__ = ["BowedBar", "bar_text", "bowed_bar", "draw_bow"]

_SIZES: dict[str, tuple[float, float]] = {  # height of the bar and length, in inches
    "inch": (1.125, 9.75),
    "metric": (18 / MM_PER_IN, 250 / MM_PER_IN),
}
_NARROW = 396.0  # so that a phone shows all of it
_BOW_PER_IN = 7000.0  # units of the drawing in an inch of bow


@dataclass(frozen=True, kw_only=True)
class BowedBar:
    """A bar after its cuts; lengths in inches, bows hollow at the flat face when above 0."""

    height_in: float
    length_in: float
    relief_in: float
    taper_in: float
    relief_bow_in: float  # after the relief cut alone
    bow_in: float
    system: System


def bowed_bar(
    *, system: System, relief_in: float, taper_in: float, skin_pull_psi: float, share: float
) -> BowedBar:
    """Return a bar after a relief cut off the bottom and the mean of a taper cut off the top.

    Parameters
    ----------
    system : str
        "inch" or "metric": which bar.
    relief_in, taper_in : float
        Depth of the two cuts [in].
    skin_pull_psi : float
        Pull in the skin as it was drawn [psi].
    share : float
        Part of it that is left.
    """
    height, length = _SIZES[system]

    def bow(top: float) -> float:
        return bow_of_cut_bar_in(
            height_in=height,
            length_in=length,
            top_cut_in=top,
            bottom_cut_in=relief_in,
            skin_pull_psi=share * skin_pull_psi,
        )

    return BowedBar(
        height_in=height,
        length_in=length,
        relief_in=relief_in,
        taper_in=taper_in,
        relief_bow_in=bow(0.0),
        bow_in=bow(taper_in),
        system=system,
    )


def draw_bow(bar: BowedBar, *, tells: bool = True) -> Picture:
    """Draw the bar as it lies on a surface plate, its bow many times enlarged.

    Parameters
    ----------
    bar : BowedBar
        The bar after its cuts.
    tells : bool
        Whether the skins and the cuts are shown; without them the picture is narrow, and it can
        be asked what was cut.
    """
    units = shop_units(bar.system)
    sheet = Sheet(height=346) if tells else Sheet(height=346, width=_NARROW)
    sheet.text(14, 28, "Out of the vise, on the surface plate", size=LARGE, bold=True)
    left, right, plate = (60.0, 560.0, 268.0) if tells else (34.0, 268.0, 268.0)
    bow = bar.bow_in * _BOW_PER_IN
    thick = 108.0 * (1 - (bar.taper_in + bar.relief_in) / bar.height_in)
    sheet.cut_metal(
        [[(left - 20, plate), (right + 20, plate), (right + 20, plate + 24),
          (left - 20, plate + 24)]],
        fill=SHADE, weight=MEDIUM,
    )  # fmt: skip

    def line(up: float) -> list[Point]:
        """Return the bowed line that stands so far over the bar's foot."""
        points = []
        for step in range(41):
            share = step / 40
            arch = 4 * share * (1 - share) * bow  # over the line through the ends
            rise = arch if bow >= 0 else arch - bow  # hollow below: on its ends; else on its middle
            points.append((left + share * (right - left), plate - up - rise))
        return points

    bottom, top = line(0.0), line(thick)
    sheet.path([[*bottom, *reversed(top)]], fill=STEEL, weight=HEAVY)
    skin = 13.0
    for up, still_on in ((0.0, bar.relief_in == 0), (thick - skin, bar.taper_in == 0)):
        if still_on and tells:
            low, high = line(up), line(up + skin)
            sheet.path([[*low, *reversed(high)]], fill=light("key"))
            for one, other in zip(low[:-1], high[1:], strict=True):  # hatched by hand: it bends
                sheet.line(*one, *other, weight=0.8)
    if tells and bar.relief_in == 0 and bar.taper_in > 0:
        _pull(sheet, line(skin + 14), "this skin still pulls")
    elif tells and bar.taper_in == 0 and bar.relief_in > 0:
        _pull(sheet, line(thick - skin - 20), "this skin still pulls")
    gap = units.height(abs(bar.bow_in))
    if abs(bow) >= 1:
        at = (left + right) / 2 if bow > 0 else right
        foot = bottom[20] if bow > 0 else bottom[-1]
        sheet.dimension(
            (at, foot[1]), (at, plate), at=right + 36, words=gap, ink=VERMILION,
            anchor="start",
        )  # fmt: skip
    over = plate - thick - 62 - max(abs(bow) - 40, 0)
    sheet.text(left, over, "taper side", size=SMALL, ink=MUTED)
    sheet.text(left, plate + 44, "flat face, down on the plate", size=SMALL, ink=MUTED)
    if tells and 0 in (bar.relief_in, bar.taper_in):
        sheet.text(
            right + 30, plate + 44, "hatched band: drawn skin, still on", size=SMALL, ink=MUTED,
            anchor="end",
        )  # fmt: skip
    along = (right - left) / bar.length_in
    sheet.text(
        14, 338, f"Bow drawn {_BOW_PER_IN / along:.0f} times as large as the length.",
        size=SMALL, ink=MUTED,
    )  # fmt: skip
    how = (
        f"It stands on its ends; under the middle {gap} of air."
        if bar.bow_in > 0
        else f"It stands on its middle; {gap} of air under each end."
        if bar.bow_in < 0
        else "It lies flat."
    )
    if not tells:
        return sheet.picture(f"A bar {bar_text(bar)} on a surface plate, flat face down. {how}")
    return sheet.picture(
        f"A bar {bar_text(bar)} on a surface plate. "
        f"Off the flat face {units.small(bar.relief_in)}, "
        f"off the taper side {units.small(bar.taper_in)}. {how}"
    )


def bar_text(bar: BowedBar) -> str:
    """Return how high and long a bar is, in words."""
    if bar.system == "metric":
        return f"{bar.height_in * MM_PER_IN:g} mm high and {bar.length_in * MM_PER_IN:g} mm long"
    return f"{fraction_text(bar.height_in)} high and {fraction_text(bar.length_in)} long"


def _pull(sheet: Sheet, row: Sequence[Point], words: str) -> None:
    """Draw arrows along a row toward its middle: a skin that pulls itself short."""
    for begin, end in ((3, 10), (37, 30)):
        sheet.arrow(*row[begin], *row[end], ink=VERMILION)
    x, y = row[20]
    sheet.text(x, y + 5, words, anchor="middle", ink=VERMILION, halo=True, bold=True)
