"""For somebody who learns alone: marking one's own hand-in, and how far one has come."""

from __future__ import annotations

from datetime import UTC, datetime
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from coursework.course import PAGES, issue_card
from coursework.ink.look import on_page
from coursework.ink.signs import key_sign, must_be_right
from coursework.page.entries import EntriesFile
from coursework.page.forms import said, worked_lines
from coursework.page.handin import (
    HandIn,
    HandInError,
    hand_in_name,
    read_hand_in,
)
from coursework.page.own_marking import OwnEntry, OwnMarking, mark_own
from coursework.page.pagefolder import (
    ALONE,
    course_root,
    read_name_tag,
    works_alone,
)
from coursework.page.progress import (
    OWN_MARKING,
    PagePart,
    SkillRow,
    page_parts,
)
from coursework.question import Practical
from taperkey.counts import plural

__all__ = ["marking_html", "own_marking_form", "progress_html", "progress_view"]

MUTED, SHADE, TEAL = on_page("muted"), on_page("hair"), on_page("ok")
VERMILION, WASH, STEEL_LIGHT = on_page("slip"), on_page("steel-light"), on_page("sheet")

#: How an entry was judged: sign and words. The words say it; sign and color only repeat it.
_STATES = {
    "right": ("✓", "Right", TEAL),
    "carried": ("✓", "Right, worked on from your earlier entry", TEAL),
    "slip": ("△", "A known slip", VERMILION),
    "wrong": ("✗", "Not right", VERMILION),
    "blank": ("–", "Left blank", VERMILION),
    "unreadable": ("?", "Could not be read", VERMILION),
    "waiting": ("…", "Compare it yourself", MUTED),
}
_BOX = "max-width:44rem;font-size:1rem;line-height:1.5"


def own_marking_form(page_name: str, store: EntriesFile, folder: Path) -> Any:
    """Return the button that marks one's own hand-in, and what it shows.

    What is marked is the hand-in, not what stands in the boxes now. Only
    somebody who works alone gets it; a class waits for its assessor.
    """
    root = course_root(folder)
    result = widgets.HTML(said(""))
    press = widgets.Button(
        description="Mark my hand-in",
        tooltip="Mark what you handed in, and show the worked solution on your numbers",
        layout=widgets.Layout(width="12rem", height="2.6rem"),
    )

    def mark(*_: Any) -> None:
        if not works_alone(root):
            result.value = said(
                "You work in a class: your assessor marks this, and you get it back from there.",
                "look",
            )
            return
        try:
            handed = _latest(root, page_name)
        except HandInError as error:
            result.value = said(str(error), "look")
            return
        if handed is None:
            result.value = said("Nothing is handed in yet. Press “Hand in” first.", "look")
            return
        card = issue_card(
            exercise=page_name,
            class_code=handed.class_code,
            number=handed.number,
            attempt=handed.attempt,
        )
        marking = mark_own(page=PAGES[page_name], card=card, entries=handed.entries)
        failed = store.set(OWN_MARKING, marking.note(made=handed.made))
        now = datetime.now(UTC)
        result.value = (said(failed, "look") if failed else "") + marking_html(
            marking, made=handed.made, seen=now.strftime("%Y-%m-%d %H:%M UTC")
        )

    press.on_click(mark)
    return widgets.VBox(
        [
            widgets.HTML(
                f'<p style="{_BOX};margin:.8rem 0 .2rem">You work alone, so you can mark it '
                "yourself. The worked solution comes with it, so answer first. For another card, "
                f"write class {ALONE.class_code} and another number on the name tag.</p>"
            ),
            press,
            result,
        ]
    )


def _latest(root: Path, page_name: str) -> HandIn | None:
    tag = read_name_tag(root) or ALONE
    path = (
        root
        / "hand-ins"
        / hand_in_name(class_code=tag.class_code, number=tag.number, page=page_name)
    )
    try:
        return read_hand_in(path.read_bytes())
    except FileNotFoundError:
        return None
    except OSError as error:
        raise HandInError(
            f"The hand-in {path.name} cannot be read ({error.strerror}). Hand in again."
        ) from error


def marking_html(marking: OwnMarking, *, made: str, seen: str) -> str:
    """Return the feedback on one's own hand-in: every entry, why, and the worked solution."""
    handed = made.replace("T", " ").replace("Z", " UTC")
    head = (
        f'<h3 style="margin:1rem 0 .2rem">{escape(marking.page.title)}: your own marking</h3>'
        f'<p style="margin:0;color:{MUTED}">Handed in {escape(handed)}, marked {escape(seen)}.</p>'
        f'<p style="font-size:1.2rem;margin:.6rem 0"><strong>{_number(marking.mark)} of '
        f"{_number(marking.out_of)} {plural('mark', marking.out_of)}</strong> for what "
        "the course can mark. What a person has to mark is for you to compare.</p>"
    )
    warning = ""
    if marking.critical:
        named = "; ".join(escape(label) for label in marking.critical)
        warning = (
            f'<div role="note" style="border:3px solid {VERMILION};border-radius:6px;'
            'padding:.7rem 1rem;margin:.8rem 0"><strong>Not yet competent</strong> '
            f"{must_be_right()}<br>{named}. This must be right before the work may be done, "
            "whatever the total. Talk it through with somebody who is trusted with the job.</div>"
        )
    entries = "".join(
        _entry_html(turn, one, marking) for turn, one in enumerate(marking.entries, start=1)
    )
    foot = (
        f'<p style="color:{MUTED}">Where an earlier entry was off, the later ones were judged on '
        "it: one slip costs one mark. Marking yourself is no sign-off. Work on a real drive "
        "follows the site's rules and the people who are licensed for it.</p>"
    )
    return f'<div style="{_BOX}">{head}{warning}{entries}{foot}</div>'


