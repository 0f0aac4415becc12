"""The pulling plan of a job sheet: force range, chain, load steps, when to stop."""

from __future__ import annotations

import math
import re

from coursework.ink.shop import METRIC
from keycourse.jobsheet import cautions
from keycourse.jobsheet.blocks import (
    Block,
    Facts,
    Grid,
    Points,
    Section,
    Words,
)
from keycourse.jobsheet.job import PSI_PER_BAR, Job
from keycourse.jobsheet.ways import way_blocks
from keycourse.jobsheet.writing import Writer
from keycourse.whole.job_inputs import PullInputs
from keycourse.whole.job_pull import PullFigures
from keycourse.whole.whole_job import JobFigures
from taperkey import practice
from taperkey.formulas.chain import REQUIRED_LINKS, ChainLink
from taperkey.formulas.link import Link

__all__ = ["pulling_sections"]

_TITLE = "7  Pulling plan"


def pulling_sections(job: Job, figures: JobFigures, write: Writer) -> list[Section]:
    """Return the pulling plan, or one line that none was asked for."""
    given, found = job.inputs.pull, figures.pull
    if given is None or found is None:
        nothing = Words(text="No key is to be pulled on this job.")
        return [Section(title=_TITLE, blocks=(nothing,), page=True)]
    blocks: list[Block] = [Facts(rows=_rows(given, found, write))]
    if found.old.end != "inside":  # at the small end no link has anything to carry
        blocks.append(_chain(given, found, write))
    if found.decision.go:
        what = "the pull" if found.blow is None else "one blow"
        words = (
            f"Compared: the high end of {what}, {write.force(_demand(found), 'up')}, with the"
            f" weakest link, {_governing(found)}, {write.force(_capacity(found), 'down')}."
        )
        blocks.append(Words(text=words, strong=True, near=True))
        blocks.extend(_steps(given, found, write))
    else:
        what = "at this end" if found.old.end == "inside" else "with this rig as it stands"
        blocks.append(Words(text=f"NO PULL {what}: see STOP on page 1.", strong=True))
    if ways := way_blocks(found, write, rusted=given.surface == "rusted"):
        blocks.extend(ways)
    elif not found.decision.go:
        blocks.append(cautions.hazard_points(cautions.UNDECIDED))
    elif found.blow is not None:
        blocks.append(Words(text="Stop striking when:", strong=True))
        blocks.append(Points(items=cautions.STOP_STRIKING, near=True))
        blocks.append(cautions.hazard_points(cautions.STRIKING))
    else:
        blocks.append(Words(text="Stop and let the pressure off when:", strong=True))
        blocks.append(Points(items=cautions.STOP_WHEN, near=True))
        hot = given.surface == "rusted" or "weld" in REQUIRED_LINKS[given.method]
        blocks.append(cautions.hazard_points(cautions.PULLING + hot * cautions.WELDING))
    return [Section(title=_TITLE, blocks=tuple(blocks), page=True)]


def _demand(found: PullFigures) -> float:
    return found.chain.demand_high_lbf if found.chain else found.pull.high_lbf


def _capacity(found: PullFigures) -> float:
    return found.chain.capacity_lbf if found.chain else 0.0


def _governing(found: PullFigures) -> str:
    return found.chain.governing.name if found.chain else "unknown"


def _rows(given: PullInputs, found: PullFigures, write: Writer) -> tuple[tuple[str, str], ...]:
    low, high = found.friction
    rows = [
        ("Rig", _rig(given, write)),
        (
            "Force on the faces",
            f"{write.force(found.seat.low_lbf, 'down')} to {write.force(found.seat.high_lbf, 'up')}"
            f" ({_seated_by(given, write)})",
        ),
        ("Friction", f"{low:.2f} to {high:.2f} ({given.surface})"),
        (
            "Pull that starts it",
            f"{write.force(found.pull.low_lbf, 'down')} to {write.force(found.pull.high_lbf, 'up')}"
            f" at the large end, {_where(found)}; the {found.pull.driver} makes this range wide",
        ),
        ("The same in 100 trials", _spread(found, write)),
    ]  # fmt: skip
    if found.blow is not None:
        rows.append(
            (
                "One blow",
                f"{write.force(found.blow.peak_low_lbf, 'down')} to"
                f" {write.force(found.blow.peak_high_lbf, 'up')} in the rod",
            )
        )
    return tuple(rows)


