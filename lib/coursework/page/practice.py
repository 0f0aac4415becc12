"""Practice: twins of the graded questions on fresh numbers, and the round of what is next."""

from __future__ import annotations

import random
from collections.abc import Sequence
from datetime import date
from html import escape
from typing import Any

import ipywidgets as widgets

from coursework.card import JobCard
from coursework.course import PAGES, draw_card, issue_card, page_of
from coursework.judging import judge, right_answers, show_answer
from coursework.page.controls import MISSES_BEFORE_THE_LINES
from coursework.page.entries import EntriesFile, Saved
from coursework.page.forms import (
    Bound,
    asked_html,
    box_label,
    facts_table,
    labeled,
    said,
    worked_lines,
)
from coursework.page.progress import practice_key, practice_of, standing_of
from coursework.page.spacing import (
    DAYS,
    Standing,
    after_answer,
    next_up,
)
from coursework.question import Fact, Measure, Question
from taperkey.units import System

__all__ = ["fresh_number", "practice_form", "practice_round", "practice_row", "questions_up_to"]

PRACTICE_CLASS = "practice"
_LARGEST = 999_900
_OTHER_UNITS = 0.2  # share of fresh numbers in the other units, about as among the job cards
_LONGEST_SEARCH = 60  # so many cards in a row hold both units, but for a chance of one in millions
_ROUND = 3
_HEAD = (
    '<div class="tk-do-head"><span aria-hidden="true" class="tk-sign tk-sign-pen"></span>'
    "<span>You do it </span><span>practice, not marked </span></div>"
)
_LINES_SHOWN = (
    "How it is worked out stands below. Go through it line by line, then press “New numbers”: "
    "what was shown does not count."
)


def fresh_number(*, exercise: str, units: System) -> int:
    """Return the number of a practice card in these units, by chance: the next one there is."""
    start = random.SystemRandom().randint(1, _LARGEST)
    for number in range(start, start + _LONGEST_SEARCH):
        card = draw_card(exercise=exercise, class_code=PRACTICE_CLASS, number=number)
        if card.metric == (units == "metric"):
            return number
    return start


