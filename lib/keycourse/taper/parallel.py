"""Taper bar in the slot, and the two ends of a hub: slopes drawn much too steep."""

from __future__ import annotations

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    LARGE,
    MUTED,
    OCHRE,
    ON_KEY,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    VERMILION,
    Picture,
    Sheet,
)
from coursework.ink.shop import INCH, ShopUnits
from taperkey.checks import require_positive

__all__ = ["draw_hub_ends", "draw_parallel"]

_LEFT, _RIGHT = 110.0, 630.0


def draw_parallel(
    *,
    slot_taper_in_per_in: float,
    parallel_taper_in_per_in: float,
    parallel_length_in: float,
    slot_length_in: float = 8.0,
    mouth_height_in: float = 1.0,
    units: ShopUnits = INCH,
) -> Picture:
    """Draw a taper bar slid into the slot until it is tight.

    It bears at the mouth if the slot tapers less than the bar, at its inner end if
    the slot tapers more, and along its whole length if they are alike.

    Parameters
    ----------
    slot_taper_in_per_in, parallel_taper_in_per_in : float
        Tapers, positive when lower going in [in/in].
    parallel_length_in, slot_length_in, mouth_height_in : float
        Sizes, above 0 [in].
    units : ShopUnits
        How lengths are written.

    Returns
    -------
    Picture
        Side view; the difference of the tapers is enlarged, the drawing says how many times.
    """
    for name, value in (
        ("length of the bar", parallel_length_in),
        ("length of the slot", slot_length_in),
        ("height at the mouth", mouth_height_in),
    ):
        require_positive(name, value, "in")
    inside = min(parallel_length_in, slot_length_in)
    per = (_RIGHT - _LEFT) / slot_length_in
    times = 8.0  # common slope, drawn steeper
    more = slot_taper_in_per_in - parallel_taper_in_per_in
    apart = 30.0 if more else 0.0  # the difference, steeper still
    sheet = Sheet(height=330)
    sheet.text(14, 28, "Taper bar, slid in until tight", size=LARGE, bold=True)
    floor_y, height = 216.0, 92.0
    common = parallel_taper_in_per_in * times * per
    most = 0.6 * abs(common)  # so that the slot is never drawn with the other end large
    extra = max(-most, min(most, more * apart * per))

    def roof(x_in: float) -> float:
        return floor_y - height + (common + extra) * x_in

    tight_x = inside if more > 0 else 0.0
    shift = roof(tight_x) - (floor_y - height + common * tight_x)

    def top(x_in: float) -> float:
        return floor_y - height + common * x_in + shift

    x0, x1 = _LEFT, _LEFT + slot_length_in * per
    sheet.cut_metal([[(x0, roof(0)), (x1, roof(slot_length_in)), (x1, 62), (x0, 62)]])
    sheet.cut_metal(
        [[(x0, floor_y), (x1, floor_y), (x1, 268), (x0, 268)]], fill=STEEL, angle_deg=-45
    )
    out = -0.55  # stands out of the mouth for the micrometer
    xa, xb = _LEFT + out * per, _LEFT + inside * per
    sheet.path([[(xa, floor_y), (xb, floor_y), (xb, top(inside)), (xa, top(out))]], fill=OCHRE)
    alike = abs(more) < 1e-5
    bearing = _LEFT + tight_x * per
    if alike:
        sheet.line(_LEFT, top(0), xb, top(inside), ink=VERMILION, weight=4)
        where = "bears along its whole length"
    else:
        sheet.circle(bearing, roof(tight_x), 7, ink=VERMILION, weight=3)
        where = "bears at its inner end only" if more > 0 else "bears at the mouth only"
    sheet.text(_LEFT, 294, "mouth", anchor="middle", ink=MUTED)
    sheet.text(x1, 294, "far end", anchor="end", ink=MUTED)
    sheet.text((x0 + x1) / 2, 84, "hub", anchor="middle", halo=True)
    sheet.text((x0 + x1) / 2, 252, "shaft", anchor="middle", halo=True)
    sheet.dimension(
        (_LEFT, top(0)), (_LEFT, floor_y), at=58, words="H", anchor="end", ink=TEAL, text_shift=6
    )
    sheet.text(350, 294, where, anchor="middle", bold=True, ink=VERMILION)
    scale = f"slope drawn × {times:.0f}"
    if not alike:
        scale += f", difference × {abs(extra / (more * per)):.0f}"
    sheet.text(14, 318, scale, size=SMALL, ink=MUTED)
    gap_words = (
        "no gap" if alike else "a gap at the mouth" if more > 0 else "a gap at the inner end"
    )
    return sheet.picture(
        f"Taper bar in the slot, {units.distance(inside)} deep. The bar tapers "
        f"{units.taper(parallel_taper_in_per_in)}, the slot "
        f"{units.taper(slot_taper_in_per_in)}. It {where}, with {gap_words}."
    )


