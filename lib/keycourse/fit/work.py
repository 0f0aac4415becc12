"""Exercise 04: how each answer is worked out, in symbols, with numbers, to the result."""

from __future__ import annotations

from coursework.question import WorkedLine
from keycourse.card import JobCard
from keycourse.common import Given, length_text, rule_text
from keycourse.fit.card import BRIGHT
from keycourse.fit.values import (
    CANNOT_TELL,
    CLEAN,
    FAR,
    FILE,
    HOME,
    LESS_TAPER,
    MORE_TAPER,
    NEAR,
    NO_CAUSE,
    OLD_BLUE,
    RUN,
    SET_BACK,
    SIDES,
    TOO_WIDE,
    UNKNOWN,
    UNTRUE,
    after_drive,
    at_level,
    case_of,
    cause,
    creep_from,
    cut_text,
    decide,
    driven,
    from_which_end,
    left_to_drive_text,
    lower_by,
    next_out,
    place_text,
    round_from,
    small_travel,
    still_off,
    taken_off,
    verdict,
    which_blue,
    which_can,
)
from taperkey.units import MM_PER_IN

Lines = tuple[WorkedLine, ...]


def blue_work(card: JobCard, given: Given) -> Lines:
    """Say which blue."""
    return (
        WorkedLine(
            why="High-spot blue stays soft. Where metal touches metal it is pressed away, and "
            "nowhere else. A thin film shows only what bears. Layout fluid dries hard: it is for "
            "scribing lines. Chalk is dust.",
            result=str(which_blue(card, given)),
        ),
    )


def bear_work(card: JobCard, given: Given) -> Lines:
    """Work out which zones bore."""
    return (
        WorkedLine(
            why="Where the key bears, the film is pressed away and the metal shines. Where the "
            "blue is only thin, there is still a gap, thinner than the film.",
            formula="bears = bright, on both faces",
            result=" ".join(at_level(case_of(card).first, BRIGHT)),
        ),
    )


def file_work(card: JobCard, given: Given) -> Lines:
    """Work out which zones to file."""
    return (
        WorkedLine(
            why="Bright is high. Only the bright spots of this push count, not those of the push "
            "before, and you file both faces.",
            formula="file = bright now, on both faces",
            result=" ".join(at_level(case_of(card).following, BRIGHT)),
        ),
    )


def small_work(card: JobCard, given: Given) -> Lines:
    """Work out the travel for a small height."""
    ratio = case_of(card).taper_ratio
    small = "0.01 mm" if card.metric else "0.001 in"
    return (
        WorkedLine(
            why="At 1:n the key goes in n times as far as the height it loses.",
            formula="travel = height × n",
            numbers=f"{small} × {ratio}",
            result=length_text(card, small_travel(card, given)),
        ),
    )


def off_work(card: JobCard, given: Given) -> Lines:
    """Work out what came off."""
    case = case_of(card)
    outs = case.stand_outs_in
    return (
        WorkedLine(
            why="With the same push each time, the travel tells you how much you filed off.",
            formula="taken off = (stand-out two rounds ago − stand-out now) ÷ n",
            numbers=f"({rule_text(card, outs[0])} − {rule_text(card, outs[-1])}) ÷ "
            f"{case.taper_ratio}",
            result=length_text(card, taken_off(card, given)),
        ),
    )


def still_work(card: JobCard, given: Given) -> Lines:
    """Work out what is still to come off."""
    case = case_of(card)
    return (
        WorkedLine(
            why="The key ends flush, so all that stands out is travel to home. The last bit of it "
            "is left for the drive, not filed away.",
            formula="still to come off = (stand-out now − left to drive) ÷ n",
            numbers=f"({rule_text(card, case.stand_outs_in[-1])} − {left_to_drive_text(card)}) ÷ "
            f"{case.taper_ratio}",
            result=length_text(card, still_off(card, given)),
        ),
    )


def next_work(card: JobCard, given: Given) -> Lines:
    """Work out the next stand-out."""
    case = case_of(card)
    return (
        WorkedLine(
            why="With metal off, the key goes further in: n times as far.",
            formula="next stand-out = stand-out now − height filed off × n",
            numbers=f"{rule_text(card, case.stand_outs_in[-1])} − "
            f"{cut_text(card, case.next_cut_in)} × {case.taper_ratio}",
            result=rule_text(card, next_out(card, given)),
        ),
    )


def cause_work(card: JobCard, given: Given) -> Lines:
    """Work out what the marks tell."""
    told = str(cause(card, given))
    why = {
        NO_CAUSE: "The blue was fresh, the sides are clear, and there are spots toward both ends.",
        MORE_TAPER: "Both faces bear at the large end only. The key is high there, so toward the "
        "small end it gets lower too fast.",
        LESS_TAPER: "Both faces bear at the small end only. The large end was filed by itself and "
        "is now low.",
        TOO_WIDE: "The key is hardly narrower than the slot, and its sides are rubbed bright. It "
        "hangs up on them, and its faces cannot seat.",
        OLD_BLUE: "Fresh blue was put on over the old. Old spots show through, and a thick film "
        "touches where there is still a gap.",
    }[told]
    return (WorkedLine(why=why, result=told),)


def decide_work(card: JobCard, given: Given) -> Lines:
    """Work out what is done now."""
    step = str(decide(card, given))
    why = {
        FILE: "The spots are good, and there is metal still to come off: file what is bright, on "
        "both faces.",
        CLEAN: "You do not file a spot that you cannot trust.",
        SIDES: "While the key hangs on its sides, its faces show nothing that you can trust.",
        HOME: "The spots run the whole length of both faces, and little more than what is left to "
        "drive stands out.",
    }[step]
    return (WorkedLine(why=why, result=step),)


