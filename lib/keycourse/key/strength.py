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
    force_text,
    length_text,
    number_of,
    shaft_text,
)
from keycourse.key.card import HP_PER_KW
from keycourse.key.facts import (
    allowed_text,
    drive_facts,
    strength_facts,
    stress_text,
    table_facts,
    torque_text,
    width_facts,
)
from keycourse.key.values import (
    GO,
    OVER_BOTH,
    OVER_CRUSHING,
    OVER_SHEAR,
    VERDICTS,
    crushing_psi,
    drive_torque_lbf_in,
    force_lbf,
    least_side_in,
    order_of,
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
        formula = "torque in N m = 9,550 × kilowatts ÷ rev/min"
        numbers = f"9,550 × {order.power_hp / HP_PER_KW:.4g} kW ÷ {order.speed_rpm:g} rev/min"
    else:
        formula = "torque in lbf in = 63,025 × horsepower ÷ rev/min"
        numbers = f"63,025 × {order.power_hp:.4g} hp ÷ {order.speed_rpm:g} rev/min"
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
            why="The key stands at the surface of the shaft, half a diameter from its middle.",
            formula="force = torque ÷ (diameter ÷ 2)",
            numbers=f"{torque_text(card, number_of(given, '03-torque'))} ÷ "
            f"({shaft_text(card)} ÷ 2)",
            result=force_text(card, force_lbf(card, given)),
        ),
    )


def _shear_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    return (
        WorkedLine(
            why="Hub and shaft would cut the key lengthwise, through one area: width times length. "
            "The narrow portion counts, and only the length with sound sides.",
            formula="shear stress = force ÷ (width × length)",
            numbers=f"{force_text(card, number_of(given, '03-force'))} ÷ "
            f"({length_text(card, shear_width_in(card))} × "
            f"{distance_text(card, order_of(card).bearing_length_in)})",
            result=stress_text(card, shear_psi(card, given)),
        ),
    )


def _crushing_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    return (
        WorkedLine(
            why="The side wall presses on the key over a height and a length. The lesser height "
            "has the higher stress.",
            formula="crushing stress = force ÷ (height that bears × length)",
            numbers=f"{force_text(card, number_of(given, '03-force'))} ÷ "
            f"({length_text(card, least_side_in(card))} × "
            f"{distance_text(card, order_of(card).bearing_length_in)})",
            result=stress_text(card, crushing_psi(card, given)),
        ),
    )


def _strong_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    pairs = (
        ("shear", number_of(given, "03-shear"), order.allowed_shear_psi),
        ("crushing", number_of(given, "03-crushing"), order.allowed_crushing_psi),
    )
    return (
        *(
            WorkedLine(
                why=f"Hold the {name} stress against what is allowed.",
                numbers=f"{stress_text(card, stress)} against {allowed_text(card, allowed)}",
                result="within" if stress <= allowed else "over",
            )
            for name, stress, allowed in pairs
        ),
        WorkedLine(why="Both have to be within.", result=str(strong(card, given))),
    )


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
                lambda card, given: drive_torque_lbf_in(card, given) * 63.025 / 9.55,
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
            low=100,
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
            "whole key length": _unless_near(
                lambda card, given: (
                    shear_psi(card, given)
                    * order_of(card).bearing_length_in
                    / order_of(card).length_in
                ),
                shear_psi,
            ),
            "end of the key for its area": lambda card, given: (
                number_of(given, "03-force")
                / (shear_width_in(card) * order_of(card).mouth_height_in)
            ),
            "side for shear": _unless_near(crushing_psi, shear_psi),
        },
        facts=lambda card: (*strength_facts(card)[:1], *width_facts(card)),
        worked=_shear_work,
    ),
    WORDS.question(
        "03-crushing",
        kind=_STRESS,
        expected=crushing_psi,
        tolerance=lambda card, given: 0.02 * crushing_psi(card, given),
        needs=("03-force",),
        slips={
            "whole height": lambda card, given: (
                crushing_psi(card, given) * least_side_in(card) / order_of(card).mouth_height_in
            ),
            "both heights added": lambda card, given: (
                crushing_psi(card, given)
                * least_side_in(card)
                / (order_of(card).shaft_side_in + order_of(card).hub_side_in)
            ),
            "larger of the two heights": _unless_near(
                lambda card, given: (
                    crushing_psi(card, given)
                    * least_side_in(card)
                    / max(order_of(card).shaft_side_in, order_of(card).hub_side_in)
                ),
                crushing_psi,
            ),
            "width for height": lambda card, given: (
                crushing_psi(card, given) * least_side_in(card) / shear_width_in(card)
            ),
            "whole key length": _unless_near(
                lambda card, given: (
                    crushing_psi(card, given)
                    * order_of(card).bearing_length_in
                    / order_of(card).length_in
                ),
                crushing_psi,
            ),
        },
        facts=lambda card: strength_facts(card)[:2],
        worked=_crushing_work,
    ),
    WORDS.question(
        "03-strong",
        kind=Choice(options=VERDICTS),
        expected=strong,
        needs=("03-shear", "03-crushing"),
        slips={
            "crushing not compared": lambda card, given: when(
                strong(card, given) == OVER_CRUSHING, GO
            ),
            "waved through": lambda card, given: when(strong(card, given) == OVER_BOTH, GO),
            "only one seen": lambda card, given: when(
                strong(card, given) == OVER_BOTH, OVER_CRUSHING
            ),
            "shear and crushing mixed up": lambda card, given: when(
                strong(card, given) == OVER_CRUSHING, OVER_SHEAR
            ),
            "held back without cause": lambda card, given: when(
                strong(card, given) == GO, OVER_CRUSHING
            ),
        },
        facts=lambda card: strength_facts(card)[2:],
        worked=_strong_work,
    ),
)