def _entry_html(turn: int, one: OwnEntry, marking: OwnMarking) -> str:
    verdict, question = one.verdict, one.question
    sign, words, color = _STATES[verdict.state]
    points = "" if question.by_assessor else f"{_number(verdict.mark)} of {_number(verdict.out_of)}"
    typed = ""
    if verdict.entered.strip():
        typed = (
            f'<div style="background:{WASH};border-radius:5px;padding:.4rem .7rem;margin:.4rem 0;'
            f'white-space:pre-wrap;overflow-wrap:anywhere">{escape(verdict.entered)}</div>'
        )
    picture = question.picture(marking.card) if question.picture is not None else ""
    reason = verdict.reason if verdict.state in ("slip", "wrong", "unreadable") else ""
    if isinstance(question.kind, Practical):
        words = "Needs somebody beside you who is trusted with the job"
    guide = ""
    if one.guide:
        points_of_guide = "".join(f"<li>{escape(point)}</li>" for point in one.guide)
        guide = (
            '<p style="margin:.4rem 0 0">Look for:</p>'
            f'<ul style="margin:.2rem 0">{points_of_guide}</ul>'
        )
    work = worked_lines(one.lines)
    if one.answer:
        work += f"<p>Right: <strong>{escape(one.answer)}</strong></p>"
    if work:
        opened = "" if verdict.state == "right" else " open"
        summary = "<summary>Worked on your numbers</summary>"
        work = f"<details{opened}>{summary}{picture}{work}</details>"
    return (
        f'<section style="border-top:1px solid {SHADE};padding:.8rem 0">'
        f'<div style="display:flex;justify-content:space-between;gap:1rem">'
        f"<strong>{turn}. {escape(question.label)}</strong><span>{points}</span></div>"
        f'<p style="margin:.3rem 0;color:{MUTED}">{escape(question.ask)}</p>{typed}'
        f'<p style="margin:.3rem 0;color:{color}"><span aria-hidden="true">{sign} </span>'
        f"<strong>{words}</strong></p>"
        f"{f'<p>{escape(reason)}</p>' if reason else ''}{guide}{work}</section>"
    )


def _number(value: float) -> str:
    return f"{round(value, 2):g}"


# progress


def progress_view(folder: Path) -> Any:
    """Return how far somebody has come, by skill, with a button to look again."""
    root = course_root(folder)
    shown = widgets.HTML(progress_html(page_parts(root), alone=works_alone(root)))
    press = widgets.Button(description="Look again", tooltip="Read the progress once more")

    def again(*_: Any) -> None:
        shown.value = progress_html(page_parts(root), alone=works_alone(root))

    press.on_click(again)
    return widgets.VBox([shown, press])


def progress_html(parts: tuple[PagePart, ...], *, alone: bool) -> str:
    """Return progress as one table: a row a skill, each with a bar and the same in words."""
    rows = []
    for part in parts:
        rows.append(
            '<tr><th scope="rowgroup" colspan="3" style="text-align:left;padding:.8rem .4rem 0;'
            f'border-bottom:2px solid {SHADE}">{escape(part.name[:2])} {escape(part.title)}'
            f"{_critical_words(part)}</th></tr>"
        )
        if part.begun:
            rows += [_skill_row(row, alone=alone) for row in part.skills]
        else:
            skills = ", ".join(row.skill for row in part.skills if row.questions)
            rows.append(
                f'<tr><td colspan="3" style="padding:.3rem .4rem;color:{MUTED}">Not begun: '
                f"{escape(skills)}.</td></tr>"
            )
    head = "".join(
        f'<th scope="col" style="text-align:left;padding:.2rem .4rem;color:{MUTED}">{word}</th>'
        for word in ("Skill", "Practice", "Exercise")
    )
    return (
        f'<table style="border-collapse:collapse;width:100%;{_BOX}"><thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table>"
    )


def _critical_words(part: PagePart) -> str:
    if not part.critical:
        return ""
    named = "; ".join(escape(label) for label in part.critical)
    return (
        f'<div style="font-weight:normal;color:{VERMILION}">{key_sign()} Not yet competent: '
        f"{named} must be right.</div>"
    )


def _skill_row(row: SkillRow, *, alone: bool) -> str:
    practice = _bar(row.sits, row.questions) if row.questions else ""
    if row.out_of:
        exercise = _bar(row.mark, row.out_of)
        words = f"{_number(row.mark)} of {_number(row.out_of)} {plural('mark', row.out_of)}"
    elif not row.questions:
        exercise, words = "", "a person marks it"
    elif alone:
        exercise, words = "", "not marked yet"
    else:
        exercise, words = "", "your assessor has the marks"
    cell = "padding:.3rem .4rem;vertical-align:top"
    return (
        f'<tr><th scope="row" style="text-align:left;font-weight:normal;{cell}">'
        f"{escape(row.skill[:1].upper() + row.skill[1:])}</th>"
        f'<td style="{cell}">{practice}{escape(row.practice_words)}</td>'
        f'<td style="{cell}">{exercise}{escape(words)}</td></tr>'
    )


def _bar(part: float, whole: float) -> str:
    """Return a bar; the words beside it say the same, so it is left out when read aloud."""
    share = 100 * min(max(part / whole, 0.0), 1.0) if whole else 0.0
    return (
        '<div aria-hidden="true" style="height:.7rem;width:9rem;max-width:100%;margin:.2rem 0;'
        f'border:1px solid {TEAL};background:{STEEL_LIGHT}">'
        f'<div style="height:100%;width:{share:.0f}%;background:{TEAL}"></div></div>'
    )
