"""Exercise 06: what comes out on a card, and what the card says."""

from __future__ import annotations

from coursework.question import Answer, Fact
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    distance_text,
    length_text,
    number_of,
)
from keycourse.pull.values import (
    FAR,
    GO,
    HUB_FIRST,
    LINKS,
    NEAR,
    load_text,
    stress_text,
)
from keycourse.taper.values import (
    BOTH,
    NEITHER,
    ONLY_INCH,
    ONLY_METRIC,
)
from keycourse.whole.card import HEIGHT_SD_IN, WholeJob
from keycourse.whole.job_opening import TWO_SD
from taperkey.formulas.key import height_for_travel_in, key_blank, travel_for_height_in
from taperkey.formulas.seat import seat_from_pressure
from taperkey.formulas.taper import (
    STANDARD_INCH,
    STANDARD_METRIC,
    compare_with_standard,
    two_point_taper,
)
from taperkey.formulas.wedge import withdrawal_force_lbf
from taperkey.units import fraction_text

SHORT = (
    "no go: a link falls short of the high pull; change it or find another way, and work it out "
    "again"
)
CAREFULLY = "go carefully: the rig is near enough, and the key may come early"
GOES = (GO, SHORT, HUB_FIRST, CAREFULLY)


def job_of(card: JobCard) -> WholeJob:
    """Return the card's whole job."""
    return card.read(WholeJob)


def near_height(card: JobCard, given: Given) -> float:
    """Return the mean height at the end that shows [in]."""
    readings = job_of(card).near_in
    return sum(readings) / len(readings)


def far_height(card: JobCard, given: Given) -> float:
    """Return the mean height at the far end [in]."""
    readings = job_of(card).far_in
    return sum(readings) / len(readings)


def taper(card: JobCard, given: Given) -> float:
    """Return the taper from the two mean heights, without a sign [in/in]."""
    found = two_point_taper(
        mouth_height_in=number_of(given, "06-near-height"),
        inside_height_in=number_of(given, "06-far-height"),
        distance_in=job_of(card).base_in,
    )
    return abs(found.taper_in_per_in)


