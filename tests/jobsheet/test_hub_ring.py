"""Does the key burst the hub: what is asked, what is limited, what stops."""

import re
from datetime import date

import pytest

from keycourse.jobsheet.blocks import Facts
from keycourse.jobsheet.job import JobError, parse_job
from keycourse.jobsheet.sheet import make_sheet
from keycourse.whole.whole_job import work_out

DAY = date(2026, 11, 25)


def figures_of(entries, **changes):
    changed = {**entries, **{f"{key.replace('__', '.')}": it for key, it in changes.items()}}
    return work_out(job=parse_job(changed).inputs)


def with_hub(entries, metal, outside="8 in", **more):
    return figures_of(
        {**entries, "opening.hub-metal": metal, "opening.hub-outside": outside, **more}
    )


def said(figures, level):
    return " ".join(one.sentence for one in figures.findings if one.level == level)


@pytest.mark.parametrize("key", ["opening.hub-outside", "opening.hub-metal", "key.service-factor"])
def test_hub_and_service_factor_are_never_guessed(entries, key):
    with pytest.raises(JobError) as caught:
        parse_job({**entries, key: ""})
    assert [one for one in caught.value.problems if "STOP: not given: " in one and key in one]


def test_a_steel_hub_keeps_the_usual_drive(entries):
    figures = with_hub(entries, "A27 65-35 cast steel")
    assert figures.key.left_to_drive_in == 0.125
    drive = figures.key.drive
    assert drive.squeeze_in == pytest.approx(0.125 / 96)
    assert drive.most_left_in > 0.125
    assert drive.tension_high_psi < 35_000 / 2
    assert "hub's ring" not in said(figures, "stop")


SMALL = {
    "pull.method": "none",
    "opening.shaft-diameter": "1.5",
    "opening.bore": "1.502",
    "opening.heights-1": "0.3802",
    "opening.heights-2": "0.3594",
    "opening.station-2": "2 in",
    "opening.hub-length": "2.5 in",
    "opening.hub-widths": "0.376",
    "opening.shaft-widths": "0.375",
    "opening.shaft-slot-depth": "",
    "opening.slot-radius": "",
    "key.length-outside": "0",
    "key.thread": "none",
}


def test_weak_iron_lowers_the_drive_and_says_so(entries):
    figures = with_hub(entries, "gray iron class 20", outside="2.6 in", **SMALL)
    left = figures.key.left_to_drive_in
    assert 1 / 32 <= left < 0.125
    assert left * 64 == round(left * 64)
    # a sixty-fourth more would be more than a quarter of the tensile strength, Shigley A-24
    each = figures.key.drive.ring.high_psi_per_in / 96
    assert left * each <= 22_000 / 4 < (left + 1 / 64) * each
    assert "filing goes on until" in said(figures, "look")
    assert "gives no warning before it cracks" in said(figures, "look")


def test_a_drive_given_above_the_most_stops(entries):
    more = {"key.left-to-drive": "1/4 in"}
    figures = with_hub(entries, "gray iron class 20", outside="7 in", **more)
    assert figures.key.left_to_drive_in == 0.25
    assert "is the most" in said(figures, "stop")


def test_an_iron_hub_that_bears_no_drive_is_not_driven_at_all(entries):
    tiny = {
        **SMALL,
        "opening.shaft-diameter": "0.5",
        "opening.bore": "0.501",
        "opening.heights-1": "0.1302",
        "opening.heights-2": "0.1198",
        "opening.station-2": "1 in",
        "opening.hub-length": "1.25 in",
        "opening.hub-widths": "0.126",
        "opening.shaft-widths": "0.125",
    }
    figures = with_hub(entries, "gray iron class 20", outside="0.72 in", **tiny)
    assert "Do not drive this key" in said(figures, "stop")
    assert "The hub is thin" in said(figures, "look")


def test_an_unknown_metal_is_the_weakest_and_said(entries):
    unknown, weak = (with_hub(entries, one) for one in ("unknown", "gray iron class 20"))
    assert unknown.key.left_to_drive_in == weak.key.left_to_drive_in
    assert "Nobody knows the hub's metal" in said(unknown, "look")
    assert "Nobody knows" not in said(weak, "look")


# the same job where every number must have its unit
IN_INCHES = {
    "opening.heights-1": "1.0102; 1.0105; 1.0104 in",
    "opening.heights-2": "0.9738; 0.9741; 0.9739 in",
    "opening.hub-widths": "1.0012; 1.0014; 1.0013 in",
    "opening.shaft-widths": "1.0006; 1.0005; 1.0007 in",
}


def test_the_sheet_says_the_most_beside_what_is_left(entries):
    for units, standard, unit in (("inch", "inch", " psi"), ("mixed", "metric", " MPa")):
        own = {} if units == "inch" else IN_INCHES
        sheet = make_sheet(
            job=parse_job({**entries, **own, "job.units": units, "job.standard": standard}),
            today=DAY,
        )
        log = next(part for part in sheet.sections if part.title == "5  Fitting log")
        rows = dict(next(one for one in log.blocks if isinstance(one, Facts)).rows)
        assert "at the most" in rows["Left to drive"]
        assert rows["Tension in the hub"].count(unit) == 2


METRIC = {
    "job.units": "metric",
    "pull.method": "none",
    "opening.heights-1": "16.30; 16.31",
    "opening.station-2": "150",
    "opening.heights-2": "14.80; 14.81",
    "opening.height-good-to": "",
    "opening.hub-widths": "28.02",
    "opening.shaft-widths": "28.00",
    "opening.hub-length": "160",
    "opening.shaft-diameter": "100",
    "opening.bore": "100.2",
    "opening.hub-outside": "190",
    "opening.shaft-slot-depth": "10.0",
    "opening.slot-radius": "0.6",
    "key.length-outside": "5",
    "key.thread": "M12",
}


def test_a_metric_job_goes_by_metric_rules_and_says_no_inch(entries):
    job = parse_job({**entries, **METRIC})
    key, slot = job.inputs.key, job.inputs.opening
    taken = (key.allowance_in, key.side_clearance_in, key.relief_cut_in, key.deepest_pass_in,
             slot.height_sd_in, slot.height_common_in)  # fmt: skip
    assert [round(one * 25.4, 6) for one in taken] == [0.25, 0.05, 0.8, 1.25, 0.013, 0.008]
    sheet = make_sheet(job=job, today=DAY)
    table = next(part for part in sheet.sections if part.title.startswith("2  "))
    rows = dict(next(one for one in table.blocks if isinstance(one, Facts)).rows)
    # DIN 6886 for 100 mm: 28 x 16, 10 deep in the shaft, 5.4 in the hub
    assert "DIN 6886: key 28 mm × 16 mm; S 90.00 mm" in rows["By the table"]
    assert "T 105.40 mm" in rows["By the table"]
    assert "standard length 160 mm" in rows["By the table"]
    cutting = next(part for part in sheet.sections if part.title == "4  Cutting plan")
    assert "drill 10.2 mm and tap M12" in " ".join(cutting.blocks[0].items)
    for section in sheet.sections:
        for block in section.blocks:
            assert not re.search(r"\d in\b(?! the)|\d/\d+ in|lbf|psi|UNC", repr(block).replace(
                "1:96 is", "")), section.title  # fmt: skip
