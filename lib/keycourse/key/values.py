"""Exercise 03: the right values, from the order on the card."""

from __future__ import annotations

from coursework.question import Answer
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, four_figures, number_of
from keycourse.drive import rounded
from keycourse.key import card as cards
from keycourse.key.card import HP_PER_KW, KeyOrder, RackBar
from taperkey.formulas.bearing import KeyBearing, bearing_height_in, key_bearing
from taperkey.formulas.key import travel_for_height_in
from taperkey.formulas.strength import key_shear_stress_psi
from taperkey.formulas.torque import key_force_lbf
from taperkey.units import MM_PER_IN, fraction_text, from_internal, to_internal

__all__ = [
    "BARS",
    "FAR_FACE",
    "FORMS",
    "GO",
    "HUB_WIDE",
    "NEAR_FACE",
    "NO_BAR",
    "ORDER",
    "OVER_BEARING",
    "OVER_BOTH",
    "OVER_SHEAR",
    "PER_HP",
    "PER_KW",
    "PLAIN",
    "SHAFT_WIDE",
    "STEPS",
    "VERDICTS",
    "bar_chosen",
    "bars_that_hold",
    "bearing_allowed_psi",
    "bearing_heights_in",
    "bearing_on",
    "bearing_psi",
    "chamfer",
    "chamfer_place",
    "chamfer_text",
    "chamfers_in",
    "chosen_chamfer_in",
    "cut_in",
    "cut_large_in",
    "cut_small_in",
    "drive_torque_lbf_in",
    "force_lbf",
    "form",
    "goes_in",
    "hub_portion_in",
    "large_end_in",
    "needed_height_in",
    "order_of",
    "right_chamfer_in",
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

_SAID = WORDS.options("03-goes-in")
NEAR_FACE = _SAID["near"]
FAR_FACE = _SAID["far"]

_SAID = WORDS.options("03-strong")
GO = _SAID["go"]
OVER_SHEAR = _SAID["over-shear"]
OVER_BEARING = _SAID["over-bearing"]
OVER_BOTH = _SAID["over-both"]
VERDICTS = tuple(_SAID.values())

STEPS = WORDS.steps("03-order")


# Constants of the torque as a shop has them by heart: 33,000 ft lbf/min × 12 ÷ 2π, and 60,000 ÷ 2π.
PER_HP = 63_025
PER_KW = 9_550

NO_BAR = "none of these bars"  # what an own height may come to; never right, so not offered


BARS = tuple(f"bar {letter}" for letter in "ABCDE")


ORDER = ("C", "F", "D", "A", "B", "E")


def order_of(card: JobCard) -> KeyOrder:
    """Return the card's order for a key."""
    return card.read(KeyOrder)


def table_width_in(card: JobCard, given: Given) -> float:
    """Return the width of the table."""
    return card.drive.key_width_in


def large_end_in(card: JobCard, given: Given) -> float:
    """Return the height of the large end, allowance included [in]."""
    return rounded(order_of(card).large_end_height_in, card.drive.system)


def goes_in(card: JobCard, given: Given) -> Answer:
    """Return from which face the key goes in."""
    return NEAR_FACE if order_of(card).mouth_is_near else FAR_FACE


def rise_in(card: JobCard) -> float:
    """Return how much the key loses from its large to its small end."""
    order = order_of(card)
    return order.taper_in_per_in * order.length_in


def small_end_in(card: JobCard, given: Given) -> float:
    """Return the height of the small end [in]."""
    return rounded(number_of(given, "03-large-end") - rise_in(card), card.drive.system)


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
    return cards.chamfers_in(card.drive.system)


def chamfer_text(card: JobCard, chamfer_in: float) -> str:
    """Write a chamfer or a radius: a fraction of an inch, or millimeters."""
    return f"{round(chamfer_in * MM_PER_IN, 3):g} mm" if card.metric else fraction_text(chamfer_in)


def chamfer_place(card: JobCard) -> int:
    """Return which of the chamfers is the first to clear."""
    return chamfers_in(card).index(
        cards.clearing_chamfer_in(order_of(card).slot_radius_in, card.drive.system)
    )


def chamfer(card: JobCard, given: Given) -> Answer:
    """Return the smallest chamfer that clears the radius."""
    return chamfer_text(card, chamfers_in(card)[chamfer_place(card)])


def chosen_chamfer_in(card: JobCard, given: Given) -> float:
    """Return the chamfer that was chosen [in]."""
    for one in chamfers_in(card):
        if chamfer_text(card, one) == given["03-chamfer"]:
            return one
    raise LookupError("no chamfer was chosen, so nothing says how high the side bears")


def needed_height_in(card: JobCard, given: Given) -> float:
    """Return the height that the bar must have [in]."""
    order = order_of(card)
    return number_of(given, "03-large-end") + order.relief_cut_in + order.least_taper_cut_in


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
    depth = bar_chosen(card, given).height_in - order_of(card).relief_cut_in - number_of(given, end)
    if depth < 0:
        raise ValueError("the bar chosen is lower than the blank and the relief cut")
    return depth


def cut_large_in(card: JobCard, given: Given) -> float:
    """Return the depth of the taper cut at the large end [in]."""
    return cut_in(card, given, "03-large-end")


def cut_small_in(card: JobCard, given: Given) -> float:
    """Return the depth of the taper cut at the small end [in]."""
    return cut_in(card, given, "03-small-end")


def _as_written(card: JobCard, value: float, dimension: str, inch: str, metric: str) -> float:
    """Return a value rounded to four figures of the card's unit, as its worked line has it."""
    unit = metric if card.metric else inch
    shown = four_figures(from_internal(value, dimension=dimension, unit=unit))
    return to_internal(shown, dimension=dimension, unit=unit)


def drive_torque_lbf_in(card: JobCard, given: Given) -> float:
    """Return the torque of the drive [lbf_in]."""
    order = order_of(card)
    unit, constant = ("N m", PER_KW) if card.metric else ("lbf in", PER_HP)
    power = order.power_hp / HP_PER_KW if card.metric else order.power_hp
    shown = four_figures(constant * power / order.speed_rpm)
    return to_internal(shown, dimension="torque", unit=unit)


def force_lbf(card: JobCard, given: Given) -> float:
    """Return the force on the key at the surface of the shaft [lbf]."""
    force = key_force_lbf(
        torque_lbf_in=number_of(given, "03-torque"), shaft_diameter_in=card.drive.shaft_diameter_in
    )
    return _as_written(card, force, "force", "lbf", "kN")


def shear_width_in(card: JobCard) -> float:
    """Return the width that shears: that of the narrow portion [in]."""
    order = order_of(card)
    return min(order.hub_width_in, order.shaft_width_in) - order.side_clearance_in


def bearing_heights_in(card: JobCard, chamfer_in: float) -> tuple[float, float]:
    """Return the heights that bear in the shaft and in the hub, with a chamfer [in]."""
    order = order_of(card)
    in_shaft, in_hub = (
        rounded(
            bearing_height_in(slot_side_depth_in=depth, chamfer_in=chamfer_in), card.drive.system
        )
        for depth in (order.keyseat_depth_in, order.keyway_depth_in)
    )
    return in_shaft, in_hub


def bearing_on(card: JobCard, chamfer_in: float, force: float) -> KeyBearing:
    """Return the bearing of the key where it decides, under a force at the shaft's surface."""
    order = order_of(card)
    in_shaft, in_hub = bearing_heights_in(card, chamfer_in)
    return key_bearing(
        torque_lbf_in=force * card.drive.shaft_diameter_in / 2,
        shaft_diameter_in=card.drive.shaft_diameter_in,
        length_in=order.bearing_length_in,
        shaft_height_in=in_shaft,
        hub_height_in=in_hub,
        key_allowable_psi=order.key_allowed_psi,
        shaft_allowable_psi=order.shaft_allowed_psi,
        hub_allowable_psi=order.hub_allowed_psi,
    )


def right_chamfer_in(card: JobCard) -> float:
    """Return the smallest chamfer that clears the radius [in]."""
    return chamfers_in(card)[chamfer_place(card)]


def bearing_allowed_psi(card: JobCard) -> float:
    """Return what is allowed in bearing on the side that decides [psi]."""
    return bearing_on(card, right_chamfer_in(card), 1.0).allowable_psi


def shear_psi(card: JobCard, given: Given) -> float:
    """Return the shear stress with the key alone carrying [psi]."""
    stress = key_shear_stress_psi(
        torque_lbf_in=number_of(given, "03-force") * card.drive.shaft_diameter_in / 2,
        shaft_diameter_in=card.drive.shaft_diameter_in,
        width_in=shear_width_in(card),
        length_in=order_of(card).bearing_length_in,
    )
    return _as_written(card, stress, "pressure", "psi", "MPa")


def bearing_psi(card: JobCard, given: Given) -> float:
    """Return the bearing stress on the side that decides [psi]."""
    found = bearing_on(card, chosen_chamfer_in(card, given), number_of(given, "03-force"))
    return _as_written(card, found.stress_psi, "pressure", "psi", "MPa")


def strong(card: JobCard, given: Given) -> Answer:
    """Return whether the key goes into the drive, and if not, why."""
    shear = number_of(given, "03-shear") > order_of(card).allowed_shear_psi
    bearing = number_of(given, "03-bearing") > bearing_allowed_psi(card)
    return {
        (False, False): GO,
        (True, False): OVER_SHEAR,
        (False, True): OVER_BEARING,
        (True, True): OVER_BOTH,
    }[shear, bearing]


def unclear_order(card: JobCard, given: Given) -> str:
    """Return why a choice on the card is a near miss, or nothing."""
    order = order_of(card)
    for stress, allowed in (
        (number_of(given, "03-shear"), order.allowed_shear_psi),
        (number_of(given, "03-bearing"), bearing_allowed_psi(card)),
    ):
        if 0.92 < stress / allowed < 1.09:
            return "03-strong: a stress lies too near to what is allowed"
    in_shaft, in_hub = bearing_heights_in(card, right_chamfer_in(card))
    carry = (
        in_shaft * min(order.shaft_allowed_psi, order.key_allowed_psi),
        in_hub * min(order.hub_allowed_psi, order.key_allowed_psi),
    )
    if max(carry) < 1.06 * min(carry):
        return "03-bearing: shaft side and hub side carry too nearly the same"
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
