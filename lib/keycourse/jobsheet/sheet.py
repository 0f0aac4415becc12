"""What a job sheet holds: from a job to sections of words, numbers and a drawing."""

from __future__ import annotations

import math
from datetime import date

from coursework.ink.drawing import Picture
from coursework.ink.shop import INCH, METRIC
from keycourse.jobsheet import cautions
from keycourse.jobsheet.blocks import (
    Block,
    Drawing,
    Facts,
    Grid,
    Points,
    Section,
    Sheet,
    Words,
    Worked,
)
from keycourse.jobsheet.job import Job, JobError
from keycourse.jobsheet.pulling import pulling_sections
from keycourse.jobsheet.sheet_drawing import sheet_drawing
from keycourse.jobsheet.writing import Writer
from keycourse.key.keydrawing import TappedHole
from keycourse.whole.bounds import misfits
from keycourse.whole.hub_ring import RingDrive
from keycourse.whole.job_inputs import KeyInputs, OpeningInputs
from keycourse.whole.job_key import KeyFigures
from keycourse.whole.job_opening import OpeningFigures
from keycourse.whole.whole_job import JobFigures, work_out
from keycourse.whole.workings import Workings
from taperkey import __version__, practice
from taperkey.counts import counted
from taperkey.formulas.key import key_size, keyseat_depths, metric_keyseat_depths
from taperkey.formulas.strength import KeyStrength
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC, taper_angle_rad
from taperkey.formulas.thread import tap_drill_in
from taperkey.tables.reader import read_table
from taperkey.tables.stock import feeler_leaves_in
from taperkey.tables.threads import thread
from taperkey.units import MM_PER_IN

__all__ = ["make_sheet"]

_LOG_ROWS = 11


def make_sheet(*, job: Job, today: date) -> Sheet:
    """Work a job out and lay its sheet.

    Parameters
    ----------
    job : Job
        As read.
    today : date
        Day that the sheet is made.

    Returns
    -------
    Sheet
        Content, ready for screen or paper.

    Raises
    ------
    JobError
        One sentence, where the inputs do not fit together.
    """
    say = (METRIC if job.units == "metric" else INCH).say
    if problems := misfits(job=job.inputs):
        raise JobError(tuple(say(one) for one in problems))
    try:
        figures = work_out(job=job.inputs)
    except ValueError as error:
        raise JobError((say(error.args[0]),)) from None
    write = Writer(job.units)
    head = [
        ("Job", job.title),
        ("Place", job.place),
        ("Work order", job.number),
        ("Measured by", job.mechanic),
        ("Readings of", job.day or today.isoformat()),
        ("Sheet made", today.isoformat()),
    ]
    sections = [
        _before(),
        *_opening_sections(job, figures, write),
        *_key_sections(job, figures, write),
        *pulling_sections(job, figures, write),
        _end(),
    ]
    return Sheet(
        title="Job sheet: taper key",
        under=job.title,
        head=tuple((what, text or "____________________") for what, text in head),
        stops=tuple(one.told(write.any) for one in figures.stops),
        looks=tuple(one.told(write.any) for one in figures.findings if one.level == "look"),
        sections=tuple(sections),
        appendix=_appendix(figures.workings, write),
        foot=f"Course version {__version__} · made {today.isoformat()} · not a substitute for site"
        " rules, local codes and licensed people",
    )


def _before() -> Section:
    return Section(
        title="1  Before a hand goes near it",
        blocks=(cautions.hazard_points(cautions.BEFORE),),
    )


def _opening_sections(job: Job, figures: JobFigures, write: Writer) -> list[Section]:
    given, found = job.inputs.opening, figures.opening
    if given is None or found is None:
        words = (
            "The old key is still in, so no slot was measured and no key was worked out. This"
            " sheet is for the pull alone. When the key is out: fill in the slot on the blank form"
            " (taperkey sheet --blank), then make the sheet again."
        )
        empty = Section(title="2  The empty slot", blocks=(Words(text=words, strong=True),))
        return [empty, _stands_on()]
    return [_opening_section(given, found, job.inputs.standard, write)]