class _Practice:
    """One practice question: its numbers, its entry, and what was wrong with it.

    What belongs to the numbers shown is kept under the place where they stand
    ("practice" on a lesson, "round" in a round); how the question stands is
    kept once, whichever place it was answered in.
    """

    def __init__(
        self,
        question: Question,
        store: EntriesFile,
        others: dict[str, Bound],
        units: System,
        place: str,
    ) -> None:
        self.question, self.store, self.units = question, store, units
        self.page = page_of(question.key)
        self.key = f"{place}:{question.key}"
        self._judged = ""
        self._misses = 0
        self.asked = widgets.HTML()
        self.numbers = widgets.HTML()
        self.status = widgets.HTML(said(""))
        self.help = widgets.HTML()
        number = self._note(self.key).get("number")
        if not isinstance(number, int) or not 1 <= number <= _LARGEST + _LONGEST_SEARCH:
            self._set(self.key, number=self._another(units), checked="", done=False)
        self.bound = Bound(question, self.key, store, others, self._typed)
        self._show_numbers()
        press = widgets.Button(
            description="Check", tooltip="Check this entry", button_style="primary"
        )
        press.on_click(self.check)
        fresh = widgets.Button(description="New numbers", tooltip="Another one, with fresh numbers")
        fresh.on_click(self.again)
        self.widget = widgets.VBox(
            [
                self.asked,
                self.numbers,
                self.bound.input,
                widgets.HBox([press, fresh]),
                self.status,
                self.help,
            ]
        )
        self.widget.add_class("tk-do")
        self.widget.add_class("tk-practice")

    # what is kept

    def _note(self, key: str) -> dict[str, Any]:
        note = self.store.get(key)
        return dict(note) if isinstance(note, dict) else {}

    def _set(self, key: str, **changes: Any) -> str:
        return self.store.set(key, {**self._note(key), **changes})

    @property
    def standing(self) -> Standing:
        """How the question stands, wherever it was practiced."""
        kept = practice_key(self.question.key)
        return standing_of(self.question, self.store.get(kept))

    @property
    def done(self) -> bool:
        """Whether the numbers shown have had their first answer."""
        note = self._note(self.key)
        return bool(note.get("done", note.get("checked")))

    def _another(self, units: System) -> int:
        return fresh_number(exercise=self.page.name, units=units)

    def card(self) -> JobCard:
        """Return the practice card that is shown."""
        number = int(self._note(self.key).get("number", 1))
        return issue_card(exercise=self.page.name, class_code=PRACTICE_CLASS, number=number)

    # what is shown

    def _show_numbers(self) -> None:
        mine = self.card()
        right = right_answers(self.page, mine)
        here = self.question.on(mine)
        known = [
            Fact(f"From before: {before.label.lower()}", show_answer(before, right[before.key]))
            for before in (self.page.question(need).on(mine) for need in here.needs)
        ]
        picture = here.picture(mine) if here.picture is not None else ""
        facts = facts_table([*here.facts(mine), *known], "")
        self.numbers.value = facts + picture
        self.asked.value = _HEAD + asked_html(here)
        self.bound.ask(here)
        if isinstance(here.kind, Measure):
            self.bound.input.description = box_label(here)
            self.bound.input.tooltip = labeled(here)
        self.help.value = ""

    def _typed(self, outcome: Saved, typed: str) -> None:
        if outcome.sentence:
            self.status.value = said(outcome.sentence, "look")
        elif typed.strip():
            self.check()

    def check(self, *_: Any) -> None:
        """Judge what is typed; the first answer on fresh numbers decides when it comes back."""
        mine, text = self.card(), self.bound.text
        if text.strip() and text == self._judged:
            return  # leaving the box and pressing the button are one act
        right = right_answers(self.page, mine)
        verdict = judge(self.question, mine, text, right=right)
        good = verdict.state == "right"
        failed = ""
        counts = verdict.state not in ("blank", "unreadable") and not self.done
        if counts:
            after = after_answer(self.standing, right=good, today=date.today(), slip=verdict.slip)
            failed = self._set(practice_key(self.question.key), **after.note())
            failed = self._set(self.key, checked=text, done=True) or failed
        self._judged = "" if failed else text
        words = "Right." if good else verdict.reason
        if good:
            self._work_out("")
        elif verdict.state not in ("blank", "unreadable"):
            self._misses += 1
            if self._misses >= MISSES_BEFORE_THE_LINES:
                words = f"{words} {_LINES_SHOWN}"
                self._work_out(" open")
        self.status.value = said(
            failed or f"{words} {self._tally(counts)}", "good" if good else "look"
        )

    def _work_out(self, how: str) -> None:
        mine = self.card()
        right = right_answers(self.page, mine)
        lines = worked_lines(self.question.on(mine).worked(mine, right))
        self.help.value = f"<details{how}><summary>How it is worked out</summary>{lines}</details>"

    def _tally(self, counted: bool) -> str:
        stands = self.standing
        tally = f"First answers: {stands.right} right of {stands.tried}."
        if counted and stands.box > 1:
            days = DAYS[stands.box - 1]
            tally += f" It comes back {'tomorrow' if days == 1 else f'in {days} days'}."
        return tally

    def again(self, *_: Any) -> None:
        """Draw fresh numbers: mostly in the units of the course, now and then in the others."""
        units = self.units
        if random.SystemRandom().random() < _OTHER_UNITS:
            units = "inch" if units == "metric" else "metric"
        self._renew(units)
        self.status.value = said("New numbers. Type your answer and press Check.", "plain")

    def _renew(self, units: System) -> None:
        self._judged, self._misses = "", 0
        self._set(self.key, number=self._another(units), checked="", done=False)
        self.bound.fill("")
        self.store.put(self.key, "")
        self._show_numbers()

    def renew_if_done(self) -> None:
        """Draw fresh numbers where those shown have been answered."""
        if self.done:
            self._renew(self.units)


def practice_form(
    question: Question, store: EntriesFile, others: dict[str, Bound], *, units: System = "inch"
) -> Any:
    """Return a practice twin: fresh numbers without end, and the reason at once."""
    return _Practice(question, store, others, units, "practice").widget


