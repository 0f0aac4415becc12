"""The first page of a course: where to go on and why, how far one is, and a card for each lesson.

How far one is comes from what was kept anyway: units read, practice questions right, drills and
benches done, exercises handed in, and what has faded since by the spacing rule.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

import coursework.page.acts  # noqa: F401  - before any widget is made
from coursework.course import PAGES
from coursework.ink.drawing import Picture
from coursework.page.contents import go_on_link, state_sign
from coursework.page.handin import hand_in_name
from coursework.page.pagefolder import ALONE, read_name_tag
from coursework.page.progress import practice_key, practice_of, standing_of
from coursework.page.spacing import due_on
from coursework.page.units import (
    DONE,
    HALF,
    OPEN,
    Place,
    acts_done,
    next_place,
    notes_of,
    states_of,
)
from taperkey.counts import counted

__all__ = ["LessonRow", "front_page", "lesson_rows"]

#: From this many faded questions on, practice comes before the next unit.
_FADED_FIRST = 3


@dataclass(frozen=True, kw_only=True)
class LessonRow:
    """How far one is in a lesson.

    Attributes
    ----------
    page, title : str
        The lesson.
    minutes : int
        Of all its units.
    done, units : int
        Units done, and all.
    right, asked : int
        Practice questions that were right last time, and all.
    faded, missed : int
        Of them, right once but due again; not right last time.
    acts_done, acts : int
        Drills and benches done, and all.
    handed_in : bool
        Whether a hand-in of its exercise lies there.
    begun : bool
        Whether anything of it was done.
    """

    page: str
    title: str
    minutes: int
    done: int
    units: int
    right: int
    asked: int
    faded: int
    missed: int
    acts_done: int
    acts: int
    handed_in: bool
    begun: bool

    @property
    def state(self) -> str:
        """Open, half or done, as a unit."""
        return DONE if self.done == self.units else HALF if self.begun else OPEN

    @property
    def words(self) -> str:
        """What was practiced and done, in a few words."""
        parts = []
        if self.asked:
            parts.append(f"{self.right} of {self.asked} right")
        if self.acts:
            parts.append(f"drills and benches {self.acts_done} of {self.acts}")
        parts.append("handed in" if self.handed_in else "not handed in")
        if self.faded:
            parts.append(f"{self.faded} faded since")
        return " · ".join(parts)


def lesson_rows(root: Path, *, today: date) -> tuple[LessonRow, ...]:
    """Return how far one is in each lesson that has units.

    Parameters
    ----------
    root : Path
        The course folder.
    today : date
        Decides what has faded.
    """
    notes, folder = notes_of(root), root / "lessons"
    tag = read_name_tag(root) or ALONE
    rows = []
    for page in PAGES.values():
        if not page.units:
            continue
        states = states_of(page.name, notes, folder)
        standings = [
            standing_of(one, notes.get(practice_key(one.key))) for one in practice_of(page)
        ]
        acts = [act for unit in page.units for act in unit.acts]
        name = hand_in_name(class_code=tag.class_code, number=tag.number, page=page.name)
        handed_in = (root / "hand-ins" / name).is_file()
        sits = [one for one in standings if one.box > 1]
        rows.append(
            LessonRow(
                page=page.name,
                title=page.title,
                minutes=sum(unit.minutes for unit in page.units),
                done=sum(state == DONE for state in states.values()),
                units=len(page.units),
                right=len(sits),
                asked=len(standings),
                faded=sum((due := due_on(one)) is not None and due <= today for one in sits),
                missed=sum(one.box == 1 for one in standings),
                acts_done=acts_done(acts, notes, folder),
                acts=len(acts),
                handed_in=handed_in,
                begun=handed_in or any(state != OPEN for state in states.values()),
            )
        )
    return tuple(rows)


def _row_html(row: LessonRow) -> str:
    share = 100 * row.done / row.units
    count = f"{row.done} of {row.units} units" if row.begun else "not begun"
    words = f'<span class="tk-bar-words">{escape(row.words)} </span>' if row.begun else ""
    return (
        f'<li><span class="tk-bar-name">{escape(row.title)} </span>'
        f'<span class="tk-bar-count">{count} </span>'
        f'<span class="tk-bar" aria-hidden="true"><span style="width:{share:.0f}%"></span></span>'
        f"{words}</li>"
    )


def _why(rows: tuple[LessonRow, ...], place: Place | None) -> str:
    """Return what else there is to do, and why."""
    faded, missed = (sum(getattr(row, name) for row in rows) for name in ("faded", "missed"))
    parts = []
    if missed:
        parts.append(f"{counted(missed, 'practice question')} not right last time")
    if faded:
        parts.append(f"{faded} right before and due again by now")
    if not parts:
        begun = any(row.begun for row in rows)
        if place is None:
            return "Every unit is done. Practice comes back when it is due."
        return (
            "Nothing has faded: go on."
            if begun
            else "Begin here. Each unit takes twenty minutes at most."
        )
    ahead = "Do that first" if faded + missed >= _FADED_FIRST else "Three at a time will do"
    return f"{'; '.join(parts)}. {ahead}: a practice round takes the weakest."


def _go_on(place: Place | None) -> str:
    if place is None:
        return ""
    return go_on_link(
        page=place.page,
        unit=place.unit,
        head=f"{'Go on' if place.begun or place.turn > 1 else 'Begin'}: {place.unit.title}",
        under=f"{place.page[:2]} {place.lesson}, unit {place.turn} of {place.count} · "
        f"{place.unit.minutes} minutes",
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
    picture: Picture,
    pictures: Mapping[str, Callable[[], Picture]],
    besides: str,
    settings: str,
    today: date,
) -> str:
    """Return the first page as HTML."""
    rows, place = lesson_rows(root, today=today), next_place(root)
    bars = "".join(map(_row_html, rows))
    cards = "".join(_card(row, pictures[row.page](), place) for row in rows)
    return (
        f'<div class="tk-front"><p class="tk-settings">{settings}</p>'
        f'<div class="tk-front-top"><div>{picture.html()}{_go_on(place)}</div>'
        f'<section><h2>How far you are</h2><ul class="tk-bars">{bars}</ul>'
        f'<p class="tk-quiet">{escape(_why(rows, place))}</p></section></div>'
        f'<h2>The job, lesson by lesson</h2><ul class="tk-cards">{cards}'
        f'<li class="tk-card"><p class="tk-quiet">Besides</p>{besides}</li></ul></div>'
    )


def front_page(root: Path, **parts: Any) -> Any:
    """Return the first page of the course; it is read anew each time the page is opened."""
    return widgets.HTML(front_html(root, today=date.today(), **parts))
