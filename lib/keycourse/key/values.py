"""Exercise 03: the right values, from the order on the card."""

from __future__ import annotations

from coursework.question import Answer
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, number_of
from keycourse.key.card import KeyOrder, RackBar
from taperkey.formulas.key import travel_for_height_in
from taperkey.formulas.key_form import chamfer_clears
from taperkey.formulas.strength import (
    key_crushing_stress_psi,
    key_force_lbf,
    key_shear_stress_psi,
    torque_lbf_in,
)
from taperkey.units import MM_PER_IN, fraction_text

__all__ = [
    "BARS",
    "CHAMFERS_IN",
    "CHAMFERS_MM",
    "FORMS",
    "GO",
    "HUB_WIDE",
    "NO_BAR",
    "ORDER",
    "OVER_BOTH",
    "OVER_CRUSHING",
    "OVER_SHEAR",
    "PLAIN",
    "SHAFT_WIDE",
    "STEPS",
    "VERDICTS",
    "bar_chosen",
    "bars_that_hold",
    "chamfer",
    "chamfer_place",
    "chamfer_text",
    "chamfers_in",
    "crushing_psi",
    "cut_in",
    "cut_large_in",
    "cut_small_in",
    "drive_torque_lbf_in",
    "force_lbf",
    "form",
    "hub_portion_in",
    "large_end_in",
    "least_side_in",
    "needed_height_in",
    "order_of",
    "rise_in",
    "shear_psi",
    "shear_width_in",
    "small_end_in",
    "stand_out_in",
    "step_in",
    "stock",
    "strong",
    "table_width_in",
    "travel_in",
    "unclear_order",
    "when",
]

WORDS = words_beside(__file__)

_SAID = WORDS.options("03-form")
PLAIN = _SAID["plain"]
HUB_WIDE = _SAID["hub-wide"]
SHAFT_WIDE = _SAID["shaft-wide"]
FORMS = tuple(_SAID.values())

_SAID = WORDS.options("03-strong")
GO = _SAID["go"]
OVER_SHEAR = _SAID["over-shear"]
OVER_CRUSHING = _SAID["over-crushing"]
OVER_BOTH = _SAID["over-both"]
VERDICTS = tuple(_SAID.values())

STEPS = WORDS.steps("03-order")


NO_BAR = "none of these bars"


BARS = (*(f"bar {letter}" for letter in "ABCDE"), NO_BAR)


#: Chamfers that the shop cuts. Inch: those of ASME B17.1's fillet table, from memory.
CHAMFERS_IN = (1 / 32, 3 / 64, 1 / 16, 5 / 64, 1 / 8, 5 / 32, 3 / 16, 7 / 32, 1 / 4, 9 / 32)


CHAMFERS_MM = (0.5, 0.6, 0.8, 1.0, 1.2, 1.6, 2.0, 2.5)


ORDER = ("C", "F", "D", "A", "B", "E")


def order_of(card: JobCard) -> KeyOrder:
    """Return the card's order for a key."""
    return card.read(KeyOrder)


def table_width_in(card: JobCard, given: Given) -> float:
    """Return the width of the table."""
    return card.drive.key_width_in


def large_end_in(card: JobCard, given: Given) -> float:
    """Return the height of the large end, allowance included [in]."""
    return order_of(card).large_end_height_in


def rise_in(card: JobCard) -> float:
    """Return how much the key loses from its large to its small end."""
    order = order_of(card)
    return order.taper_in_per_in * order.length_in


def small_end_in(card: JobCard, given: Given) -> float:
    """Return the height of the small end [in]."""
    return number_of(given, "03-large-end") - rise_in(card)


def travel_in(card: JobCard) -> float:
    """Return the travel that the allowance holds the key back by [in]."""
    order = order_of(card)
    return float(
        travel_for_height_in(height_in=order.allowance_in, taper_in_per_in=order.taper_in_per_in)
    )


def stand_out_in(card: JobCard, given: Given) -> float:
    """Return how far the new key stands out, first pushed in [in]."""
    return order_of(card).outside_length_in + travel_in(card)


def step_in(card: JobCard, given: Given) -> float:
    """Return the step on each side [in]."""
    order = order_of(card)
    return abs(order.hub_width_in - order.shaft_width_in) / 2


def form(card: JobCard, given: Given) -> Answer:
    """Return whether the key is plain, and which portion is wide."""
    order = order_of(card)
    if 2 * number_of(given, "03-step") <= order.plain_limit_in:
        return PLAIN
    return HUB_WIDE if order.hub_width_in > order.shaft_width_in else SHAFT_WIDE


def hub_portion_in(card: JobCard, given: Given) -> float:
    """Return the width of the key in the hub [in]."""
    order = order_of(card)
    slot = order.hub_width_in
    if given["03-form"] == PLAIN:
        slot = min(slot, order.shaft_width_in)
    return slot - order.side_clearance_in


def chamfers_in(card: JobCard) -> list[float]:
    """Return the chamfers that the shop cuts, small to large [in]."""
    return [one / MM_PER_IN for one in CHAMFERS_MM] if card.metric else list(CHAMFERS_IN)


def chamfer_text(card: JobCard, chamfer_in: float) -> str:
    """Write a chamfer or a radius: a fraction of an inch, or tenths of a millimeter."""
    return f"{chamfer_in * MM_PER_IN:.1f} mm" if card.metric else fraction_text(chamfer_in)


def chamfer_place(card: JobCard) -> int:
    """Return which of the chamfers is the first to clear."""
    radius = order_of(card).slot_radius_in
    return next(
        place
        for place, one in enumerate(chamfers_in(card))
        if chamfer_clears(slot_radius_in=radius + 1e-9, chamfer_in=one)
    )


