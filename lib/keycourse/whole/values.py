"""Exercise 06: what comes out on a card, and what the card says.

The order is that of the job: both ends with the old key in, the pull on paper, then the empty
slot and the new key. A value goes on as it is written down, so that every worked line can be done
again with what is printed.
"""

from __future__ import annotations

import math

from coursework.question import Answer, Fact
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    distance_text,
    length_text,
    number_of,
    rule_text,
)
from keycourse.pull.crib import KN_PER_TONNE
from keycourse.pull.values import (
    ENDS_FIRST,
    FAR,
    GO,
    HUB_FIRST,
    LINKS,
    NEAR,
    NO_TELLING,
    friction_text,
    load_text,
    stress_text,
)
from keycourse.taper.values import (
    BOTH,
    NEITHER,
    ONLY_INCH,
    ONLY_METRIC,
)
from keycourse.whole.card import WholeJob
from keycourse.whole.job_opening import TWO_SD
from taperkey.formulas.key import height_for_travel_in, key_blank
from taperkey.formulas.rig_parts import jacks_link
from taperkey.formulas.seat import seat_from_pressure
from taperkey.formulas.taper import (
    STANDARD_INCH,
    STANDARD_METRIC,
    compare_with_standard,
    two_point_taper,
)
from taperkey.formulas.wedge import withdraw_ratio
from taperkey.units import MM_PER_IN, fraction_text, from_internal, to_internal
from taperkey.units import length_text as _length

_GOES = words_beside(__file__).options("06-go")
SHORT = _GOES["short"]
GOES = (GO, SHORT, HUB_FIRST, ENDS_FIRST)


def job_of(card: JobCard) -> WholeJob:
    """Return the card's whole job."""
    return card.read(WholeJob)


def _written(card: JobCard, value: float, dimension: str, places: tuple[int, int]) -> float:
    """Return a value as it is written on this card: so many decimals, inch or metric."""
    unit = {
        "length": ("in", "mm"),
        "force": ("lbf", "kN"),
        "taper": ("in/ft", "mm/100 mm"),
    }[dimension][card.metric]
    number = round(from_internal(value, dimension=dimension, unit=unit), places[card.metric])
    return to_internal(number, dimension=dimension, unit=unit)


# --- with the old key in --------------------------------------------------------------------------


def difference(card: JobCard, given: Given) -> float:
    """Return how much larger the old key is toward the end that shows [in]."""
    return job_of(card).larger_here_in


def large_end(card: JobCard, given: Given) -> Answer:
    """Return at which end the old key is larger, as far as the readings over it tell."""
    larger = job_of(card).larger_here_in
    if abs(larger) <= 2 * job_of(card).over_good_in:
        return NO_TELLING
    return NEAR if larger > 0 else FAR


def seat(card: JobCard, given: Given) -> float:
    """Return the normal force, high end [lbf]."""
    job = job_of(card)
    force = seat_from_pressure(
        pressure_low_psi=job.pressure_low_psi,
        pressure_high_psi=job.pressure_high_psi,
        width_in=job.width_in,
        contact_length_in=job.base_in,
        bearing_share_low=1.0,
        bearing_share_high=1.0,
    ).high_lbf
    return _written(card, force, "force", (0, 1))


def plan_taper(card: JobCard) -> float:
    """Return the taper that the pull is planned with: the drawing's [in/in].

    With the key in nothing better is known, and a taper a third steeper changes the pull by about
    one part in a hundred.
    """
    return card.drive.standard_taper_in_per_in


def angles_deg(card: JobCard, mu: float) -> tuple[float, float]:
    """Return friction angle and taper angle as they are written down [deg]."""
    phi, alpha = (round(math.degrees(math.atan(one)), 3) for one in (mu, plan_taper(card)))
    return phi, alpha


def pull_factor(card: JobCard) -> float:
    """Return tan φ + tan(φ − α) at the high end of the friction, as it is written down."""
    mu = job_of(card).friction_high
    phi, alpha = (math.tan(math.radians(one)) for one in angles_deg(card, mu))
    return round(withdraw_ratio(taper_in_per_in=alpha, floor_friction=mu, roof_friction=phi), 4)


