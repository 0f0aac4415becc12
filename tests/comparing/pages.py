"""The pages as they open, each form typed into, each live picture and bench worked by hand."""

from __future__ import annotations

import ast
import json
import math
import os
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from comparing.cards import entries_for, kind_of
from comparing.places import ROOT, our
from comparing.shown import no_chance, parts_of, shown_by, text_of

__all__ = ["FACES", "face_worked", "form_typed", "page_shown"]


def course_in(folder: Path, units: str) -> Path:
    """Return a copy of the course's pages with these units first."""
    for name in ("lessons", "exercises", "solutions"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("answers*"))
    our("write_units")(folder, units)
    return folder


def page_shown(name: str, units: str) -> dict[str, Any]:
    """Return the text of a page and what each of its forms shows when it is opened."""
    found: dict[str, Any] = {}
    with tempfile.TemporaryDirectory() as made, no_chance(f"{name} {units}"):
        path = course_in(Path(made), units) / name
        names: dict[str, Any] = {}
        back = Path.cwd()
        os.chdir(path.parent)
        try:
            for number, cell in enumerate(json.loads(path.read_text("utf-8"))["cells"]):
                source = "".join(cell["source"])
                if cell["cell_type"] != "code":
                    found[f"{number} text"] = source
                    continue
                lines = ast.parse(source)
                last = lines.body.pop() if lines.body and isinstance(lines.body[-1], ast.Expr) \
                    else None  # fmt: skip
                exec(compile(lines, name, "exec"), names)
                if isinstance(last, ast.Expr):
                    shows = eval(compile(ast.Expression(last.value), name, "eval"), names)
                    found[f"{number} {ast.unparse(last)}"] = [
                        line.replace(made, "FOLDER") for line in shown_by(shows)
                    ]
        finally:
            os.chdir(back)
    return found


FACES = (
    *("micrometer_trainer", "caliper_trainer", "section_explorer", "profile_explorer"),
    *("parallel_explorer", "reversed_explorer", "key_explorer", "cutting_explorer"),
    "tapping_explorer",
    "easing_explorer",
    "bow_explorer",
    *("force_explorer", "measuring_bench", "fitting_bench", "pulling_bench", "job_form"),
    "drive_explorer",
    *("first_look", "name_tag", "progress"),
)
MOST_ACTS = 120  # on one face


def acts_on(widget: Any) -> Iterator[tuple[str, Callable[[], None]]]:
    """Give what a hand can do on a face: each slider, list and button, in order."""

    def put(part: Any, value: Any) -> Callable[[], None]:
        return lambda: setattr(part, "value", value)

    for part in list(parts_of(widget)):
        kind = type(part).__name__
        name = part.description if getattr(part, "description", "") else kind
        if kind in ("FloatSlider", "IntSlider"):
            span = part.max - part.min
            for share in (0.0, 0.37, 1.0, 0.62):
                value = part.min + round(share * span / part.step) * part.step
                yield f"{name} at {value:g}", put(part, type(part.max)(value))
        elif hasattr(part, "_options_labels"):
            for label, value in list(zip(part._options_labels, part._options_values, strict=True)):
                yield f"{name}: {label}", put(part, value)
        elif kind in ("Text", "Textarea"):
            for text in ("", "a lot", "1.0104 in", "25.5 mm"):
                yield f"{name} = {text}", put(part, text)
        elif kind == "Checkbox":
            yield f"{name} ticked", put(part, True)
        elif kind == "Button":
            yield f"{name} pressed", part.click


def face_worked(name: str, units: str) -> dict[str, Any]:
    """Return what a live picture or a bench shows after each thing that can be done on it."""
    found: dict[str, Any] = {}
    with tempfile.TemporaryDirectory() as made, no_chance(f"{name} {units}"):
        folder = course_in(Path(made), units) / "lessons"
        lesson = our("lesson")
        lesson.open("05-pull", folder)
        face = getattr(lesson, name)()
        before = shown_by(face)
        found["0 opened"] = before
        acts = list(acts_on(face))
        step = max(1, math.ceil(len(acts) / MOST_ACTS)) if name == "job_form" else 1
        for number, (what, act) in enumerate(acts[::step], start=1):
            try:
                act()
            except Exception as error:
                found[f"{number} {what}: refused"] = f"{type(error).__name__}: {error}"
            now = shown_by(face)
            new = Counter(now) - Counter(before)
            found[f"{number} {what}"] = [
                line.replace(made, "FOLDER") for line in now if new[line] > 0
            ]
            before = now
    return found


def form_typed(exercise: str, number: int) -> dict[str, Any]:
    """Return what the form of each entry says to each thing typed, as it is saved."""
    found = {}
    page = our("PAGES")[exercise]
    card = our("issue_card")(exercise=exercise, class_code="QQ-26", number=number)
    right = our("right_answers")(page, card)
    with tempfile.TemporaryDirectory() as made:
        store = our("EntriesFile")(Path(made) / "answers.json")
        for bare in page.questions:
            question = bare.on(card)
            if kind_of(question) == "Practical":
                continue
            form = our("ask_form")(bare, card, store, {})
            found[question.key] = shown_by(form)
            box = next(one for one in parts_of(form) if type(one).__name__ != "HTML"
                       and hasattr(one, "value"))  # fmt: skip
            for what, text in entries_for(question, card, right, every=False).items():
                if kind_of(question) == "Choice" and text not in question.kind.options:
                    continue
                box.value = text
                found[f"{question.key}, {what}"] = text_of(form.children[-1].value)
    return found
