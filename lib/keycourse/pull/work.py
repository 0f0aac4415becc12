"""Exercise 05: the worked solution, step by step."""

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
from keycourse.pull import values
from keycourse.pull.card import JACK_SHARE, ROD_SHARE
from taperkey.formulas.free_body import reaction_of_pull
from taperkey.units import from_internal

Lines = tuple[WorkedLine, ...]


def _degrees(angle_rad: float) -> str:
    return f"{from_internal(angle_rad, dimension='angle', unit='deg'):.3f}°"


def _phi(friction: float) -> str:
    return f"arctan {friction:.2f}"


def large_end(card: JobCard, given: Given) -> Lines:
    """Work out the large end."""
    ends = values.case_of(card).ends
    answer = str(values.large_end(card, given))
    larger = ends.larger_here_in
    if larger is None:
        return (
            WorkedLine(
                why="One height tells nothing: it takes two to see which way the key tapers. The "
                "drawing says how the drive was built, not how the hub sits today.",
                result=answer,
            ),
        )
    here, there = (ends.face_in, ends.far_in) if ends.far_in else (ends.end_in, ends.face_in)
    return (
        WorkedLine(
            why="Two heights say which way the key tapers.",
            formula="difference = height nearer to this end − height further in",
            numbers=f"{length_text(card, here)} − {length_text(card, there)}",
            result=length_text(card, larger),
        ),
        WorkedLine(
            why="Both readings may be off, each the other way. A smaller difference tells nothing.",
            formula="it counts beyond 2 × what one reading is good to",
            numbers=f"2 × {values.good_text(card).removeprefix('±')} = "
            f"{length_text(card, ends.limit_in)}",
            result={
                values.NEAR: f"larger at {values.NEAR}",
                values.FAR: f"larger at {values.FAR}",
            }.get(answer, answer),
        ),
    )


def first_step(card: JobCard, given: Given) -> Lines:
    """Work out what is done first."""
    why = {
        values.NEAR: "The large end shows, so a pull here can draw the key. How hard, and with "
        "what, is worked out on paper first.",
        values.FAR: "The small end shows. Pulling it is driving it: it only gets tighter.",
    }.get(
        str(values.large_end(card, given)),
        "Nobody knows which end is large. A pull on a guess is as likely to drive the key in.",
    )
    return (WorkedLine(why=why, result=str(values.first_step(card, given))),)


def angle(card: JobCard, given: Given) -> Lines:
    """Work out the taper angle."""
    case = values.case_of(card)
    difference = case.made_drop_in
    return (
        WorkedLine(
            why="One face is flat, the other slopes. The angle between them is the taper angle α.",
            formula="tan α = what the key drops ÷ the length over which it does",
            numbers=f"{length_text(card, difference)} ÷ {distance_text(card, case.made_base_in)}"
            f" = {difference / case.made_base_in:.5f}",
            result=_degrees(values.angle(card, given)),
        ),
    )


def push_factor(card: JobCard, given: Given) -> Lines:
    """Work out the push factor."""
    friction = values.case_of(card).drive_friction
    alpha = number_of(given, "05-angle")
    return (
        WorkedLine(
            why="Driving in, friction rubs on both faces, and the taper has to be climbed. "
            "tan φ = friction.",
            formula="push ÷ N = tan φ + tan(φ + α)",
            numbers=f"{friction:.2f} + tan({_phi(friction)} + {_degrees(alpha)})",
            result=f"{values.push_factor(card, given):.4f}",
        ),
    )


def _seat_line(card: JobCard, given: Given, *, high: bool) -> WorkedLine:
    case = values.case_of(card)
    known = case.seat_high if high else case.seat_low
    factor = number_of(given, "05-push-factor")
    end = "high" if high else "low"
    normal = force_text(card, values.seat_at(card, known, factor))
    if case.seat_route == "push":
        return WorkedLine(
            why=f"The last push and its factor tell how hard the faces were squeezed ({end} end).",
            formula="N = push ÷ push factor",
            numbers=f"{values.load_text(card, known)} ÷ {factor:.4f}",
            result=normal,
        )
    return WorkedLine(
        why=f"The pressure acts on the face that bears: its width times its length ({end} end).",
        formula="N = pressure × width × length",
        numbers=f"{values.stress_text(card, known)} × {distance_text(card, case.width_in)} × "
        f"{distance_text(card, case.contact_length_in)}",
        result=normal,
    )


