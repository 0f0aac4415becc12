"""Exercise 03: the lines of the job card, and how its numbers are written."""

from __future__ import annotations

import functools

from coursework.question import Fact
from keycourse.card import JobCard
from keycourse.common import distance_text, four_figures_text, length_text, shaft_text
from keycourse.key.card import HP_PER_KW, KEY_STEEL, RackBar
from keycourse.key.values import chamfer_text, order_of
from taperkey.tables.keys import inch_key_size, metric_key_size
from taperkey.units import MM_PER_IN, fraction_text, from_internal

__all__ = [
    "allowed_text",
    "blank_facts",
    "cut_facts",
    "cut_text",
    "drive_facts",
    "facts",
    "key_force_text",
    "rack_facts",
    "radius_facts",
    "strength_facts",
    "stress_text",
    "table_facts",
    "table_rows",
    "taper_text",
    "torque_text",
    "width_facts",
]

Row = tuple[float, float, float, float]  # over, to, width, height


def torque_text(card: JobCard, torque: float) -> str:
    """Write a torque as this card has it: lbf in, or N m."""
    unit = "N m" if card.metric else "lbf in"
    return f"{four_figures_text(from_internal(torque, dimension='torque', unit=unit))} {unit}"


def stress_text(card: JobCard, stress_psi: float) -> str:
    """Write a stress as this card has it: psi, or MPa."""
    unit = "MPa" if card.metric else "psi"
    return f"{four_figures_text(from_internal(stress_psi, dimension='pressure', unit=unit))} {unit}"


def key_force_text(card: JobCard, force_lbf: float) -> str:
    """Write the force on the key as it is carried on: four figures, in lbf or kN."""
    unit = "kN" if card.metric else "lbf"
    return f"{four_figures_text(from_internal(force_lbf, dimension='force', unit=unit))} {unit}"


def taper_text(card: JobCard) -> str:
    """Write the taper of the opening, in one unit of length."""
    taper = order_of(card).taper_in_per_in
    unit = "mm/mm" if card.metric else "in/in"
    return f"{taper:.5f} {unit}"


def cut_text(card: JobCard, value_in: float) -> str:
    """Write a depth as it is set on a machine."""
    return f"{value_in * MM_PER_IN:.1f} mm" if card.metric else f"{value_in:.3f} in"


def table_rows(card: JobCard) -> tuple[Row, ...]:
    """Return over, to, width and height of the rows round the shaft [in], or [mm] if metric."""
    return _rows_round(card.drive.shaft_diameter_in, card.metric)


@functools.cache
def _rows_round(diameter: float, metric: bool) -> tuple[Row, ...]:
    rows: list[Row] = []
    if metric:
        here = metric_key_size(shaft_diameter_in=diameter)
        for at in (here.over_mm, diameter * MM_PER_IN, here.to_mm + 0.5):
            if at <= 260:
                row = metric_key_size(shaft_diameter_in=at / MM_PER_IN)
                rows.append((row.over_mm, row.to_mm, row.width_mm, row.height_mm))
        return tuple(rows)
    middle = inch_key_size(shaft_diameter_in=diameter)
    for at in (middle.over_in, diameter, middle.to_in + 0.01):
        inch = inch_key_size(shaft_diameter_in=at)
        square = inch.square_height_in if inch.preferred == "square" else None
        rows.append(
            (inch.over_in, inch.to_in, inch.width_in, square or inch.rectangular_height_in or 0.0)
        )
    return tuple(rows)


def table_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the shaft, and the rows of the table round it."""
    standard = "DIN 6886" if card.metric else "ASME B17.1"

    def size(value: float) -> str:
        return f"{value:g}" if card.metric else fraction_text(value).removesuffix(" in")

    unit = "mm" if card.metric else "in"
    return (
        Fact("Shaft", shaft_text(card)),
        *(
            Fact(
                f"{standard}, shaft over {size(over)} to and including {size(to)} {unit}",
                f"key {size(width)} wide, {size(height)} {unit} high",
            )
            for over, to, width, height in table_rows(card)
        ),
    )


def blank_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what the heights and the stand-out come from."""
    order = order_of(card)
    near, far = order.mouth_height_in, order.small_height_in
    if not order.mouth_is_near:
        near, far = far, near
    return (
        Fact(
            "Height of the opening at the near face of the hub, keyway at the bottom",
            length_text(card, near),
        ),
        Fact("Height at the far face; the hub can be reached from both", length_text(card, far)),
        Fact("Taper of the opening, from a long base", taper_text(card)),
        Fact(
            "Length of the finished key inside the hub",
            distance_text(card, order.engaged_length_in),
        ),
        Fact(
            "Length left outside, of the finished key, for pulling",
            distance_text(card, order.outside_length_in),
        ),
        Fact("Fitting allowance, left on in height", length_text(card, order.allowance_in)),
    )


