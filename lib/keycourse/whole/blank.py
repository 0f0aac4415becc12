"""The blank of a whole job: heights, length, travel to home, and what is left to drive."""

from __future__ import annotations

import math
from typing import Literal

from keycourse.whole.hub_ring import HubRing
from keycourse.whole.job_inputs import Finding, KeyInputs, OpeningInputs
from keycourse.whole.job_opening import OpeningFigures
from keycourse.whole.workings import Workings
from taperkey import practice
from taperkey.checks import require_non_negative
from taperkey.formulas.key import KeyBlank, key_blank
from taperkey.units import MM_PER_IN

__all__ = ["left_to_drive", "size_blank"]

_ALLOWANCE = practice.rule("fitting_allowance")


def size_blank(
    key: KeyInputs, opening: OpeningInputs, figures: OpeningFigures, workings: Workings
) -> KeyBlank:
    """Return the blank for a slot whose large end is known."""
    length = opening.hub_length_in if key.engaged_length_in is None else key.engaged_length_in
    if length > opening.hub_length_in + 1e-9:
        raise ValueError(
            f"length of the key in the slot is {length:.6g} in; it must be"
            f" {opening.hub_length_in:.6g} in or less, the length of the hub. What stands outside"
            " the mouth is a number of its own."
        )
    blank = key_blank(
        mouth_height_in=figures.entry_height_in,
        taper_in_per_in=figures.cut_taper_in_per_in,
        engaged_length_in=length,
        allowance_in=key.allowance_in,
        extra_length_in=key.outside_in,
    )
    workings.reading("engaged-length", "length of the fitted key in the slot", length)
    workings.reading("outside", "length of the fitted key outside the slot", key.outside_in)
    workings.assumed(
        "allowance",
        "over size in height for fitting and drive",
        key.allowance_in,
        source=f"{_ALLOWANCE.number}: {_ALLOWANCE.kind_said}",
    )
    workings.worked(
        "large-end",
        "height of the blank at its large end",
        blank.large_end_height_in,
        formula="height where the key enters + taper × length outside + allowance",
        inputs=["entry-height", "cut-taper", "outside", "allowance"],
        source=f"straight line; allowance: {practice.rule('fitting_allowance').kind_said}",
    )
    workings.worked(
        "small-end",
        "height of the blank at its small end",
        blank.small_end_height_in,
        formula="height where the key enters − taper × length in the slot + allowance",
        inputs=["entry-height", "cut-taper", "engaged-length", "allowance"],
        source=f"straight line; allowance: {practice.rule('fitting_allowance').kind_said}",
    )
    workings.worked(
        "blank-length",
        "length of the blank",
        blank.length_in,
        formula="length in the slot + length outside",
        inputs=["engaged-length", "outside"],
        source="sum",
    )
    workings.worked(
        "travel-to-home",
        "travel to home of the new blank, first pushed in",
        blank.travel_to_home_in,
        formula="allowance ÷ taper",
        inputs=["allowance", "cut-taper"],
        source="definition of the taper",
    )
    workings.worked(
        "stand-out",
        "first stand-out, from the hub face to the large end",
        key.outside_in + blank.travel_to_home_in,
        formula="length left outside + travel to home",
        inputs=["outside", "travel-to-home"],
        source="sum",
    )
    return blank


def _in_inches(name: str, standard: str) -> float:
    """Return a rule of thumb as the shop works to it [in]."""
    if standard == "metric":
        return practice.metric(name) / MM_PER_IN
    return practice.value(name)


def _say(
    findings: list[Finding], level: Literal["stop", "look"], words: str, *lengths_in: float
) -> None:
    numbers = tuple((one, "length") for one in lengths_in)
    findings.append(Finding(level=level, stage="fit", words=words, numbers=numbers))


def left_to_drive(
    key: KeyInputs,
    blank: KeyBlank,
    taper: float,
    standard: str,
    ring: HubRing | None,
    workings: Workings,
    findings: list[Finding],
) -> float:
    """Return the travel to home at which filing stops: the usual one, less where the hub asks it.

    A value that the shop gave is kept; where it is more than the hub is trusted with, that stops.
    """
    rule = practice.rule("left_to_drive")
    most = math.inf if ring is None else ring.most_left_in(taper, standard)
    usual, least = _in_inches("left_to_drive", standard), _in_inches("least_drive", standard)
    if key.left_to_drive_in is not None:
        require_non_negative("left to drive", key.left_to_drive_in, "in")
        left = workings.reading("left-to-drive", "left to drive, as this shop has it",
                                key.left_to_drive_in)  # fmt: skip
    elif most < usual:
        left = workings.worked(
            "left-to-drive", "left to drive: travel to home at which filing stops", most,
            formula="most squeeze of the hub's ring ÷ taper, down to what a rule shows",
            inputs=["most-squeeze", "cut-taper"], source=f"less than the usual: {rule.kind_said}",
        )  # fmt: skip
    else:
        left = workings.assumed(
            "left-to-drive", "left to drive: travel to home at which filing stops", usual,
            source=rule.kind_said,
        )  # fmt: skip
    if ring is not None and most < least:
        _say(
            findings, "stop",
            f"The hub's ring, {ring.metal.name}, is trusted with {{}} left to drive, and a key that"
            " is driven so little works loose. Do not drive this key: ask whoever answers for the"
            " drive about a stronger hub or a ring shrunk on.",
            most,
        )  # fmt: skip
    elif ring is not None and left > most:
        _say(
            findings, "stop",
            f"{{}} left to drive pulls at the hub's ring, {ring.metal.name}, more than it is"
            " trusted with: {} is the most. File on until no more than that is left.",
            left, most,
        )  # fmt: skip
    elif left < usual and key.left_to_drive_in is None and ring is not None:
        _say(
            findings, "look",
            f"The hub's ring, {ring.metal.name}, is the limit: filing goes on until {{}} is left to"
            " drive, not the usual {}. A longer drive pulls at the ring more than it is trusted"
            " with.",
            left, usual,
        )  # fmt: skip
    file_off = workings.worked(
        "come-off",
        "height to come off in all, before the drive",
        max(blank.travel_to_home_in - left, 0.0) * taper,
        formula="(travel to home − left to drive) × taper, 0 at the least",
        inputs=["travel-to-home", "left-to-drive", "cut-taper"],
        source="definition of the taper",
    )
    if file_off == 0.0:
        findings.append(
            Finding(
                level="look",
                stage="fit",
                words="Nothing is left to file: the blank is {} from home when it is first pushed"
                " in, and {} are left to drive. Leave more on for fitting.",
                numbers=((blank.travel_to_home_in, "length"), (left, "length")),
            )
        )
    return left