def _opening_section(
    given: OpeningInputs, found: OpeningFigures, standard: str, write: Writer
) -> Section:
    order = sorted(range(len(given.distances_in)), key=lambda at: given.distances_in[at])
    doubt = f"± {write.fine(2 * found.height_sd_in)}"
    rows = tuple(
        (
            "mouth" if given.distances_in[at] == 0 else write.long(given.distances_in[at]),
            "; ".join(write.fine(one) for one in given.readings_in[at]),
            write.fine(height),
            doubt,
        )
        for at, height in zip(order, found.heights_in, strict=True)
    )
    where = (
        "turned to the bottom, where the clearance is in the height"
        if given.keyway_at_bottom
        else "NOT at the bottom"
    )
    facts = [
        ("Keyway", where),
        (
            "Slot widths, mean",
            f"hub {write.fine(found.hub_width_in)}, shaft {write.fine(found.shaft_width_in)}: "
            + ("stepped key" if found.step_asked else "plain key"),
        ),
        (
            "Hub and shaft",
            f"slot {write.long(given.hub_length_in)} long,"
            f" shaft {write.fine(given.shaft_diameter_in)}"
            + (
                f", clearance {write.fine(found.clearance_in)}"
                if found.clearance_in is not None
                else ", clearance not measured"
            ),
        ),
        *_by_the_table(given, standard, write),
        *_taper_rows(found, write),
    ]
    return Section(
        title="2  The empty slot, as measured",
        blocks=(
            Grid(
                header=("Station", "Readings", "Mean height", "Known to (2 u)"),
                rows=rows,
                shares=(0.15, 0.45, 0.2, 0.2),
            ),
            Facts(rows=tuple(facts)),
        ),
    )


def _by_the_table(given: OpeningInputs, standard: str, write: Writer) -> list[tuple[str, str]]:
    """Say the nominal key of this shaft, with S and T of its keyseats, to hold the readings to."""
    shaft = given.shaft_diameter_in
    try:
        size = key_size(shaft_diameter_in=shaft, system=standard)
        if standard == "metric":
            depths = metric_keyseat_depths(shaft_diameter_in=shaft)
        else:
            depths = keyseat_depths(
                shaft_diameter_in=shaft, width_in=size.width_in, height_in=size.height_in
            )
    except ValueError:
        return [("By the table", "no key for a shaft of this size")]
    words = (
        f"{size.standard}: key {write.nominal(size.width_in)} × {write.nominal(size.height_in)};"
        f" S {write.travel(depths.shaft_depth_in)} over the shaft, T"
        f" {write.travel(depths.hub_depth_in)} across the bore at the deep end"
    )
    if standard == "metric":
        lengths = [row["length_mm"] for row in read_table("metric_key_lengths")]
        wanted = given.hub_length_in * MM_PER_IN
        near = min(lengths, key=lambda one: abs(one - wanted))
        words += f"; nearest standard length {near:g} mm"
    return [("By the table", words)]


def _taper_rows(found: OpeningFigures, write: Writer) -> list[tuple[str, str]]:
    t, u = found.taper_in_per_in, found.taper_sd_in_per_in
    angle = math.degrees(float(taper_angle_rad(taper_in_per_in=abs(t))))
    ratio = f"1:{1 / abs(t):.1f}" if t else "straight"
    agrees = {
        "1:96": "agrees with 1:96, not with 1:100",
        "1:100": "agrees with 1:100, not with 1:96",
        "both": "agrees with 1:96 and with 1:100: the readings do not tell them apart",
        "neither": "agrees with neither 1:96 nor 1:100",
    }[found.standard]
    end = {
        "mouth": "at the mouth, where it was measured: the key goes in and comes out here",
        "inside": "INSIDE: the hub is reversed; the key goes in and comes out at the far end",
        "undecided": "NOT DECIDED by these readings",
    }[found.end]
    return [
        (
            "Taper of the opening",
            f"{write.slope(abs(t))} ± {write.slope(2 * u)} ({ratio}, {angle:.2f}°)",
        ),
        (
            "Against the standards",
            f"{agrees} (1:96 is {write.slope(STANDARD_INCH)}, 1:100 is"
            f" {write.slope(STANDARD_METRIC)})",
        ),
        ("Large end", end),
        *(
            ()
            if found.end == "undecided"
            else (
                (
                    "Height where it enters",
                    f"{write.fine(found.entry_height_in)} ± {write.fine(2 * found.entry_sd_in)}"
                    " (2 u): with what all heights share, which is not in the taper",
                ),
            )
        ),
    ]