def width_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return both slots, the clearance, and the limit of a plain key."""
    order = order_of(card)
    return (
        Fact("Width of the keyway in the hub", length_text(card, order.hub_width_in)),
        Fact("Width of the keyseat in the shaft", length_text(card, order.shaft_width_in)),
        Fact(
            "A plain key will do while the slots differ by no more than",
            length_text(card, order.plain_limit_in),
        ),
        Fact(
            "Side clearance of the key, both sides together",
            length_text(card, order.side_clearance_in),
        ),
    )


def radius_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the radius in the corners."""
    return (
        Fact(
            "Radius in the corners of the slots",
            chamfer_text(card, order_of(card).slot_radius_in),
        ),
    )


def _bar_fact(card: JobCard, bar: RackBar) -> Fact:
    """Return one bar: what it is called, and what it measures."""
    if card.metric:
        sides = (bar.nominal_width_in * MM_PER_IN, bar.nominal_height_in * MM_PER_IN)
        called = " × ".join(f"{round(side, 3):g}" for side in sides) + " mm"
        measured = f"{bar.width_in * MM_PER_IN:.3f} × {bar.height_in * MM_PER_IN:.3f} mm"
    else:
        sides = (bar.nominal_width_in, bar.nominal_height_in)
        called = " × ".join(fraction_text(side).removesuffix(" in") for side in sides) + " in"
        measured = f"{bar.width_in:.4f} × {bar.height_in:.4f} in"
    return Fact(f"Rack, {KEY_STEEL}, {bar.name}, {called}", f"measures {measured}")


def cut_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what the two cuts take off."""
    order = order_of(card)
    return (
        Fact("Relief cut on the face opposite the taper", cut_text(card, order.relief_cut_in)),
        Fact("Taper cut at the large end, at least", cut_text(card, order.least_taper_cut_in)),
    )


def rack_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the bars and the cuts."""
    return (*(_bar_fact(card, bar) for bar in order_of(card).rack), *cut_facts(card))


def drive_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return power and speed."""
    order = order_of(card)
    power = f"{order.power_hp / HP_PER_KW:.4g} kW" if card.metric else f"{order.power_hp:.4g} hp"
    return (Fact("Most that the drive carries", f"{power} at {order.speed_rpm:g} rev/min"),)


def strength_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return where the key bears, and what is allowed."""
    order = order_of(card)
    return (
        Fact(
            "Length over which both slots have sound sides",
            distance_text(card, order.bearing_length_in),
        ),
        Fact(
            "Depth along the side wall, half way along that length",
            f"keyseat in the shaft {cut_text(card, order.keyseat_depth_in)}, "
            f"keyway in the hub {cut_text(card, order.keyway_depth_in)}",
        ),
        Fact(
            "Steel",
            f"key {KEY_STEEL}, shaft {order.shaft_steel}, hub {order.hub_steel}",
        ),
        Fact(
            "Allowed bearing stress, by the plant's engineer",
            f"key {allowed_text(card, order.key_allowed_psi)}, "
            f"shaft {allowed_text(card, order.shaft_allowed_psi)}, "
            f"hub {allowed_text(card, order.hub_allowed_psi)}",
        ),
        Fact(
            "Allowed shear stress in the key, by the plant's engineer",
            allowed_text(card, order.allowed_shear_psi),
        ),
    )


def allowed_text(card: JobCard, stress_psi: float) -> str:
    """Write an allowed stress as an engineer writes it."""
    if card.metric:
        return f"{from_internal(stress_psi, dimension='pressure', unit='MPa'):.0f} MPa"
    return f"{stress_psi:,.0f} psi"


def facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed card."""
    return (
        *table_facts(card)[1:],
        *blank_facts(card),
        *width_facts(card),
        *radius_facts(card),
        *rack_facts(card),
        *drive_facts(card),
        *strength_facts(card),
    )
