"""Exercise 03: torque, force, stresses, and whether the key goes into the drive."""

from __future__ import annotations

from taperkey.jobcard import JobCard
from taperkey.jobcard.key import HP_PER_KW
from taperkey.questions.common import (
    Given,
    Wrong,
    distance_text,
    force_text,
    length_text,
    number_of,
    shaft_text,
)
from taperkey.questions.key.facts import (
    allowed_text,
    drive_facts,
    strength_facts,
    stress_text,
    table_facts,
    torque_text,
    width_facts,
)
from taperkey.questions.key.values import (
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
from taperkey.questions.question import Answer, Choice, Measure, Question, Slip, WorkedLine

__all__ = ["QUESTIONS"]

_STRESS = Measure(
    dimension="pressure",
    unit="psi",
    low=50,
    high=200_000,
    places=0,
    metric_unit="MPa",
    metric_places=1,
)


_CRITICAL = (
    "This entry is safety-critical: a key that is over what is allowed can shear under load, and "
    "the hub runs free. Stop and ask the plant's engineer."
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
    Question(
        key="03-torque",
        skill="check its strength",
        label="Torque",
        ask="Which torque does the drive put on the shaft?",
        marks=1,
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
        slips=(
            Slip(
                name="pound-feet for pound-inches",
                value=_only(
                    lambda card, given: drive_torque_lbf_in(card, given) / 12, metric=False
                ),
                sentence="The figure is in pound-feet, with 5,252. In pound-inches it is more, or "
                "write lbf ft behind it.",
                share=0.5,
            ),
            Slip(
                name="inch constant with kilowatts",
                value=_only(
                    lambda card, given: drive_torque_lbf_in(card, given) * 63.025 / 9.55,
                    metric=True,
                ),
                sentence="The constant for horsepower and pound-inches was used. With kilowatts "
                "and newton metres it is another.",
                share=0.25,
            ),
            Slip(
                name="power times speed",
                value=lambda card, given: (
                    drive_torque_lbf_in(card, given) * order_of(card).speed_rpm ** 2
                ),
                sentence="Power was multiplied by the speed. A slow shaft has more torque than a "
                "fast one: divide.",
            ),
            Slip(
                name="turns a second",
                value=lambda card, given: drive_torque_lbf_in(card, given) * 60,
                sentence="The speed went in as turns a second. The constant is made for turns a "
                "minute.",
                share=0.25,
            ),
            Slip(
                name="constant off by ten",
                value=lambda card, given: drive_torque_lbf_in(card, given) / 10,
                sentence="The figures fit, the size does not: look at the constant once more.",
                share=0.25,
            ),
        ),
        hint="Constant times power divided by turns a minute.",
        facts=drive_facts,
        worked=_torque_work,
    ),
    Question(
        key="03-force",
        skill="check its strength",
        label="Force on the key",
        ask="Which force does that torque put on the key, at the surface of the shaft?",
        marks=2,
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
        slips=(
            Slip(
                name="diameter for radius",
                value=lambda card, given: force_lbf(card, given) / 2,
                sentence="The torque was divided by the diameter. The arm reaches from the middle "
                "of the shaft to its surface.",
                share=0.5,
            ),
            Slip(
                name="halved twice",
                value=lambda card, given: force_lbf(card, given) * 2,
                sentence="The arm came out at a quarter of the diameter. It is half of it.",
                share=0.5,
            ),
            Slip(
                name="times the arm",
                value=lambda card, given: (
                    number_of(given, "03-torque") * card.drive.shaft_diameter_in / 2
                ),
                sentence="The torque was multiplied by the arm. A longer arm needs less force: "
                "divide.",
                share=0.25,
            ),
            Slip(
                name="pound-feet divided by inches",
                value=_only(lambda card, given: force_lbf(card, given) / 12, metric=False),
                sentence="A torque in pound-feet was divided by inches. Bring both to inches.",
                share=0.25,
            ),
            Slip(
                name="newtons for kilonewtons",
                value=_only(lambda card, given: force_lbf(card, given) * 1000, metric=True),
                sentence="The figures fit, but a kilonewton is a thousand newtons. Look at the "
                "unit.",
                share=0.5,
            ),
        ),
        hint="Force times arm is the torque; the arm is half the shaft.",
        facts=lambda card: table_facts(card)[:1],
        worked=_force_work,
    ),
    Question(
        key="03-shear",
        skill="check its strength",
        label="Shear stress",
        ask="If the key alone carries that force, how high is the shear stress in it?",
        marks=2,
        kind=_STRESS,
        expected=shear_psi,
        tolerance=lambda card, given: 0.02 * shear_psi(card, given),
        needs=("03-force",),
        slips=(
            Slip(
                name="two areas for one",
                value=lambda card, given: shear_psi(card, given) / 2,
                sentence="A key is cut through one area only, between hub and shaft; a pin "
                "across a fork is cut through two.",
                share=0.25,
            ),
            Slip(
                name="whole key length",
                value=_unless_near(
                    lambda card, given: (
                        shear_psi(card, given)
                        * order_of(card).bearing_length_in
                        / order_of(card).length_in
                    ),
                    shear_psi,
                ),
                sentence="The whole key was counted. Only the length that has sound sides in both "
                "slots carries.",
                share=0.25,
            ),
            Slip(
                name="end of the key for its area",
                value=lambda card, given: (
                    number_of(given, "03-force")
                    / (shear_width_in(card) * order_of(card).mouth_height_in)
                ),
                sentence="The end of the key was taken as the area. It is cut lengthwise, not "
                "across.",
            ),
            Slip(
                name="side for shear",
                value=_unless_near(crushing_psi, shear_psi),
                sentence="That is force over the side of the key, which is crushing. Shear goes "
                "through its width.",
                share=0.25,
            ),
        ),
        hint="One area: width of the narrow portion times the length with sound sides.",
        facts=lambda card: (*strength_facts(card)[:1], *width_facts(card)),
        worked=_shear_work,
    ),
    Question(
        key="03-crushing",
        skill="check its strength",
        label="Crushing stress",
        ask="And how high is the crushing stress on its side, where it bears least?",
        marks=2,
        kind=_STRESS,
        expected=crushing_psi,
        tolerance=lambda card, given: 0.02 * crushing_psi(card, given),
        needs=("03-force",),
        slips=(
            Slip(
                name="whole height",
                value=lambda card, given: (
                    crushing_psi(card, given) * least_side_in(card) / order_of(card).mouth_height_in
                ),
                sentence="The whole height of the key was taken. On one side only the part in the "
                "shaft, or the part in the hub, presses.",
                share=0.25,
            ),
            Slip(
                name="both heights added",
                value=lambda card, given: (
                    crushing_psi(card, given)
                    * least_side_in(card)
                    / (order_of(card).shaft_side_in + order_of(card).hub_side_in)
                ),
                sentence="The two heights were added. The same force goes through each of them, "
                "one after the other.",
                share=0.25,
            ),
            Slip(
                name="larger of the two heights",
                value=_unless_near(
                    lambda card, given: (
                        crushing_psi(card, given)
                        * least_side_in(card)
                        / max(order_of(card).shaft_side_in, order_of(card).hub_side_in)
                    ),
                    crushing_psi,
                ),
                sentence="The larger height was taken. The lesser one has the higher stress.",
                share=0.5,
            ),
            Slip(
                name="width for height",
                value=lambda card, given: (
                    crushing_psi(card, given) * least_side_in(card) / shear_width_in(card)
                ),
                sentence="That is force over width and length, which is shear. Crushing acts on "
                "the side.",
                share=0.25,
            ),
            Slip(
                name="whole key length",
                value=_unless_near(
                    lambda card, given: (
                        crushing_psi(card, given)
                        * order_of(card).bearing_length_in
                        / order_of(card).length_in
                    ),
                    crushing_psi,
                ),
                sentence="The whole key was counted. Only the length that has sound sides in both "
                "slots carries.",
                share=0.25,
            ),
        ),
        hint="The lesser height that bears, times the length with sound sides.",
        facts=lambda card: strength_facts(card)[:2],
        worked=_crushing_work,
    ),
    Question(
        key="03-strong",
        skill="check its strength",
        label="Go or no go",
        ask="Compare both stresses with what the engineer allows. Does this key go into this "
        "drive?",
        marks=2,
        kind=Choice(options=VERDICTS),
        expected=strong,
        critical=_CRITICAL,
        needs=("03-shear", "03-crushing"),
        slips=(
            Slip(
                name="crushing not compared",
                value=lambda card, given: when(strong(card, given) == OVER_CRUSHING, GO),
                sentence="One of the two is over. A key has to be within in both.",
            ),
            Slip(
                name="waved through",
                value=lambda card, given: when(strong(card, given) == OVER_BOTH, GO),
                sentence="Both stresses are over what is allowed. Compare them once more.",
            ),
            Slip(
                name="only one seen",
                value=lambda card, given: when(strong(card, given) == OVER_BOTH, OVER_CRUSHING),
                sentence="It does not go, and there is more than one reason.",
                share=0.5,
            ),
            Slip(
                name="shear and crushing mixed up",
                value=lambda card, given: when(strong(card, given) == OVER_CRUSHING, OVER_SHEAR),
                sentence="It does not go; look once more which of the two is over.",
                share=0.5,
            ),
            Slip(
                name="held back without cause",
                value=lambda card, given: when(strong(card, given) == GO, OVER_CRUSHING),
                sentence="Hold each stress against its own figure: shear against shear, crushing "
                "against crushing.",
            ),
        ),
        hint="Two comparisons. One that is over is enough to stop.",
        facts=lambda card: strength_facts(card)[2:],
        worked=_strong_work,
    ),
)
