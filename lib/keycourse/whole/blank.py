"""The blank of a whole job: heights, length, travel to home, and what is left to drive."""

from __future__ import annotations

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


def left_to_drive(
    key: KeyInputs,
    blank: KeyBlank,
    taper: float,
    standard: str,
    workings: Workings,
    findings: list[Finding],
) -> float:
    """Return the travel to home at which filing stops [in]."""
    rule = practice.rule("left_to_drive")
    if key.left_to_drive_in is None:
        usual = practice.value("left_to_drive")
        if standard == "metric":
            usual = practice.metric("left_to_drive") / MM_PER_IN
        left = workings.assumed(
            "left-to-drive", "left to drive: travel to home at which filing stops", usual,
            source=rule.kind_said,
        )  # fmt: skip
    else:
        require_non_negative("left to drive", key.left_to_drive_in, "in")
        left = workings.reading("left-to-drive", "left to drive, as this shop has it",
                                key.left_to_drive_in)  # fmt: skip
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
