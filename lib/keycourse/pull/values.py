"""Exercise 05: what comes out on a card, and what the card says."""

from __future__ import annotations

import functools
from collections.abc import Callable

from coursework.question import Answer, Fact
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    distance_text,
    length_text,
    number_of,
)
from keycourse.pull.card import PullCase
from taperkey.formulas.seat import seat_from_pressure
from taperkey.formulas.taper_forms import taper_angle_rad, taper_from_angle_in_per_in
from taperkey.formulas.wedge import (
    drive_ratio,
    friction_share,
    withdraw_ratio,
)
from taperkey.tables.strengths import RodGrade, rod_grade
from taperkey.tables.threads import Thread, thread
from taperkey.units import MM_PER_IN, fraction_text, from_internal, to_internal


def case_of(card: JobCard) -> PullCase:
    """Return the card's key to draw."""
    return card.read(PullCase)


# --- the two ends and the taper ---------------------------------------------------------------


def made_taper(card: JobCard) -> float:
    """Return the taper of the key as it was made, from the fitter's sheet [in/in]."""
    case = case_of(card)
    return case.made_drop_in / case.made_base_in


def difference(card: JobCard, given: Given) -> float:
    """Return how much larger the key is toward this end [in]."""
    return case_of(card).ends.larger_here_in


def larger_by_readings(card: JobCard) -> str:
    """Return the end that the readings alone speak for, however little; nothing where none does."""
    larger = case_of(card).ends.larger_here_in
    if not larger:
        return ""
    return NEAR if larger > 0 else FAR


def large_end(card: JobCard, given: Given) -> Answer:
    """Return at which end the key is larger, as far as the readings tell."""
    ends = case_of(card).ends
    larger = ends.larger_here_in
    if abs(larger) <= ends.limit_in:
        return NO_TELLING
    return NEAR if larger > 0 else FAR


def first_step(card: JobCard, given: Given) -> Answer:
    """Return what is done first."""
    off = PUSH_OUT if case_of(card).ends.room_behind else HUB_OFF
    return {NEAR: PLAN_FIRST, FAR: off}.get(str(large_end(card, given)), FIND_OUT)


def angle(card: JobCard, given: Given) -> float:
    """Return the taper angle [rad]."""
    return float(taper_angle_rad(taper_in_per_in=made_taper(card)))


def taper_of(given: Given) -> float:
    """Return the taper that goes with the angle worked out before [in/in]."""
    return float(taper_from_angle_in_per_in(angle_rad=number_of(given, "05-angle")))


# --- factors and forces -----------------------------------------------------------------------


def driving(taper: float, friction: float) -> float:
    """Return the push for each pound of normal force, same friction on both faces."""
    return drive_ratio(taper_in_per_in=taper, floor_friction=friction, roof_friction=friction)


def withdrawing(taper: float, friction: float) -> float:
    """Return the pull for each pound of normal force, same friction on both faces."""
    return withdraw_ratio(taper_in_per_in=taper, floor_friction=friction, roof_friction=friction)


def push_factor(card: JobCard, given: Given) -> float:
    """Return the push factor of the day of driving."""
    return driving(taper_of(given), case_of(card).drive_friction)


def pull_factor(card: JobCard, given: Given) -> float:
    """Return the pull factor at the high end of today's friction."""
    return withdrawing(taper_of(given), case_of(card).friction_high)


def seat(card: JobCard, given: Given) -> float:
    """Return the normal force, high end [lbf]."""
    return seat_at(card, case_of(card).seat_high, number_of(given, "05-push-factor"))


def seat_at(card: JobCard, known: float, factor: float) -> float:
    """Return the normal force for a pressure, or for a push and its factor [lbf]."""
    case = case_of(card)
    if case.seat_route == "push":
        return known / factor
    return seat_from_pressure(
        pressure_low_psi=known,
        pressure_high_psi=known,
        width_in=case.width_in,
        contact_length_in=case.contact_length_in,
        bearing_share_low=1.0,
        bearing_share_high=1.0,
    ).high_lbf