def _key_sections(job: Job, figures: JobFigures, write: Writer) -> list[Section]:
    key, given, opening = figures.key, job.inputs.key, figures.opening
    if given is None or opening is None:
        return []
    if key is None:
        words = (
            "No key was worked out: the readings do not tell which end is large. Measure again,"
            " then make the sheet anew."
        )
        return [Section(title="3  The key", blocks=(Words(text=words, strong=True),)), _stands_on()]
    warned: tuple[Block, ...] = ()
    if any(one.stage in ("measure", "make") for one in figures.stops):
        warned = (
            Words(text="Cut nothing from these numbers before the STOP is cleared.", strong=True),
        )
    return [
        Section(
            title="3  The key",
            blocks=(
                *warned,
                Drawing(
                    picture=_drawing(job.units, given, key),
                    beside=_key_facts(given, opening, key, write),
                ),
                *_strength_facts(key, figures.workings, write),
            ),
        ),
        _stands_on(),
        _cutting(given, key, write),
        _fitting(job.units, given, key, write),
        Section(
            title="6  Final checks",
            blocks=(Points(items=_checks(write), kind="tick"),),
        ),
    ]


def _checks(write: Writer) -> tuple[str, ...]:
    thinnest = write.fine(feeler_leaves_in()[0])
    return tuple(
        one.replace("Thinnest feeler leaf", f"Thinnest feeler leaf ({thinnest})")
        for one in cautions.FINAL_CHECKS
    )


def _drawing(units: str, given: KeyInputs, key: KeyFigures) -> Picture:
    tapped = None
    if given.thread_name:
        size = thread(name=given.thread_name)
        tapped = TappedHole(
            name=given.thread_name,
            diameter_in=size.diameter_in,
            pitch_in=size.pitch_in,
            depth_in=key.hole_depth_in,
        )
    return sheet_drawing(key=key, tapped=tapped, system="metric" if units == "metric" else "inch")


def _key_facts(
    given: KeyInputs,
    opening: OpeningFigures,
    key: KeyFigures,
    write: Writer,
) -> Facts:
    blank, taper = key.blank, opening.cut_taper_in_per_in
    rows = [
        ("Large end, height", write.fine(blank.large_end_height_in)),
        ("Small end, height", write.fine(blank.small_end_height_in)),
        ("Length", write.long(blank.length_in)),
        ("Cut to taper", f"1:{1 / taper:.4g}, {write.slope(taper)}"),
    ]
    if key.stepped is None:
        rows.append(("Width", write.fine(key.hub_width_in)))
    else:
        step = key.stepped
        rows += [
            ("Width in hub", write.fine(step.hub_width_in)),
            ("Width in shaft", write.fine(step.shaft_width_in)),
            ("Step, each side", write.fine(step.step_in)),
            ("Shaft portion, height", write.fine(step.shaft_portion_height_in)),
        ]
    rows.append(("Edges eased", f"{write.shop(key.chamfer_in)} × 45°"))
    name = given.thread_name
    rows.append(
        ("Tapped, large end", f"{name}, {write.long(key.hole_depth_in)} deep" if name
         else "not tapped")
    )  # fmt: skip
    rows.append(("Steel", given.steel_name))
    rows.append(("For fitting", f"{write.fine(given.allowance_in)} in height"))
    return Facts(rows=tuple(rows), two=True)


