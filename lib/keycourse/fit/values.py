"""Exercise 04: what comes out on a card, and what the card says."""

from __future__ import annotations

from collections.abc import Callable, Mapping

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
from keycourse.fit.card import BLUES as CARD_BLUES
from keycourse.fit.card import (
    BRIGHT,
    CANS,
    CREEP_IN,
    ROUND,
    THINNED,
    ZONES,
    FacePattern,
    FitCase,
)
from keycourse.fit.marked_zones import draw_marked_zones, zone_letters
from taperkey.formulas.key import height_for_travel_in, travel_for_height_in
from taperkey.units import MM_PER_IN, fraction_text

WORDS = words_beside(__file__)

_SAID = WORDS.options("04-blue")
BLUES = tuple(_SAID.values())  # A, B, C, and none of them

_SAID = WORDS.options("04-cause")
NO_CAUSE = _SAID["no-cause"]
MORE_TAPER = _SAID["more-taper"]
LESS_TAPER = _SAID["less-taper"]
TOO_WIDE = _SAID["too-wide"]
OLD_BLUE = _SAID["old-blue"]
CAUSES = tuple(_SAID.values())

_SAID = WORDS.options("04-decide")
FILE = _SAID["file"]
CLEAN = _SAID["clean"]
SIDES = _SAID["sides"]
HOME = _SAID["home"]
STEPS = tuple(_SAID.values())

_SAID = WORDS.options("04-lubricant")
LUBRICANTS = tuple(_SAID.values())  # A, B, C, and none of them

_SAID = WORDS.options("04-from-which-end")
NEAR = _SAID["near"]
FAR = _SAID["far"]
CANNOT_TELL = _SAID["cannot-tell"]
FROM_ENDS = tuple(_SAID.values())

_SAID = WORDS.options("04-hub")
RUN = _SAID["run"]
SET_BACK = _SAID["back"]
UNTRUE = _SAID["true"]
UNKNOWN = _SAID["unknown"]
AFTER_DRIVE = tuple(_SAID.values())

_SAID = WORDS.options("04-verdict")
ACCEPTED = _SAID["accepted"]
GAP = _SAID["gap"]
PROUD = _SAID["proud"]
LOOSE = _SAID["loose"]
VERDICTS = tuple(_SAID.values())

LETTERS = zone_letters(count=2 * ZONES)
HIGH_SPOT = CARD_BLUES[0]
LISTED, WHITE_LEAD, UNLISTED, GREASE = CANS


def case_of(card: JobCard) -> FitCase:
    """Return the card's key on the bench."""
    return card.read(FitCase)


# --- marks --------------------------------------------------------------------------------------


def at_level(pattern: FacePattern, *levels: int) -> tuple[str, ...]:
    """Return the letters of the zones at these levels."""
    return tuple(name for name, level in zip(LETTERS, pattern.both, strict=True) if level in levels)


def bear(card: JobCard, given: Given) -> Answer:
    """Return the zones that bore at the first push."""
    return at_level(case_of(card).first, BRIGHT)


def to_file_zones(card: JobCard, given: Given) -> Answer:
    """Return the zones to file after the push that followed."""
    return at_level(case_of(card).following, BRIGHT)


def picture(which: str, title: str) -> Callable[[JobCard], str]:
    """Return a picture of one of the card's pushes."""

    def drawn(card: JobCard) -> str:
        pattern: FacePattern = getattr(case_of(card), which)
        return draw_marked_zones(
            top=pattern.top,
            bottom=pattern.bottom,
            seed=f"{card.class_code}/{card.number}/{card.attempt}/{which}",
            title=title,
        ).html()

    return drawn


# --- heights and travel -------------------------------------------------------------------------


def height(card: JobCard, travel_in: float) -> float:
    """Return the height that goes with a travel on this card's taper [in]."""
    return float(
        height_for_travel_in(travel_in=travel_in, taper_in_per_in=case_of(card).taper_in_per_in)
    )


def travel(card: JobCard, height_in: float) -> float:
    """Return the travel that goes with a height on this card's taper [in]."""
    return float(
        travel_for_height_in(height_in=height_in, taper_in_per_in=case_of(card).taper_in_per_in)
    )


