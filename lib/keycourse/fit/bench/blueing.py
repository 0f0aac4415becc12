"""Blue on the key: what the marks show, and the feeler gauge after the drive."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from keycourse.fit.bench.contact import Seat
from keycourse.fit.bench.keyblank import KeyFaces
from taperkey import practice
from taperkey.checks import require_in, require_positive

__all__ = ["FILM_IN", "FeelerCheck", "Marks", "feel_gaps", "marked_spots", "read_marks"]

FILM_IN = practice.value("blue_film")
"""Thickness of a thin even film of blue [in]."""

LEAF_WIDTH_IN = 0.5
"""Width of a feeler leaf. Common practice [in]."""


@dataclass(frozen=True, kw_only=True)
class Marks:
    """Blue of both faces after a push, on the key's own grid.

    Parameters
    ----------
    top, bottom : ndarray of int, shape (k, n)
        0 blue whole, 1 blue thinned, 2 film broken: bright metal.
    covered : float
        Length of key that was in the slot [in].
    share : float
        Bright share of the face that was in the slot, mean of both faces, 0 to 1.
    length_share : float
        Share of the slot's whole length in which both faces have bright marks, 0 to 1.
    """

    top: NDArray[np.int8]
    bottom: NDArray[np.int8]
    covered: float
    share: float
    length_share: float


def read_marks(
    *, key: KeyFaces, seat: Seat, projection_in: float, film_in: float = FILM_IN
) -> Marks:
    """Return where the film is thinned and where it is broken.

    bright where gap < film / 2; thinned where gap < film

    Parameters
    ----------
    key : KeyFaces
        Fields of shape (k, n) [in].
    seat : Seat
        Contact under the push, gaps of shape (m, n) [in].
    projection_in : float
        Large end proud of the mouth [in].
    film_in : float
        Thickness of the film, above 0 [in].

    Returns
    -------
    Marks
        On the key's grid; parts outside the slot are whole blue.

    Raises
    ------
    ValueError
        If the film has no thickness.

    Assumptions
    -----------
    A thick film is pressed thin over a wider patch, so its marks show more
    than what bears.

    Source
    ------
    The method: common practice; the half is this bench's own model.
    """
    require_positive("film of blue", film_in, "in", "Blue the key first.")
    first = round(projection_in / key.spacing_in)
    fields = []
    for gap in (seat.roof_gap_in, seat.floor_gap_in):
        field = np.zeros(key.top_in.shape, dtype=np.int8)
        rows = min(len(gap), len(field) - first)
        level = (gap < film_in).astype(np.int8)
        level[gap < film_in / 2] = 2
        field[first : first + rows] = level[:rows]
        fields.append(field)
    count = int(key.top_in.shape[0])
    rows = max(1, count - first)
    bright = [field[first:] == 2 for field in fields]
    both = bright[0].any(axis=1) & bright[1].any(axis=1)
    return Marks(
        top=fields[0],
        bottom=fields[1],
        covered=rows * key.spacing_in,
        share=float(0.5 * (bright[0].mean() + bright[1].mean())),
        length_share=float(both.sum()) / count,
    )


def marked_spots(
    *, key: KeyFaces, marks: Marks, face: str, least: float = 0.25, level: int = 2
) -> list[tuple[float, float]]:
    """Return the spots to file: one in each field of the face that has marks.

    Parameters
    ----------
    key : KeyFaces
        Fields of shape (k, n) [in].
    marks : Marks
        From :func:`read_marks`.
    face : {"top", "bottom"}
        Which face.
    least : float
        Bright share of a field from which it counts, against the most marked one, 0 to 1.
    level : int
        2 for bright marks only, 1 for thinned blue as well.

    Returns
    -------
    list of (float, float)
        Place along from the large end, and across [in].

    Raises
    ------
    ValueError
        If the face is not known.

    Assumptions
    -----------
    Fields of about 1/2 in by half the width.

    Source
    ------
    Derived here.
    """
    require_in("face", face, ("top", "bottom"))
    field = (marks.top if face == "top" else marks.bottom) >= level
    rows = max(2, round(0.5 / key.spacing_in))
    u = key.u_in()
    halves = np.array_split(np.arange(key.y_in.size), 2)
    found = []
    for begin in range(0, field.shape[0], rows):
        for half in halves:
            part = field[begin : begin + rows, half[0] : half[-1] + 1]
            if part.any():
                i, j = np.nonzero(part)
                spot = (float(u[begin + i].mean()), float(key.y_in[half[0] + j].mean()))
                found.append((float(part.mean()), spot))
    most = max((share for share, _ in found), default=0.0)
    return [spot for share, spot in found if share >= least * most]


@dataclass(frozen=True, kw_only=True)
class FeelerCheck:
    """Where a feeler leaf enters.

    Parameters
    ----------
    leaf_in : float
        Thickness of the leaf [in].
    top_mouth_in, top_far_in, bottom_mouth_in, bottom_far_in : float
        How far it goes in above and below the key, from each end [in].
    side_enters : bool
        Whether it goes in between the key and a side wall.
    largest_gap_in : float
        Largest gap above or below the key anywhere, hidden from the hand [in].
    """

    leaf_in: float
    top_mouth_in: float
    top_far_in: float
    bottom_mouth_in: float
    bottom_far_in: float
    side_enters: bool
    largest_gap_in: float

    @property
    def enters(self) -> bool:
        """Whether the leaf goes in above or below the key by 1/8 in or more."""
        return (
            max(self.top_mouth_in, self.top_far_in, self.bottom_mouth_in, self.bottom_far_in)
            >= 0.125
        )

    def to_dict(self) -> dict[str, Any]:
        """Return what the hand felt, ready for JSON; no hidden value."""
        return {
            "leaf_in": self.leaf_in,
            "top_mouth_in": self.top_mouth_in,
            "top_far_in": self.top_far_in,
            "bottom_mouth_in": self.bottom_mouth_in,
            "bottom_far_in": self.bottom_far_in,
            "side_enters": self.side_enters,
        }


def feel_gaps(
    *, key: KeyFaces, seat: Seat, side_gap_in: float, leaf_in: float = 0.0015
) -> FeelerCheck:
    """Return where a feeler leaf enters around a key.

    Parameters
    ----------
    key : KeyFaces
        Fields of shape (k, n) [in].
    seat : Seat
        Contact, gaps of shape (m, n) [in].
    side_gap_in : float
        Gap at each side wall; negative for a tight side [in].
    leaf_in : float
        Thickness of the leaf, above 0 [in].

    Returns
    -------
    FeelerCheck
        Depth of entry from both ends [in].

    Raises
    ------
    ValueError
        If the leaf has no thickness.

    Assumptions
    -----------
    Leaf 1/2 in wide, held straight, stopped by the first place that is tighter.

    Source
    ------
    The check is common practice: no gap at top and bottom, a slight one at
    the sides.
    """
    require_positive("feeler leaf", leaf_in, "in")
    step = float(key.y_in[1] - key.y_in[0])
    wide = min(max(1, round(LEAF_WIDTH_IN / step)), key.y_in.size)
    depths = []
    for gap in (seat.roof_gap_in, seat.floor_gap_in):
        free = np.asarray(gap >= leaf_in)
        lanes: NDArray[np.bool_] = np.all(
            np.lib.stride_tricks.sliding_window_view(free, wide, axis=1), axis=2
        )
        for way in (lanes, lanes[::-1]):
            deep = np.logical_and.accumulate(way, axis=0).sum(axis=0).max()
            depths.append(float(deep) * key.spacing_in)
    largest = max(float(seat.roof_gap_in.max()), float(seat.floor_gap_in.max()), 0.0)
    return FeelerCheck(
        leaf_in=leaf_in,
        top_mouth_in=depths[0],
        top_far_in=depths[1],
        bottom_mouth_in=depths[2],
        bottom_far_in=depths[3],
        side_enters=bool(side_gap_in >= leaf_in),
        largest_gap_in=largest,
    )