def _strength_facts(key: KeyFigures, workings: Workings, write: Writer) -> tuple[Facts, ...]:
    if key.strength is None:
        return ()
    return (Facts(rows=(("Torque", _torque_words(key.strength, workings, write)),)),)


def _torque_words(strength: KeyStrength, workings: Workings, write: Writer) -> str:
    """Say what the weakest of key, shaft and hub carries, against the drive's torque if known."""
    weakest = strength.governs
    if weakest == "bearing":
        weakest = f"bearing on the {strength.bearing.metal}"
    factors = (
        f"service factor {workings['service-factor'].value:g}, design factor"
        f" {workings['design-factor'].value:g}"
    )
    carries = f"{write.torque(strength.torque_capacity_lbf_in, 'down')} in {weakest}, the weakest"
    if "torque" not in workings:
        return f"carries {carries}; {factors}. The drive's own is not given"
    drive = write.torque(workings["torque"].value, "up")
    return f"{drive} against {carries} ({strength.utilisation * 100:.0f} %); {factors}"


def _drive_facts(drive: RingDrive, left_in: float, write: Writer) -> Facts:
    """Say what the drive that is left does to key and hub, and the most that may be left."""
    metal = drive.ring.metal
    return Facts(
        rows=(
            (
                "Drive",
                f"blue wiped off, a thin film of anti-seize on all faces; a"
                f" {write.weight(practice.value('drive_hammer'))} sledge with a dressed face, on a"
                " plain, unhardened bolt turned down to its head; never a dead-blow hammer",
            ),
            (
                "Left to drive",
                f"{write.shop(left_in)}; at the most {write.shop(drive.most_left_in)}, where the"
                f" hub's ring has the {write.pressure(drive.ring.allowed_psi)} of tension that"
                f" {metal.name} is trusted with",
            ),
            (
                "Squeeze it gives",
                f"{write.fine(drive.squeeze_in)}: {write.force(drive.force_low_lbf)} to"
                f" {write.force(drive.force_high_lbf)} on the faces,"
                f" {write.pressure(drive.pressure_low_psi)} to"
                f" {write.pressure(drive.pressure_high_psi)}",
            ),
            (
                "Tension in the hub",
                f"{write.pressure(drive.tension_low_psi)} to"
                f" {write.pressure(drive.tension_high_psi)}; the corner of the keyway is not in it",
            ),
        )
    )


def _cutting(given: KeyInputs, key: KeyFigures, write: Writer) -> Section:
    plan, blank = key.plan, key.blank
    bar = f"{write.shop(key.bar_width_in)} × {write.shop(key.bar_height_in)}"
    passes = f"{counted(plan.passes, 'pass')} of {write.fine(plan.depth_per_pass_in)}"
    steps = [
        f"Saw {bar} {given.steel_name} bar to {write.long(blank.length_in)} and facing."
        " Mark the large end.",
        f"Relief cut: {write.fine(plan.relief_cut_in)} straight off the face opposite the taper,"
        f" to {write.fine(plan.height_after_relief_in)}. It frees the stress of the cold-drawn"
        " skin, or the key bows.",
        f"Mill the sides to width ({_width_words(key, write)}).",
        "Master key of the opposite taper in the vise, its high end under the SMALL end of the"
        f" blank: it rises {write.fine(plan.master_key_rise_in)} over"
        f" {write.long(blank.length_in)} (1:{1 / plan.taper_in_per_in:.4g}).",
        f"Taper cut, from the large end: {write.fine(plan.large_end_cut_in)} deep at the large end,"
        f" {write.fine(plan.small_end_cut_in)} at the small end, in {passes} at the small end."
        f" Check: {write.fine(blank.large_end_height_in)} and"
        f" {write.fine(blank.small_end_height_in)}.",
        f"Ease all long edges {write.shop(key.chamfer_in)} × 45°"
        + (
            f"; drill {_drill(given.thread_name, write)} and tap {given.thread_name} in the middle"
            " of the large end"
            if given.thread_name
            else ""
        )
        + "; deburr; stamp the large end.",
    ]
    return Section(
        title="4  Cutting plan",
        page=True,
        blocks=(
            Points(items=tuple(steps), kind="steps", near=True),
            cautions.hazard_points(cautions.CUTTING),
        ),
    )