def round_work(card: JobCard, given: Given) -> Lines:
    """Say why the steps come in that order."""
    return (
        WorkedLine(
            why="A round goes in a circle: blue, push, measure, draw and read, clean, file. Begin "
            "with the step after the one done last.",
            result=" ".join(round_from(card)),
        ),
    )


def lubricant_work(card: JobCard, given: Given) -> Lines:
    """Say which lubricant."""
    return (
        WorkedLine(
            why="Steel driven dry galls, and then rusts in. White lead did the job, but it is "
            "poisonous. Use what stands on the site's list, and nothing else.",
            result=str(which_can(card, given)),
        ),
    )


def creep_work(card: JobCard, given: Given) -> Lines:
    """Work out how far the hub moved along the shaft."""
    before, after = case_of(card).hub_from_end_in
    return (
        WorkedLine(
            why="Each blow on the key drags at the hub. The distance from the end of the shaft "
            "tells whether it went along.",
            formula="moved = distance after − distance before",
            numbers=f"{place_text(card, after)} − {place_text(card, before)}",
            result=place_text(card, after - before).replace("-", "−"),
        ),
    )


def hub_work(card: JobCard, given: Given) -> Lines:
    """Work out what is done when the key is home."""
    case = case_of(card)
    good = case.place_good_in
    told = str(after_drive(card, given))
    why = {
        SET_BACK: "Even with both readings off, the hub moved further than that: it has crept. It "
        "is wedged where it is, so it can be set back only with the key out.",
        RUN: "The hub sits where it sat, and it runs as true as it did. Under load it settles, so "
        "look again after the first shift.",
        UNTRUE: "The hub sits where it sat, but its runout grew by more than the dial may be off. "
        "The key tipped it: it bears harder at one end.",
        UNKNOWN: "The readings may be off by more than a creep, so nobody can say whether the hub "
        "crept. What it measures now is where the next check begins.",
    }[told]
    before, after = case.hub_runout_in
    runout = [
        f"{one * MM_PER_IN:.2f} mm" if card.metric else f"{one:.3f} in"
        for one in (after, before, after - before, 2 * case.dial_good_in)
    ]
    return (
        WorkedLine(
            why=f"Both distances may be off, each the other way. Creep begins at "
            f"{place_text(card, creep_from(card))}.",
            formula="doubt = 2 × what one distance is good to",
            numbers=f"2 × {place_text(card, good)}",
            result=place_text(card, 2 * good),
        ),
        WorkedLine(
            why=f"The dial may be off twice as well: {runout[3]}.",
            formula="runout grew by = runout after − runout before",
            numbers=f"{runout[0]} − {runout[1]}",
            result=runout[2],
        ),
        WorkedLine(why=why, result=told),
    )


def driven_work(card: JobCard, given: Given) -> Lines:
    """Work out how far the second key was driven."""
    case = case_of(card)
    return (
        WorkedLine(
            why="What stood out before the blows and does not now has gone in.",
            formula="driven in = stand-out before − stand-out after",
            numbers=f"{rule_text(card, case.before_blows_in)} − {rule_text(card, case.proud_in)}",
            result=rule_text(card, driven(card, given)),
        ),
    )


def lower_work(card: JobCard, given: Given) -> Lines:
    """Work out how much lower the slot is further in."""
    near, other = case_of(card).ends_in
    return (
        WorkedLine(
            why="Near end less the place further in: above 0 the slot gets lower going in, below 0 "
            "it gets higher.",
            formula="lower by = height at the near end − height further in",
            numbers=f"{length_text(card, near)} − {length_text(card, other)}",
            result=length_text(card, lower_by(card, given)).replace("-", "−"),
        ),
    )


def which_end_work(card: JobCard, given: Given) -> Lines:
    """Work out from which end the key goes in."""
    case, told = case_of(card), str(from_which_end(card, given))
    why = {
        NEAR: "The slot is higher at the near end, and a key goes in where the slot is high.",
        FAR: "The slot is lower at the near end, so the high end is the far one, and the key goes "
        "in there. Driven from here it would never seat.",
        CANNOT_TELL: "The two heights differ by no more than twice what each may be off. Measure "
        "again, further apart and with a better tool.",
    }[told]
    return (
        WorkedLine(
            why="Two heights tell the ends apart only if they differ by more than twice what each "
            "may be off.",
            formula="twice the doubt = 2 × doubt",
            numbers=f"2 × {length_text(card, case.height_doubt_in)}",
            result=length_text(card, 2 * case.height_doubt_in),
        ),
        WorkedLine(why=why, result=told),
    )


def verdict_work(card: JobCard, given: Given) -> Lines:
    """Work out the verdict."""
    why = {
        "fits": "It bore over its whole length, it tightened up blow by blow, it is home, and the "
        "leaf goes in nowhere above or below. A slight gap at the sides is right.",
        "gap": "The thinnest leaf goes in above or below the key. It does not bear there, whatever "
        "the blows felt like.",
        "proud": "It hardly moves any more and is not home, so it is hung up somewhere. More "
        "hammer does not give you more bearing.",
        "loose": "It never tightened up, so nothing was squeezed, and it bore over a tenth of its "
        "length. The feeler gauge alone does not tell you: a drive closes small gaps. No shim puts "
        "metal back.",
    }[case_of(card).end]
    return (WorkedLine(why=why, result=str(verdict(card, given))),)
