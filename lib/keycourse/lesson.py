"""What a page of the course shows: one line for each form, card, worked line and figure."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from coursework.course import (
    PAGES,
    card_facts,
    issue_card,
    page_of,
)
from coursework.ink.shop import shop_units
from coursework.judging import right_answers
from coursework.page import forms
from coursework.page.classdrop import feedback_note, leave_note
from coursework.page.contents import unit_contents
from coursework.page.entries import EntriesError, EntriesFile
from coursework.page.here import here
from coursework.page.memory import say_when_memory_runs_out
from coursework.page.pagefolder import (
    ALONE,
    course_root,
    read_name_tag,
    read_units,
    works_alone,
)
from coursework.page.practice import practice_form, practice_row
from coursework.page.practice import practice_round as round_form
from coursework.page.seal import attempt_of
from coursework.question import Fact, Page, WorkedLine
from keycourse.card import JobCard, of_this_course
from keycourse.course import example_card
from taperkey.units import System

__all__ = [
    "ask",
    "bench_model",
    "bow_explorer",
    "caliper_trainer",
    "card",
    "check",
    "cutting_explorer",
    "drive_explorer",
    "easing_explorer",
    "first_look",
    "fitting_bench",
    "force_explorer",
    "glossary",
    "hand_in",
    "hub_off",
    "job_form",
    "key_explorer",
    "measuring_bench",
    "micrometer_trainer",
    "name_tag",
    "open",
    "parallel_explorer",
    "practice_round",
    "practise",
    "profile_explorer",
    "progress",
    "pulling_bench",
    "replay",
    "reversed_explorer",
    "section_explorer",
    "solution",
    "start_page",
    "tapping_explorer",
    "two_leans",
    "worked",
]


class _OpenPage:
    """The page that is open: its folder, its entries, its forms."""

    def __init__(self, name: str, folder: Path) -> None:
        self.name = name
        self.folder = folder
        self.first = EntriesFile(folder / "answers.json")
        self.code = forms.kept_code(self.first)
        self.attempt = attempt_of(self.code) if self.code else 1
        again = folder / f"answers-{self.attempt}.json"
        self.store = self.first if self.attempt == 1 else EntriesFile(again)
        self.forms: dict[str, Any] = {}
        self.shown: dict[str, list[Fact]] = {}  # readings of the example, unit by unit


def open(name: str, folder: Path | str | None = None) -> Any:  # noqa: A001 - a page is opened
    """Open a page: its entries are read, and the name tag is shown."""
    place = Path(folder) if folder is not None else here().folder
    try:
        here().opened["page"] = _OpenPage(name, place)
    except EntriesError as error:
        return widgets.HTML(forms.said(f"{error}. Ask for help before you type.", "look"))
    notice = _page().store.notice
    tag = read_name_tag(course_root(place))
    who = (
        f"{tag.name + ', ' if tag.name else ''}class {tag.class_code}, number {tag.number}."
        if tag and tag.class_code != ALONE.class_code
        else "Working alone. A class code and number go on the name tag."
    )
    note = feedback_note(course_root(place), name)
    who += f" Attempt {_page().attempt}, on a job card of its own." * (_page().attempt > 1)
    said = (
        forms.said(notice, "look")
        if notice
        else f'<p class="tk-quiet">{escape(who)}{leave_note()}</p>'
    )
    head = widgets.HTML(f"{said}<p>{note}</p>" if note else said)
    say_when_memory_runs_out(lambda words: setattr(head, "value", forms.said(words, "look")))
    if name not in PAGES or place.name != "lessons":
        return head
    contents = unit_contents(name, _page().store)
    if name[:2] == "00":  # the first page has its own way on
        contents.add_class("tk-only-at-side")
    return widgets.VBox([head, contents])


def _page() -> _OpenPage:
    opened: dict[str, _OpenPage] = here().opened
    if "page" not in opened:
        open("page")
    return opened["page"]


def _tag() -> tuple[str, int]:
    tag = read_name_tag(course_root(_page().folder)) or ALONE
    return tag.class_code, tag.number


def _units() -> System:
    return read_units(course_root(_page().folder))


def _example(exercise: str) -> JobCard:
    """Return the example card, in the units that come first here."""
    return example_card(exercise, metric=_units() == "metric")


def _own_card(exercise: str) -> JobCard:
    class_code, number = _tag()
    page = _page()
    attempt = page.attempt if exercise == page.name else 1
    return of_this_course(
        issue_card(exercise=exercise, class_code=class_code, number=number, attempt=attempt)
    )


def name_tag() -> Any:
    """Show the name tag form."""
    return forms.name_tag_form(_page().folder)


def card() -> Any:
    """Show the apprentice's job card for this exercise."""
    mine = _own_card(_page().name)
    return widgets.HTML(forms.card_table(mine, card_facts(mine)))