def _drill(name: str, write: Writer) -> str:
    size = thread(name=name)
    return write.tap_drill(tap_drill_in(diameter_in=size.diameter_in, pitch_in=size.pitch_in))


def _width_words(key: KeyFigures, write: Writer) -> str:
    if key.stepped is None:
        return write.fine(key.hub_width_in)
    return (
        f"hub portion {write.fine(key.hub_width_in)}, shaft portion"
        f" {write.fine(key.shaft_width_in)}"
    )


def _fitting(units: str, given: KeyInputs, key: KeyFigures, write: Writer) -> Section:
    blank, left = key.blank, key.left_to_drive_in
    shares = (1.0, 0.8, 0.6, 0.4, 0.2, 0.0)
    travels = [left + share * max(blank.travel_to_home_in - left, 0.0) for share in shares]
    per_in = 0.001 / key.travel_per_thousandth_in
    ahead = (
        ("Still to come off", *(write.fine((one - left) * per_in) for one in travels)),
        ("Stand-out", *(write.long(given.outside_in + one) for one in travels)),
    )
    header = ("Round", "Stand-out", "Bears: top", "Bears: bottom", "Filed where", "Initials")
    each = (
        f"0.001 in filed off lets the key go {write.travel(key.travel_per_thousandth_in)} further"
        if units != "metric"
        else f"0.01 mm filed off lets the key go"
        f" {write.travel(key.travel_per_thousandth_in * 0.01 / 0.0254)} further"
    )
    stays = given.outside_in
    words = (
        f"{each}. Blue, push in by hand, draw, read, clean off, file only the bright spots, both"
        " faces, again. Stand-out is what a rule reads from the hub face to the large end: home is"
        f" at {write.long(stays)}. Stop filing at {write.long(stays + left)}: the last"
        f" {write.long(left)} is left to drive."
    )
    return Section(
        title="5  Fitting log",
        blocks=(
            Words(text=words, near=True),
            *(() if key.drive is None else (_drive_facts(key.drive, left, write),)),
            Grid(
                header=("Expected", "as cut", "", "", "", "", "drive"),
                rows=ahead,
                shares=(0.22, 0.13, 0.13, 0.13, 0.13, 0.13, 0.13),
                near=True,
            ),
            Grid(
                header=header,
                rows=(),
                shares=(0.08, 0.17, 0.2, 0.2, 0.23, 0.12),
                blank=_LOG_ROWS,
            ),
            cautions.hazard_points(cautions.DRIVING),
        ),
    )


def _stands_on() -> Section:
    return Section(
        title="What this stands on",
        blocks=(
            Points(items=cautions.ASSUMPTIONS),
            Words(text=f"Sources: {cautions.SOURCES}"),
        ),
    )


def _end() -> Section:
    blocks: tuple[Block, ...] = (
        Words(text=cautions.NOT_A_SUBSTITUTE, strong=True),
        Grid(
            header=("", "Name", "Signature", "Date"),
            rows=(("Measured and checked", "", "", ""), ("Pull released by", "", "", ""),
                  ("Fitted and checked", "", "", "")),
            shares=(0.25, 0.27, 0.3, 0.18),
        ),
    )  # fmt: skip
    return Section(title="8  Who signs", blocks=blocks)


def _appendix(workings: Workings, write: Writer) -> tuple[Worked, ...]:
    return tuple(
        Worked(
            key=one.key,
            what=one.what,
            value=write.any(one.value, one.dimension),
            kind=one.kind,
            formula=one.formula,
            inputs=tuple(
                (key, workings[key].what, write.any(workings[key].value, workings[key].dimension))
                for key in one.inputs
            ),
            source=one.source,
        )
        for one in workings
    )