def seat_low(card: JobCard, given: Given) -> float:
    """Return the normal force, low end [lbf]."""
    return seat_at(card, case_of(card).seat_low, number_of(given, "05-push-factor"))


def pull_high(card: JobCard, given: Given) -> float:
    """Return the high pull [lbf]."""
    return number_of(given, "05-seat") * number_of(given, "05-pull-factor")


def pull_low(card: JobCard, given: Given) -> float:
    """Return the low pull [lbf]."""
    return seat_low(card, given) * withdrawing(taper_of(given), case_of(card).friction_low)


def share(card: JobCard, given: Given) -> float:
    """Return friction's share of the push."""
    friction = case_of(card).drive_friction
    return friction_share(
        taper_in_per_in=taper_of(given), floor_friction=friction, roof_friction=friction
    )


def drag(card: JobCard, given: Given) -> float:
    """Return the part of the high pull that goes through the hub, by the sloped face [lbf]."""
    factor = number_of(given, "05-pull-factor")
    return number_of(given, "05-pull-high") * (factor - case_of(card).friction_high) / factor


# --- the rig ------------------------------------------------------------------------------------


def stands_on(card: JobCard, given: Given) -> Answer:
    """Return what the jacks may push against."""
    case = case_of(card)
    held = case.clamp_lbf >= number_of(given, "05-drag")
    if case.face_flat:
        return ON_EITHER if held else ON_HUB
    return ON_SHAFT if held else ON_NEITHER


def jacks(card: JobCard, given: Given) -> float:
    """Return what the jacks give together [lbf]."""
    return case_of(card).jacks().capacity_lbf


def rod(card: JobCard, given: Given) -> float:
    """Return what the rod carries [lbf]."""
    return case_of(card).rod().capacity_lbf


def rod_parts(card: JobCard) -> tuple[Thread, RodGrade]:
    """Return the rod's thread and grade from the tables."""
    case = case_of(card)
    size = thread(name=case.parts.thread_name)
    return size, rod_grade(name=case.parts.grade_name, diameter_in=size.diameter_in)


def capacities(card: JobCard, given: Given) -> dict[str, float]:
    """Return the working load of each link in the chain, the weakest first [lbf]."""
    case = case_of(card)
    loads = {"jacks": number_of(given, "05-jacks")}
    if case.uses_rod:
        loads["rod"] = number_of(given, "05-rod")
    loads.update({link.name: link.capacity_lbf for link in case.listed})
    return dict(sorted(loads.items(), key=lambda item: item[1]))


def weakest(card: JobCard, given: Given) -> Answer:
    """Return the governing link."""
    return LINKS[next(iter(capacities(card, given)))]


def strongest(card: JobCard, given: Given) -> str:
    """Return the link that carries most."""
    return LINKS[list(capacities(card, given))[-1]]


def margin(card: JobCard, given: Given) -> float:
    """Return what the chain has over the high pull; below 0 it is short [lbf]."""
    return min(capacities(card, given).values()) - number_of(given, "05-pull-high")


@functools.lru_cache(maxsize=512)
def right_given(card: JobCard) -> dict[str, Answer]:
    """Return the right numbers of the card, without any entry."""
    found: dict[str, Answer] = {}
    for key, value in _NUMBERS:
        found[key] = value(card, found)
    return found


_NUMBERS: tuple[tuple[str, Callable[[JobCard, Given], float]], ...] = (
    ("05-angle", angle),
    ("05-push-factor", push_factor),
    ("05-seat", seat),
    ("05-pull-factor", pull_factor),
    ("05-pull-high", pull_high),
    ("05-jacks", jacks),
    ("05-rod", rod),
)

WORDS = words_beside(__file__)

_SAID = WORDS.options("05-large-end")
NEAR = _SAID["near"]
FAR = _SAID["far"]
NO_TELLING = _SAID["undecided"]

_SAID = WORDS.options("05-what-first")
PLAN_FIRST = _SAID["plan-first"]
HUB_OFF = _SAID["hub-off"]
PUSH_OUT = _SAID["push-out"]
FIND_OUT = _SAID["find-out"]
FIRST = tuple(_SAID.values())