def pull(card: JobCard, given: Given) -> float:
    """Return the high pull [lbf]."""
    return _written(card, number_of(given, "06-seat") * pull_factor(card), "force", (0, 1))


def jacks(card: JobCard, given: Given) -> float:
    """Return what the jacks give together [lbf]."""
    rig = job_of(card).rig
    return jacks_link(
        rated_tons=rig.jack_tons, number=rig.jacks, working_share=rig.jack_share
    ).capacity_lbf


def jack_rating(card: JobCard) -> float:
    """Return the rating as marked on each jack: US tons, or metric ones on a metric card."""
    rig = job_of(card).rig
    if not card.metric:
        return rig.jack_tons
    newtons = from_internal(2000.0 * rig.jack_tons, dimension="force", unit="kN")
    return round(newtons / KN_PER_TONNE, 1)


def loads(card: JobCard, given: Given) -> list[tuple[str, float]]:
    """Return the links of the rig, weakest first [lbf]."""
    links = {**dict(job_of(card).loads), "jacks": number_of(given, "06-jacks")}
    return sorted(links.items(), key=lambda link: link[1])


def weakest(card: JobCard, given: Given) -> Answer:
    """Return the governing link."""
    return LINKS[loads(card, given)[0][0]]


def margin(card: JobCard, given: Given) -> float:
    """Return what the weakest link carries beyond the high pull; below 0 it is short [lbf]."""
    return loads(card, given)[0][1] - number_of(given, "06-pull")


def decision(card: JobCard, given: Given) -> str:
    """Return go or no go on these numbers."""
    end = large_end(card, {})
    if end != NEAR:
        return HUB_FIRST if end == FAR else ENDS_FIRST
    return GO if margin(card, given) >= 0 else SHORT


def right_given(card: JobCard) -> dict[str, Answer]:
    """Return the right numbers of the plan, without any entry."""
    return {"06-pull": pull(card, {"06-seat": seat(card, {})}), "06-jacks": jacks(card, {})}


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


# --- with the key out: the empty slot -----------------------------------------------------------


def near_height(card: JobCard, given: Given) -> float:
    """Return the mean height of the slot at the end that showed [in]."""
    readings = job_of(card).near_in
    return _written(card, math.fsum(readings) / len(readings), "length", (4, 3))


def far_height(card: JobCard, given: Given) -> float:
    """Return the mean height of the slot at the far end [in]."""
    readings = job_of(card).far_in
    return _written(card, math.fsum(readings) / len(readings), "length", (4, 3))


def taper(card: JobCard, given: Given) -> float:
    """Return the taper from the two mean heights, without a sign [in/in]."""
    found = two_point_taper(
        mouth_height_in=number_of(given, "06-near-height"),
        inside_height_in=number_of(given, "06-far-height"),
        distance_in=job_of(card).base_in,
    )
    return _written(card, abs(found.taper_in_per_in), "taper", (4, 4))


def taper_sd(card: JobCard) -> float:
    """Return the standard uncertainty of the taper [in/in]."""
    return two_point_taper(
        mouth_height_in=1.0,
        inside_height_in=1.0,
        distance_in=job_of(card).base_in,
        height_sd_in=job_of(card).height_sd_in,
    ).sd_in_per_in


def standard(card: JobCard, given: Given) -> Answer:
    """Return which standard taper the readings agree with."""
    fits = tuple(
        compare_with_standard(
            taper_in_per_in=number_of(given, "06-taper"),
            sd_in_per_in=taper_sd(card),
            standard_in_per_in=one,
            coverage=TWO_SD,
        ).compatible
        for one in (STANDARD_INCH, STANDARD_METRIC)
    )
    return {
        (True, False): ONLY_INCH,
        (False, True): ONLY_METRIC,
        (True, True): BOTH,
        (False, False): NEITHER,
    }[fits[0], fits[1]]


# --- the new key --------------------------------------------------------------------------------