def draw_hub_ends(
    *,
    taper_in_per_in: float,
    mouth_height_in: float,
    length_in: float,
    standing_out_in: float = 1.0,
    decided: bool = True,
    units: ShopUnits = INCH,
) -> Picture:
    """Draw the key in its hub as it is found, with the pull at the end that shows.

    Parameters
    ----------
    taper_in_per_in : float
        Taper seen from the end that shows; negative in a hub that was turned round [in/in].
    mouth_height_in, length_in : float
        Height at the end that shows, and length of the slot, above 0 [in].
    standing_out_in : float
        How far the key stands out [in].
    decided : bool
        Whether the heights are known well enough to tell the large end.
    units : ShopUnits
        How lengths are written.

    Returns
    -------
    Picture
        Side view with the heights at both ends and the way that frees the key.
    """
    require_positive("height at the mouth", mouth_height_in, "in")
    require_positive("length of the slot", length_in, "in")
    far_height = mouth_height_in - taper_in_per_in * length_in
    require_positive("height at the far end", far_height, "in", "Use less taper.")
    sheet = Sheet(height=372)
    sheet.text(14, 28, "The end that shows, and the end that does not", size=LARGE, bold=True)
    x0, x1 = 220.0, 556.0
    floor_y = 216.0
    times = 6.0
    per = (x1 - x0) / length_in
    mean = (mouth_height_in + far_height) / 2
    tall = min(86.0, mean * per * 1.6)
    rise = max(-46.0, min(46.0, taper_in_per_in * length_in * per * times))
    left_h, right_h = tall + rise / 2, tall - rise / 2
    sheet.cut_metal(
        [[(x0, floor_y - left_h), (x1, floor_y - right_h), (x1, 62), (x0, 62)]], fill=STEEL_LIGHT
    )
    sheet.cut_metal(
        [[(x0 - 60, floor_y), (x1 + 60, floor_y), (x1 + 60, 286), (x0 - 60, 286)]],
        fill=STEEL,
        angle_deg=-45,
    )
    out = min(standing_out_in * per, 60.0)
    out_h = left_h + rise / (x1 - x0) * out
    sheet.path(
        [
            [
                (x0 - out, floor_y),
                (x1, floor_y),
                (x1, floor_y - right_h),
                (x0 - out, floor_y - out_h),
            ]
        ],
        fill=OCHRE,
        weight=HEAVY,
    )
    sheet.text((x0 + x1) / 2, floor_y - tall / 2 + 6, "key", anchor="middle", ink=ON_KEY)
    sheet.text((x0 + x1) / 2, 84, "hub", anchor="middle", halo=True)
    sheet.text((x0 + x1) / 2, 270, "shaft", anchor="middle", halo=True)
    sheet.dimension(
        (x1 + 2, floor_y - right_h),
        (x1 + 2, floor_y),
        at=x1 + 30,
        words=units.height(far_height),
        ink=TEAL,
    )
    sheet.leader(
        x0, floor_y - left_h, x0 - 40, 100, f"mouth {units.height(mouth_height_in)}", ink=TEAL
    )
    sheet.text(x1 + 12, 78, "far end", ink=MUTED)
    told = decided and abs(taper_in_per_in) > 1e-6
    comes = told and taper_in_per_in > 0
    y = floor_y - min(out_h, left_h) / 2
    color = TEAL if comes else VERMILION
    sheet.arrow(x0 - out - 8, y, x0 - out - 82, y, ink=color, weight=5, length=22)
    sheet.text(x0 - out - 82, y - 16, "pull", bold=True)
    if not told:
        verdict = "These heights do not tell which end is large."
    elif comes:
        verdict = "The large end shows: this pull loosens the key."
    else:
        verdict = "The large end is inside: this pull tightens the key."
    sheet.text(350, 322, verdict, anchor="middle", bold=True, size=LARGE, ink=color)
    sheet.line(14, 338, 686, 338, ink=MUTED, weight=FINE)
    sheet.text(
        14, 360, "slope drawn much too steep; heights are the true ones", size=SMALL, ink=MUTED
    )
    return sheet.picture(
        f"Key in its hub. The height at the end that shows is {units.height(mouth_height_in)}, at "
        f"the far end {units.height(far_height)}. {verdict}"
    )
