"""The tapped hole in the key's large end: drill, depth and last tap, and what strips first."""

from __future__ import annotations

from dataclasses import dataclass

from keycourse.key.card import KEY_STEEL
from taperkey import practice
from taperkey.formulas.rod import THREAD_DESIGN_FACTOR, rod_link
from taperkey.formulas.strength import SHEAR_SHARE
from taperkey.formulas.thread import (
    hole_stripping_area_in2,
    rod_stripping_area_in2,
    thread_limits,
    thread_share,
)
from taperkey.tables.strengths import rod_grade, steel
from taperkey.tables.threads import thread

__all__ = ["LEADS", "TAPS", "TappedHole", "full_thread_in", "tapped_hole"]

TAPS = ("taper tap", "plug tap", "bottoming tap")
LEADS = dict(zip(reversed(TAPS), practice.values("tap_lead"), strict=True))  # threads not full


@dataclass(frozen=True, kw_only=True)
class TappedHole:
    """A tapped hole, and what its thread carries.

    Attributes
    ----------
    thread_name : str
        From the table.
    drill_in, depth_in : float
        Of the hole, its point not counted [in].
    tap : str
        The last tap, one of :data:`TAPS`.
    lead_in, full_in, wanted_in : float
        What that tap does not cut full, the full thread, and what is counted on [in].
    share : float
        Of a full thread's height [-].
    drill_low_in, drill_high_in : float
        Least and greatest hole of the thread, class 2B [in].
    key_lbf, rod_thread_lbf, rod_lbf : float
        What strips the key's thread and the rod's, each over the design factor, and what the rod
        itself is trusted with [lbf].
    """

    thread_name: str
    drill_in: float
    depth_in: float
    tap: str
    lead_in: float
    full_in: float
    wanted_in: float
    share: float
    drill_low_in: float
    drill_high_in: float
    key_lbf: float
    rod_thread_lbf: float
    rod_lbf: float

    @property
    def fault(self) -> str:
        """What is wrong with it: "small", "large", "shallow", or nothing."""
        if self.drill_in < self.drill_low_in:
            return "small"
        if self.drill_in > self.drill_high_in:
            return "large"
        return "shallow" if self.full_in < self.wanted_in - 1e-9 else ""


def full_thread_in(*, thread_name: str, depth_in: float, tap: str) -> float:
    """Return the length of full thread that a tap leaves in a hole [in]."""
    return max(0.0, depth_in - LEADS[tap] * thread(name=thread_name).pitch_in)


def tapped_hole(
    *, thread_name: str, grade_name: str, drill_in: float, depth_in: float, tap: str
) -> TappedHole:
    """Work out a tapped hole: full thread, and what it carries with a rod of that grade in it."""
    size = thread(name=thread_name)
    limits = thread_limits(diameter_in=size.diameter_in, pitch_in=size.pitch_in)
    full = full_thread_in(thread_name=thread_name, depth_in=depth_in, tap=tap)
    key = rod = 0.0
    if full > 0:
        key = hole_stripping_area_in2(
            pitch_in=size.pitch_in,
            engagement_in=full,
            rod_major_low_in=limits.rod_major_low_in,
            hole_pitch_high_in=limits.hole_pitch_high_in,
        )
        rod = rod_stripping_area_in2(
            pitch_in=size.pitch_in,
            engagement_in=full,
            rod_pitch_low_in=limits.rod_pitch_low_in,
            hole_minor_high_in=drill_in,
        )
    strips = SHEAR_SHARE / THREAD_DESIGN_FACTOR
    grade = rod_grade(name=grade_name, diameter_in=size.diameter_in)
    return TappedHole(
        thread_name=thread_name,
        drill_in=drill_in,
        depth_in=depth_in,
        tap=tap,
        lead_in=depth_in - full,
        full_in=full,
        wanted_in=practice.value("full_thread") * size.diameter_in,
        share=thread_share(diameter_in=size.diameter_in, pitch_in=size.pitch_in, drill_in=drill_in),
        drill_low_in=limits.hole_minor_low_in,
        drill_high_in=limits.hole_minor_high_in,
        key_lbf=key * steel(name=KEY_STEEL).yield_psi * strips,
        rod_thread_lbf=rod * grade.yield_psi * strips,
        rod_lbf=rod_link(thread_name=thread_name, grade_name=grade_name).capacity_lbf,
    )