def cut_ratio(card: JobCard, given: Given) -> float:
    """Return n of the 1:n that the key is cut to: the standard that fits, else the measured one."""
    standard_taper = {
        ONLY_INCH: STANDARD_INCH,
        ONLY_METRIC: STANDARD_METRIC,
        BOTH: card.drive.standard_taper_in_per_in,
    }.get(str(given["06-standard"]))
    if standard_taper is not None:
        return round(1 / standard_taper)
    return round(1 / number_of(given, "06-taper"), 1)


def cut_taper(card: JobCard, given: Given) -> float:
    """Return the taper that the key is cut to [in/in]."""
    return 1 / cut_ratio(card, given)


def entry_height(given: Given) -> float:
    """Return the height where the key goes in: the larger one [in]."""
    return max(number_of(given, "06-near-height"), number_of(given, "06-far-height"))


def blank_height(card: JobCard, given: Given) -> float:
    """Return the height of the blank at its large end [in]."""
    job = job_of(card)
    return key_blank(
        mouth_height_in=entry_height(given),
        taper_in_per_in=cut_taper(card, given),
        engaged_length_in=job.base_in,
        allowance_in=job.allowance_in,
        extra_length_in=job.outside_in,
    ).large_end_height_in


def travel_to_home(card: JobCard, given: Given) -> float:
    """Return how far the new blank is from home when it is first pushed in [in]."""
    return job_of(card).allowance_in * cut_ratio(card, given)


def stand_out(card: JobCard, given: Given) -> float:
    """Return the first stand-out of the new blank, with what stays outside [in]."""
    return job_of(card).outside_in + travel_to_home(card, given)


def still_to_file(card: JobCard, given: Given) -> float:
    """Return the height that is still to come off before the drive [in]."""
    job = job_of(card)
    travel = job.stands_out_in - job.outside_in - job.left_to_drive_in
    return float(height_for_travel_in(travel_in=travel, taper_in_per_in=cut_taper(card, given)))


def doubt(card: JobCard, given: Given) -> str:
    """Return why the card is a near miss, or nothing."""
    measured = number_of(given, "06-taper")
    for one in (STANDARD_INCH, STANDARD_METRIC):
        if 0.7 < abs(measured - one) / (2 * taper_sd(card)) < 1.4:
            return "06-standard: the taper lies on the edge of agreeing"
    links = loads(card, given)
    if links[1][1] < 1.06 * links[0][1]:
        return "06-weakest: two links carry nearly the same"
    if abs(links[0][1] / number_of(given, "06-pull") - 1) < 0.08:
        return "06-go: the weakest link carries nearly the high pull"
    if 0.75 < abs(job_of(card).larger_here_in) / (2 * job_of(card).over_good_in) < 1.4:
        return "06-large-end: the readings nearly tell"
    return ""


# --- the card -----------------------------------------------------------------------------------


def _readings(card: JobCard, readings: tuple[float, ...]) -> str:
    return "; ".join(length_text(card, one) for one in readings)


def over_text(card: JobCard, value_in: float) -> str:
    """Write what a caliper reads over shaft and key."""
    return _length(value_in, unit="mm" if card.metric else "in", places=2 if card.metric else 3)


def ends_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what was read over shaft and key at both ends, with the old key still driven."""
    job = job_of(card)
    over = "Old key still in: over shaft and key"
    other: tuple[Fact, ...]
    if job.over_far_in:
        other = (Fact(f"{over}, at the far hub face", over_text(card, job.over_far_in)),)
    else:
        out = long_text(card, job.out_in)
        other = (
            Fact(f"{over}, at its end, {out} further out", over_text(card, job.over_end_in)),
            Fact("Far hub face", "behind a housing, out of reach"),
        )
    good = f"±{job.over_good_in * MM_PER_IN:.2f} mm" if card.metric else f"±{job.over_good_in:g} in"
    return (
        Fact(f"{over}, at the hub face that shows", over_text(card, job.over_near_in)),
        *other,
        Fact("Each of these readings is good to", good),
    )


def jack_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the jacks in the crib."""
    one = job_of(card).rig.jacks == 1
    unit = "t (metric tons; the weight of one is 9.81 kN)" if card.metric else "US tons"
    kind = "one hollow-ram jack" if one else "two solid jacks on one pump"
    return (
        Fact("Jacks in the crib", f"{kind}, {jack_rating(card):g} {unit}{'' if one else ' each'}"),
        Fact("Share of a jack's rating that is used", "4/5"),
    )