def seat(card: JobCard, given: Given) -> Lines:
    """Work out the normal force, high end."""
    return (_seat_line(card, given, high=True),)


def _pull_factor_line(card: JobCard, given: Given, *, high: bool) -> WorkedLine:
    case = values.case_of(card)
    friction = case.friction_high if high else case.friction_low
    alpha = number_of(given, "05-angle")
    return WorkedLine(
        why="Drawing out, friction still rubs on both faces, but now the taper helps.",
        formula="pull ÷ N = tan φ + tan(φ − α)",
        numbers=f"{friction:.2f} + tan({_phi(friction)} − {_degrees(alpha)})",
        result=f"{values.withdrawing(values.taper_of(given), friction):.4f}",
    )


def pull_factor(card: JobCard, given: Given) -> Lines:
    """Work out the pull factor."""
    return (_pull_factor_line(card, given, high=True),)


def pull_high(card: JobCard, given: Given) -> Lines:
    """Work out the high pull."""
    return (
        WorkedLine(
            why="The rig must carry the worst that the card allows: high seat, high friction.",
            formula="high pull = N × pull factor",
            numbers=f"{force_text(card, number_of(given, '05-seat'))} × "
            f"{number_of(given, '05-pull-factor'):.4f}",
            result=force_text(card, values.pull_high(card, given)),
        ),
    )


def pull_low(card: JobCard, given: Given) -> Lines:
    """Work out the low pull."""
    seated = values.seat_low(card, given)
    factor = values.withdrawing(values.taper_of(given), values.case_of(card).friction_low)
    return (
        _seat_line(card, given, high=False),
        _pull_factor_line(card, given, high=False),
        WorkedLine(
            why="Low seat with low friction: from here on the key may start.",
            formula="low pull = N × pull factor",
            numbers=f"{force_text(card, seated)} × {factor:.4f}",
            result=force_text(card, values.pull_low(card, given)),
        ),
    )


def share(card: JobCard, given: Given) -> Lines:
    """Work out friction's share of the push."""
    taper = values.taper_of(given)
    factor = values.driving(taper, values.case_of(card).drive_friction)
    return (
        WorkedLine(
            why="Without friction the push would only climb the taper: tan α for each pound of N. "
            "The rest is friction.",
            formula="share = (push factor − tan α) ÷ push factor",
            numbers=f"({factor:.4f} − {taper:.4f}) ÷ {factor:.4f}",
            result=f"{100 * values.share(card, given):.1f} %",
        ),
    )


def stands_on(card: JobCard, given: Given) -> Lines:
    """Say why the jacks stand on the hub."""
    taper, friction = values.taper_of(given), values.case_of(card).friction_high
    pull = number_of(given, "05-pull-high")
    drag = reaction_of_pull(
        pull_lbf=pull, taper_in_per_in=taper, floor_friction=friction, roof_friction=friction
    )
    return (
        WorkedLine(
            why="The tapered face lies in the hub: what holds the key there drags the hub along. "
            "With jacks on the shaft only friction in the bore holds it back. On the hub's face "
            "the jacks hold it themselves.",
            formula="drag on the hub = pull × tan(φ − α) ÷ [tan φ + tan(φ − α)]",
            numbers=f"{force_text(card, pull)} × tan({_phi(friction)} − "
            f"{_degrees(number_of(given, '05-angle'))}) ÷ "
            f"{values.withdrawing(taper, friction):.4f} = {force_text(card, drag.hub_lbf)}",
            result=str(values.stands_on(card, given)),
        ),
    )