_SAID = WORDS.options("05-method")
STRONGBACK = _SAID["strongback"]
HOLLOW = _SAID["hollow"]
WELD = _SAID["weld"]
SLIDE = _SAID["slide"]
NONE = _SAID["none"]
METHODS = tuple(_SAID.values())

_SAID = WORDS.options("05-go")
GO = _SAID["go"]
CHANGE = _SAID["change"]
RIG_SHORT = _SAID["rig-short"]
HUB_FIRST = _SAID["hub-first"]
ENDS_FIRST = _SAID["ends-first"]
GOES = tuple(_SAID.values())

_SAID = WORDS.options("05-stands-on")
ON_HUB = _SAID["hub"]
ON_SHAFT = _SAID["shaft"]
ON_EITHER = _SAID["either"]
ON_NEITHER = _SAID["neither"]
STANDS_ON = tuple(_SAID.values())

LINKS = dict(WORDS.options("05-weakest"))
"""Links by their names in ``formulas``, as an apprentice reads them."""


def rig_decision(card: JobCard, given: Given) -> str:
    """Return go or no go on these numbers, for the rig alone."""
    pull = number_of(given, "05-pull-high")
    loads = capacities(card, given)
    short = [name for name, load in loads.items() if load < pull]
    if not short:
        return GO
    return CHANGE if len(short) == 1 and short[0] != "jacks" else RIG_SHORT


def decision(card: JobCard, given: Given) -> str:
    """Return go or no go on these numbers."""
    shows = large_end(card, given)
    if shows != NEAR:
        return HUB_FIRST if shows == FAR else ENDS_FIRST
    return rig_decision(card, given)


def go(card: JobCard, given: Given) -> Answer:
    """Return go or no go; an earlier slip never makes a "go" right where none is.

    Raises
    ------
    LookupError
        If the numbers given say "go" on a card whose own numbers do not.
    """
    own = decision(card, given)
    if own == GO and decision(card, right_given(card)) != GO:
        raise LookupError("an earlier entry that was off does not make this rig carry the pull")
    return own


def method(card: JobCard, given: Given) -> Answer:
    """Return how this key is taken hold of by its large end, from the card's own numbers."""
    case = case_of(card)
    if rig_decision(card, right_given(card)) == RIG_SHORT:
        return NONE
    if case.end == "tapped" and case.blow_low_lbf >= number_of(right_given(card), "05-pull-high"):
        return SLIDE
    return {"strongback": STRONGBACK, "hollow-ram": HOLLOW}.get(case.rig, WELD)


def doubt(card: JobCard, given: Given) -> str:
    """Return why the card is a near miss, or nothing."""
    pull = number_of(given, "05-pull-high")
    loads = list(capacities(card, given).values())
    if loads[1] < 1.06 * loads[0]:
        return "05-weakest: two links carry nearly the same"
    if any(abs(load / pull - 1) < 0.08 for load in loads[:3]):
        return "05-go: a link carries nearly the high pull"
    ends = case_of(card).ends
    larger = ends.larger_here_in
    if 0.75 < abs(larger) / ends.limit_in < 1.4:
        return "05-large-end: the readings nearly tell"
    if case_of(card).blow_low_lbf < 1.08 * pull < 1.15 * case_of(card).blow_high_lbf:
        return "05-method: the slide hammer may do it"
    if 0.85 < case_of(card).clamp_lbf / number_of(given, "05-drag") < 1.18:
        return "05-stands-on: the clamp carries nearly the drag"
    return ""


# --- the card -----------------------------------------------------------------------------------


def load_text(card: JobCard, value_lbf: float) -> str:
    """Write a load as it stands on the card, not rounded."""
    if card.metric:
        return f"{from_internal(value_lbf, dimension='force', unit='kN'):.1f} kN"
    return f"{value_lbf:,.0f} lbf"