def height_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the readings of the empty slot at both ends."""
    job = job_of(card)
    return (
        Fact(
            "Old key out: height of the slot, the end that showed, three readings",
            _readings(card, job.near_in),
        ),
        Fact("Height of the slot, the far end, three readings", _readings(card, job.far_in)),
        Fact("Between the two, the hub's length", distance_text(card, job.base_in)),
        Fact("For these readings the keyway was", "turned to the bottom, slot clean and empty"),
    )


def doubt_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return how well the heights are known."""
    return (
        *height_facts(card)[2:3],
        Fact(
            "Standard uncertainty of each mean height",
            length_text(card, job_of(card).height_sd_in),
        ),
    )


def long_text(card: JobCard, value_in: float) -> str:
    """Write a length that is set by rule: a fraction of an inch, or millimeters."""
    return distance_text(card, value_in) if card.metric else fraction_text(value_in)


def key_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what is ordered for the new key."""
    job = job_of(card)
    return (
        Fact("New key: left on in height, for fitting", length_text(card, job.allowance_in)),
        Fact("New key: length left outside when it is home", long_text(card, job.outside_in)),
    )


def fitting_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return where the new key stands after some goes."""
    job = job_of(card)
    return (
        Fact("After four rounds the stand-out is", rule_text(card, job.stands_out_in)),
        Fact("Left to drive, in this shop", long_text(card, job.left_to_drive_in)),
    )


def seat_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what is known of the old key's seat."""
    job = job_of(card)
    low, high = (stress_text(card, one) for one in (job.pressure_low_psi, job.pressure_high_psi))
    return (
        Fact(
            "Old key, width × height",
            f"{distance_text(card, job.width_in)} × {distance_text(card, key_height(card))}",
        ),
        Fact("Old key, length in the hub", distance_text(card, job.base_in)),
        Fact("Pressure on its faces, from earlier pulls of this drive", f"{low} to {high}"),
    )


def key_height(card: JobCard) -> float:
    """Return the old key's height as its drawing has it [in]."""
    return card.drive.key_height_in


def friction_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the state of the faces today, and the taper of the drawing."""
    job = job_of(card)
    state = "anti-seize, still wet" if job.faces == "lubricated" else "brown with rust"
    low, high = (friction_text(one) for one in (job.friction_low, job.friction_high))
    range_text = f"friction {low} to {high}"
    return (
        Fact("Faces today", f"{state}: {range_text}"),
        Fact("Taper of the drive, by its drawing", f"1:{1 / plan_taper(card):.0f}"),
    )


def rig_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the rig of the crib with its working loads."""
    job = job_of(card)
    method = {
        "strongback": "rod, strongback, two jacks",
        "hollow-ram": "rod, hollow-ram jack over it",
        "welded strongback": "strongback welded to the key, two jacks",
    }[job.rig.method]
    end = "drilled and tapped" if job.tapped else "plain, not tapped"
    listed = "; ".join(
        f"{LINKS[name].removeprefix('the ')} {load_text(card, load)}"
        for name, load in job.loads
        if name != "jacks"
    )
    return (
        Fact("Old key, end that shows", end),
        Fact("Rig in the crib", method),
        Fact("Its other working loads, from the planner", listed),
    )


def facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed card, in the order of the job."""
    return (
        *ends_facts(card),
        *seat_facts(card),
        *friction_facts(card),
        *jack_facts(card),
        *rig_facts(card),
        *height_facts(card),
        *doubt_facts(card)[1:],
        *key_facts(card),
        *fitting_facts(card),
    )
