"""What is seen of a pull while it goes on, what it reacts on, and what waits in the rod."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from keycourse.whole.job_inputs import PullInputs
from keycourse.whole.old_key import SeatedKey
from keycourse.whole.workings import Workings
from taperkey import practice
from taperkey.formulas.beam import bar_second_moment_in4, deflection_at_centre_in
from taperkey.formulas.chain import REQUIRED_LINKS
from taperkey.formulas.free_body import Reaction, reaction_of_pull
from taperkey.formulas.gauge import (
    gauge_reading_psi,
    nut_torque_lbf_in,
    pump_strokes,
    spring_energy_lbf_in,
)
from taperkey.formulas.pull import rod_stiffness_lbf_per_in
from taperkey.tables.threads import thread

__all__ = ["Watched", "judge_seen", "judge_watch", "seen_at", "work_watch"]

Say = Callable[..., None]
_FEWEST_DIVISIONS = 10  # up to the stop load, or a step is lost between two marks: own rule
_FEWEST_STROKES = 10  # the same for strokes that are counted: own rule


@dataclass(frozen=True, kw_only=True)
class Watched:
    """What there is to know of a rig at its stop load.

    Attributes
    ----------
    reaction : Reaction or None
        What the stop load drags along; None for a slide hammer.
    stored_in : str
        What it is stored in: "rod", "rod and strongback", "strongback"; empty where not known.
    energy_lbf_in : float or None
        Energy in them; None where neither is known.
    sledge_drop_in : float or None
        Height from which the driving sledge would have to fall to bring as much [in].
    nut_torque_lbf_in : tuple of float or None
        Torque on the nut that would bring the stop load without jacks, greased and dry.
    """

    reaction: Reaction | None
    stored_in: str
    energy_lbf_in: float | None
    sledge_drop_in: float | None
    nut_torque_lbf_in: tuple[float, float] | None


def judge_watch(pull: PullInputs, say: Say) -> None:
    """Stop a pull whose load nobody sees, or whose feet stand on the shaft."""
    if "jacks" not in REQUIRED_LINKS[pull.method]:
        return
    if pull.load_by == "nothing":
        say(
            "stop",
            "The load on this rig cannot be seen: no gauge, no load cell. Do not pull with it: the"
            " first that it shows is what gives. Put a gauge in the hose, or a load cell on the"
            " rod.",
        )
    if pull.reacts_on == "shaft":
        say(
            "stop",
            "The jacks stand on the shaft: the key then drags the hub along, and only the bore"
            " holds it. Put the feet on the face of the hub, or block the hub against the shaft.",
        )


def work_watch(
    *, pull: PullInputs, old: SeatedKey, friction: float, stop_at_lbf: float, workings: Workings
) -> Watched:
    """Work out what the stop load does besides drawing the key.

    U = F^2 / (2 k); T = K F d; hub = N tan(phi - alpha)

    Parameters
    ----------
    pull : PullInputs
        The rig.
    old : SeatedKey
        The key.
    friction : float
        High end of the friction [-].
    stop_at_lbf : float
        Load at which pumping stops [lbf].
    workings : Workings
        Takes up every number.

    Returns
    -------
    Watched
        Forces in [lbf], energy and torques in [lbf_in].

    Raises
    ------
    ValueError
        If a part is not in the tables.

    Assumptions
    -----------
    Those of `gauge` and `reaction_of_pull`.

    Source
    ------
    `spring_energy_lbf_in`, `nut_torque_lbf_in`, `reaction_of_pull`.
    """
    reaction = reaction_of_pull(
        pull_lbf=stop_at_lbf,
        taper_in_per_in=old.taper_in_per_in,
        floor_friction=friction,
        roof_friction=friction,
    )
    workings.worked(
        "reaction-hub", "part of the stop load that drags the hub along", reaction.hub_lbf, "force",
        formula="N × tan(friction angle − taper angle)", inputs=["stop-at", "friction-high",
        old.taper_key], source="free body of the wedge, any statics text",
    )  # fmt: skip
    parts = _stored(pull, stop_at_lbf, workings)
    energy = sum(parts.values()) if parts else None
    torque = None
    if "rod" in REQUIRED_LINKS[pull.method] and pull.thread_name:
        size = thread(name=pull.thread_name).diameter_in
        greased, dry = practice.values("nut_factor")
        torque = tuple(
            nut_torque_lbf_in(pull_lbf=stop_at_lbf, diameter_in=size, nut_factor=one)
            for one in (greased, dry)
        )
    return Watched(
        reaction=reaction,
        stored_in=" and ".join(parts),
        energy_lbf_in=energy,
        sledge_drop_in=None if energy is None else energy / practice.value("drive_hammer"),
        nut_torque_lbf_in=None if torque is None else (torque[0], torque[1]),
    )


def _stored(pull: PullInputs, stop_at_lbf: float, workings: Workings) -> dict[str, float]:
    """Return the energy in each part that springs back, rod first [lbf_in]."""
    parts: dict[str, float] = {}
    needed = REQUIRED_LINKS[pull.method]
    if "rod" in needed and pull.thread_name and pull.rod_free_in is not None:
        workings.reading("rod-free", "rod under load", pull.rod_free_in)
        stiffness = rod_stiffness_lbf_per_in(
            stress_area_in2=thread(name=pull.thread_name).stress_area_in2,
            length_in=pull.rod_free_in,
        )
        parts["rod"] = workings.worked(
            "rod-energy", "energy in the rod at the stop load",
            spring_energy_lbf_in(pull_lbf=stop_at_lbf, stiffness_lbf_per_in=stiffness), "torque",
            formula="(stop load)² × length ÷ (2 × stress area × modulus)",
            inputs=["stop-at", "rod-free"], source="strain energy of a bar",
        )  # fmt: skip
    if "strongback" in needed:
        for name, size in (
            ("width", pull.bar_width_in), ("depth", pull.bar_depth_in), ("span", pull.bar_span_in),
        ):  # fmt: skip
            workings.reading(f"strongback-{name}", f"{name} of the strongback", size)
        bend = deflection_at_centre_in(
            load_lbf=1.0,
            span_in=pull.bar_span_in,
            modulus_psi=practice.value("steel_modulus"),
            second_moment_in4=bar_second_moment_in4(
                width_in=pull.bar_width_in, depth_in=pull.bar_depth_in
            ),
        )
        parts["strongback"] = workings.worked(
            "bar-energy", "energy in the strongback at the stop load",
            spring_energy_lbf_in(pull_lbf=stop_at_lbf, stiffness_lbf_per_in=1 / bend), "torque",
            formula="(stop load)² × span³ ÷ (8 × modulus × width × depth³)",
            inputs=["stop-at", "strongback-width", "strongback-depth", "strongback-span"],
            source="strain energy of a beam with one load at its center",
        )  # fmt: skip
    return parts


def seen_at(pull: PullInputs, load_lbf: float) -> float | None:
    """Return what the gauge shows [psi] or how many strokes that is; None where neither is known.

    Both are rounded down: no step goes above its load.
    """
    area = pull.jack_piston_in2
    if not area:
        return None
    each = load_lbf / pull.jacks
    if pull.load_by == "strokes":
        if pull.pump_stroke_in3 is None or pull.rod_free_in is None or not pull.thread_name:
            return None
        stiffness = rod_stiffness_lbf_per_in(
            stress_area_in2=thread(name=pull.thread_name).stress_area_in2,
            length_in=pull.rod_free_in,
        )
        strokes = pump_strokes(
            stretch_in=load_lbf / stiffness,
            effective_area_in2=area * pull.jacks,
            stroke_in3=pull.pump_stroke_in3,
        )
        return float(math.floor(strokes + 1e-9))
    if pull.gauge_division_psi is None:
        return each / area
    return gauge_reading_psi(
        load_each_lbf=each, effective_area_in2=area, division_psi=pull.gauge_division_psi
    )


def judge_seen(pull: PullInputs, stop_at_lbf: float, say: Say) -> None:
    """Say where the stop load is too few marks or strokes away to be hit."""
    if "jacks" not in REQUIRED_LINKS[pull.method] or pull.load_by not in ("gauge", "strokes"):
        return
    seen = seen_at(pull, stop_at_lbf)
    if pull.load_by == "strokes" and (seen is None or seen < _FEWEST_STROKES):
        count = "not known how many" if seen is None else f"only {seen:.0f}"
        say(
            "stop",
            f"The load cannot be seen by strokes: from tight to the stop load it is {count}. Do not"
            " pull by counting: put a gauge in the hose, or a load cell on the rod.",
        )
    elif pull.load_by == "gauge" and pull.gauge_division_psi and seen is not None:
        marks = seen / pull.gauge_division_psi
        if marks < _FEWEST_DIVISIONS:
            say(
                "look",
                f"The gauge is coarse for this pull: the stop load is at division {marks:.0f}. A"
                " gauge with a smaller range shows the steps.",
            )