def _seated_by(given: PullInputs, write: Writer) -> str:
    """Say which key is meant: one whose travel or pressure is known, or an unknown hand's."""
    known = []
    if given.travel_after_contact_in is not None:
        near, far = (write.shop(one) for one in given.travel_after_contact_in)
        known.append(f"travel of {near} to {far} past full contact")
    if given.planned_pressure_psi is not None:
        low, high = (write.pressure(one) for one in given.planned_pressure_psi)
        stated = f"{low} to {high} on the faces"
        unknown = f"unknown hand, travel not known: {stated}"
        known.append(unknown if given.seat_pressure_psi is None else stated)
    return "; ".join(known)


def _where(found: PullFigures) -> str:
    return {
        "mouth": "which shows",
        "inside": "which is on the FAR side",
        "undecided": "and nobody knows which that is",
    }[found.old.end]


def _spread(found: PullFigures, write: Writer) -> str:
    """Say how often the pull is what: the ends above never come together."""
    spread = found.spread
    five, half, most = (write.force(one, "up") for one in spread.pull_lbf)
    words = f"5 stay under {five}, 50 under {half}, 95 under {most}"
    if spread.chance is not None and found.old.end == "mouth":
        words += f"; {_in_hundred(spread.chance)} under what the {_governing(found)} allows"
    name, share = spread.shares[0]
    words += (
        f". The largest part of the scatter: {name} ({percent(share)})."
        f" {spread.trials:,} trials by JCGM 101, seed {spread.seed}."
    )
    return words


def percent(share: float) -> str:
    """Write a share as the pages do."""
    return f"{share * 100:.0f} %"


def _in_hundred(chance: float) -> str:
    """Write a chance as a count of a hundred, rounded down; never all, never none."""
    count = math.floor(chance * 100 + 1e-9)
    if count == 100:
        return "more than 99"
    return "fewer than 1" if count == 0 else f"{count}"


def _rig(given: PullInputs, write: Writer) -> str:
    parts = {
        "strongback": "rod through a strongback, with jacks under it",
        "hollow-ram": "hollow-ram jack over the rod",
        "welded strongback": "strongback welded to the key, with jacks under it",
        "slide hammer": f"slide hammer of {write.force(given.weight_lbf)} on the rod",
    }[given.method]
    if "jacks" in REQUIRED_LINKS[given.method]:
        parts += (
            f"; {given.jacks} × {write.tons(given.jack_tons)}, {percent(given.jack_share)} used"
        )
    if "rod" in REQUIRED_LINKS[given.method]:
        rod = given.thread_name or "key not tapped"
        parts += f"; {rod}, {given.grade_name or 'grade NOT known'}"
    return parts


def _chain(given: PullInputs, found: PullFigures, write: Writer) -> Grid:
    if found.chain is None:
        rows = tuple(
            (link.name, write.force(link.capacity_lbf, "down"), "", _basis(link, given, write))
            for link in found.links
        )
        return Grid(
            header=("Link", "Allows", "Used", "How reckoned; the chain is NOT complete"),
            rows=rows,
            shares=_SHARES,
        )
    rows = tuple(
        (
            f"{link.name}{' – GOVERNS' if place == 0 else ''}",
            write.force(link.capacity_lbf, "down"),
            percent(link.utilisation) if link.capacity_lbf else "over",
            _basis(link, given, write),
        )
        for place, link in enumerate(found.chain.links)
    )
    return Grid(
        header=("Link, weakest first", "Allows", "Used", "How reckoned"),
        rows=rows,
        shares=_SHARES,
        strong_row=0,
    )


def _basis(link: Link | ChainLink, given: PullInputs, write: Writer) -> str:
    """Write how a link was reckoned in the units of the job; a mixed sheet shows inches."""
    if write.units != "metric":
        return re.sub(r"\d+\.\d{4,}", lambda long: f"{float(long[0]):.3f}", link.basis)
    if link.name == "jacks":
        return (
            f"{given.jacks} × {write.tons(given.jack_tons)}, {percent(given.jack_share)} of the"
            " rating used"
        )
    return METRIC.say(link.basis).replace(".00 ", " ")


_SHARES = (0.19, 0.15, 0.1, 0.56)


