"""The check before and after on a page: ten questions, then what was right and why.

What is typed is kept in ``check/answers.json`` in the course folder. "Done" packs it as a hand-in,
with the seal of a job card, puts it into the class, and shows each answer with its reason. It
counts for no mark. A form is taken once; the one a month later opens when the time has come.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime, timedelta
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from coursework.check import (
    DAYS_UNTIL_LATER,
    TIMES,
    check_card,
    check_forms,
    gains,
    right_in,
    sealed_with,
)
from coursework.judging import right_answers, show_answer
from coursework.page.classdrop import put_in_drop
from coursework.page.entries import EntriesFile, Saved
from coursework.page.forms import (
    CODE_TYPED,
    Bound,
    asked_html,
    card_code_form,
    facts_table,
    kept_code,
    said,
)
from coursework.page.handin import write_hand_in
from coursework.page.pagefolder import (
    ALONE,
    course_root,
    read_name_tag,
    works_alone,
)
from coursework.question import Page
from taperkey.counts import counted

__all__ = ["check_form"]

_BEGIN = (
    "Ten questions from the whole course, in ten minutes. Most of them you will not know yet: "
    "leave blank what you do not know. They count for no mark. After the course you get ten "
    "others, and see what you have gained.",
    "The ten questions once more, in other words and on other numbers. They count for no mark. "
    "Answer them without looking anything up, and see what you have gained.",
    "A month has passed. The ten questions for the last time, in other words and on other numbers: "
    "what has stayed?",
)


def _done_key(page: Page) -> str:
    return f"{page.name} done"


class _Form:
    """One form of the check: not begun, being answered, or done."""

    def __init__(self, page: Page, folder: Path) -> None:
        self.page, self.root = page, course_root(folder)
        place = self.root / "check"
        place.mkdir(exist_ok=True)
        self.store = EntriesFile(place / "answers.json")
        self.turn = list(check_forms()).index(page.name)
        self.others: dict[str, Bound] = {}
        self.status = widgets.HTML(said(""))
        self.blank_told = False
        self.widget = widgets.VBox([])
        if self.done:
            self._show_result()
        elif any(self.store.texts().get(one.key, "").strip() for one in page.questions):
            self._ask()
        else:
            press = widgets.Button(
                description="Begin the check",
                tooltip="Show the ten questions",
                layout=widgets.Layout(width="12rem", height="2.75rem"),
            )
            press.on_click(self._ask)
            self.widget.children = (widgets.HTML(_paragraph(_BEGIN[self.turn])), press)

    @property
    def done(self) -> str:
        """When it was done, UTC; empty where it was not."""
        note = self.store.get(_done_key(self.page))
        return str(note.get("made", "")) if isinstance(note, Mapping) else ""

    def _whose(self) -> tuple[str, int]:
        tag = read_name_tag(self.root) or ALONE
        return tag.class_code, tag.number

    def _ask(self, *_: Any) -> None:
        class_code, number = self._whose()
        card = check_card(name=self.page.name, class_code=class_code, number=number)
        rows: list[Any] = []
        for place, question in enumerate(self.page.questions, start=1):
            state = widgets.HTML()
            bound = Bound(question, question.key, self.store, self.others, _teller(state))
            head = f'<h3 class="tk-part">{place}. {escape(question.label)}</h3>'
            table = facts_table(question.facts(card), "Given")
            rows += [widgets.HTML(head + asked_html(question) + table), bound.input, state]
        press = widgets.Button(
            description="Done",
            tooltip="Close the check and see what was right",
            layout=widgets.Layout(width="12rem", height="2.75rem"),
        )
        press.on_click(self._close)
        code = [] if works_alone(self.root) else [self._code()]
        self.widget.children = (*rows, *code, press, self.status)

    def _code(self) -> Any:
        exercise = sealed_with(self.page.name)
        if not kept_code(self.store):
            beside = self.root / "exercises" / exercise / "answers.json"
            known = kept_code(EntriesFile(beside)) if beside.is_file() else ""
            if known:
                self.store.set("card-code", known)
        return card_code_form(
            self.store, f"Code on your job card of exercise {exercise[:2]}", turns_page=False
        )

    def _close(self, *_: Any) -> None:
        texts = self.store.texts()
        entries = {
            one.key: texts[one.key] for one in self.page.questions if texts.get(one.key, "").strip()
        }
        blank = len(self.page.questions) - len(entries)
        if not entries:
            self.status.value = said("Nothing is answered yet. Answer at least one.", "look")
            return
        if blank and not self.blank_told:
            self.blank_told = True
            self.status.value = said(
                f"{counted(blank, 'question')} left blank. Press Done again to leave it so.",
                "plain",
            )
            return
        made = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        failed = self._hand_in(entries, made) or self.store.set(
            _done_key(self.page), {"made": made}
        )
        if failed:
            self.status.value = said(failed, "look")
        else:
            self._show_result()

    def _hand_in(self, entries: Mapping[str, str], made: str) -> str:
        """Write the hand-in where there is a class; return why it failed, or nothing."""
        if works_alone(self.root):
            return ""
        class_code, number = self._whose()
        times = self.store.times()
        try:
            target = self.root / "hand-ins"
            target.mkdir(exist_ok=True)
            path = write_hand_in(
                folder=target,
                class_code=class_code,
                number=number,
                page=self.page.name,
                page_version="check",
                entries=entries,
                made=made,
                code=kept_code(self.store),
                saved={key: times[key] for key in entries if key in times},
                code_typed=str(self.store.get(CODE_TYPED) or ""),
            )
            put_in_drop(path)
        except (OSError, ValueError) as error:
            return f"Not handed in: {str(error).rstrip('.')}. Nothing that you typed is lost."
        return ""

    def _right(self, name: str) -> Mapping[str, bool]:
        class_code, number = self._whose()
        texts = self.store.texts()
        keys = {one.key for one in check_forms()[name].questions}
        return right_in(
            name=name,
            class_code=class_code,
            number=number,
            entries={key: text for key, text in texts.items() if key in keys},
        )

    def _show_result(self) -> None:
        class_code, number = self._whose()
        card = check_card(name=self.page.name, class_code=class_code, number=number)
        answers = right_answers(self.page, card)
        found = list(self._right(self.page.name).values())
        lines = "".join(
            f'<li style="margin:.5rem 0"><b>{"✓" if good else "✗"} {escape(question.label)}</b>: '
            f"{'right:' if good else 'not right; right is'} "
            f"{escape(show_answer(question, answers[question.key]))}.<br>"
            f"{escape(question.hint)}</li>"
            for question, good in zip(self.page.questions, found, strict=True)
        )
        head = f"{sum(found)} of {len(found)} right. It counts for no mark."
        parts = [
            said(head, "plain"),
            self._gained(),
            '<details><summary style="min-height:2.75rem;line-height:2.75rem">Each answer, and why'
            f'</summary><ol style="max-width:44rem;font-size:1rem;line-height:1.5">{lines}</ol>'
            "</details>",
        ]
        self.widget.children = (widgets.HTML("".join(parts)),)

    def _gained(self) -> str:
        """Return what was right at each time, by skill; nothing before the second time."""
        done = [
            name
            for name, page in check_forms().items()
            if isinstance(self.store.get(_done_key(page)), Mapping)
        ]
        if len(done) < 2 or self.turn == 0:
            return ""
        mine = {name: self._right(name) for name in done}
        shown = [place for place, name in enumerate(check_forms()) if name in done]
        cell = "padding:.25rem .8rem .25rem 0;text-align:left;border-bottom:1px solid #c9d0d8"
        rows = []
        for one in gains([mine]):
            numbers = "".join(
                f'<td style="{cell}">{_of(mine, name, one.skill)}</td>'
                for place, name in enumerate(check_forms())
                if place in shown
            )
            skill = escape(one.skill or "all together")
            rows.append(
                f'<tr><th scope="row" style="{cell};font-weight:normal">{skill}</th>{numbers}</tr>'
            )
        heads = "".join(f'<th scope="col" style="{cell}">{TIMES[place]}</th>' for place in shown)
        return (
            '<table style="border-collapse:collapse;font-size:1rem;line-height:1.5"><thead><tr>'
            f'<th scope="col" style="{cell}">Skill</th>{heads}</tr></thead>'
            f'<tbody style="display:table-row-group">{"".join(rows)}</tbody></table>'
        )


def _teller(place: Any) -> Callable[[Saved, str], None]:
    """Return what shows a sentence of the entries file beside its entry."""

    def tell(outcome: Saved, typed: str) -> None:
        place.value = said(outcome.sentence, "look") if outcome.sentence else ""

    return tell


def _of(mine: Mapping[str, Mapping[str, bool]], name: str, skill: str) -> str:
    found = [
        good for place, good in mine[name].items() if not skill or place.rpartition("/")[0] == skill
    ]
    return f"{sum(found)} of {len(found)}"


def _paragraph(text: str) -> str:
    return f'<p style="max-width:44rem;font-size:1rem;line-height:1.5">{escape(text)}</p>'


def check_form(time: str, folder: Path, *, today: date | None = None) -> Any:
    """Return the check for a page.

    Parameters
    ----------
    time : str
        "before", or "after": that one also shows the form a month later, when the time has come.
    folder : Path
        The page's folder.
    today : date, optional
        Left out, by the clock of this machine.
    """
    pages = list(check_forms().values())
    if time == "before":
        return _Form(pages[0], folder).widget
    after = _Form(pages[1], folder)
    if not after.done:
        return after.widget
    day = datetime.fromisoformat(after.done).date() + timedelta(days=DAYS_UNTIL_LATER)
    if (today or datetime.now(UTC).date()) < day:
        told = widgets.HTML(said(f"It comes once more from {day:%B} {day.day} on.", "plain"))
        return widgets.VBox([after.widget, told])
    return widgets.VBox([after.widget, _Form(pages[2], folder).widget])