def small_height(card: JobCard) -> float:
    """Return the small height of the first sum: a thousandth, or a hundredth of a mm [in]."""
    return 0.01 / MM_PER_IN if card.metric else 0.001


def small_travel(card: JobCard, given: Given) -> float:
    """Return the travel for it [in]."""
    return travel(card, small_height(card))


def taken_off(card: JobCard, given: Given) -> float:
    """Return the height that the last two rounds took off [in]."""
    outs = case_of(card).stand_outs_in
    return height(card, outs[0] - outs[-1])


def still_off(card: JobCard, given: Given) -> float:
    """Return the height still to come off with the file before the drive [in]."""
    case = case_of(card)
    return height(card, case.stand_outs_in[-1] - case.left_to_drive_in)


def next_out(card: JobCard, given: Given) -> float:
    """Return the stand-out after the next filing [in]."""
    case = case_of(card)
    return case.stand_outs_in[-1] - travel(card, case.next_cut_in)


# --- what it means ------------------------------------------------------------------------------


def by_place(pattern: FacePattern) -> str:
    """Return what marks tell by where they lie, if they can be trusted."""
    half = ZONES // 2
    near = [BRIGHT in face[:half] for face in (pattern.top, pattern.bottom)]
    far = [BRIGHT in face[half:] for face in (pattern.top, pattern.bottom)]
    if all(near) and not any(far):
        return MORE_TAPER
    if all(far) and not any(near):
        return LESS_TAPER
    return NO_CAUSE


def cause(card: JobCard, given: Given) -> Answer:
    """Return what the marks of now tell, with what else the card says."""
    case = case_of(card)
    if case.blue_over_blue:
        return OLD_BLUE
    return TOO_WIDE if case.sides_rubbed else by_place(case.now)


def whole_length(card: JobCard) -> bool:
    """Return whether the marks of now run the whole length of both faces."""
    now = case_of(card).now
    return all(
        face[0] == face[-1] == BRIGHT and face.count(BRIGHT) >= ZONES - 1
        for face in (now.top, now.bottom)
    )


def decide(card: JobCard, given: Given) -> Answer:
    """Return what is done now."""
    case = case_of(card)
    told = cause(card, given)
    if told == OLD_BLUE:
        return CLEAN
    if told == TOO_WIDE:
        return SIDES
    close = case.stand_outs_in[-1] - case.left_to_drive_in < 0.08
    return HOME if close and whole_length(card) else FILE


def creep_from(card: JobCard) -> float:
    """Return from what on a hub has crept [in]."""
    return 0.5 / MM_PER_IN if card.metric else CREEP_IN


def creep(card: JobCard, given: Given) -> float:
    """Return by how much the hub moved along the shaft in the drive [in]."""
    before, after = case_of(card).hub_from_end_in
    return after - before


def driven(card: JobCard, given: Given) -> float:
    """Return how far the hammer drove the second key [in]."""
    return case_of(card).before_blows_in - case_of(card).proud_in


def after_drive(card: JobCard, given: Given) -> Answer:
    """Return what is done when the key is home."""
    case, moved = case_of(card), abs(creep(card, given))
    if moved - 2 * case.place_good_in > creep_from(card):
        return SET_BACK
    if moved + 2 * case.place_good_in > creep_from(card):
        return UNKNOWN
    before, after = case.hub_runout_in
    return UNTRUE if after - before > 2 * case.dial_good_in + 1e-9 else RUN


def place_of(kind: str, where: tuple[str, ...], options: tuple[str, ...]) -> str | None:
    """Return the option that names where a kind stands first; None where it is not there."""
    return options[where.index(kind)] if kind in where else None


def which_blue(card: JobCard, given: Given) -> Answer:
    """Return which blue is taken: the high-spot blue, or none of them."""
    return place_of(HIGH_SPOT, case_of(card).blues, BLUES) or BLUES[3]


def which_can(card: JobCard, given: Given) -> Answer:
    """Return which lubricant is taken: the one on the site's list, or none of them."""
    return place_of(LISTED, case_of(card).cans, LUBRICANTS) or LUBRICANTS[3]


def round_from(card: JobCard, order: str = ROUND) -> tuple[str, ...]:
    """Return the steps of a round in an order, from the one after the step done last."""
    begin = order.index(case_of(card).done_last) + 1
    return tuple(order[begin:] + order[:begin])


