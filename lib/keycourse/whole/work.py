"""Exercise 06: the worked solutions, step by step.

Each line can be done again by hand: what is printed under "numbers" comes to what is printed as
the result. So a value goes on as it was written down (`values`), not with digits that nobody sees.
"""

from __future__ import annotations

import math

from coursework.question import WorkedLine
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    distance_text,
    length_text,
    number_of,
    rule_text,
)
from keycourse.pull.values import (
    ENDS_FIRST,
    FAR,
    HUB_FIRST,
    LINKS,
    NEAR,
    friction_text,
    load_text,
    stress_text,
)
from keycourse.whole import values
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC
from taperkey.units import MM_PER_IN, from_internal, to_internal

Lines = tuple[WorkedLine, ...]


def _slope_number(card: JobCard, slope: float) -> float:
    """Return a taper over a foot or 100 mm, as it is written down."""
    return round(slope * (100 if card.metric else 12), 4)


def _slope_unit(card: JobCard) -> str:
    return "mm in 100 mm" if card.metric else "in/ft"


def _slope(card: JobCard, slope: float) -> str:
    return f"{_slope_number(card, slope):.4f} {_slope_unit(card)}"


def _times(card: JobCard) -> str:
    return "100" if card.metric else "12"


def _long(card: JobCard, value_in: float) -> str:
    """Write a length that is set by rule as a decimal, so that it can be added."""
    number = value_in * MM_PER_IN if card.metric else value_in
    return f"{round(number, 4):g} {'mm' if card.metric else 'in'}"


def difference(card: JobCard, given: Given) -> Lines:
    """Hold what was read over shaft and key at two places against each other."""
    job = values.job_of(card)
    here, there = (
        (job.over_near_in, job.over_far_in)
        if job.over_far_in
        else (job.over_end_in, job.over_near_in)
    )
    return (
        WorkedLine(
            why="The shaft is as thick at both places, so the larger reading is where the key is "
            "larger. The key still fills the clearance: these readings tell the direction, and no "
            "size for a new key.",
            formula="difference = reading nearer to the end that shows − reading further in",
            numbers=f"{values.over_text(card, here)} − {values.over_text(card, there)}",
            result=values.over_text(card, here - there).replace("-", "−"),
        ),
    )


def large_end(card: JobCard, given: Given) -> Lines:
    """Say which end is large, or that the readings cannot tell."""
    job = values.job_of(card)
    good = values.over_text(card, job.over_good_in)
    answer = str(values.large_end(card, given))
    return (
        WorkedLine(
            why="Both readings may be off, each the other way. A smaller difference tells nothing.",
            formula="it counts beyond 2 × what one reading is good to",
            numbers=f"{values.over_text(card, abs(job.larger_here_in))} against 2 × {good} = "
            f"{values.over_text(card, 2 * job.over_good_in)}",
            result={NEAR: f"larger at {NEAR}", FAR: f"larger at {FAR}"}.get(answer, answer),
        ),
    )


def jacks(card: JobCard, given: Given) -> Lines:
    """Work out what the jacks give."""
    rig = values.job_of(card).rig
    ton, unit = (9.81, "9.81 kN") if card.metric else (2_000.0, "2,000 lbf")
    force = rig.jacks * values.jack_rating(card) * ton * rig.jack_share
    return (
        WorkedLine(
            why="Jacks side by side add up, and none is worked to its last pound.",
            formula="jacks = number × rating × one ton as a force × working share",
            numbers=f"{rig.jacks} × {values.jack_rating(card):g} × {unit} × {rig.jack_share:g}",
            result=load_text(
                card,
                to_internal(force, dimension="force", unit="kN" if card.metric else "lbf"),
            ),
        ),
    )


def seat(card: JobCard, given: Given) -> Lines:
    """Work out the normal force."""
    job = values.job_of(card)
    thousand = " ÷ 1000" if card.metric else ""
    return (
        WorkedLine(
            why="The pressure acts on the face that bears: its width times its length."
            + (
                " A megapascal on a square millimeter is a newton, 1000 of them a kN." * card.metric
            ),
            formula="N = p, high end × b × L" + thousand,
            numbers=f"{stress_text(card, job.pressure_high_psi)} × "
            f"{distance_text(card, job.width_in)} × {distance_text(card, job.base_in)}{thousand}",
            result=load_text(card, values.seat(card, given)),
        ),
    )


