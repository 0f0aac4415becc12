"""Exercise 03: torque, force, stresses, and whether the key goes into the drive."""

from __future__ import annotations

from coursework.question import (
    Answer,
    Choice,
    Measure,
    WorkedLine,
)
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    Wrong,
    distance_text,
    length_text,
    number_of,
    shaft_text,
)
from keycourse.key.card import HP_PER_KW
from keycourse.key.facts import (
    allowed_text,
    cut_text,
    drive_facts,
    key_force_text,
    radius_facts,
    strength_facts,
    stress_text,
    table_facts,
    torque_text,
    width_facts,
)
from keycourse.key.values import (
    GO,
    OVER_BEARING,
    OVER_BOTH,
    OVER_SHEAR,
    PER_HP,
    PER_KW,
    VERDICTS,
    bearing_allowed_psi,
    bearing_heights_in,
    bearing_on,
    bearing_psi,
    chamfer_text,
    chosen_chamfer_in,
    drive_torque_lbf_in,
    force_lbf,
    order_of,
    right_chamfer_in,
    shear_psi,
    shear_width_in,
    strong,
    when,
)

__all__ = ["QUESTIONS"]

WORDS = words_beside(__file__)

_STRESS = Measure(
    dimension="pressure",
    unit="psi",
    low=50,
    high=200_000,
    places=0,
    metric_unit="MPa",
    metric_places=1,
)


def _torque_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    if card.metric:
        formula = f"torque in N m = {PER_KW:,} × kilowatts ÷ rev/min"
        numbers = f"{PER_KW:,} × {order.power_hp / HP_PER_KW:.4g} kW ÷ {order.speed_rpm:g} rev/min"
    else:
        formula = f"torque in lbf in = {PER_HP:,} × horsepower ÷ rev/min"
        numbers = f"{PER_HP:,} × {order.power_hp:.4g} hp ÷ {order.speed_rpm:g} rev/min"
    return (
        WorkedLine(
            why="The same power at a lower speed is more torque.",
            formula=formula,
            numbers=numbers,
            result=torque_text(card, drive_torque_lbf_in(card, given)),
        ),
    )


def _force_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    return (
        WorkedLine(
            why="The key sits at the surface of the shaft, half a diameter from its center."
            + (" N m divided by mm gives kN." if card.metric else ""),
            formula="force = torque ÷ (diameter ÷ 2)",
            numbers=f"{torque_text(card, number_of(given, '03-torque'))} ÷ "
            f"({shaft_text(card)} ÷ 2)",
            result=key_force_text(card, force_lbf(card, given)),
        ),
    )


def _newtons(card: JobCard, force: float) -> str:
    """Write the force as it goes into a stress: 1 MPa is 1 N on 1 mm²."""
    text = key_force_text(card, force)
    return f"{text} × 1,000" if card.metric else text


def _over_area(card: JobCard) -> str:
    return "force × 1,000" if card.metric else "force"


def _shear_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    return (
        WorkedLine(
            why="Hub and shaft would cut the key lengthwise, through one area: width times length. "
            "The narrow part counts, and only the length with sound sides."
            + (" 1 MPa is 1 N on 1 mm², so the kN become N." if card.metric else ""),
            formula=f"shear stress = {_over_area(card)} ÷ (width × length)",
            numbers=f"{_newtons(card, number_of(given, '03-force'))} ÷ "
            f"({length_text(card, shear_width_in(card))} × "
            f"{distance_text(card, order_of(card).bearing_length_in)})",
            result=stress_text(card, shear_psi(card, given)),
        ),
    )


