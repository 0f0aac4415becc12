"""Exercise 06: the worked solutions, step by step."""

from __future__ import annotations

from coursework.question import WorkedLine
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    distance_text,
    force_text,
    length_text,
    number_of,
)
from keycourse.pull.values import (
    HUB_FIRST,
    LINKS,
    load_text,
    stress_text,
)
from keycourse.whole import values
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC
from taperkey.formulas.wedge import withdraw_ratio

Lines = tuple[WorkedLine, ...]


def _of_long(card: JobCard, slope: float) -> str:
    if card.metric:
        return f"{100 * slope:.4f} mm in 100 mm"
    return f"{12 * slope:.4f} in/ft"


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
    """Work out the mean at the end that shows."""
    return _mean(card, values.job_of(card).near_in, values.near_height(card, given))


def far_height(card: JobCard, given: Given) -> Lines:
    """Work out the mean at the far end."""
    return _mean(card, values.job_of(card).far_in, values.far_height(card, given))


def taper(card: JobCard, given: Given) -> Lines:
    """Work out the taper over a foot or 100 mm."""
    low, high = sorted((number_of(given, "06-near-height"), number_of(given, "06-far-height")))
    base = values.job_of(card).base_in
    long = "100 mm" if card.metric else "12 in"
    return (
        WorkedLine(
            why="The change of height, spread over the distance, then over the usual length.",
            formula=f"taper = (larger height − smaller height) ÷ distance × {long}",
            numbers=f"({length_text(card, high)} − {length_text(card, low)}) ÷ "
            f"{distance_text(card, base)} × {long}",
            result=_of_long(card, values.taper(card, given)),
        ),
    )


def standard(card: JobCard, given: Given) -> Lines:
    """Hold the taper against both standards."""
    measured = number_of(given, "06-taper")
    limit = 2 * values.taper_sd(card)
    return tuple(
        WorkedLine(
            why=f"Compare with {name}: is the difference within twice the uncertainty?",
            formula="|taper − standard| against 2 × √2 × u(height) ÷ distance",
            numbers=f"|{_of_long(card, measured)} − {_of_long(card, one)}| = "
            f"{_of_long(card, abs(measured - one))} against {_of_long(card, limit)}",
            result="agrees" if abs(measured - one) <= limit else "does not agree",
        )
        for name, one in (("1:96", STANDARD_INCH), ("1:100", STANDARD_METRIC))
    )


def large_end(card: JobCard, given: Given) -> Lines:
    """Hold the two heights against each other."""
    return (
        WorkedLine(
            why="The key is large where the opening is high. Only at that end can it be drawn.",
            formula="height at the end that shows against height at the far end",
            numbers=f"{length_text(card, values.near_height(card, given))} against "
            f"{length_text(card, values.far_height(card, given))}",
            result=str(values.large_end(card, given)),
        ),
    )


def blank_height(card: JobCard, given: Given) -> Lines:
    """Work out the blank's large end."""
    job = values.job_of(card)
    slope = values.cut_taper(card, given)
    return (
        WorkedLine(
            why="The key goes in at the larger end. What stays outside is higher by its own taper, "
            "and the fitting allowance comes on top.",
            formula="large end = larger height + taper × length outside + allowance",
            numbers=f"{length_text(card, values.entry_height(given))} + {slope:.5f} × "
            f"{distance_text(card, job.outside_in)} + {length_text(card, job.allowance_in)}",
            result=length_text(card, values.blank_height(card, given)),
        ),
    )


def stand_out(card: JobCard, given: Given) -> Lines:
    """Work out the first stand-out."""
    job = values.job_of(card)
    return (
        WorkedLine(
            why="Each bit of height too much keeps the key back by that height over the taper.",
            formula="stand-out = allowance ÷ taper",
            numbers=f"{length_text(card, job.allowance_in)} ÷ {values.cut_taper(card, given):.5f}",
            result=distance_text(card, round(values.stand_out(card, given), 3)),
        ),
    )


def still_to_file(card: JobCard, given: Given) -> Lines:
    """Work out the height that is left."""
    job = values.job_of(card)
    return (
        WorkedLine(
            why="The same rule the other way: the way still to go, times the taper.",
            formula="height to come off = stand-out × taper",
            numbers=f"{distance_text(card, job.stands_out_in)} × "
            f"{values.cut_taper(card, given):.5f}",
            result=length_text(card, values.still_to_file(card, given)),
        ),
    )


def seat(card: JobCard, given: Given) -> Lines:
    """Work out the normal force."""
    job = values.job_of(card)
    return (
        WorkedLine(
            why="The pressure acts on the face that bears: its width times its length.",
            formula="N = pressure, high end × width × length",
            numbers=f"{stress_text(card, job.pressure_high_psi)} × "
            f"{distance_text(card, job.width_in)} × {distance_text(card, job.base_in)}",
            result=force_text(card, values.seat(card, given)),
        ),
    )


def pull(card: JobCard, given: Given) -> Lines:
    """Work out the high pull."""
    slope, mu = number_of(given, "06-taper"), values.job_of(card).friction_high
    factor = withdraw_ratio(taper_in_per_in=slope, floor_friction=mu, roof_friction=mu)
    return (
        WorkedLine(
            why="Friction holds on both faces; drawing out, the taper helps a little. "
            "tan φ = friction, tan α = taper.",
            formula="pull factor = tan φ + tan(φ − α)",
            numbers=f"tan φ = {mu:.2f}, tan α = {slope:.5f}",
            result=f"{factor:.4f}",
        ),
        WorkedLine(
            why="The rig must carry the high seat with the high friction.",
            formula="high pull = N × pull factor",
            numbers=f"{force_text(card, number_of(given, '06-seat'))} × {factor:.4f}",
            result=force_text(card, values.pull(card, given)),
        ),
    )


def weakest(card: JobCard, given: Given) -> Lines:
    """Find the governing link."""
    listed = "; ".join(
        f"{LINKS[name].removeprefix('the ')} {load_text(card, load)}"
        for name, load in values.loads(card)
    )
    return (
        WorkedLine(
            why="Links in a row all carry the same pull, so the lowest one is the rig's own load.",
            formula="lowest of all links",
            numbers=listed,
            result=str(values.weakest(card, given)),
        ),
    )


def margin(card: JobCard, given: Given) -> Lines:
    """Work out the margin."""
    least = values.loads(card)[0][1]
    return (
        WorkedLine(
            why="The weakest link is held against the high pull.",
            formula="margin = weakest link − high pull",
            numbers=f"{load_text(card, least)} − {force_text(card, number_of(given, '06-pull'))}",
            result=force_text(card, values.margin(card, given)),
        ),
    )


def go(card: JobCard, given: Given) -> Lines:
    """Decide."""
    answer = values.decision(card, number_of(given, "06-pull"))
    first = (
        "The larger height is at the far end: no rig draws this key from here."
        if answer == HUB_FIRST
        else "The large end shows. Then every link is held against the high pull."
    )
    return (
        WorkedLine(
            why=first,
            formula="go only if the large end shows and no link carries less than the high pull",
            numbers=f"high pull {force_text(card, number_of(given, '06-pull'))}; weakest link "
            f"{load_text(card, values.loads(card)[0][1])}",
            result=answer,
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
