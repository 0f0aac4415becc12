"""Reading a job: every entry missing, unreadable or at odds is one sentence."""

import json
import tomllib

import pytest

from keycourse.jobsheet.fields import FIELDS, example_entries
from keycourse.jobsheet.job import JobError, parse_job, read_job
from keycourse.jobsheet.template import template_text
from keycourse.whole.whole_job import work_out


def problems(entries, **changes):
    with pytest.raises(JobError) as refused:
        parse_job({**entries, **changes})
    return list(refused.value.problems)


def test_the_invented_job_works_out(entries):
    figures = work_out(job=parse_job(entries).inputs)
    assert figures.stops == ()
    assert figures.opening.standard == "1:96"
    assert figures.pull.decision.go


def test_an_unedited_template_permits_nothing(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text(template_text(), encoding="utf-8")
    with pytest.raises(JobError) as refused:
        read_job(path)
    assert all(one.startswith("STOP: not given: ") for one in refused.value.problems)
    needed = [field.key for field in FIELDS if field.needed and field.section != "pull"]
    said = " ".join(refused.value.problems)
    assert all(f"({key})" in said for key in (*needed, "pull.method"))


def test_a_template_holds_nobody_else_s_value():
    values = tomllib.loads(template_text())
    assert {text for inside in values.values() for text in inside.values()} == {""}


EXAMPLES = example_entries("hollow-ram")
NEEDED = [field for field in FIELDS if field.needed and field.kind != "text"]


@pytest.mark.parametrize("field", NEEDED, ids=lambda field: field.key)
def test_a_forgotten_value_stops_and_is_never_another_job_s(entries, field):
    method = field.methods[0] if field.methods else "hollow-ram"
    full = {
        one.key: one.example or one.options[0]
        for one in FIELDS
        if one.needed and (not one.methods or method in one.methods)
    }
    full["pull.method"] = method
    full |= {key: EXAMPLES[key] for key in ("pull.area", "pull.gauge-division")}
    assert parse_job(full)
    for empty in ("", "  "):
        with pytest.raises(JobError) as refused:
            parse_job({**full, field.key: empty})
        assert f"STOP: not given: {field.label} ({field.key})." in str(refused.value)


def test_while_the_key_is_in_the_pull_is_planned_without_a_slot(entries):
    alone = {key: text for key, text in entries.items() if not key.startswith(("opening.", "key."))}
    job = parse_job(alone)
    assert job.inputs.opening is None
    assert job.inputs.key is None
    figures = work_out(job=job.inputs)
    assert figures.key is None
    assert figures.pull.decision.go
    assert figures.pull.old.end == "mouth"


def test_a_larger_reading_at_the_far_face_stops_the_pull(entries):
    alone = {key: text for key, text in entries.items() if not key.startswith(("opening.", "key."))}
    near, far = alone["pull.over-near"], alone["pull.over-far"]
    turned = {**alone, "pull.over-near": far, "pull.over-far": near}
    figures = work_out(job=parse_job(turned).inputs)
    assert not figures.pull.decision.go
    assert any("The small end shows" in one.sentence for one in figures.stops)
    same = work_out(job=parse_job({**alone, "pull.over-far": near}).inputs)
    assert not same.pull.decision.go
    assert any("does not tell which end is large" in one.sentence for one in same.stops)


def test_slot_and_old_key_that_contradict_each_other_stop_the_pull(entries):
    near, far = entries["pull.over-near"], entries["pull.over-far"]
    figures = work_out(
        job=parse_job({**entries, "pull.over-near": far, "pull.over-far": near}).inputs
    )
    assert not figures.pull.decision.go
    assert any("written down the wrong way round" in one.sentence for one in figures.stops)


def test_a_job_written_before_its_methods_had_other_names_is_still_read(entries):
    now = parse_job(entries).inputs
    assert now.pull.method == "hollow-ram"
    before = parse_job({**entries, "pull.method": "hollow-plunger"}).inputs
    assert before == now


def test_template_names_every_entry_once():
    text = template_text()
    for field in FIELDS:
        lines = [line.lstrip("# ") for line in text.splitlines()]
        assert sum(line.startswith(f"{field.name} = ") for line in lines) == sum(
            one.name == field.name for one in FIELDS
        ), field.key


def test_json_with_comment_lines_is_the_same_job(entries, tmp_path):
    sections = {}
    for key, text in entries.items():
        section, _, name = key.partition(".")
        sections.setdefault(section, {})[name] = text
    path = tmp_path / "job.json"
    path.write_text("// a comment\n" + json.dumps(sections, indent=1), encoding="utf-8")
    toml = tmp_path / "job.toml"
    toml.write_text("\n".join(toml_lines(sections)), encoding="utf-8")
    assert read_job(path) == read_job(toml)


def toml_lines(sections):
    for section, inside in sections.items():
        yield f"[{section}]"
        yield from (f'{name} = "{text}"' for name, text in inside.items())


def test_lists_and_numbers_are_taken_as_well(entries):
    entries["opening.heights-1"] = [1.0102, 1.0105, "1.0104 in"]
    entries["opening.hub-length"] = 4
    assert parse_job(entries).inputs.opening.readings_in[0] == (1.0102, 1.0105, 1.0104)
    assert parse_job(entries).inputs.opening.hub_length_in == 4.0


def test_a_unit_behind_the_last_reading_counts_for_all(entries):
    entries["opening.heights-1"] = "25.659; 25.667 mm"
    assert parse_job(entries).inputs.opening.readings_in[0] == pytest.approx(
        (25.659 / 25.4, 25.667 / 25.4)
    )


def test_what_is_missing_is_asked_for_all_at_once(entries):
    del entries["opening.hub-length"], entries["pull.rod-grade"], entries["job.title"]
    del entries["opening.heights-2"]
    found = problems(entries)
    assert found[0] == "STOP: not given: job (job.title). Machine and hub."
    assert found[1].startswith(
        "STOP: not given: grade of the rod (pull.rod-grade). By the mark on the rod, or unknown."
        " One of:"
    )
    assert found[2] == (
        "STOP: not given: heights at station 2 (opening.heights-2). Readings of the height there,"
        " with ; between them."
    )
    assert found[3] == (
        "STOP: not given: length of the hub (opening.hub-length). Length of the slot in the hub."
    )
    assert len(found) == 4


def test_a_weld_is_asked_for_only_where_one_is_made(entries):
    found = problems(entries, **{"pull.method": "welded strongback"})
    asked = [one.partition("(")[2].partition(")")[0] for one in found]
    assert "pull.weld" in asked
    assert "pull.weld-length" in asked
    assert "pull.rod-grade" not in asked


def test_nothing_of_the_pull_is_asked_for_where_none_is_made(entries):
    kept = {key: text for key, text in entries.items() if not key.startswith("pull.")}
    job = parse_job({**kept, "pull.method": "none"})
    assert job.inputs.pull is None


@pytest.mark.parametrize(
    ("key", "text", "sentence"),
    [
        (
            "opening.hub-length",
            "four inches",
            "length of the hub is “four inches”; it must start with a number. Write the number"
            " first, then the unit.",
        ),
        (
            "job.units",
            "imperial",
            "units is “imperial”; it must be one of: inch, metric, mixed.",
        ),
        (
            "pull.jacks",
            "two",
            "number of jacks is “two”; it must be a whole number from 1 to 9.",
        ),
        (
            "job.date",
            "25.11.2026",
            "date is “25.11.2026”; it must be year-month-day, such as 2026-11-25.",
        ),
        (
            "opening.hub-lenght",
            "4 in",
            "“opening.hub-lenght” is not an entry of a job file. Is opening.hub-length meant?",
        ),
        (
            "opening.heights-3",
            "1.0 in",
            "station 3 has no distance; it must have distance and heights. Give both or leave the"
            " station out.",
        ),
        (
            "opening.station-2",
            "0 in",
            "stations 1 and 2 are at the same distance; each must have its own. Put their readings"
            " together.",
        ),
        (
            "key.bar-width",
            "1-1/4 in",
            "bar at hand has one of its two numbers; key.bar-height is missing.",
        ),
        (
            "pull.pressure-low",
            "20000 psi",
            "pressure on the faces has its low end above its high end. Change them over.",
        ),
        (
            "job.title",
            "x" * 130,
            "job has 130 characters; it must be 120 or fewer. Shorten it.",
        ),
    ],
)
def test_each_bad_entry_is_one_sentence(entries, key, text, sentence):
    assert problems(entries, **{key: text}) == [sentence]


def test_mixed_units_need_a_unit_with_every_number(entries):
    entries["job.units"] = "mixed"
    found = problems(entries)
    assert (
        "heights at station 1 is “1.0102” without a unit; in a job of mixed units every number"
        " must have one. Write in or mm behind it." in found
    )


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("job.toml", b"[job\ntitle = 1"),
        ("job.json", b"{'job': 1}"),
        ("job.json", b"[1, 2]"),
        ("job.toml", b"\xff\xfe\x00"),
        ("job.toml", b"#" * 200_000),
    ],
)
def test_a_file_that_cannot_be_read_is_one_sentence(tmp_path, name, content):
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(JobError, match=f"^{name} ") as refused:
        read_job(path)
    assert len(refused.value.problems) == 1


