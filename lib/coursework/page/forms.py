"""The forms: one entry, one practice question, the name tag, the hand-in button."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

import coursework.page.acts  # noqa: F401  - before any widget is made
from coursework.card import JobCard
from coursework.course import PAGES
from coursework.ink.signs import must_be_right
from coursework.judging import look_again, read_answer, show_answer
from coursework.page.blocks import facts_table, said, worked_lines
from coursework.page.classdrop import given_by_class, password_note, put_in_drop
from coursework.page.controls import FULL_WIDTH
from coursework.page.entries import EntriesFile, Saved
from coursework.page.handin import write_hand_in
from coursework.page.here import here
from coursework.page.pagefolder import (
    ALONE,
    NameTag,
    course_root,
    page_version,
    read_name_tag,
    read_units,
    works_alone,
    write_name_tag,
    write_units,
)
from coursework.page.progress import practiced_of
from coursework.page.seal import attempt_of, shown_code, tidy_code
from coursework.question import (
    Choice,
    Fact,
    Measure,
    Ordering,
    PictureMarks,
    Question,
    Written,
)
from taperkey.units import DIMENSIONS, length_text

__all__ = [
    "Bound",
    "ask_form",
    "asked_html",
    "box_label",
    "card_table",
    "facts_table",
    "hand_in_form",
    "CODE_TYPED",
    "card_code_form",
    "kept_code",
    "labeled",
    "name_tag_form",
    "said",
    "worked_lines",
]


def card_table(card: JobCard, facts: Sequence[Fact]) -> str:
    """Return the job card as HTML; who works alone is told no class."""
    whose = f" · class {card.class_code} · apprentice {card.number}"
    alone = card.class_code == ALONE.class_code
    return facts_table(facts, f"Job card {card.exercise}{'' if alone else whose}")


def _reads_as(question: Question, text: str) -> str:
    answer = read_answer(question, text)
    kind = question.kind
    if isinstance(kind, Measure) and isinstance(answer, float):
        if kind.dimension == "length":
            return f"{length_text(answer)} ({length_text(answer, unit='mm')})"
        return show_answer(question, answer)
    return show_answer(question, answer) if isinstance(answer, tuple) else "noted"


def labeled(question: Question) -> str:
    """Return the label of an entry, with the unit that a bare number is taken in."""
    unit = _unit_sign(question)
    return f"{question.label} ({unit})" if unit else question.label


def _unit_sign(question: Question) -> str:
    """Return the unit of an entry as it is written; an angle has its sign."""
    kind = question.kind
    unit = kind.unit if isinstance(kind, Measure) else ""
    return "°" if unit == "deg" else unit or ""


_SHORT_UNIT = 6  # letters


def box_label(question: Question) -> str:
    """Return the label of a box as HTML, the unit in it: the style sheet sets it into the box."""
    unit = escape(_unit_sign(question))
    look = "tk-unit tk-unit-long" if len(unit) > _SHORT_UNIT else "tk-unit"
    return escape(question.label) + (f' <span class="{look}">{unit}</span>' if unit else "")


def _input_for(question: Question, text: str) -> Any:
    kind = question.kind
    if isinstance(kind, Choice):
        return widgets.RadioButtons(
            options=list(kind.options),
            value=text if text in kind.options else None,
            layout=widgets.Layout(width=FULL_WIDTH, max_width="44rem", height="auto"),
        )
    if isinstance(kind, Written):
        return widgets.Textarea(
            value=text,
            description=question.label,
            placeholder="Write here. Every word is saved as you go.",
            style={"description_width": "initial"},
            layout=widgets.Layout(width=FULL_WIDTH, max_width="44rem", height="9rem"),
        )
    box = widgets.Text(
        value=text,
        description=box_label(question),
        description_allow_html=True,
        placeholder=_placeholder(kind),
        tooltip=labeled(question),
        continuous_update=False,
        style={"description_width": "initial"},
        layout=widgets.Layout(width=FULL_WIDTH, max_width="26rem"),
    )
    box.add_class("tk-field")
    if isinstance(kind, Measure):
        box.add_class("tk-number")
    return box


def _placeholder(kind: object) -> str:
    if isinstance(kind, (Ordering, PictureMarks)):
        return "letters, with spaces between"
    return ""


def _text_of(value: Any) -> str:
    return "" if value is None else str(value)


def asked_html(question: Question, tail: str = "") -> str:
    """Return what is asked, with a few quiet words behind it."""
    return (
        f'<div class="tk-asked">{escape(question.ask)}'
        f'<span class="tk-tail"> {escape(tail)}</span></div>{_ways_to_type(question)}'
        f"{_steps(question)}"
    )


def _ways_to_type(question: Question) -> str:
    """Return how an answer may be typed, where there are more ways than a number and a unit."""
    kind = question.kind
    if not isinstance(kind, Measure) or kind.dimension not in ("ratio", "taper"):
        return ""
    return (
        f'<div class="tk-quiet tk-ways">Any way of writing it will do, such as '
        f"{escape(DIMENSIONS[kind.dimension].forms)}.</div>"
    )


def _steps(question: Question) -> str:
    """Return the steps that are to be put in order, each with its letter."""
    if not isinstance(question.kind, Ordering):
        return ""
    kind = question.kind
    steps = "".join(f"<li>{escape(kind.steps[place])}</li>" for place in kind.row)
    return f'<ol type="A" class="tk-order">{steps}</ol>'


class Bound:
    """An input that is saved on every change and refilled when another copy changed it."""

    def __init__(
        self,
        question: Question,
        key: str,
        store: EntriesFile,
        others: dict[str, Bound],
        after: Callable[[Saved, str], None],
    ) -> None:
        self.store, self.key, self.others, self.after = store, key, others, after
        self.question = question
        self.filling = False
        self.input = _input_for(question, store.texts().get(key, ""))
        self.input.observe(self._changed, names="value")
        others[key] = self

    @property
    def text(self) -> str:
        """What stands in the box."""
        return _text_of(self.input.value)

    def ask(self, question: Question) -> None:
        """Take the question as another card asks it; a choice gets its answers afresh."""
        kind = question.kind
        if isinstance(kind, Choice) and tuple(self.input.options) != kind.options:
            kept = self.text
            self.filling = True
            try:
                self.input.options = list(kind.options)
                self.input.value = None
            finally:
                self.filling = False
            self.question = question
            self.fill(kept)
        self.question = question

    def fill(self, text: str) -> None:
        """Show a text without saving it."""
        self.filling = True
        try:
            kind = self.question.kind
            if isinstance(kind, Choice):
                self.input.value = text if text in kind.options else None
            else:
                self.input.value = text
        finally:
            self.filling = False

    def _changed(self, change: Any) -> None:
        if self.filling:
            return
        typed = self.text
        outcome = self.store.put(self.key, typed)
        if not outcome.saved and outcome.text != typed:
            self.fill(outcome.text)
        for key, text in outcome.changed.items():
            if key in self.others:
                self.others[key].fill(text)
                self.others[key].after(Saved(saved=True, text=text), text)
        self.after(outcome, typed)


def ask_form(
    question: Question, card: JobCard, store: EntriesFile, others: dict[str, Bound]
) -> Any:
    """Return the form of one graded entry: saved at once, looked at for form only."""
    question = question.on(card)
    status = widgets.HTML(said(""))

    def after(outcome: Saved, typed: str) -> None:
        if outcome.sentence:
            status.value = said(outcome.sentence, "look")
        elif not outcome.text.strip():
            status.value = said("Empty. Saved like that.", "plain")
        else:
            status.value = _form_words(question, outcome.text)

    bound = Bound(question, question.key, store, others, after)
    if bound.text.strip():
        status.value = _form_words(question, bound.text)
    if store.notice:
        status.value = said(store._take_notice(), "look")
    marks = f"{question.marks:g} mark{'s' if question.marks != 1 else ''}"
    tail = f"({marks})"
    # what is asked in writing stands on the page itself, with its marking guide
    asked = "" if isinstance(question.kind, Written) else asked_html(question, tail)
    asked = (f"<div>{must_be_right()}</div>" if question.critical else "") + asked
    asked += _at_hand(question, card)
    parts = [widgets.HTML(asked), bound.input, status]
    if question.picture is not None:
        parts.insert(1, widgets.HTML(question.picture(card)))
    form = widgets.VBox(parts)
    form.add_class("tk-do")
    form.add_class("tk-ask")
    return form


def _at_hand(question: Question, card: JobCard) -> str:
    """Return the card's lines for this entry, folded; the whole card stands on top."""
    facts = question.facts(card)
    if not facts:
        return ""
    table = facts_table(facts, f"Job card {card.exercise}")
    return f"<details><summary>From your job card</summary>{table}</details>"


