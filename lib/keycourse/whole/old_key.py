"""The old key, still in its slot: what is known of it before it is out.

While a key is driven no gauge goes into the slot. A caliper goes over shaft and key at both hub
faces; that tells which end is large, and nothing else. Where the slot was measured as well (by
somebody, on another day), what it says is held against that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from keycourse.whole.job_inputs import Finding, KeyInputs, OpeningInputs, PullInputs
from keycourse.whole.job_opening import OpeningFigures
from keycourse.whole.workings import Workings
from taperkey.checks import require_positive
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC

__all__ = ["SeatedKey", "seated_key"]

_SURE = 2.0  # standard uncertainties of the difference


@dataclass(frozen=True, kw_only=True)
class SeatedKey:
    """The key that is in the slot.

    Attributes
    ----------
    width_in, height_in, end_height_in, length_in : float
        Width, mean height, height at the end that is pulled, length in the hub [in].
    outside_in : float
        What of it stands outside the hub at that end [in].
    taper_in_per_in : float
        Its taper, 0 or more [in/in].
    taper_key : str
        Name of that taper among the workings.
    end : str
        "mouth", "inside" or "undecided": where its large end is, seen from the end that shows.
    by_readings : bool
        Whether that was read over shaft and key.
    """

    width_in: float
    height_in: float
    end_height_in: float
    length_in: float
    outside_in: float
    taper_in_per_in: float
    taper_key: str
    end: Literal["mouth", "inside", "undecided"]
    by_readings: bool


def seated_key(
    *,
    pull: PullInputs,
    key: KeyInputs | None,
    opening: OpeningInputs | None,
    figures: OpeningFigures | None,
    standard: str,
    workings: Workings,
    findings: list[Finding],
) -> SeatedKey:
    """Return what is known of the key in the slot; what was not read on it comes from the slot.

    large end: the end with the larger reading over shaft and key, if they differ by more than
    2 u √2

    Parameters
    ----------
    pull : PullInputs
        What was read on the old key, and the rig.
    key : KeyInputs or None
        The new key, which stands in for a length that was not read.
    opening : OpeningInputs or None
        Readings of the slot, if there are any.
    figures : OpeningFigures or None
        What they say.
    standard : str
        "inch" or "metric": whose taper the drawing has.
    workings : Workings
        Takes up every number.
    findings : list of Finding
        Takes up what the readings over shaft and key say.

    Returns
    -------
    SeatedKey
        Lengths in [in].

    Raises
    ------
    ValueError
        If a reading is missing and no slot was measured, or is not above 0.

    Assumptions
    -----------
    The shaft is as thick at both hub faces. Where only the slot was measured, the key fills it.

    Source
    ------
    Difference of two readings, JCGM 100:2008, 5.1.2; the drawing's taper while the key is in: own
    rule.
    """
    width, length, height, end_height = _sizes(pull, key, opening, figures, workings)
    if pull.over_near_in is None or pull.over_far_in is None:
        if figures is None:
            raise ValueError(
                "STOP: not given: what is read over shaft and key at both hub faces, and no slot"
                " was measured. Read both, or the large end is not known."
            )
        undecided = figures.end == "undecided"
        return SeatedKey(
            width_in=width,
            height_in=height,
            end_height_in=end_height,
            length_in=length,
            outside_in=_outside(pull, key),
            taper_in_per_in=figures.cut_taper_in_per_in
            if undecided
            else abs(figures.taper_in_per_in),
            taper_key="cut-taper" if undecided else "taper",
            end=figures.end,
            by_readings=False,
        )
    end = _end(pull, workings, findings)
    if figures is not None and {end, figures.end} == {"mouth", "inside"}:
        findings.append(
            Finding(
                level="stop",
                stage="pull",
                words="Over shaft and key the one end is larger, in the slot the other. One of the"
                " two was written down the wrong way round: read both again.",
            )
        )
        end = "undecided"
    slope = workings.assumed(
        "plan-taper",
        "taper that the pull is planned with, the drawing's",
        STANDARD_INCH if standard == "inch" else STANDARD_METRIC,
        "taper",
        source="ASME B17.1 (1:96), DIN 6886 (1:100); with the key in nothing better is known",
    )
    return SeatedKey(
        width_in=width,
        height_in=height,
        end_height_in=end_height,
        length_in=length,
        outside_in=_outside(pull, key),
        taper_in_per_in=slope,
        taper_key="plan-taper",
        end=end,
        by_readings=True,
    )


def _outside(pull: PullInputs, key: KeyInputs | None) -> float:
    if pull.key_outside_in is not None:
        return pull.key_outside_in
    return key.outside_in if key is not None else 0.0


def _end(
    pull: PullInputs, workings: Workings, findings: list[Finding]
) -> Literal["mouth", "inside", "undecided"]:
    near, far = pull.over_near_in, pull.over_far_in
    assert near is not None
    assert far is not None
    require_positive("reading over shaft and key", [near, far], "in", "Read it again.")
    workings.reading("over-near", "over shaft and key, at the face that shows", near)
    workings.reading("over-far", "over shaft and key, at the far face", far)
    sd = workings.assumed(
        "over-doubt",
        "standard uncertainty of a reading over shaft and key",
        pull.over_sd_in,
        source="a caliper held over shaft and key: common practice",
    )
    apart = workings.worked(
        "over-difference",
        "how much larger the key is at the end that shows",
        near - far,
        formula="reading at the face that shows − reading at the far face",
        inputs=["over-near", "over-far"],
        source="the shaft is as thick at both",
    )
    if abs(apart) > _SURE * math.sqrt(2) * sd:
        return "mouth" if apart > 0 else "inside"
    findings.append(
        Finding(
            level="stop",
            stage="pull",
            words="Over shaft and key the two faces differ by {}, and {} may come from the caliper"
            " alone: that does not tell which end is large. Read both again, look at the drawing"
            " and at the marks; no rig before that.",
            numbers=((abs(apart), "length"), (_SURE * math.sqrt(2) * sd, "length")),
        )
    )
    return "undecided"


def _sizes(
    pull: PullInputs,
    key: KeyInputs | None,
    opening: OpeningInputs | None,
    figures: OpeningFigures | None,
    workings: Workings,
) -> tuple[float, float, float, float]:
    """Return width, length in the hub, mean height and height at the end that is pulled [in]."""

    def missing(what: str) -> ValueError:
        return ValueError(
            f"STOP: not given: {what} of the old key, and no slot was measured that would tell it."
        )

    if pull.key_width_in is not None:
        require_positive("width of the old key", pull.key_width_in, "in", "Measure it.")
        width = workings.reading("old-width", "width of the old key", pull.key_width_in)
    elif figures is None:
        raise missing("width")
    else:
        width = workings.worked(
            "old-width", "width of the key in the slot",
            min(figures.hub_width_in, figures.shaft_width_in),
            formula="the narrower slot", inputs=["hub-width", "shaft-width"], source="own rule",
        )  # fmt: skip
    if pull.key_length_in is not None:
        require_positive("length of the old key in the hub", pull.key_length_in, "in")
        length = workings.reading("old-length", "length of the old key in the hub",
                                  pull.key_length_in)  # fmt: skip
    elif opening is None:
        raise missing("length in the hub")
    else:
        given = None if key is None else key.engaged_length_in
        length = workings.reading(
            "old-length",
            "length of the key in the slot",
            opening.hub_length_in if given is None else given,
        )
    if pull.key_height_in is not None:
        require_positive("height of the old key", pull.key_height_in, "in", "Measure it.")
        height = workings.reading("old-height", "height of the old key", pull.key_height_in)
        return width, length, height, height
    if figures is None:
        raise missing("height")
    height = workings.worked(
        "old-height", "mean height of the key in the slot",
        sum(figures.heights_in) / len(figures.heights_in),
        formula="mean of the heights at the stations",
        inputs=[f"height-{place}" for place in range(1, len(figures.heights_in) + 1)],
        source="own rule",
    )  # fmt: skip
    return width, length, height, figures.heights_in[0]
