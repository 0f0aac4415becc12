"""Exercise 05: the worked solution, step by step."""

from __future__ import annotations

import math
import re

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
from taperkey.units import from_internal, to_internal

Lines = tuple[WorkedLine, ...]


def _degrees(angle_rad: float) -> str:
    return f"{from_internal(angle_rad, dimension='angle', unit='deg'):.3f}°"


def _phi(friction: float) -> str:
    return f"arctan {values.friction_text(friction)}"


def difference(card: JobCard, given: Given) -> Lines:
    """Work out the difference of the two heights."""
    ends = values.case_of(card).ends
    here, there = (ends.face_in, ends.far_in) if ends.far_in else (ends.end_in, ends.face_in)
    return (
        WorkedLine(
            why="Two heights say which way the key tapers.",
            formula="difference = height nearer to this end − height further in",
            numbers=f"{length_text(card, here)} − {length_text(card, there)}",
            result=length_text(card, ends.larger_here_in),
        ),
    )


def large_end(card: JobCard, given: Given) -> Lines:
    """Work out the large end."""
    ends = values.case_of(card).ends
    answer = str(values.large_end(card, given))
    return (
        WorkedLine(
            why="Both readings may be off, each the other way. A smaller difference tells nothing.",
            formula="it counts beyond 2 × what one reading is good to",
            numbers=f"{length_text(card, abs(ends.larger_here_in))} against "
            f"2 × {values.good_text(card).removeprefix('±')} = {length_text(card, ends.limit_in)}",
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
        values.FAR: "The small end shows. Pulling it is driving it: it only gets tighter. "
        + (
            "Behind the hub there is room for the key, so it can be pushed out from here."
            if values.case_of(card).ends.room_behind
            else "There is no room for it behind the hub."
        ),
    }.get(
        str(values.large_end(card, given)),
        "Nobody knows which end is large. A pull on a guess is as likely to drive the key in.",
    )
    return (WorkedLine(why=why, result=str(values.first_step(card, given))),)


def _shown(text: str) -> float:
    """Return the number that a text begins with, as somebody reads it off the page."""
    number = re.match(r"[-−]?[\d,.]+", text)
    assert number is not None, text
    return float(number.group().replace(",", "").replace("−", "-"))


def _force(card: JobCard, value: float) -> str:
    """Write a force that was reckoned in the card's own unit."""
    unit = "kN" if card.metric else "lbf"
    return force_text(card, to_internal(value, dimension="force", unit=unit))


def _carried(own: str, given: str) -> str:
    """Return what stands at the end of the line before, or what was worked on from instead."""
    mine, theirs = _shown(own), _shown(given)
    return own if abs(mine - theirs) <= 0.005 * abs(theirs) else given


def _alpha(given: Given) -> float:
    """Return the taper angle as it is printed [rad]."""
    return math.radians(_shown(_degrees(number_of(given, "05-angle"))))


def angle(card: JobCard, given: Given) -> Lines:
    """Work out the taper angle."""
    case = values.case_of(card)
    return (
        WorkedLine(
            why="One face is flat, the other slopes. The angle between them is the taper angle α.",
            formula="α = arctan(what the key drops ÷ the length over which it does)",
            numbers=f"arctan({length_text(card, case.made_drop_in)} ÷ "
            f"{distance_text(card, case.made_base_in)})",
            result=_degrees(values.angle(card, given)),
        ),
    )


def _push_factor_text(card: JobCard, given: Given) -> str:
    friction = values.case_of(card).drive_friction
    own = f"{friction + math.tan(math.atan(friction) + _alpha(given)):.4f}"
    return _carried(own, f"{given.get('05-push-factor', _shown(own)):.4f}")


def push_factor(card: JobCard, given: Given) -> Lines:
    """Work out the push factor."""
    friction = values.case_of(card).drive_friction
    alpha = _degrees(number_of(given, "05-angle"))
    return (
        WorkedLine(
            why="Driving in, friction rubs on both faces, and the taper has to be climbed. "
            "tan φ = friction.",
            formula="push ÷ N = tan φ + tan(φ + α)",
            numbers=f"{values.friction_text(friction)} + tan({_phi(friction)} + {alpha})",
            result=f"{friction + math.tan(math.atan(friction) + _alpha(given)):.4f}",
        ),
    )


def _seat_line(card: JobCard, given: Given, *, high: bool) -> WorkedLine:
    case = values.case_of(card)
    known = case.seat_high if high else case.seat_low
    end = "high" if high else "low"
    if case.seat_route == "push":
        push, factor = values.load_text(card, known), _push_factor_text(card, given)
        return WorkedLine(
            why=f"The last push and its factor tell how hard the faces were squeezed ({end} end).",
            formula="N = push ÷ push factor",
            numbers=f"{push} ÷ {factor}",
            result=_force(card, _shown(push) / _shown(factor)),
        )
    sizes = (
        values.stress_text(card, known),
        distance_text(card, case.width_in),
        distance_text(card, case.contact_length_in),
    )
    normal = math.prod(_shown(one) for one in sizes)
    return WorkedLine(
        why=f"The pressure acts on the face that bears: its width times its length ({end} end).",
        formula="N = pressure × width × length" + (" ÷ 1,000" if card.metric else ""),
        numbers=" × ".join(sizes) + (" ÷ 1,000" if card.metric else ""),
        result=_force(card, normal / 1000 if card.metric else normal),
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
        numbers=f"{values.friction_text(friction)} + tan({_phi(friction)} − {_degrees(alpha)})",
        result=f"{friction + math.tan(math.atan(friction) - _alpha(given)):.4f}",
    )


def pull_factor(card: JobCard, given: Given) -> Lines:
    """Work out the pull factor."""
    return (_pull_factor_line(card, given, high=True),)


def _pull_line(card: JobCard, why: str, name: str, normal: str, factor: str) -> WorkedLine:
    return WorkedLine(
        why=why,
        formula=f"{name} = N × pull factor",
        numbers=f"{normal} × {factor}",
        result=_force(card, _shown(normal) * _shown(factor)),
    )


def pull_high(card: JobCard, given: Given) -> Lines:
    """Work out the high pull."""
    normal = _seat_line(card, given, high=True).result
    factor = _pull_factor_line(card, given, high=True).result
    return (
        _pull_line(
            card,
            "The rig must carry the worst that the card allows: high seat, high friction.",
            "high pull",
            _carried(normal, force_text(card, number_of(given, "05-seat"))),
            _carried(factor, f"{number_of(given, '05-pull-factor'):.4f}"),
        ),
    )


def _pull_high_text(card: JobCard, given: Given) -> str:
    own = pull_high(card, given)[-1].result
    return _carried(own, force_text(card, number_of(given, "05-pull-high")))


def pull_low(card: JobCard, given: Given) -> Lines:
    """Work out the low pull."""
    seated = _seat_line(card, given, high=False)
    factor = _pull_factor_line(card, given, high=False)
    why = "Low seat with low friction: the key may start as early as this."
    return (seated, factor, _pull_line(card, why, "low pull", seated.result, factor.result))


def share(card: JobCard, given: Given) -> Lines:
    """Work out friction's share of the push."""
    taper = f"{values.taper_of(given):.4f}"
    factor = _push_factor_text(card, given)
    part = (_shown(factor) - _shown(taper)) / _shown(factor)
    return (
        WorkedLine(
            why="Without friction the push would only climb the taper: tan α for each pound of N. "
            "The rest is friction.",
            formula="share = (push factor − tan α) ÷ push factor",
            numbers=f"({factor} − {taper}) ÷ {factor}",
            result=f"{100 * part:.1f} %",
        ),
    )


def drag(card: JobCard, given: Given) -> Lines:
    """Work out the part of the pull that goes through the hub."""
    friction = values.case_of(card).friction_high
    pull = _pull_high_text(card, given)
    factor = _carried(
        _pull_factor_line(card, given, high=True).result,
        f"{number_of(given, '05-pull-factor'):.4f}",
    )
    part = (_shown(factor) - friction) / _shown(factor)
    return (
        WorkedLine(
            why="Of the pull factor, the friction itself is the flat face's part, in the shaft. "
            "The rest, tan(φ − α), is the sloped face's, in the hub.",
            formula="drag on the hub = high pull × (pull factor − friction) ÷ pull factor",
            numbers=f"{pull} × ({factor} − {values.friction_text(friction)}) ÷ {factor}",
            result=_force(card, _shown(pull) * part),
        ),
    )


def stands_on(card: JobCard, given: Given) -> Lines:
    """Say where the jacks may stand."""
    case = values.case_of(card)
    dragged = drag(card, given)[-1].result
    dragged = _carried(dragged, force_text(card, number_of(given, "05-drag")))
    held = values.stands_on(card, given) in (values.ON_EITHER, values.ON_SHAFT)
    return (
        WorkedLine(
            why="On the hub's face the jacks hold the hub themselves, but each foot needs a flat "
            "place.",
            result="the hub's face will do" if case.face_flat else "the hub's face will not do",
        ),
        WorkedLine(
            why="On the end of the shaft nothing but the clamp holds the hub against the drag.",
            formula="the shaft will do where the clamp carries the drag",
            numbers=f"{values.load_text(card, case.clamp_lbf)} against {dragged}",
            result="the end of the shaft will do" if held else "the end of the shaft will not do",
        ),
        WorkedLine(why="Both together.", result=str(values.stands_on(card, given))),
    )


def jacks(card: JobCard, given: Given) -> Lines:
    """Work out what the jacks give."""
    case = values.case_of(card)
    ton = 9.81 if card.metric else 2_000.0
    unit = "9.81 kN" if card.metric else "2,000 lbf"
    return (
        WorkedLine(
            why="Jacks side by side add up, and none is worked to its last pound.",
            formula="jacks = number × rating × one ton as a force × working share",
            numbers=f"{case.jack_number} × {case.jack_rating:g} × {unit} × {JACK_SHARE:g}",
            result=_force(card, case.jack_number * case.jack_rating * ton * JACK_SHARE),
        ),
    )


def rod(card: JobCard, given: Given) -> Lines:
    """Work out what the rod carries."""
    size, grade = values.rod_parts(card)
    area = values.area_text(card, size.stress_area_in2)
    stated = grade.proof_psi is not None
    strength = values.stress_text(card, grade.proof_psi or grade.yield_psi)
    carried = _shown(area) * _shown(strength) * ROD_SHARE * (1 if stated else 0.9)
    return (
        WorkedLine(
            why="A rod parts in its thread. What carries there is the stress area, and it is kept "
            "well below the stress that stretches it for good.",
            formula="rod = stress area × proof strength × working share"
            + (" ÷ 1,000" if card.metric else ""),
            numbers=f"{area} × {'' if stated else '9/10 × '}{strength} × {ROD_SHARE:g}"
            + (" ÷ 1,000" if card.metric else ""),
            result=_force(card, carried / 1000 if card.metric else carried),
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
    weakest_link = force_text(card, min(values.capacities(card, given).values()))
    pull = _pull_high_text(card, given)
    return (
        WorkedLine(
            why="The weakest link is compared with the high pull, never with the low one.",
            formula="margin = weakest link − high pull",
            numbers=f"{weakest_link} − {pull}",
            result=_force(card, _shown(weakest_link) - _shown(pull)),
        ),
    )


def method(card: JobCard, given: Given) -> Lines:
    """Work out how the key is taken hold of."""
    case = values.case_of(card)
    answer = str(values.method(card, given))
    pull = _pull_high_text(card, given)
    why = {
        values.STRONGBACK: "The end is tapped and the strongback is there. The slide hammer's "
        "blow does not come up to the pull.",
        values.HOLLOW: "The end is tapped, and the jack in the crib goes over the rod. The slide "
        "hammer's blow does not come up to the pull.",
        values.WELD: "The end is plain: a rod has nothing to hold in, so the bar is welded to "
        "the key, by a licensed or site-approved welder with a permit.",
        values.SLIDE: "The end is tapped, and even the low end of the hammer's blow, "
        f"{values.load_text(card, case.blow_low_lbf)}, comes up to the high pull of {pull}.",
        values.NONE: f"The high pull is {pull}. The jacks carry "
        f"{force_text(card, number_of(given, '05-jacks'))}, the weakest link "
        f"{force_text(card, min(values.capacities(card, given).values()))}: more than one part "
        "falls short.",
    }[answer]
    return (WorkedLine(why=why, result=answer),)


def go(card: JobCard, given: Given) -> Lines:
    """Work out go or no go."""
    least = force_text(card, min(values.capacities(card, given).values()))
    shows = values.large_end(card, given)
    ends = WorkedLine(why="First the ends: is it the large one?", result=f"larger: {shows}")
    if shows != values.NEAR:
        return (ends, WorkedLine(why="Then no rig counts.", result=values.decision(card, given)))
    return (
        ends,
        WorkedLine(
            why="Then the high pull against every link.",
            formula="go only if no link carries less than the high pull",
            numbers=f"{least} against {_pull_high_text(card, given)}",
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