def _form_words(question: Question, text: str) -> str:
    look = look_again(question, text)
    if look:
        return said(f"Saved as typed. {look}", "look")
    if isinstance(question.kind, Written):
        return said(f"Saved, {len(text)} characters.", "plain")
    if isinstance(question.kind, Choice):
        return said("Saved.", "plain")
    return said(f"Saved. Read as {_reads_as(question, text)}.", "plain")


def name_tag_form(folder: Path) -> Any:
    """Return the name tag: class, number, name; saved in the course folder."""
    root = course_root(folder)
    tag = read_name_tag(root)
    status = widgets.HTML()

    def field(label: str, value: str, hint: str) -> Any:
        return widgets.Text(
            value=value,
            description=label,
            placeholder=hint,
            continuous_update=False,
            disabled=given_by_class(),
            style={"description_width": "8.5rem"},
            layout=widgets.Layout(width=FULL_WIDTH, max_width="26rem"),
        )

    class_code = field("Class code", tag.class_code if tag else "", "such as QQ-26")
    number = field("Your number", str(tag.number) if tag else "", "from the class list")
    name = field("Your name", tag.name if tag else "", "as on the class list")

    def show(saved: NameTag | None) -> None:
        status.value = (
            said(f"Name tag: class {saved.class_code}, number {saved.number}.", "good")
            if saved
            else said(
                "No name tag yet: you work alone, on a job card of your own. That is fine too."
            )
        )

    def save(*_: Any) -> None:
        if given_by_class() or not (class_code.value.strip() and number.value.strip()):
            return
        try:
            typed = number.value.strip()
            if not (typed.isascii() and typed.isdigit() and 1 <= int(typed) <= 999):
                raise ValueError(
                    f"number is “{typed[:20]}”; it must be a whole number from 1 to 999. "
                    "It stands on the class list."
                )
            wanted = NameTag(
                class_code=class_code.value.strip(), number=int(typed), name=name.value.strip()
            )
            _require_tag(wanted)
            write_name_tag(root, wanted)
        except OSError as error:
            status.value = said(
                f"Not saved: {here().shown(root)} could not be written ({error.strerror}). "
                "Ask for a folder that you may write to.",
                "look",
            )
        except ValueError as error:
            status.value = said(str(error), "look")
        else:
            show(wanted)

    units = widgets.RadioButtons(
        options=[("Inch first", "inch"), ("Metric first", "metric")],
        value=read_units(root),
        description="Units",
        style={"description_width": "8.5rem"},
        layout=widgets.Layout(width=FULL_WIDTH, max_width="26rem"),
    )
    chosen = widgets.HTML(said(""))

    def choose(*_: Any) -> None:
        try:
            write_units(root, units.value)
        except OSError as error:
            chosen.value = said(
                f"Not saved: {here().shown(root)} could not be written ({error.strerror}). "
                "Ask for a folder that you may write to.",
                "look",
            )
            return
        first = "inches" if units.value == "inch" else "millimeters"
        chosen.value = said(
            f"Saved. Examples and practice come in {first}, on each page when you next open it.",
            "good",
        )

    for box in (class_code, number, name):
        box.observe(save, names="value")
    units.observe(choose, names="value")
    show(tag)
    note = password_note()
    door = [widgets.HTML(f"<p>{note}</p>")] if note else []
    return widgets.VBox([class_code, number, name, status, *door, units, chosen])