def chamfer(card: JobCard, given: Given) -> Answer:
    """Return the smallest chamfer that clears the radius."""
    return chamfer_text(card, chamfers_in(card)[chamfer_place(card)])


def needed_height_in(card: JobCard, given: Given) -> float:
    """Return the height that the bar must have [in]."""
    order = order_of(card)
    return number_of(given, "03-large-end") + order.straight_cut_in + order.least_taper_cut_in


def bars_that_hold(card: JobCard, *, height_in: float, width_in: float) -> list[RackBar]:
    """Return the bars that hold a size, least section first."""
    fitting = [
        bar
        for bar in order_of(card).rack
        if bar.height_in >= height_in - 1e-9 and bar.width_in >= width_in - 1e-9
    ]
    return sorted(fitting, key=lambda bar: bar.height_in * bar.width_in)


def stock(card: JobCard, given: Given) -> Answer:
    """Return the bar to take."""
    bars = bars_that_hold(
        card, height_in=needed_height_in(card, given), width_in=order_of(card).key_width_in
    )
    return bars[0].name if bars else NO_BAR


def bar_chosen(card: JobCard, given: Given) -> RackBar:
    """Return the bar that was chosen."""
    for bar in order_of(card).rack:
        if bar.name == given["03-stock"]:
            return bar
    raise LookupError("no bar was chosen, so there is nothing to cut")


def cut_in(card: JobCard, given: Given, end: str) -> float:
    """Return the depth of the taper cut; refuse a bar that is too low for it."""
    depth = (
        bar_chosen(card, given).height_in - order_of(card).straight_cut_in - number_of(given, end)
    )
    if depth < 0:
        raise ValueError("the bar chosen is lower than the blank and the relief cut")
    return depth


def cut_large_in(card: JobCard, given: Given) -> float:
    """Return the depth of the taper cut at the large end [in]."""
    return cut_in(card, given, "03-large-end")


def cut_small_in(card: JobCard, given: Given) -> float:
    """Return the depth of the taper cut at the small end [in]."""
    return cut_in(card, given, "03-small-end")


def drive_torque_lbf_in(card: JobCard, given: Given) -> float:
    """Return the torque of the drive [lbf_in]."""
    order = order_of(card)
    return torque_lbf_in(power_hp=order.power_hp, speed_rpm=order.speed_rpm)


def force_lbf(card: JobCard, given: Given) -> float:
    """Return the force on the key at the surface of the shaft [lbf]."""
    return key_force_lbf(
        torque_lbf_in=number_of(given, "03-torque"), shaft_diameter_in=card.drive.shaft_diameter_in
    )


def shear_width_in(card: JobCard) -> float:
    """Return the width that shears: that of the narrow portion [in]."""
    order = order_of(card)
    return min(order.hub_width_in, order.shaft_width_in) - order.side_clearance_in


def least_side_in(card: JobCard) -> float:
    """Return the lesser height that bears [in]."""
    order = order_of(card)
    return min(order.shaft_side_in, order.hub_side_in)


def _back_to_torque(card: JobCard, given: Given) -> float:
    return number_of(given, "03-force") * card.drive.shaft_diameter_in / 2


def shear_psi(card: JobCard, given: Given) -> float:
    """Return the shear stress with the key alone carrying [psi]."""
    return key_shear_stress_psi(
        torque_lbf_in=_back_to_torque(card, given),
        shaft_diameter_in=card.drive.shaft_diameter_in,
        width_in=shear_width_in(card),
        length_in=order_of(card).bearing_length_in,
    )


def crushing_psi(card: JobCard, given: Given) -> float:
    """Return the crushing stress where the side bears least [psi]."""
    return key_crushing_stress_psi(
        torque_lbf_in=_back_to_torque(card, given),
        shaft_diameter_in=card.drive.shaft_diameter_in,
        bearing_height_in=least_side_in(card),
        length_in=order_of(card).bearing_length_in,
    )


def strong(card: JobCard, given: Given) -> Answer:
    """Return whether the key goes into the drive, and if not, why."""
    order = order_of(card)
    shear = number_of(given, "03-shear") > order.allowed_shear_psi
    crushing = number_of(given, "03-crushing") > order.allowed_crushing_psi
    return {
        (False, False): GO,
        (True, False): OVER_SHEAR,
        (False, True): OVER_CRUSHING,
        (True, True): OVER_BOTH,
    }[shear, crushing]


def unclear_order(card: JobCard, given: Given) -> str:
    """Return why a choice on the card is a near miss, or nothing."""
    order = order_of(card)
    for stress, allowed in (
        (number_of(given, "03-shear"), order.allowed_shear_psi),
        (number_of(given, "03-crushing"), order.allowed_crushing_psi),
    ):
        if 0.92 < stress / allowed < 1.09:
            return "03-strong: a stress lies too near to what is allowed"
    need = needed_height_in(card, given)
    if any(abs(bar.height_in - need) < 0.0015 for bar in order.rack):
        return "03-stock: a bar is too near to the height that is needed"
    if any(abs(bar.width_in - order.key_width_in) < 0.001 for bar in order.rack):
        return "03-stock: a bar is too near to the width that is needed"
    if given["03-stock"] == NO_BAR:
        return "03-stock: no bar on the rack will do"
    if number_of(given, "03-small-end") < 0.6 * number_of(given, "03-large-end"):
        return "03-small-end: the key would run out to a wedge"
    return ""


def when(condition: bool, value: Answer) -> Answer | None:
    """Return a slip's value where it can happen, or nothing."""
    return value if condition else None