def ask(key: str) -> Any:
    """Show the form of a graded entry."""
    page = _page()
    asked_on = page_of(key)
    mine = _own_card(asked_on.name)
    return forms.ask_form(asked_on.question(key), mine, page.store, page.forms)


def practise(*keys: str) -> Any:
    """Show practice questions with fresh numbers and the reason at once, one at a time."""
    page = _page()
    questions = [page_of(key).question(key) for key in keys]
    if len(questions) == 1:
        return practice_form(questions[0], page.store, page.forms, units=_units())
    return practice_row(questions, page.store, page.forms, units=_units())


def practice_round() -> Any:
    """Show what to practice next, with the reason in words."""
    page = _page()
    return round_form(page.name, page.store, page.forms, units=_units())


def check(time: str = "before") -> Any:
    """Show the check before the course, or the one after it and a month later."""
    from coursework.page.checking import check_form

    return check_form(time, _page().folder)


def progress() -> Any:
    """Show how far the apprentice has come, by skill."""
    from coursework.page.study import progress_view

    return progress_view(_page().folder)


def hand_in() -> Any:
    """Show the hand-in button; who works alone can mark the hand-in as well."""
    from coursework.page.study import own_marking_form

    page = _page()
    form = forms.hand_in_form(page.name, page.store, page.folder, codes=page.first)
    if works_alone(course_root(page.folder)):
        form.children = (*form.children, own_marking_form(page.name, page.store, page.folder))
    return form


def worked(*keys: str) -> Any:
    """Show how questions are worked out on an example card, its readings once in a unit."""
    page = page_of(keys[0])
    example = _example(page.name)
    asked = [page.question(key).on(example) for key in keys]
    right = right_answers(page, example)
    facts = [fact for question in asked for fact in question.facts(example)]
    shown = _page().shown.setdefault(_unit_with(page, keys[0]), [])
    new = [fact for fact in dict.fromkeys(facts) if fact not in shown]
    shown += new
    name = "Example" if len(new) == len(set(facts)) else "Example, further readings"
    pictures = [one.picture(example) for one in asked if one.picture is not None]
    lines: list[WorkedLine] = []
    names: list[str] = []
    for question in asked:
        own = question.worked(example, right)
        lines += own
        names += [question.label, *[""] * (len(own) - 1)]
    return widgets.HTML(
        (forms.facts_table(new, name) if new else "")
        + "".join(dict.fromkeys(pictures))
        + forms.worked_lines(lines, names=names)
    )


def _unit_with(page: Page, key: str) -> str:
    """Return the unit of a lesson in which a question is practiced."""
    return next((unit.id for unit in page.units if key in unit.asks), "")


def solution(name: str) -> Any:
    """Show the worked solution of an exercise on the apprentice's own card."""
    page = PAGES[name]
    mine = _own_card(name)
    right = right_answers(page, mine)
    parts = [
        f"<h3>{question.label}</h3>{forms.worked_lines(question.worked(mine, right))}"
        for question in (one.on(mine) for one in page.questions)
        if not question.by_assessor
    ]
    return widgets.HTML("".join(parts))


def start_page() -> Any:
    """Show the first page of the course: where to go on, how far one is, and every lesson."""
    from coursework.page.frontpage import front_page
    from keycourse.booklet.face import booklet_row
    from keycourse.firstlook import draw_first_look
    from keycourse.lessonpictures import LESSON_PICTURES

    root = course_root(_page().folder)
    units = "inch first" if _units() == "inch" else "metric first"
    links = (
        ("lessons/00-start.ipynb", "usual-mistakes-and-what-they-cost", "Practice round"),
        ("lessons/07-words.ipynb", "", "Words of the trade"),
        ("lessons/06-whole-job.ipynb", "your-own-job", "Job sheet for your own job"),
    )
    besides = "".join(
        f'<a href="../{page}#{unit}" data-tk-page="{page}" data-tk-unit="{unit}">{words}</a>'
        for page, unit, words in links
    )
    tag = '<a href="#your-name-tag" data-tk-unit="your-name-tag">Units and name tag</a>'
    front = front_page(
        root,
        views=draw_first_look(),
        pictures=LESSON_PICTURES,
        besides=besides,
        practice=("00-start", "usual-mistakes-and-what-they-cost"),
        settings=f"{units} · {tag}",
    )
    return widgets.VBox([front, booklet_row(_page().folder)])