def _bearing_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    chamfer = chosen_chamfer_in(card, given)
    heights = bearing_heights_in(card, chamfer)
    depths = (order.keyseat_depth_in, order.keyway_depth_in)
    softer = [
        min(order.key_allowed_psi, one) for one in (order.shaft_allowed_psi, order.hub_allowed_psi)
    ]
    side = bearing_on(card, chamfer, 1.0).side
    height = heights[0] if side == "shaft" else heights[1]
    return (
        *(
            WorkedLine(
                why=f"In the {part}, the key's side bears on the depth of the slot less the "
                "chamfer.",
                formula=f"height in the {part} = depth of the slot − chamfer",
                numbers=f"{cut_text(card, depth)} − {chamfer_text(card, chamfer)}",
                result=length_text(card, bears),
            )
            for part, depth, bears in zip(("shaft", "hub"), depths, heights, strict=True)
        ),
        WorkedLine(
            why="The side with the lower product gives way first. On each side the softer of the "
            "two metals counts.",
            formula="height × allowed stress of the softer metal: shaft against hub",
            numbers=" against ".join(
                f"{length_text(card, bears)} × {allowed_text(card, allowed)}"
                for bears, allowed in zip(heights, softer, strict=True)
            ),
            result=f"the {side} decides",
        ),
        WorkedLine(
            why=f"So the stress is worked out in the {side}.",
            formula=f"bearing stress = {_over_area(card)} ÷ (height × length)",
            numbers=f"{_newtons(card, number_of(given, '03-force'))} ÷ "
            f"({length_text(card, height)} × "
            f"{distance_text(card, order.bearing_length_in)})",
            result=stress_text(card, bearing_psi(card, given)),
        ),
    )


def _strong_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    pairs = (
        ("shear", number_of(given, "03-shear"), order_of(card).allowed_shear_psi),
        ("bearing", number_of(given, "03-bearing"), bearing_allowed_psi(card)),
    )
    return (
        *(
            WorkedLine(
                why="Compare the shear stress with what is allowed in the key."
                if name == "shear"
                else "Compare the bearing stress with what is allowed for the softer metal on the "
                "side that decides.",
                formula=f"{name} stress against allowed {name} stress",
                numbers=f"{stress_text(card, stress)} against {allowed_text(card, allowed)}",
                result="within" if stress <= allowed else "over",
            )
            for name, stress, allowed in pairs
        ),
        WorkedLine(why="Both have to be within.", result=str(strong(card, given))),
    )


def _over_height(card: JobCard, given: Given, height_in: float) -> float:
    """Return force over a height and the length with sound sides [psi]."""
    return number_of(given, "03-force") / (height_in * order_of(card).bearing_length_in)


def _sides(card: JobCard, chamfer_in: float) -> tuple[float, float]:
    """Return the height that bears on the side that decides, and on the other [in]."""
    in_shaft, in_hub = bearing_heights_in(card, chamfer_in)
    hub_decides = bearing_on(card, chamfer_in, 1.0).side == "hub"
    return (in_hub, in_shaft) if hub_decides else (in_shaft, in_hub)


def _side_for_shear(card: JobCard, given: Given) -> float:
    return _over_height(card, given, _sides(card, right_chamfer_in(card))[0])


def _chamfer_left_out(card: JobCard, given: Given) -> float:
    chamfer = chosen_chamfer_in(card, given)
    return _over_height(card, given, _sides(card, chamfer)[0] + chamfer)


def _other_side(card: JobCard, given: Given) -> float:
    return _over_height(card, given, _sides(card, chosen_chamfer_in(card, given))[1])


def _both_heights(card: JobCard, given: Given) -> float:
    return _over_height(card, given, sum(_sides(card, chosen_chamfer_in(card, given))))


def _whole_key(value: Wrong) -> Wrong:
    """Return a stress over the whole length of the key."""

    def wrong(card: JobCard, given: Given) -> Answer | None:
        stress, order = value(card, given), order_of(card)
        if not isinstance(stress, float):
            return None
        return stress * order.bearing_length_in / order.length_in

    return wrong


def _key_alone(card: JobCard, given: Given) -> Answer | None:
    """Return the verdict by the key's own metal, where shaft or hub is over and the key is not."""
    stress = number_of(given, "03-bearing")
    softer = bearing_allowed_psi(card) < stress <= order_of(card).key_allowed_psi
    return when(softer and strong(card, given) == OVER_BEARING, GO)


def _unless_near(value: Wrong, right: Wrong, apart: float = 0.05) -> Wrong:
    """Return the wrong value only where it differs by a share that can be seen."""

    def seen(card: JobCard, given: Given) -> Answer | None:
        wrong, wanted = value(card, given), right(card, given)
        if isinstance(wrong, float) and isinstance(wanted, float):
            return wrong if abs(wrong - wanted) > apart * abs(wanted) else None
        return None

    return seen


def _only(value: Wrong, *, metric: bool) -> Wrong:
    return lambda card, given: value(card, given) if card.metric is metric else None