def practice_row(
    questions: Sequence[Question],
    store: EntriesFile,
    others: dict[str, Bound],
    *,
    units: System = "inch",
) -> Any:
    """Return practice twins of one piece of work, one in sight: each leads on to the next."""
    place = widgets.VBox([])
    made: dict[int, _Practice] = {}
    shown = [0]
    count = len(questions)
    tabs = [
        widgets.Button(
            description=f"{turn + 1}",
            tooltip=f"Question {turn + 1} of {count}: {question.label}",
            layout=widgets.Layout(width="auto"),
        )
        for turn, question in enumerate(questions)
    ]
    name = widgets.HTML()
    on = widgets.Button(
        description="Next question",
        tooltip="Go on to the next question",
        layout=widgets.Layout(width="auto"),
    )

    def right(turn: int) -> bool:
        key = practice_key(questions[turn].key)
        return standing_of(questions[turn], store.get(key)).right > 0

    def mark_tabs(now: int) -> None:
        for turn, tab in enumerate(tabs):
            tab.button_style = ""
            tab.description = f"{turn + 1} ✓" if right(turn) else f"{turn + 1}"
            (tab.add_class if turn == now else tab.remove_class)("tk-now")

    def show(turn: int) -> None:
        shown[0] = turn
        if turn not in made:
            made[turn] = _Practice(questions[turn], store, others, units, "practice")
        name.value = f'<span class="tk-row-name">{escape(questions[turn].label)}</span>'
        on.layout.display = "none" if turn + 1 == count else None
        mark_tabs(turn)
        place.children = (made[turn].widget,)

    for turn, tab in enumerate(tabs):
        tab.on_click(lambda _, turn=turn: show(turn))
    on.on_click(lambda _: show(min(shown[0] + 1, count - 1)))
    store.watchers.append(lambda: mark_tabs(shown[0]))
    show(next((turn for turn in range(count) if not right(turn)), 0))
    row = widgets.HBox([*tabs, name, on])
    row.add_class("tk-row")
    return widgets.VBox([row, place])


def questions_up_to(name: str, store: EntriesFile) -> dict[str, Standing]:
    """Return what can be practiced by now, and how it stands.

    That is what the course has asked up to this page, and everything tried.
    """
    notes = store.notes()
    found = {}
    for page in PAGES.values():
        for question in practice_of(page):
            standing = standing_of(question, notes.get(practice_key(question.key)))
            if page.name[:2] <= name[:2] or standing.tried:
                found[question.key] = standing
    return found


def practice_round(
    name: str, store: EntriesFile, others: dict[str, Bound], *, units: System = "inch"
) -> Any:
    """Return a round of practice, each question with the reason why it is there."""
    intro = widgets.HTML()
    place = widgets.VBox([])
    press = widgets.Button(
        description="Next round",
        tooltip="Pick what to practice next, once more",
        layout=widgets.Layout(width="12rem", height="2.6rem"),
    )

    just_asked: set[str] = set()

    def pick(*_: Any) -> None:
        standings = list(questions_up_to(name, store).values())
        picks = next_up(
            standings=standings,
            today=date.today(),
            count=_ROUND,
            just_asked=frozenset(just_asked),
        )
        just_asked.clear()
        just_asked.update(one.key for one in picks)
        rows: list[Any] = []
        for turn, one in enumerate(picks, start=1):
            question = page_of(one.key).question(one.key)
            rows.append(
                widgets.HTML(
                    f'<h3 class="tk-part">{turn}. {escape(question.label)}</h3>'
                    f'<p style="margin:0">{escape(_capital(question.skill))}. '
                    f"{escape(one.why)}</p>"
                )
            )
            form = _Practice(question, store, others, units, "round")
            form.renew_if_done()
            rows.append(form.widget)
        place.children = tuple(rows)
        weak = sum(one.box == 1 for one in standings)
        untried = sum(one.box == 0 for one in standings)
        sits = len(standings) - weak - untried
        intro.value = said(
            f"Of {len(standings)} practice questions up to here, {sits} "
            f"{'was' if sits == 1 else 'were'} right last time, {weak} not, "
            f"{untried} {'is' if untried == 1 else 'are'} not tried yet."
        )

    press.on_click(pick)
    pick()
    return widgets.VBox([intro, place, press])


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