def _require_tag(tag: NameTag) -> None:
    from coursework.card import require_class_code

    require_class_code(tag.class_code)


CARD_CODE = "card-code"
CODE_TYPED = "card-code typed"


def kept_code(codes: EntriesFile) -> str:
    """Return the code of the job card that was typed on a page; empty for none."""
    try:
        return tidy_code(str(codes.get(CARD_CODE) or ""))
    except ValueError:
        return ""


def card_code_form(
    codes: EntriesFile, label: str = "Code on your job card", *, turns_page: bool = True
) -> Any:
    """Return the box for the code on the job card, with a sentence on what it does.

    Parameters
    ----------
    codes : EntriesFile
        Where the code is kept.
    label : str
        What stands before the box.
    turns_page : bool
        Whether the code of another attempt turns the page to another card.
    """
    box, status = widgets.Text(value=_shown(kept_code(codes))), widgets.HTML(said(""))
    box.placeholder = "such as 1-K7QM-4XR"
    box.description = label
    box.continuous_update = False
    box.style = {"description_width": "initial"}
    box.layout = widgets.Layout(width="24rem", max_width="100%")

    def keep(change: Any) -> None:
        before = kept_code(codes)
        try:
            code = tidy_code(change["new"]) if change["new"].strip() else ""
        except ValueError as error:
            status.value = said(str(error), "look")
            return
        failed = codes.set(CARD_CODE, code)
        if code != before:
            failed = failed or codes.set(CODE_TYPED, _now() if code else "")
        attempt = attempt_of(code) if code else 1
        if failed:
            status.value = said(failed, "look")
        elif turns_page and attempt != (attempt_of(before) if before else 1):
            words = said(
                f"This is the card of attempt {attempt}. Press “Run this page”: it begins again "
                "with that card. What you typed for another attempt is kept.",
                "look",
            )
            status.value = f'<div class="tk-press-run">{words}</div>'
        else:
            status.value = said("Your hand-in is sealed with this card." if code else "", "good")

    box.observe(keep, names="value")
    return widgets.VBox([box, status])


