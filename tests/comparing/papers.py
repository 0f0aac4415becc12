"""What is put on paper or into a file: marking guides, job sheets, feedback, marked pages."""

from __future__ import annotations

import json
import re
import tempfile
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

from comparing.cards import entries_for, told
from comparing.places import ROOT, our
from comparing.shown import text_of

__all__ = ["JOBS", "feedback", "guides", "sheet"]

REVERSED = {"opening.heights-1": "0.9739", "opening.heights-2": "1.0104"}
RUSTED = {"pull.surface": "rusted", "pull.thread": "none", "pull.rod-grade": "unknown"}
METRIC = {
    "job.units": "metric", "opening.station-1": "0", "opening.heights-1": "16.30; 16.31",
    "opening.station-2": "150", "opening.heights-2": "14.80; 14.81",
    "opening.height-good-to": "0.01", "opening.hub-widths": "28.02",
    "opening.shaft-widths": "28.20", "opening.hub-length": "160",
    "opening.shaft-diameter": "100", "opening.bore": "100.2",
    "opening.shaft-slot-depth": "10.0", "opening.slot-radius": "0.6",
    "key.length-outside": "5", "key.torque": "2500", "key.thread": "none",
    "pull.method": "welded strongback", "pull.pressure-low": "10", "pull.pressure-high": "12",
    "pull.jacks": "2", "pull.jack-rating": "10 tons", "pull.piston": "42", "pull.foot": "50",
    "pull.bar-width": "100", "pull.bar-depth": "80", "pull.bar-span": "300",
    "pull.weld": "fillet", "pull.weld-size": "12", "pull.weld-length": "80",
    "pull.weld-sides": "2",
}  # fmt: skip
JOBS: dict[str, dict[str, str]] = {
    "ordinary": {},
    "ordinary, mixed": {"job.units": "mixed"},
    "reversed": REVERSED,
    "reversed, mixed": {**REVERSED, "job.units": "mixed"},
    "rusted": RUSTED,
    "metric": METRIC,
    "metric, reversed": {
        **METRIC, "opening.heights-1": "14.80", "opening.heights-2": "16.30",
    },
    "metric, weld on one side": {**METRIC, "pull.weld-sides": "1"},
    "slide hammer": {
        "pull.method": "slide hammer", "pull.weight": "30 lbf", "pull.rod-length": "36 in",
    },
    "no pull": {"pull.method": "none"},
    "metric, no pull": {**METRIC, "pull.method": "none"},
    "refused": {"opening.hub-length": "four inches", "pull.jacks": "two", "job.title": ""},
    "keyway not at the bottom": {"opening.keyway-at-bottom": "no"},
}  # fmt: skip


def guides() -> dict[str, Any]:
    """Return guides and sign-offs by where they stand: the bank, the masters, the released."""
    found: dict[str, Any] = {}
    for page in our("PAGES").values():
        for one in page.questions:
            if one.by_assessor:
                found[f"bank, {one.key}"] = {
                    "label": one.label,
                    "asked": one.ask,
                    "points": f"{one.marks:g}",
                    "guide": one.kind.guide
                    if isinstance(one.kind.guide, str)
                    else list(one.kind.guide),
                    "as listed": list(
                        one.kind.points
                        if hasattr(one.kind, "points")
                        else our("guide_points")(one.kind.guide)
                    ),
                    "more": {
                        name: told(value)
                        for name, value in vars(one.kind).items()
                        if name != "guide"
                    },
                }
    for folder in ("solutions", "exercises"):
        for path in sorted((ROOT / folder).glob("*/*.ipynb")):
            for cell in json.loads(path.read_text("utf-8"))["cells"]:
                about = cell["metadata"].get("nbgrader", {})
                if about.get("task"):
                    text, guide = "".join(cell["source"]), ""
                    if "BEGIN MARK SCHEME" in text:
                        text, guide = re.split(r"^.*BEGIN MARK SCHEME.*$", text, flags=re.M)
                        guide = re.split(r"^.*END MARK SCHEME.*$", guide, flags=re.M)[0]
                    found[f"{folder}, {about['grade_id']}"] = {
                        "asked": text.strip(),
                        "points": f"{about['points']:g}",
                        "guide": guide.strip(),
                    }
    return found


def sheet(name: str) -> Any:
    """Return the text of a job sheet on both papers, or why there is none."""
    entries = {  # an earlier course had its example in the template, this one has it in the list
        f"{one}.{key}": text
        for one, inside in tomllib.loads(our("template_text")()).items()
        for key, text in inside.items()
        if text
    }
    if not entries:
        entries = our("example_entries")("hollow-ram")
    try:
        job = our("parse_job")({**entries, **JOBS[name]})
        made = our("make_sheet")(job=job, today=date(2026, 11, 25))
    except ValueError as error:
        return {"refused": [*getattr(error, "problems", [str(error)])]}
    return {
        "stops": list(made.stops),
        "looks": list(made.looks),
        **{
            paper: text_of(our("sheet_html")(sheet=made, paper=paper)) for paper in ("A4", "Letter")
        },
    }


def feedback(exercise: str, number: int) -> dict[str, Any]:
    """Return feedback before and after release, and the assessor's notebook, on one hand-in."""
    page = our("PAGES")[exercise]
    card = our("issue_card")(exercise=exercise, class_code="QQ-26", number=number)
    right = our("right_answers")(page, card)
    entries = {}
    for place, bare in enumerate(page.questions):
        question = bare.on(card)
        if question.by_assessor:
            entries[question.key] = "Because <b>it</b> hangs.\nSo it is."
            continue
        texts = entries_for(question, card, right, every=True)
        ways = ["right as shown", *(one for one in texts if one.startswith("slip")), "nonsense", ""]
        entries[question.key] = texts.get(ways[(place * number) % len(ways)], "")
    verdicts = our("judge_page")(page, card, entries)
    record = our("MarkRecord")(
        number=number,
        exercise=exercise,
        class_code="QQ-26",
        hand_in="0" * 64,
        made="2026-11-25T12:00:00Z",
        **dict.fromkeys(("page_version", "question_version", "marker_version"), "0" * 12),
        verdicts=verdicts,
    )
    found: dict[str, Any] = {}
    with tempfile.TemporaryDirectory() as made:
        for released in (False, True):
            path = our("write_feedback")(
                folder=Path(made), record=record, released=released, name="Ada Marl"
            )
            found["released" if released else "held back"] = text_of(path.read_text("utf-8"))
    notebook = our("rebuild")(
        page=our("released_page")(exercises=ROOT / "exercises", exercise=exercise),
        questions=page,
        verdicts=verdicts,
    )
    for cell in notebook.cells:
        about = cell.metadata.get("nbgrader", {})
        if about.get("task") or about.get("grade"):
            found[f"assessor, {about['grade_id']}"] = [
                cell.source if about.get("task") else "",
                *(one["data"]["text/plain"] for one in cell.get("outputs", [])),
            ]
    return found