def pull(card: JobCard, given: Given) -> Lines:
    """Work out the high pull."""
    mu, ratio = values.job_of(card).friction_high, round(1 / values.plan_taper(card))
    phi, alpha = values.angles_deg(card, mu)
    factor = values.pull_factor(card)
    return (
        WorkedLine(
            why="The friction of the high end, as an angle.",
            formula="φ = arctan μ",
            numbers=f"arctan({friction_text(mu)})",
            result=f"{phi:.3f}°",
        ),
        WorkedLine(
            why="The taper, as an angle. With the key in, the drawing's has to do: a taper a third "
            "steeper would change the pull by about one part in a hundred.",
            formula="α = arctan(1/n)",
            numbers=f"arctan(1 ÷ {ratio})",
            result=f"{alpha:.3f}°",
        ),
        WorkedLine(
            why="Friction holds on both faces; drawing out, the taper helps a little on one.",
            formula="pull factor = tan φ + tan(φ − α)",
            numbers=f"{friction_text(mu)} + tan({phi:.3f}° − {alpha:.3f}°)",
            result=f"{factor:.4f}",
        ),
        WorkedLine(
            why="The rig must carry the high seat with the high friction.",
            formula="high pull = N × pull factor",
            numbers=f"{load_text(card, number_of(given, '06-seat'))} × {factor:.4f}",
            result=load_text(card, values.pull(card, given)),
        ),
    )


def weakest(card: JobCard, given: Given) -> Lines:
    """Find the governing link."""
    listed = "; ".join(
        f"{LINKS[name].removeprefix('the ')} {load_text(card, load)}"
        for name, load in values.loads(card, given)
    )
    return (
        WorkedLine(
            why="Links in a row all carry the same pull, so the lowest one is the rig's own load. "
            "Here they stand from the lowest up.",
            formula="lowest of all links",
            numbers=listed,
            result=str(values.weakest(card, given)),
        ),
    )


def margin(card: JobCard, given: Given) -> Lines:
    """Work out the margin."""
    least = values.loads(card, given)[0][1]
    return (
        WorkedLine(
            why="The weakest link is held against the high pull.",
            formula="margin = weakest link − high pull",
            numbers=f"{load_text(card, least)} − {load_text(card, number_of(given, '06-pull'))}",
            result=load_text(card, values.margin(card, given)).replace("-", "−"),
        ),
    )


def go(card: JobCard, given: Given) -> Lines:
    """Decide."""
    answer = values.decision(card, given)
    if answer == HUB_FIRST:
        return (
            WorkedLine(
                why="First the ends. The key is larger at the far end: no rig draws it from here, "
                "so the rig does not come into it.",
                formula="go only if the large end shows",
                result=answer,
            ),
        )
    if answer == ENDS_FIRST:
        return (
            WorkedLine(
                why="First the ends. Nobody knows yet which one is large, so no rig is set.",
                formula="go only if the large end shows",
                result=answer,
            ),
        )
    left = margin(card, given)[-1]
    short = values.margin(card, given) < 0
    return (
        WorkedLine(
            why="The large end shows. Then the weakest link is held against the high pull.",
            formula=left.formula,
            numbers=left.numbers,
            result=left.result,
        ),
        WorkedLine(
            why="Below 0: the rig is short." if short else "Not below 0: every link carries it.",
            formula="go only if no link carries less than the high pull",
            result=answer,
        ),
    )


def _mean(card: JobCard, readings: tuple[float, ...], result: float) -> Lines:
    added = " + ".join(length_text(card, one) for one in readings)
    return (
        WorkedLine(
            why="The mean of the readings is nearer to the height than any one of them.",
            formula="mean height = sum of the readings ÷ how many",
            numbers=f"({added}) ÷ {len(readings)}",
            result=length_text(card, result),
        ),
    )


def near_height(card: JobCard, given: Given) -> Lines:
    """Work out the mean at the end that showed."""
    return _mean(card, values.job_of(card).near_in, values.near_height(card, given))


def far_height(card: JobCard, given: Given) -> Lines:
    """Work out the mean at the far end."""
    return _mean(card, values.job_of(card).far_in, values.far_height(card, given))