def in_millimetres(entries):
    """Write every length of the job in millimeters."""
    metric = dict(entries)
    for field in FIELDS:
        text = entries.get(field.key)
        if not text or field.dimension != "length" or field.kind not in ("quantity", "readings"):
            continue
        parts = [part.strip().removesuffix(" in") for part in text.split(";")]
        values = [parse_length(part) * 25.4 for part in parts]
        metric[field.key] = "; ".join(f"{value:.6f}" for value in values)
    metric["job.units"], metric["job.standard"] = "metric", "inch"
    return metric


def parse_length(text):
    from taperkey.units import parse_quantity

    return parse_quantity(text).value


def test_inch_and_metric_entries_give_the_same_numbers(entries):
    # what is left out is taken by the rules of the shop, .25 mm for .010 in: so nothing is
    own = {
        "opening.height-common": "0.0003",
        "key.allowance": "0.010",
        "key.side-clearance": "0.002",
        "key.relief-cut": "0.03125",
        "key.deepest-pass": "0.050",
    }
    entries = {**entries, **own}
    inch = work_out(job=parse_job(entries).inputs)
    metric = work_out(job=parse_job(in_millimetres(entries)).inputs)
    assert len(inch.workings) == len(metric.workings)
    for one in inch.workings:
        assert metric.workings[one.key].value == pytest.approx(one.value, rel=2e-5, abs=2e-7)