def jacks(card: JobCard, given: Given) -> Lines:
    """Work out what the jacks give."""
    case = values.case_of(card)
    unit = "9.81 kN" if card.metric else "2,000 lbf"
    return (
        WorkedLine(
            why="Jacks side by side add up, and none is worked to its last pound.",
            formula="jacks = number × rating × one ton in force × working share",
            numbers=f"{case.jack_number} × {case.jack_rating:g} × {unit} × {JACK_SHARE:g}",
            result=force_text(card, values.jacks(card, given)),
        ),
    )


def rod(card: JobCard, given: Given) -> Lines:
    """Work out what the rod carries."""
    size, grade = values.rod_parts(card)
    strength = (
        values.stress_text(card, grade.proof_psi)
        if grade.proof_psi is not None
        else f"9/10 × {values.stress_text(card, grade.yield_psi)}"
    )
    return (
        WorkedLine(
            why="A rod parts in its thread. What carries there is the stress area, and it is kept "
            "well below the stress that stretches it for good.",
            formula="rod = stress area × proof strength × working share",
            numbers=f"{values.area_text(card, size.stress_area_in2)} × {strength} × {ROD_SHARE:g}",
            result=force_text(card, values.rod(card, given)),
        ),
    )


def weakest(card: JobCard, given: Given) -> Lines:
    """Work out the governing link."""
    loads = "; ".join(
        f"{values.LINKS[name].removeprefix('the ')} {force_text(card, load)}"
        for name, load in values.capacities(card, given).items()
    )
    return (
        WorkedLine(
            why="Links in a row all carry the same pull, so the lowest working load is that of "
            "the rig. A part that is not in the row does not count.",
            formula="lowest of all links",
            numbers=loads,
            result=str(values.weakest(card, given)),
        ),
    )


def margin(card: JobCard, given: Given) -> Lines:
    """Work out the margin."""
    least = min(values.capacities(card, given).values())
    return (
        WorkedLine(
            why="The weakest link is compared with the high pull, never with the low one.",
            formula="margin = weakest link − high pull",
            numbers=f"{force_text(card, least)} − "
            f"{force_text(card, number_of(given, '05-pull-high'))}",
            result=force_text(card, values.margin(card, given)),
        ),
    )


def method(card: JobCard, given: Given) -> Lines:
    """Work out how the key is taken hold of."""
    case = values.case_of(card)
    answer = str(values.method(card, given))
    why = {
        values.STRONGBACK: "The end is tapped and the strongback is there. The slide hammer "
        "does not come near the pull.",
        values.HOLLOW: "The end is tapped, and the jack in the crib goes over the rod.",
        values.WELD: "The end is plain: a rod has nothing to hold in, so the bar is welded to "
        "the key, by a licensed or site-approved welder with a permit.",
        values.NONE: (
            "The small end shows: every pull here tightens the key."
            if values.large_end(card, given) == values.FAR
            else "Nobody knows yet which end is large: no rig until that is known."
            if values.large_end(card, given) == values.NO_TELLING
            else f"With friction of {case.friction_high:.2f} the pull is beyond every rig at hand."
        ),
    }[answer]
    return (WorkedLine(why=why, result=answer),)


def go(card: JobCard, given: Given) -> Lines:
    """Work out go or no go."""
    least = min(values.capacities(card, given).values())
    return (
        WorkedLine(
            why="First the ends: is it the large one? Then the high pull against every link.",
            formula="go only if the large end shows and no link carries less than the high pull",
            numbers=f"large end: {values.large_end(card, given)}; high pull "
            f"{force_text(card, number_of(given, '05-pull-high'))}; "
            f"weakest link {force_text(card, least)}",
            result=values.decision(card, given),
        ),
    )


def steps(card: JobCard, given: Given) -> Lines:
    """Say why the steps come in that order."""
    return (
        WorkedLine(
            why="Lock-out comes before hands go between hub and shaft. The ends are measured "
            "before anything is planned, and the stop load is known before the rig stands. Under "
            "load: a little, look; quarters, look; and never past the stop load.",
            result="lock out; ends; weakest link; rig; a tenth; quarters; stop load, ease off",
        ),
    )