def taper(card: JobCard, given: Given) -> Lines:
    """Work out the taper over a foot or 100 mm."""
    low, high = sorted((number_of(given, "06-near-height"), number_of(given, "06-far-height")))
    return (
        WorkedLine(
            why="The change of height, spread over the distance, then over the usual length.",
            formula=f"taper = (larger height − smaller height) ÷ distance × {_times(card)}",
            numbers=f"({length_text(card, high)} − {length_text(card, low)}) ÷ "
            f"{distance_text(card, values.job_of(card).base_in)} × {_times(card)}",
            result=_slope(card, values.taper(card, given)),
        ),
    )


def standard(card: JobCard, given: Given) -> Lines:
    """Hold the taper against both standards."""
    base, sd = values.job_of(card).base_in, values.job_of(card).height_sd_in
    number = from_internal(sd, dimension="length", unit="mm" if card.metric else "in")
    long = base * MM_PER_IN if card.metric else base
    limit = round(2 * math.sqrt(2) * number / round(long, 4) * float(_times(card)), 4)
    lines = [
        WorkedLine(
            why="How far off may the taper be? Two heights go into it, each uncertain by u.",
            formula=f"limit = 2 × √2 × u ÷ distance × {_times(card)}",
            numbers=f"2 × √2 × {length_text(card, sd)} ÷ {distance_text(card, base)} × "
            f"{_times(card)}",
            result=f"{limit:.4f} {_slope_unit(card)}",
        )
    ]
    fits = []
    measured = _slope_number(card, number_of(given, "06-taper"))
    for name, one in (("1:96", STANDARD_INCH), ("1:100", STANDARD_METRIC)):
        there = _slope_number(card, one)
        apart = round(abs(measured - there), 4)
        fits.append(f"{name} {'agrees' if apart <= limit else 'does not agree'}")
        lines.append(
            WorkedLine(
                why=f"How far from {name}?",
                formula="larger taper − smaller taper",
                numbers=f"{max(measured, there):.4f} − {min(measured, there):.4f}",
                result=f"{apart:.4f} {_slope_unit(card)}",
            )
        )
    lines.append(
        WorkedLine(
            why=f"Up to the limit of {limit:.4f} {_slope_unit(card)} it agrees, above it not.",
            formula=f"here: {fits[0]}, {fits[1]}",
            result=str(values.standard(card, given)),
        )
    )
    return tuple(lines)


def blank_height(card: JobCard, given: Given) -> Lines:
    """Work out the blank's large end."""
    job = values.job_of(card)
    return (
        WorkedLine(
            why="The key goes in at the larger end. What stays outside is higher by its own taper, "
            "and what is left on for fitting comes on top.",
            formula="H = larger height + length left outside ÷ n + fitting allowance",
            numbers=f"{length_text(card, values.entry_height(given))} + "
            f"{_long(card, job.outside_in)} ÷ {values.cut_ratio(card, given):g} + "
            f"{length_text(card, job.allowance_in)}",
            result=length_text(card, values.blank_height(card, given)),
        ),
    )


def stand_out(card: JobCard, given: Given) -> Lines:
    """Work out the first stand-out."""
    job = values.job_of(card)
    return (
        WorkedLine(
            why="Each bit of height too much keeps the key back by n times as much. The rule also "
            "reads what stays outside for good.",
            formula="stand-out = length left outside + fitting allowance × n",
            numbers=f"{_long(card, job.outside_in)} + {length_text(card, job.allowance_in)} × "
            f"{values.cut_ratio(card, given):g}",
            result=rule_text(card, values.stand_out(card, given)),
        ),
    )


def still_to_file(card: JobCard, given: Given) -> Lines:
    """Work out the height that is still to come off."""
    job = values.job_of(card)
    return (
        WorkedLine(
            why="Take off what stays outside for good and what the hammer makes; the rest of the "
            "way is made with the file.",
            formula="still to come off = (stand-out − length left outside − left to drive) ÷ n",
            numbers=f"({rule_text(card, job.stands_out_in)} − {_long(card, job.outside_in)} − "
            f"{_long(card, job.left_to_drive_in)}) ÷ {values.cut_ratio(card, given):g}",
            result=length_text(card, values.still_to_file(card, given)),
        ),
    )


def order(card: JobCard, given: Given) -> Lines:
    """Say why the steps come in that order."""
    return (
        WorkedLine(
            why="Lock-out before hands. Which end is large comes before any rig, the rig on paper "
            "before the rig on the shaft. Only an empty slot can be measured with a gauge, and "
            "only a measured slot can be given a key.",
            result="lock out; ends; rig on paper; pull; measure; make; fit",
        ),
    )