def taper_sd(card: JobCard) -> float:
    """Return the standard uncertainty of the taper [in/in]."""
    return two_point_taper(
        mouth_height_in=1.0,
        inside_height_in=1.0,
        distance_in=job_of(card).base_in,
        height_sd_in=HEIGHT_SD_IN,
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


def large_end(card: JobCard, given: Given) -> Answer:
    """Return at which end the opening is higher, from the card's own readings."""
    return NEAR if near_height(card, given) > far_height(card, given) else FAR


def cut_taper(card: JobCard, given: Given) -> float:
    """Return the taper the key is cut to: the standard that fits, else the measured one."""
    return {
        ONLY_INCH: STANDARD_INCH,
        ONLY_METRIC: STANDARD_METRIC,
        BOTH: card.drive.standard_taper_in_per_in,
    }.get(str(given["06-standard"]), number_of(given, "06-taper"))


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


def stand_out(card: JobCard, given: Given) -> float:
    """Return how far the new blank stands out of its final place [in]."""
    return float(
        travel_for_height_in(
            height_in=job_of(card).allowance_in, taper_in_per_in=cut_taper(card, given)
        )
    )


def still_to_file(card: JobCard, given: Given) -> float:
    """Return the height that is still to come off after some goes [in]."""
    return float(
        height_for_travel_in(
            travel_in=job_of(card).stands_out_in, taper_in_per_in=cut_taper(card, given)
        )
    )


def seat(card: JobCard, given: Given) -> float:
    """Return the normal force, high end [lbf]."""
    job = job_of(card)
    return seat_from_pressure(
        pressure_low_psi=job.pressure_low_psi,
        pressure_high_psi=job.pressure_high_psi,
        width_in=job.width_in,
        contact_length_in=job.base_in,
        bearing_share_low=1.0,
        bearing_share_high=1.0,
    ).high_lbf


def pull_at(seat_lbf: float, slope: float, mu: float) -> float:
    """Return the pull for a seat, with one friction on both faces [lbf]."""
    return withdrawal_force_lbf(
        normal_force_lbf=seat_lbf, taper_in_per_in=slope, floor_friction=mu, roof_friction=mu
    )


def pull(card: JobCard, given: Given) -> float:
    """Return the high pull [lbf]."""
    return pull_at(
        number_of(given, "06-seat"), number_of(given, "06-taper"), job_of(card).friction_high
    )


def loads(card: JobCard) -> list[tuple[str, float]]:
    """Return the links of the rig, weakest first [lbf]."""
    return sorted(job_of(card).loads, key=lambda link: link[1])


def weakest(card: JobCard, given: Given) -> Answer:
    """Return the governing link."""
    return LINKS[loads(card)[0][0]]


def margin(card: JobCard, given: Given) -> float:
    """Return what the weakest link carries beyond the high pull; below 0 it is short [lbf]."""
    return loads(card)[0][1] - number_of(given, "06-pull")


def decision(card: JobCard, high_pull: float) -> str:
    """Return go or no go for a high pull."""
    if large_end(card, {}) == FAR:
        return HUB_FIRST
    return GO if loads(card)[0][1] >= high_pull else SHORT


def own_pull(card: JobCard) -> float:
    """Return the high pull of the card's own numbers [lbf]."""
    near, far = near_height(card, {}), far_height(card, {})
    slope = abs(near - far) / job_of(card).base_in
    return pull_at(seat(card, {}), slope, job_of(card).friction_high)


def go(card: JobCard, given: Given) -> Answer:
    """Return go or no go; an earlier slip never makes a "go" right where none is.

    Raises
    ------
    LookupError
        If the numbers given say "go" on a card whose own numbers do not.
    """
    own = decision(card, number_of(given, "06-pull"))
    if own == GO and decision(card, own_pull(card)) != GO:
        raise LookupError("an earlier entry that was off does not make this rig carry the pull")
    return own


def doubt(card: JobCard, given: Given) -> str:
    """Return why the card is a near miss, or nothing."""
    measured = number_of(given, "06-taper")
    for one in (STANDARD_INCH, STANDARD_METRIC):
        if 0.7 < abs(measured - one) / (2 * taper_sd(card)) < 1.4:
            return "06-standard: the taper lies on the edge of agreeing"
    links = loads(card)
    if links[1][1] < 1.06 * links[0][1]:
        return "06-weakest: two links carry nearly the same"
    if abs(links[0][1] / number_of(given, "06-pull") - 1) < 0.08:
        return "06-go: the weakest link carries nearly the high pull"
    if job_of(card).faces == "rusted" and decision(card, number_of(given, "06-pull")) == GO:
        return "06-go: the rusted key is light enough after all"
    return ""


# --- the card -----------------------------------------------------------------------------------


def _readings(card: JobCard, readings: tuple[float, ...]) -> str:
    return "; ".join(length_text(card, one) for one in readings)


def height_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the readings at both ends."""
    job = job_of(card)
    return (
        Fact("Height, the end that shows, three readings", _readings(card, job.near_in)),
        Fact("Height, the far end, three readings", _readings(card, job.far_in)),
        Fact("Between the two, the hub's length", distance_text(card, job.base_in)),
        Fact("Keyway", "turned to the bottom"),
    )


def doubt_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return how well the heights are known."""
    return (
        *height_facts(card)[2:3],
        Fact("Standard uncertainty of each mean height", length_text(card, HEIGHT_SD_IN)),
    )


def _long(card: JobCard, value_in: float) -> str:
    return distance_text(card, value_in) if card.metric else fraction_text(value_in)


def key_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what is ordered for the new key."""
    job = job_of(card)
    return (
        Fact("Left on in height, for fitting", length_text(card, job.allowance_in)),
        Fact("New key, stays outside the slot when fitted", _long(card, job.outside_in)),
    )


def fitting_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return where the new key stands after some goes."""
    words = distance_text(card, job_of(card).stands_out_in)
    return (Fact("After four goes the new key stands out of its final place by", words),)


def seat_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what is known of the old key's seat."""
    job = job_of(card)
    low, high = (stress_text(card, one) for one in (job.pressure_low_psi, job.pressure_high_psi))
    return (
        Fact("Old key, width", distance_text(card, job.width_in)),
        Fact("Old key, length in the hub", distance_text(card, job.base_in)),
        Fact("Pressure on its faces, from the last pull of its kind", f"{low} to {high}"),
    )


def friction_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the state of the faces today."""
    job = job_of(card)
    state = "anti-seize, still wet" if job.faces == "lubricated" else "brown with rust"
    range_text = f"friction {job.friction_low:.2f} to {job.friction_high:.2f}"
    return (Fact("Faces today", f"{state}: {range_text}"),)


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
        f"{LINKS[name].removeprefix('the ')} {load_text(card, load)}" for name, load in job.loads
    )
    return (
        Fact("Old key, end that shows", end),
        Fact("Rig in the crib", method),
        Fact("Working loads, from the planner", listed),
    )


def facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed card."""
    return (
        *height_facts(card),
        *doubt_facts(card)[1:],
        *key_facts(card),
        *fitting_facts(card),
        *seat_facts(card),
        *friction_facts(card),
        *rig_facts(card),
    )