def first_look() -> Any:
    """Show a taper key in its hub, with its parts named."""
    from coursework.ink.drawing import side_by_side
    from keycourse.firstlook import draw_first_look

    return widgets.HTML(side_by_side(draw_first_look()))


def glossary() -> Any:
    """Show the words of the trade, what they mean, and what other shops call them."""
    from keycourse.glossary import glossary_table

    return widgets.HTML(glossary_table())


def micrometer_trainer(kind: str = "") -> Any:
    """Show a drawn micrometer that asks for readings without end."""
    from keycourse.start.faces import micrometer_trainer as face

    return face(kind or _units(), store=_page().store)


def caliper_trainer(kind: str = "") -> Any:
    """Show a drawn vernier caliper that asks for readings without end."""
    from keycourse.start.faces import caliper_trainer as face

    return face(kind or _units(), store=_page().store)


def section_explorer() -> Any:
    """Show hub on shaft with clearance and keyway angle."""
    from keycourse.measure.faces_section import section_explorer as face

    return face(system=_units())


def two_leans() -> Any:
    """Show the two planes in which a gauge can lean in the slot."""
    from keycourse.measure.leaning import draw_two_leans

    return widgets.HTML(draw_two_leans(units=shop_units(_units())).html())


def measuring_bench() -> Any:
    """Show the measuring bench; its steps are saved like entries."""
    from keycourse.measure.faces import measuring_bench as face

    return face(store=_page().store, system=_units())


def fitting_bench() -> Any:
    """Show the fitting bench; its steps are saved like entries."""
    from keycourse.fit.faces import fitting_bench as face

    return face(store=_page().store, system=_units())


def pulling_bench() -> Any:
    """Show the pulling bench; its steps are saved like entries."""
    from keycourse.pull.faces import pulling_bench as face

    return face(store=_page().store, system=_units())


def bench_model(bench: str) -> Any:
    """Show what a bench models and leaves out, in a picture for the instructor; folded at first."""
    from keycourse.faces_model import bench_model as face

    return face(bench, system=_units())


def replay(bench: str) -> Any:
    """Show a kept session of a bench step by step, for the instructor; folded at first."""
    from keycourse.faces_replay import replay_face as face

    page = _page()
    folder = here().replays or course_root(page.folder)
    return face(bench=bench, store=page.store, folder=folder, system=_units())


def force_explorer() -> Any:
    """Show the forces on the key with taper, friction and force."""
    from keycourse.pull.faces_force import force_explorer as face

    return face(system=_units())


def drive_explorer() -> Any:
    """Show what each bit of travel past full contact brings to key and hub."""
    from keycourse.fit.faces_drive import drive_explorer as face

    return face(system=_units())


def hub_off() -> Any:
    """Show a hub on its way off, and what the pull runs through."""
    from keycourse.pull.hub_off import draw_hub_off

    return widgets.HTML(draw_hub_off().html())


def profile_explorer() -> Any:
    """Show stations, fitted line and band."""
    from keycourse.taper.faces import profile_explorer as face

    return face(system=_units())


def parallel_explorer() -> Any:
    """Show a taper bar in a slot."""
    from keycourse.taper.faces import parallel_explorer as face

    return face(system=_units())


def reversed_explorer() -> Any:
    """Show an ordinary and a reversed hub."""
    from keycourse.taper.faces import reversed_explorer as face

    return face(system=_units())


def job_form() -> Any:
    """Show the form for the mechanic's own job; its button writes the job sheet."""
    from keycourse.jobsheet.form import job_form as form

    page = _page()
    return form(page.store, page.folder)


def key_explorer() -> Any:
    """Show the key for a slot that can be changed, drawn and dimensioned."""
    from keycourse.key.faces import key_explorer as face

    return face(system=_units())


def tapping_explorer() -> Any:
    """Show the key's large end, drilled and tapped as one chooses."""
    from keycourse.key.faces_tapping import tapping_explorer as face

    return face(system=_units())


def easing_explorer() -> Any:
    """Show a key's edge in the corner of the slot, eased as one chooses."""
    from keycourse.key.faces_edges import easing_explorer as face

    return face(system=_units())


def bow_explorer() -> Any:
    """Show how a drawn bar bows when its skin is cut off one face, or off both."""
    from keycourse.key.faces_bow import bow_explorer as face

    return face(system=_units())


def cutting_explorer() -> Any:
    """Show the two set-ups in which a bar becomes a blank."""
    from keycourse.key.faces import cutting_explorer as face

    return face(system=_units())