def lower_by(card: JobCard, given: Given) -> float:
    """Return how much lower the slot is at the other place than at the near end [in]."""
    near, other = case_of(card).ends_in
    return near - other


def from_which_end(card: JobCard, given: Given) -> Answer:
    """Return from which end the key goes in: the end where the slot is higher."""
    case, lower = case_of(card), number_of(given, "04-lower")
    if abs(lower) <= 2 * case.height_doubt_in:
        return CANNOT_TELL
    return NEAR if lower > 0 else FAR


def verdict(card: JobCard, given: Given) -> Answer:
    """Return whether the second key's fit is accepted."""
    return {"fits": ACCEPTED, "gap": GAP, "proud": PROUD, "loose": LOOSE}[case_of(card).end]


def doubt(card: JobCard, given: Given) -> str:
    """Return why the card is a near miss, or nothing."""
    case = case_of(card)
    both = (case.now.top, case.now.bottom)
    if cause(card, given) == NO_CAUSE and not all(
        BRIGHT in (*face[:2], *face[-2:]) for face in both
    ):
        return "04-cause: spots neither at an end nor spread"
    if (case.sides_rubbed or case.blue_over_blue) and by_place(case.now) != NO_CAUSE:
        return "04-cause: two causes at once"
    if bear(card, given) == to_file_zones(card, given):
        return "04-file: the spots are those of the first push"
    if not all(set(pattern.both) >= {BRIGHT, THINNED} for pattern in (case.first, case.following)):
        return "04-bear: nothing is thinned"
    return ""


# --- the card -----------------------------------------------------------------------------------


def left_to_drive_text(card: JobCard) -> str:
    """Write what the shop leaves to drive."""
    value = case_of(card).left_to_drive_in
    return distance_text(card, value) if card.metric else fraction_text(value)


def cut_text(card: JobCard, value_in: float) -> str:
    """Write a small height."""
    return f"{value_in * MM_PER_IN:.3f} mm" if card.metric else f"{value_in:.4f} in"


def taper_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the key's taper."""
    return (Fact("Taper of the key", f"1:{case_of(card).taper_ratio}"),)


def blue_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what blue there is."""
    said = {
        HIGH_SPOT: "high-spot blue, a soft paste",
        "layout": "layout fluid, blue, dries in a minute",
        "chalk": "blue carpenter's chalk",
        "pen": "a blue marking pen",
    }
    return (Fact("In the blue drawer", _by_letter(said, case_of(card).blues)),)


def _by_letter(said: Mapping[str, str], where: tuple[str, ...]) -> str:
    return "; ".join(f"{letter}: {said[kind]}" for letter, kind in zip("ABC", where, strict=True))


def push_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what goes with the first two pushes."""
    return (Fact("Before each of the first two pushes", "key and slot cleaned, fresh blue, thin"),)


def out_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the stand-outs."""
    outs = case_of(card).stand_outs_in
    return (
        *taper_facts(card),
        Fact(
            "Stand-out, with the same push each time",
            f"two rounds ago {rule_text(card, outs[0])}; last round {rule_text(card, outs[1])}; "
            f"now {rule_text(card, outs[2])}",
        ),
    )


def drive_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return stand-outs, where the key ends up, and what is left to drive."""
    return (
        *out_facts(card),
        Fact("Large end, when the key is home", "flush with the hub face"),
        Fact("Left to drive, in this shop", f"{left_to_drive_text(card)} of travel"),
    )


def cut_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return stand-outs and the next cut."""
    cut = cut_text(card, case_of(card).next_cut_in)
    return (
        *out_facts(card),
        Fact("The next filing takes off, both faces together", cut),
    )


def now_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what goes with the marks of now."""
    case = case_of(card)
    outs = case.stand_outs_in
    blue = (
        "fresh blue put on over the old"
        if case.blue_over_blue
        else "key and slot cleaned, fresh blue, thin"
    )
    sides = "both rubbed bright" if case.sides_rubbed else "not rubbed"
    return (
        Fact(
            "Width of slot and key",
            f"slot {length_text(card, case.slot_width_in)}; "
            f"key {length_text(card, case.key_width_in)}",
        ),
        Fact("Before this push", blue),
        Fact("Sides of the key after it", sides),
        Fact(
            "Filed in the last rounds",
            "the bright spots, on both faces"
            if case.filed_at == "both faces"
            else "the large end only",
        ),
        Fact(
            "Stand-out; left to drive in this shop",
            f"{rule_text(card, outs[-1])}; {left_to_drive_text(card)}",
        ),
    )


