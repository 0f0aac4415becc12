"""One job from readings to pulling plan: every number, where it comes from, and what it says."""

from __future__ import annotations

from dataclasses import dataclass

from keycourse.whole.job_inputs import Finding, JobInputs
from keycourse.whole.job_key import KeyFigures, work_key
from keycourse.whole.job_opening import OpeningFigures, work_opening
from keycourse.whole.job_pull import PullFigures, work_pull
from keycourse.whole.workings import Workings
from taperkey.checks import require_in

__all__ = ["JobFigures", "work_out"]


@dataclass(frozen=True, kw_only=True)
class JobFigures:
    """Everything that a job sheet shows.

    Attributes
    ----------
    opening : OpeningFigures or None
        What the readings of the slot say; None while it was not measured.
    key : KeyFigures or None
        The key to be made; None while the large end is undecided or the slot not measured.
    pull : PullFigures or None
        The pull; None where none was asked for.
    workings : Workings
        Every number with its origin.
    findings : tuple of Finding
        Stops first, then where to look.
    """

    opening: OpeningFigures | None
    key: KeyFigures | None
    pull: PullFigures | None
    workings: Workings
    findings: tuple[Finding, ...]

    @property
    def stops(self) -> tuple[Finding, ...]:
        """The findings at which work does not go on."""
        return tuple(one for one in self.findings if one.level == "stop")


def work_out(*, job: JobInputs) -> JobFigures:
    """Work out a whole job from a mechanic's inputs.

    readings -> taper and large end -> key -> cuts; seat force and friction -> pull -> rig

    Parameters
    ----------
    job : JobInputs
        Old key and rig, readings of the slot, key wanted: what there is of it.

    Returns
    -------
    JobFigures
        Every number in the course's own units, each with its formula, inputs and source, and
        the findings with stops first.

    Raises
    ------
    ValueError
        One sentence, where an input is missing, out of its range or against another one.

    Assumptions
    -----------
    Those of the formulas it calls; it adds none.

    Examples
    --------
    >>> from keycourse.whole.job_inputs import JobInputs, KeyInputs, OpeningInputs
    >>> done = work_out(job=JobInputs(standard="inch", key=KeyInputs(), opening=OpeningInputs(
    ...     distances_in=(0.0, 6.0), readings_in=((1.0625,), (1.0,)), hub_widths_in=(1.002,),
    ...     shaft_widths_in=(1.002,), hub_length_in=9.6, shaft_diameter_in=4.0,
    ...     keyway_at_bottom=True)))
    >>> done.opening.end, done.opening.standard, round(done.key.blank.large_end_height_in, 4)
    ('mouth', '1:96', 1.0725)

    Source
    ------
    `work_opening`, `work_key`, `work_pull`.
    """
    require_in("standard", job.standard, ("inch", "metric"))
    workings = Workings()
    findings: list[Finding] = []
    opening = None
    if job.opening is not None:
        opening = work_opening(
            opening=job.opening, standard=job.standard, workings=workings, findings=findings
        )
    key = None
    if opening is not None and job.opening and job.key and opening.end != "undecided":
        key = work_key(
            key=job.key,
            opening=job.opening,
            figures=opening,
            standard=job.standard,
            workings=workings,
            findings=findings,
        )
    pull = None
    if job.pull is not None:
        pull = work_pull(
            pull=job.pull,
            key=job.key,
            opening=job.opening,
            figures=opening,
            standard=job.standard,
            workings=workings,
            findings=findings,
        )
    ordered = sorted(findings, key=lambda one: one.level != "stop")
    return JobFigures(
        opening=opening, key=key, pull=pull, workings=workings, findings=tuple(ordered)
    )