def _now() -> str:
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _shown(code: str) -> str:
    return shown_code(code) if code else ""


_IN_THE_FILE = (
    "The file holds what you typed, when you last changed it, and how many practice questions you "
    "tried."
)


def hand_in_form(
    page_name: str, store: EntriesFile, folder: Path, *, codes: EntriesFile | None = None
) -> Any:
    """Return the hand-in button: one small file, and a sentence where it is.

    Parameters
    ----------
    page_name : str
        The exercise.
    store : EntriesFile
        What was typed.
    folder : Path
        The page's folder.
    codes : EntriesFile, optional
        Where the code of the job card is kept; left out, none is asked for.
    """
    asks_code = codes is not None and not works_alone(course_root(folder))
    status = widgets.HTML(said(_IN_THE_FILE if asks_code else ""))
    press = widgets.Button(
        description="Hand in",
        tooltip="Write the hand-in file for your assessor",
        button_style="primary",
        layout=widgets.Layout(width="12rem"),
    )

    def hand_in(*_: Any) -> None:
        page = PAGES[page_name]
        root = course_root(folder)
        tag = read_name_tag(root) or ALONE
        texts = store.texts()
        entries = {
            question.key: texts[question.key]
            for question in page.questions
            if texts.get(question.key, "").strip()
        }
        blank = [
            question.label
            for question in page.questions
            if question.key not in entries and not _signed_off(question)
        ]
        too_long = [
            look_again(page.question(key), text)
            for key, text in entries.items()
            if isinstance(page.question(key).kind, Written) and look_again(page.question(key), text)
        ]
        if too_long:
            status.value = said(too_long[0], "look")
            return
        try:
            target = root / "hand-ins"
            target.mkdir(exist_ok=True)
            path = write_hand_in(
                folder=target,
                class_code=tag.class_code,
                number=tag.number,
                page=page_name,
                page_version=page_version(folder, page_name),
                entries=entries,
                made=_now(),
                code=kept_code(codes) if codes is not None and asks_code else "",
                saved={key: time for key, time in store.times().items() if key in entries},
                practiced=practiced_of(root, page_name),
                code_typed=str(codes.get(CODE_TYPED) or "") if codes and asks_code else "",
            )
            gone = put_in_drop(path)
        except (OSError, ValueError) as error:
            status.value = said(
                f"Not handed in: {str(error).rstrip('.')}. Nothing that you typed is lost.", "look"
            )
            return
        left = f" Left blank: {', '.join(blank)}." if blank else ""
        how = "It is with your class." if gone else "Give that file to your assessor."
        if not gone and works_alone(root):
            how = "You can mark it yourself below, or give that file to an assessor."
        status.value = said(
            f"Handed in: {here().shown(path)}. {how}{left} You may change an entry "
            "and hand in again; the last one counts.",
            "good",
        )

    press.on_click(hand_in)
    above = [card_code_form(codes)] if codes is not None and asks_code else []
    return widgets.VBox([*above, press, status])


def _signed_off(question: Question) -> bool:
    return question.by_assessor and not isinstance(question.kind, Written)