def shelf_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what stands on the shelf."""
    said = {
        LISTED: "lead-free anti-seize, on the site's list",
        WHITE_LEAD: "an old can marked white lead",
        UNLISTED: "anti-seize that is not on the site's list",
        GREASE: "wheel-bearing grease",
    }
    return (Fact("Cans on the shelf", _by_letter(said, case_of(card).cans)),)


def end_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return how the second key's drive ended."""
    case = case_of(card)
    leaf = f"{case.leaf_in * MM_PER_IN:.2f} mm" if card.metric else f"{case.leaf_in:.4f} in"
    place = "above" if case.gap_above else "below"
    other = "below" if case.gap_above else "above"
    enters = (
        f"{place} the key it goes in {rule_text(card, case.leaf_depth_in)}, {other} it nowhere"
        if case.end == "gap"
        else "above and below the key it goes in nowhere"
    )
    spots = (
        "over a tenth of the length"
        if case.end == "loose"
        else "over the whole length of both faces"
    )
    blows = (
        "three light ones, and it never tightened up"
        if case.end == "loose"
        else "each moved it less than the one before; the last hardly moved it"
    )
    out = "flush" if case.end != "proud" else f"stands out {rule_text(card, case.proud_in)}"
    before = f"stood out {rule_text(card, case.before_blows_in)}"
    return (
        Fact("Second key: large end before the first blow", before),
        Fact("Second key: bright spots at the last tap", spots),
        Fact("Second key: blows", blows),
        Fact("Second key: large end after the drive", out),
        Fact(f"Second key: thinnest feeler leaf, {leaf}", f"{enters}; at the sides it goes in"),
    )


def hub_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return where the hub sat and how it ran, before the drive and after it."""
    case = case_of(card)
    places = [place_text(card, one) for one in case.hub_from_end_in]
    runouts = [
        f"{one * MM_PER_IN:.2f} mm" if card.metric else f"{one:.3f} in"
        for one in (*case.hub_runout_in, case.dial_good_in)
    ]
    return (
        Fact(
            "End of the shaft to the hub face",
            f"before the drive {places[0]}; after {places[1]}; each good to "
            f"±{place_text(card, case.place_good_in)}",
        ),
        Fact("A hub has crept here from", place_text(card, creep_from(card))),
        Fact(
            "Runout of the hub face",
            f"before the drive {runouts[0]}; after {runouts[1]}; each good to ±{runouts[2]}",
        ),
    )


def place_text(card: JobCard, value_in: float) -> str:
    """Write a distance along the shaft."""
    return f"{value_in * MM_PER_IN:.2f} mm" if card.metric else f"{value_in:.3f} in"


def round_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what is said of the round whose steps are put in order."""
    last = WORDS.steps("04-round")["ABCDEF".index(case_of(card).done_last)]
    return (
        Fact("At the bench", "soft jaws; the drive is locked out"),
        Fact("The step done last", f"{last[:1].lower()}{last[1:].removesuffix('.')}"),
    )


def ends_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the two heights of the slot, how far apart, and how well they are known."""
    case = case_of(card)
    near, other = (length_text(card, one) for one in case.ends_in)
    return (
        Fact("Height of the slot at the near end", near),
        Fact(f"Height {rule_text(card, case.apart_in)} further in", other),
        Fact("Each height is known to about", f"± {length_text(card, case.height_doubt_in)}"),
    )


def facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed card."""
    return (
        *ends_facts(card),
        *blue_facts(card),
        *push_facts(card),
        *drive_facts(card),
        Fact(
            "The next filing takes off, both faces together",
            cut_text(card, case_of(card).next_cut_in),
        ),
        *now_facts(card)[:-1],
        *round_facts(card)[1:],
        *shelf_facts(card),
        *hub_facts(card),
        *end_facts(card),
    )