def stress_text(card: JobCard, value_psi: float) -> str:
    """Write a pressure or a strength."""
    if card.metric:
        value = from_internal(value_psi, dimension="pressure", unit="MPa")
        return f"{value:.0f} MPa" if value >= 20 else f"{round(value, 1):g} MPa"
    return f"{value_psi:,.0f} psi"


def friction_text(friction: float) -> str:
    """Write a friction: to two decimals, or to three where the third counts."""
    return f"{friction:.3f}"[: 4 if abs(friction - round(friction, 2)) < 1e-9 else 5]


def area_text(card: JobCard, value_in2: float) -> str:
    """Write an area."""
    if card.metric:
        return f"{value_in2 * MM_PER_IN**2:.4g} mm²"
    return f"{value_in2:.4g} in²"


def good_text(card: JobCard) -> str:
    """Write what a reading on the key is good to."""
    good = case_of(card).ends.good_in
    return f"±{good * MM_PER_IN:.2g} mm" if card.metric else f"±{good:g} in"


def ends_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what could be taken on the driven key, and what the papers say."""
    ends = case_of(card).ends
    lines = [Fact("Key at the hub face, this side", length_text(card, ends.face_in))]
    if ends.out_in:
        out = distance_text(card, ends.out_in) if card.metric else fraction_text(ends.out_in)
        lines.append(Fact(f"Key at its end, {out} further out", length_text(card, ends.end_in)))
    if ends.far_in:
        away = distance_text(card, ends.apart_in)
        lines.append(Fact(f"Key at the far hub face, {away} away", length_text(card, ends.far_in)))
        lines.append(
            Fact(
                "Behind the hub",
                "free shaft, room for the whole key"
                if ends.room_behind
                else "a bearing housing close by, no room for the key",
            )
        )
    else:
        lines.append(
            Fact("Far end", "behind the bearing housing, out of reach; no room for the key there")
        )
    good = good_text(card)
    drawing = {
        "this side": "shows the key driven from this side",
        "far side": "shows the key driven from the far side",
        "none": "not found",
    }[ends.drawing]
    return (
        *lines,
        Fact("Each reading is good to", f"{good}: rust pits" if ends.pitted else good),
        Fact("Drawing of the drive", drawing),
    )


def hub_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what there is to stand on, and what holds the hub."""
    case = case_of(card)
    return (
        Fact(
            "Hub's face around the key",
            "turned flat, room for the feet"
            if case.face_flat
            else "ribs and rough casting, no place for a foot",
        ),
        Fact(
            "Hub held on the shaft by",
            f"a split clamp in front of it, open at the key: {load_text(card, case.clamp_lbf)}; "
            "friction in the bore is not counted",
        ),
    )


def made_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the key as it was made."""
    case = case_of(card)
    drop = length_text(card, case.made_drop_in)
    over = distance_text(card, case.made_base_in)
    return (Fact("Taper of the key, from the fitter's sheet", f"{drop} lower over {over}"),)


def driven_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the friction of the day of driving."""
    case = case_of(card)
    return (
        Fact(
            "Faces when it was driven",
            f"fresh anti-seize: friction {friction_text(case.drive_friction)}",
        ),
    )


def seat_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return how the seat is known."""
    case = case_of(card)
    text = load_text if case.seat_route == "push" else stress_text
    known = f"{text(card, case.seat_low)} to {text(card, case.seat_high)}"
    if case.seat_route == "push":
        return (Fact("Push at the last blows, from the fitter's sheet", known),)
    return (
        Fact(
            "Key in the hub",
            f"{distance_text(card, case.width_in)} wide, {distance_text(card, case.height_in)} "
            f"high, bears over {distance_text(card, case.contact_length_in)}",
        ),
        Fact("Pressure on each face, from earlier keys of this drive", known),
    )


def friction_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return today's friction."""
    case = case_of(card)
    state = {
        "lubricated": "anti-seize still wet",
        "rusted": "rusted",
        "dry": "bare and dry",
    }[case.faces]
    return (
        Fact(
            "Faces today",
            f"{state}: friction {friction_text(case.friction_low)} to "
            f"{friction_text(case.friction_high)}",
        ),
    )


