"""The height where the key enters: by the line and the highest station, and its uncertainty."""

from __future__ import annotations

import math

from keycourse.whole.job_inputs import OpeningInputs
from keycourse.whole.workings import Workings
from taperkey import practice
from taperkey.formulas.common_error import sd_with_common

__all__ = ["entry_doubt", "entry_height"]


def entry_height(
    opening: OpeningInputs,
    distances: tuple[float, ...],
    heights: list[float],
    end: str,
    cut: float,
    workings: Workings,
) -> float:
    """Return the height of the opening where the key enters; nan while that is undecided [in]."""
    if end == "undecided":
        return math.nan
    stations = [f"{word}-{n}" for n in range(1, len(heights) + 1) for word in ("station", "height")]
    source = "straight line through the highest station: a key can be filed down"
    if end == "mouth":
        return workings.worked(
            "entry-height",
            "height of the opening where the key enters, the mouth",
            max(high + cut * at for at, high in zip(distances, heights, strict=True)),
            formula="the highest, over the stations, of height + taper × distance from the mouth",
            inputs=[*stations, "cut-taper"],
            source=source,
        )
    length = workings.reading("hub-length", "length of the hub", opening.hub_length_in)
    return workings.worked(
        "entry-height",
        "height of the opening where the key enters, the far end",
        max(high + cut * (length - at) for at, high in zip(distances, heights, strict=True)),
        formula="the highest, over the stations, of height + taper × distance from the far end",
        inputs=[*stations, "hub-length", "cut-taper"],
        source=f"{source}; measure at the far end before the key is cut",
    )


def entry_doubt(
    opening: OpeningInputs,
    distances: tuple[float, ...],
    end: str,
    sd: float,
    wider: float,
    workings: Workings,
) -> float:
    """Return the standard uncertainty of the entry height; nan while that is undecided [in].

    The line's own at that place, with the misfit of the stations, and what all readings of the
    tool share: it is not in the taper, and it is whole in the height.
    """
    if end == "undecided":
        return math.nan
    at = 0.0 if end == "mouth" else opening.hub_length_in
    count = len(distances)
    mean = math.fsum(distances) / count
    square = math.fsum((one - mean) ** 2 for one in distances)
    weights = [1 / count + (at - mean) * (one - mean) / square for one in distances]
    rule = practice.rule("common_height")
    common = workings.assumed(
        "height-common", "what all heights may be off together, a standard uncertainty",
        opening.height_common_in,
        source=f"{rule.number}: {rule.kind_said}, unless stated on the job",
    )  # fmt: skip
    return workings.worked(
        "entry-doubt",
        "standard uncertainty of the height where the key enters",
        sd_with_common(weights=weights, own_sd=sd * wider, common_sd=common),
        formula="√(u of the line there² + what all heights share²)",
        inputs=["height-doubt", "height-common", *(["misfit"] if "misfit" in workings else []),
                *(f"station-{n}" for n in range(1, count + 1)),
                *(["hub-length"] if end == "inside" else [])],
        source="JCGM 100:2008, 5.2.2: what is shared cancels in the taper, not in the height",
    )  # fmt: skip
