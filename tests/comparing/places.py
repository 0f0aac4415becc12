"""Where each part of the project stands: the only table to change when a module moves.

The first place that is there counts, so the same checks run before a move and after it.
Nothing else in this folder names a module of the project.
"""

from __future__ import annotations

import functools
import importlib
from pathlib import Path
from typing import Any

__all__ = ["PLACES", "ROOT", "our"]

ROOT = Path(__file__).resolve().parents[2]

PLACES = {  # name here: "module:name in it", the newest place first
    "PAGES": ("coursework.course:PAGES", "taperkey.questions:PAGES"),
    "card_facts": ("coursework.course:card_facts", "taperkey.questions:card_facts"),
    "issue_card": ("coursework.course:issue_card", "taperkey.questions:issue_card"),
    "judge": ("coursework.judging:judge", "taperkey.questions.judging:judge"),
    "judge_page": ("coursework.judging:judge_page", "taperkey.questions.judging:judge_page"),
    "look_again": ("coursework.judging:look_again", "taperkey.questions.judging:look_again"),
    "read_answer": ("coursework.judging:read_answer", "taperkey.questions.judging:read_answer"),
    "right_answers": (
        "coursework.judging:right_answers",
        "taperkey.questions.judging:right_answers",
    ),
    "show_answer": ("coursework.judging:show_answer", "taperkey.questions.judging:show_answer"),
    "DIMENSIONS": ("taperkey.units:DIMENSIONS",),
    "from_internal": ("taperkey.units:from_internal",),
    "guide_points": (
        "coursework.page.own_marking:guide_points",
        "taperkey.worksheet.own_marking:guide_points",
    ),
    "asked_html": ("coursework.page.forms:asked_html", "taperkey.worksheet.forms:asked_html"),
    "ask_form": ("coursework.page.forms:ask_form", "taperkey.worksheet.forms:ask_form"),
    "card_table": ("coursework.page.forms:card_table", "taperkey.worksheet.forms:card_table"),
    "facts_table": ("coursework.page.forms:facts_table", "taperkey.worksheet.forms:facts_table"),
    "labeled": ("coursework.page.forms:labeled", "taperkey.worksheet.forms:labelled"),
    "worked_lines": ("coursework.page.forms:worked_lines", "taperkey.worksheet.forms:worked_lines"),
    "EntriesFile": (
        "coursework.page.entries:EntriesFile",
        "taperkey.worksheet.entries:EntriesFile",
    ),
    "write_units": (
        "coursework.page.pagefolder:write_units",
        "taperkey.worksheet.pagefolder:write_units",
    ),
    "lesson": ("keycourse:lesson", "taperkey.worksheet:lesson"),
    "FittingBook": (
        "keycourse.fit.bench.book:FittingBook",
        "taperkey.worksheet.fitting_book:FittingBook",
    ),
    "BRIGHT_ONLY": (
        "keycourse.fit.bench.book:BRIGHT_ONLY",
        "taperkey.worksheet.fitting_book:BRIGHT_ONLY",
    ),
    "PullingBook": (
        "keycourse.pull.bench.book:PullingBook",
        "taperkey.worksheet.pulling_book:PullingBook",
    ),
    "MeasuringPages": (
        "keycourse.measure.bench.pages:MeasuringPages",
        "taperkey.worksheet.measuring_pages:MeasuringPages",
    ),
    "HANDS": ("keycourse.fit.bench.hands:HANDS", "taperkey.bench.hands:HANDS"),
    "fit_with": ("keycourse.fit.bench.hands:fit_with", "taperkey.bench.hands:fit_with"),
    "PULL_KINDS": ("keycourse.pull.bench.cases:KINDS", "taperkey.worksheet.pulling_cases:KINDS"),
    "PULL_RIGS": ("keycourse.pull.bench.cases:RIGS", "taperkey.worksheet.pulling_cases:RIGS"),
    "replay_of": ("keycourse.replay:replay_of", "taperkey.worksheet.replay:replay_of"),
    "SHOP_INCH": ("coursework.ink.shop:INCH", "taperkey.figures.shop:INCH"),
    "SHOP_METRIC": ("coursework.ink.shop:METRIC", "taperkey.figures.shop:METRIC"),
    "make_sheet": ("keycourse.jobsheet.sheet:make_sheet", "taperkey.jobsheet.sheet:make_sheet"),
    "parse_job": ("keycourse.jobsheet.job:parse_job", "taperkey.jobsheet.job:parse_job"),
    "sheet_html": ("keycourse.jobsheet.html:sheet_html", "taperkey.jobsheet.html:sheet_html"),
    "example_entries": (
        "keycourse.jobsheet.fields:example_entries",
        "taperkey.jobsheet.fields:example_entries",
    ),
    "template_text": (
        "keycourse.jobsheet.template:template_text",
        "taperkey.jobsheet.template:template_text",
    ),
    "MarkRecord": ("coursework.mark.records:MarkRecord", "taperkey.marking.records:MarkRecord"),
    "write_feedback": (
        "coursework.mark.feedback:write_feedback",
        "taperkey.marking.feedback:write_feedback",
    ),
    "rebuild": ("coursework.mark.pages:rebuild", "taperkey.marking.pages:rebuild"),
    "released_page": (
        "coursework.mark.pages:released_page",
        "taperkey.marking.pages:released_page",
    ),
}


@functools.cache
def our(name: str) -> Any:
    """Return a part of the project by its name here."""
    for place in PLACES[name]:
        module, _, inside = place.partition(":")
        try:
            found = importlib.import_module(module)
            return getattr(found, inside, None) or importlib.import_module(f"{module}.{inside}")
        except ModuleNotFoundError as error:
            if not (f"{module}.{inside}".startswith(error.name or "?")):
                raise  # the place is there, and something that it needs is not
    raise SystemExit(f"{name} is at none of {', '.join(PLACES[name])}. Put its place in PLACES.")