QUESTIONS = (
    WORDS.question(
        "03-torque",
        kind=Measure(
            dimension="torque",
            unit="lbf in",
            low=100,
            high=5_000_000,
            places=0,
            metric_unit="N m",
            metric_places=0,
        ),
        expected=drive_torque_lbf_in,
        tolerance=lambda card, given: 0.01 * drive_torque_lbf_in(card, given),
        slips={
            "pound-feet for pound-inches": _only(
                lambda card, given: drive_torque_lbf_in(card, given) / 12, metric=False
            ),
            "inch constant with kilowatts": _only(
                lambda card, given: drive_torque_lbf_in(card, given) * PER_HP / PER_KW,
                metric=True,
            ),
            "power times speed": lambda card, given: (
                drive_torque_lbf_in(card, given) * order_of(card).speed_rpm ** 2
            ),
            "turns a second": lambda card, given: drive_torque_lbf_in(card, given) * 60,
            "constant off by ten": lambda card, given: drive_torque_lbf_in(card, given) / 10,
        },
        facts=drive_facts,
        worked=_torque_work,
    ),
    WORDS.question(
        "03-force",
        kind=Measure(
            dimension="force",
            unit="lbf",
            low=500,
            high=2_000_000,
            places=0,
            metric_unit="kN",
            metric_places=2,
        ),
        expected=force_lbf,
        tolerance=lambda card, given: 0.015 * force_lbf(card, given),
        needs=("03-torque",),
        slips={
            "diameter for radius": lambda card, given: force_lbf(card, given) / 2,
            "halved twice": lambda card, given: force_lbf(card, given) * 2,
            "times the arm": lambda card, given: (
                number_of(given, "03-torque") * card.drive.shaft_diameter_in / 2
            ),
            "pound-feet divided by inches": _only(
                lambda card, given: force_lbf(card, given) / 12, metric=False
            ),
            "newtons for kilonewtons": _only(
                lambda card, given: force_lbf(card, given) * 1000, metric=True
            ),
        },
        facts=lambda card: table_facts(card)[:1],
        worked=_force_work,
    ),
    WORDS.question(
        "03-shear",
        kind=_STRESS,
        expected=shear_psi,
        tolerance=lambda card, given: 0.02 * shear_psi(card, given),
        needs=("03-force",),
        slips={
            "two areas for one": lambda card, given: shear_psi(card, given) / 2,
            "whole key length": _unless_near(_whole_key(shear_psi), shear_psi),
            "end of the key for its area": lambda card, given: (
                number_of(given, "03-force")
                / (shear_width_in(card) * order_of(card).mouth_height_in)
            ),
            "side for shear": _unless_near(_side_for_shear, shear_psi),
        },
        facts=lambda card: (*strength_facts(card)[:1], *width_facts(card)),
        worked=_shear_work,
    ),
    WORDS.question(
        "03-bearing",
        kind=_STRESS,
        expected=bearing_psi,
        tolerance=lambda card, given: 0.02 * bearing_psi(card, given),
        needs=("03-force", "03-chamfer"),
        slips={
            "chamfer left out": _chamfer_left_out,
            "other side taken": _unless_near(_other_side, bearing_psi),
            "whole height": lambda card, given: _over_height(
                card, given, order_of(card).mouth_height_in
            ),
            "both heights added": _both_heights,
            "width for height": lambda card, given: _over_height(card, given, shear_width_in(card)),
            "whole key length": _unless_near(_whole_key(bearing_psi), bearing_psi),
        },
        facts=lambda card: (*strength_facts(card)[:4], *radius_facts(card)),
        worked=_bearing_work,
    ),
    WORDS.question(
        "03-strong",
        kind=Choice(options=VERDICTS),
        expected=strong,
        needs=("03-shear", "03-bearing"),
        slips={
            "key alone compared": _key_alone,
            "bearing not compared": lambda card, given: when(
                strong(card, given) == OVER_BEARING and _key_alone(card, given) is None, GO
            ),
            "waved through": lambda card, given: when(strong(card, given) == OVER_BOTH, GO),
            "only one seen": lambda card, given: when(
                strong(card, given) == OVER_BOTH, OVER_BEARING
            ),
            "shear and bearing mixed up": lambda card, given: when(
                strong(card, given) == OVER_BEARING, OVER_SHEAR
            ),
            "held back without cause": lambda card, given: when(
                strong(card, given) == GO, OVER_BEARING
            ),
        },
        facts=lambda card: strength_facts(card)[1:],
        worked=_strong_work,
    ),
)
