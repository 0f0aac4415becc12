"""The first page of a course: where to go on and why, how far one is, and a card for each lesson.

How far one is stands in `howfar`; here it is decided what comes next, and said why.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

import coursework.page.acts  # noqa: F401  - before any widget is made
from coursework.course import PAGES
from coursework.ink.drawing import Picture, side_by_side
from coursework.page.contents import go_on_link, state_sign
from coursework.page.howfar import LessonRow, days_ago, howfar_html, lesson_rows
from coursework.page.units import DONE, Place, next_place
from taperkey.counts import counted

__all__ = ["front_page"]

#: From this many questions due again on, practice comes before the next unit.
_DUE_FIRST = 3


def _due(rows: Sequence[LessonRow]) -> int:
    return sum(len(row.faded) + row.missed for row in rows)


def _why(rows: Sequence[LessonRow], place: Place | None) -> str:
    """Return in one sentence or two why this is next."""
    parts = _due_words(rows)
    if _due(rows) >= _DUE_FIRST:
        due = counted(_due(rows), "question")
        return f"Practice first: {due} came due. {parts} {_weakest(rows)}"
    if place is None:
        return "Every unit is done. Practice comes back when it is due."
    if place.begun:
        why = "Why this: you began this unit, and something in it is still open."
    elif any(row.begun and row.page == place.page for row in rows):
        why = "Why this: it is the first unit still open in the lesson that you are in."
    elif any(row.begun for row in rows):
        why = "Why this: every lesson that you began is done, and this one is next."
    else:
        why = "Begin here. Each unit takes twenty minutes at most."
    return f"{why} Then practice: {parts[:1].lower()}{parts[1:]}" if parts else why


def _due_words(rows: Sequence[LessonRow]) -> str:
    """Say what is due again: what went wrong, and what has faded and for how long."""
    faded = [one for row in rows for one in row.faded]
    missed = sum(row.missed for row in rows)
    parts = []
    if missed:
        parts.append(f"{missed} {'was' if missed == 1 else 'were'} not right last time")
    if faded:
        longest = max(faded, key=lambda one: one.days)
        what = f"“{longest.label}” ({longest.lesson}) was last right {days_ago(longest.days)}"
        parts.append(f"{len(faded)} {'has' if len(faded) == 1 else 'have'} faded: {what}")
    return f"{' and '.join(parts)}." if parts else ""


def _weakest(rows: Sequence[LessonRow]) -> str:
    """Name the skill in which the fewest answers are expected to be right."""
    skills = [skill for row in rows for skill in row.skills if skill.tried]
    least = min(skills, key=lambda one: one.expected)
    tenths = round(10 * least.expected)
    return (
        f"Your weakest skill is “{least.skill.lower()}”: about {tenths} in 10 first answers there "
        "would be right today."
    )


def _next(rows: Sequence[LessonRow], place: Place | None, practice: tuple[str, str] | None) -> str:
    """Return the link to what comes next: a practice round where enough is due, else the unit."""
    due = _due(rows)
    if practice is None or due < _DUE_FIRST:
        return _go_on(place)
    page, unit_id = practice
    unit = next(one for one in PAGES[page].units if one.id == unit_id)
    head, under = "Go on: a practice round", f"three questions of {due} that are due · 5 minutes"
    round_link = go_on_link(page=page, unit=unit, head=head, under=under)
    return round_link + (_go_on(place, strong=False) if place is not None else "")


def _go_on(place: Place | None, *, strong: bool = True) -> str:
    if place is None:
        return ""
    return go_on_link(
        page=place.page,
        unit=place.unit,
        head=f"{'Go on' if place.begun or place.turn > 1 else 'Begin'}: {place.unit.title}",
        under=f"{place.page[:2]} {place.lesson}, unit {place.turn} of {place.count} · "
        f"{place.unit.minutes} minutes",
        strong=strong,
    )


def _card(row: LessonRow, picture: Picture, place: Place | None) -> str:
    now = place is not None and place.page == row.page
    state = (
        f"you are here · unit {place.turn} of {place.count}"
        if now and place is not None
        else f"{'done · ' if row.state == DONE else ''}{row.minutes} min"
    )
    lesson, exercise = f"{row.page}.ipynb", f"exercises/{row.page}/{row.page}.ipynb"
    unit = f' data-tk-unit="{place.unit.id}"' if now and place is not None else ""
    return (
        f'<li class="tk-card{" tk-card-now" if now else ""}"><a href="{lesson}" '
        f'data-tk-page="lessons/{lesson}"{unit}><span class="tk-card-head"><span>{row.page[:2]} '
        f"</span>{state_sign(row.state)}</span>{picture.svg}<b>{escape(row.title)} </b>"
        f'<span class="tk-quiet">{state} </span></a>'
        f'<a class="tk-card-exercise" href="../{exercise}" data-tk-page="{exercise}">'
        f"Exercise {row.page[:2]}{' · handed in' if row.handed_in else ''}</a></li>"
    )


def front_html(
    root: Path,
    *,
    views: Sequence[Picture],
    pictures: Mapping[str, Callable[[], Picture]],
    besides: str,
    settings: str,
    today: date,
    practice: tuple[str, str] | None = None,
) -> str:
    """Return the first page as HTML; `practice` is the page and the unit of a practice round."""
    rows, place = lesson_rows(root, today=today), next_place(root)
    cards = "".join(_card(row, pictures[row.page](), place) for row in rows)
    return (
        f'<div class="tk-front"><p class="tk-settings">{settings}</p>'
        f'<div class="tk-front-top"><div>{_next(rows, place, practice)}'
        f'<p class="tk-quiet tk-why">{escape(_why(rows, place))}</p>{side_by_side(views)}</div>'
        f"<section><h2>How far you are, skill by skill</h2>{howfar_html(rows)}</section></div>"
        f'<h2>The job, lesson by lesson</h2><ul class="tk-cards">{cards}'
        f'<li class="tk-card"><p class="tk-quiet">Besides</p>{besides}</li></ul></div>'
    )


def front_page(root: Path, **parts: Any) -> Any:
    """Return the first page of the course; it is read anew each time the page is opened."""
    return widgets.HTML(front_html(root, today=date.today(), **parts))