def _steps(given: PullInputs, found: PullFigures, write: Writer) -> list[Block]:
    if found.blow is not None:
        blows = f"{practice.value('most_blows'):.0f}"
        words = (
            f"Strike {blows} even blows, measure the key against a mark, and go on only while it"
            f" moves. Look at rod and thread after each {blows}."
        )
        return [Words(text=words)]
    gauge = any(step.gauge_psi is not None for step in found.steps)
    strokes = any(step.strokes is not None for step in found.steps)
    header = ["Load step", "Pull", "Each jack", "Held, looked at", "Key moved by"]
    if given.load_by == "load cell":
        header[1] = "Load cell"
    shares = [0.17, 0.21, 0.21, 0.2, 0.21]
    if gauge:
        header.insert(3, "Gauge")
        shares = [0.16, 0.15, 0.15, 0.24, 0.16, 0.14]
    if strokes:
        header.insert(3, "Strokes")
        shares = [0.16, 0.17, 0.17, 0.15, 0.18, 0.17]
    rows = []
    for step in found.steps:
        row = [
            percent(step.share) + (" STOP" if step.share == 1 else ""),
            write.force(step.load_lbf, "down"),
            write.force(step.each_lbf, "down"),
            "",
            "",
        ]
        if gauge:
            row.insert(3, gauge_text(step.gauge_psi or 0.0, given.gauge_division_psi))
        if strokes:
            row.insert(3, f"{step.strokes or 0}")
        rows.append(tuple(row))
    words = (
        "Hold each step one minute, look from outside the line of the rod, then go on. It may let"
        f" go anywhere from {write.force(found.pull.low_lbf, 'down')} on."
    )
    return [
        Words(text=words),
        Grid(header=tuple(header), rows=tuple(rows), shares=tuple(shares), near=True),
        Facts(rows=_watch_rows(given, found, write)),
    ]


def gauge_text(pressure_psi: float, division_psi: float | None) -> str:
    """Write a mark of the gauge in psi and in bar, neither above it.

    A gauge that is divided in bar has its mark in bar, with psi rounded down beside it.
    """
    bar = pressure_psi / PSI_PER_BAR
    in_bar = division_psi is not None and _whole(division_psi / PSI_PER_BAR)
    if in_bar and not _whole(division_psi or 0.0):
        return f"{bar:,.1f} bar ({math.floor(pressure_psi + 1e-6):,} psi)".replace(".0 bar", " bar")
    return f"{math.floor(pressure_psi + 1e-6):,} psi ({math.floor(bar + 1e-6):,} bar)"


def _whole(value: float) -> bool:
    return abs(value * 10 - round(value * 10)) < 1e-6


def _watch_rows(
    given: PullInputs, found: PullFigures, write: Writer
) -> tuple[tuple[str, str], ...]:
    """Return what the stop load does besides drawing the key."""
    watched = found.watched
    if watched is None or found.decision.stop_at_lbf is None:
        return ()
    stop = write.force(found.decision.stop_at_lbf, "up")
    rows = []
    if given.load_by == "strokes":
        rows.append(
            (
                "Strokes count from",
                "where all is tight, with a full stroke each. They stretch the rod alone: what else"
                " gives leaves the load below what is planned, never above.",
            )
        )
    if watched.reaction is not None:
        rows.append(
            (
                "The rig reacts on",
                f"the face of the hub, which has to take {stop}. If it stood on the shaft, the key"
                f" would drag the hub along with {write.force(watched.reaction.hub_lbf, 'up')}.",
            )
        )
    if watched.energy_lbf_in is not None and watched.sledge_drop_in is not None:
        sledge = practice.value("drive_hammer")
        rows.append(
            (
                f"Stored in the {watched.stored_in} at the stop load",
                f"{write.energy(watched.energy_lbf_in)}, as much as a {write.weight(sledge)} sledge"
                f" that falls {write.drop(watched.sledge_drop_in)}. It flies if a part lets go; oil"
                " and hoses store more.",
            )
        )
    if watched.nut_torque_lbf_in is not None:
        low, high = watched.nut_torque_lbf_in
        rows.append(
            (
                "By the nut alone, without jacks",
                f"Greased, {write.wrench(low)} brings the stop load: go no higher. A dry thread"
                f" takes {write.wrench(high)} for it. Torque tells the pull only to a quarter"
                " either way.",
            )
        )
    return tuple(rows)