def jack_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the jacks in the crib."""
    case = case_of(card)
    unit = "t (metric tons; the weight of one is 9.81 kN)" if card.metric else "US tons"
    kind = "one hollow-ram jack" if case.jack_number == 1 else "two solid jacks on one pump"
    each = "" if case.jack_number == 1 else " each"
    return (
        Fact("Jacks in the crib", f"{kind}, {case.jack_rating:g} {unit}{each}"),
        Fact("Share of a jack's rating that is used", "4/5"),
    )


def rod_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the rod in the crib and its strength."""
    case = case_of(card)
    size, grade = rod_parts(card)
    proof = (
        f"proof strength {stress_text(card, grade.proof_psi)}"
        if grade.proof_psi is not None
        else "no proof strength stated"
    )
    marked = (
        f"marked {case.parts.grade_name}"
        if case.rod_marked
        else "no marks, from the scrap bin: reckoned as plain A36 bar"
    )
    diameter = (
        distance_text(card, size.diameter_in) if card.metric else fraction_text(size.diameter_in)
    )
    return (
        Fact(
            "Rod in the crib",
            f"{case.parts.thread_name}, diameter {diameter}, stress area "
            f"{area_text(card, size.stress_area_in2)}",
        ),
        Fact(
            "Its grade",
            f"{marked}; {proof}, yield {stress_text(card, grade.yield_psi)}, tensile "
            f"{stress_text(card, grade.tensile_psi)}",
        ),
        Fact(
            "Share of a rod's proof strength that is used",
            "3/4; where none is stated, 9/10 of yield stands for it",
        ),
    )


def chain_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the other links of the planned rig."""
    case = case_of(card)
    loads = "; ".join(
        f"{LINKS[link.name].removeprefix('the ')} {load_text(card, link.capacity_lbf)}"
        for link in case.listed
    )
    rig = {
        "strongback": "rod, strongback, two jacks",
        "hollow-ram": "rod, hollow-ram jack",
        "welded strongback": "strongback welded to the key, two jacks; no rod",
    }[case.rig]
    return (
        Fact("Rig on the planner's sheet", f"{rig}; where the jacks stand is left open"),
        Fact("Its other working loads", loads),
    )


def crib_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what there is to take hold of the key with."""
    case = case_of(card)
    end = (
        f"drilled and tapped, {case.parts.thread_name}"
        if case.end == "tapped"
        else "plain, not drilled"
    )
    jack_rig = (
        "hollow-ram jack; the strongback is out on another job"
        if case.rig == "hollow-ram"
        else "strongback; the hollow-ram jack is out on another job"
    )
    slide = (
        f"slide hammer, {load_text(card, case.blow_low_lbf)} to "
        f"{load_text(card, case.blow_high_lbf)} at its stop"
        if case.blow_high_lbf > 0
        else "no slide hammer"
    )
    return (
        Fact("End that shows", end),
        Fact("Also in the crib", f"{jack_rig}; {slide}; welding set, with the site's welder"),
    )


def steps_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what is said of the drive whose steps are put in order."""
    return (Fact("On that drive", "tapped key, large end shows, rig at hand; drive is stopped"),)


def facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed card."""
    return (
        *ends_facts(card),
        *made_facts(card),
        *seat_facts(card),
        *driven_facts(card),
        *friction_facts(card),
        *jack_facts(card),
        *rod_facts(card),
        *hub_facts(card),
        *chain_facts(card),
        *crib_facts(card),
    )


def tons_lbf(card: JobCard, *, wrong_lbf: float, wrong_kn: float) -> Answer:
    """Return what the jacks give if a ton were something else [lbf]."""
    case = case_of(card)
    wrong = to_internal(wrong_kn, dimension="force", unit="kN") if card.metric else wrong_lbf
    unit = case.jacks().capacity_lbf / case.jack_rating
    own = to_internal(9.80665, dimension="force", unit="kN") if card.metric else 2000.0
    return case.jack_rating * unit * wrong / own
