"""How far one is, skill by skill: read, drilled, practiced, done on a bench, handed in.

One picture of it stands at the top of the first page. Everything comes from what was kept anyway;
what has faded since, and how sure the course is of the rest, says the rule in ``spacing``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape
from pathlib import Path
from typing import Any

from coursework.course import PAGES
from coursework.page.handin import hand_in_name
from coursework.page.pagefolder import ALONE, read_name_tag
from coursework.page.progress import practice_key, practice_of, standing_of
from coursework.page.spacing import Standing, believed, due_on, right_share
from coursework.page.units import DONE, HALF, OPEN, notes_of, states_of, times_done
from coursework.unit import Unit
from taperkey.counts import counted

__all__ = ["ActPart", "Faded", "LessonRow", "SkillPart", "days_ago", "howfar_html", "lesson_rows"]

_NAMED = 3  # of what has faded, so many are named
#: The count of a trainer that is a run of right readings.
_RUN = "best"


@dataclass(frozen=True, kw_only=True)
class Faded:
    """A practice question that was right and is due again."""

    label: str
    lesson: str  # its number
    days: int  # since it was right


@dataclass(frozen=True, kw_only=True)
class SkillPart:
    """The practice questions of one skill in one lesson.

    Attributes
    ----------
    skill : str
        In words.
    asked, tried, right : int
        All questions, those tried, those right last time.
    missed : int
        Not right last time, and due again.
    faded : tuple of Faded
        Of those right, what is due again.
    expected : float
        Share of right first answers that the course believes in.
    """

    skill: str
    asked: int
    tried: int
    right: int
    missed: int
    faded: tuple[Faded, ...]
    expected: float

    @property
    def words(self) -> str:
        """How the skill stands, in words."""
        if not self.tried:
            return "not practiced yet"
        parts = [f"{self.right} of {self.asked} right last time"]
        if self.faded:
            longest = max(one.days for one in self.faded)
            parts.append(f"{len(self.faded)} faded, the longest right {days_ago(longest)}")
        return ", ".join(parts)


@dataclass(frozen=True, kw_only=True)
class ActPart:
    """A drill or a bench: how often it was done, or how long the best run was."""

    title: str
    what: str
    done: int
    times: int

    @property
    def words(self) -> str:
        """How far it was done, in words."""
        if not self.done:
            return "not begun"
        if self.what == _RUN:
            short = "" if self.done >= self.times else f", {self.times} are needed"
            return f"{self.done} right in a row{short}"
        return "done" if self.done >= self.times else f"begun, {self.done} of {self.times}"


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
    skills : tuple of SkillPart
        Its practice, skill by skill.
    acts : tuple of ActPart
        Its drills and benches.
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
    skills: tuple[SkillPart, ...]
    acts: tuple[ActPart, ...]
    handed_in: bool
    begun: bool

    @property
    def state(self) -> str:
        """Open, half or done, as a unit."""
        return DONE if self.done == self.units else HALF if self.begun else OPEN

    @property
    def faded(self) -> tuple[Faded, ...]:
        """What has faded, of all its skills."""
        return tuple(one for skill in self.skills for one in skill.faded)

    @property
    def missed(self) -> int:
        """Questions not right last time and due again."""
        return sum(skill.missed for skill in self.skills)

    @property
    def words(self) -> str:
        """What was practiced and done, in a few words."""
        parts = []
        asked = sum(skill.asked for skill in self.skills)
        if asked:
            parts.append(f"{sum(skill.right for skill in self.skills)} of {asked} right")
        runs = [act.done for act in self.acts if act.what == _RUN and act.done]
        if runs:
            parts.append(f"best run {max(runs)} in a row")
        if self.acts:
            done = sum(act.done >= act.times for act in self.acts)
            parts.append(f"drills and benches {done} of {len(self.acts)}")
        parts.append("handed in" if self.handed_in else "not handed in")
        if self.faded:
            parts.append(f"{len(self.faded)} faded since")
        return " · ".join(parts)


def days_ago(days: int) -> str:
    """Say how long ago a day was."""
    return "today" if days <= 0 else "yesterday" if days == 1 else f"{days} days ago"


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
    practiced = {
        page.name: [
            (question.label, standing_of(question, notes.get(practice_key(question.key))))
            for question in practice_of(page)
        ]
        for page in PAGES.values()
    }
    share = right_share(one for rows in practiced.values() for _, one in rows)
    found = []
    for page in PAGES.values():
        if not page.units:
            continue
        states = states_of(page.name, notes, folder)
        name = hand_in_name(class_code=tag.class_code, number=tag.number, page=page.name)
        handed_in = (root / "hand-ins" / name).is_file()
        found.append(
            LessonRow(
                page=page.name,
                title=page.title,
                minutes=sum(unit.minutes for unit in page.units),
                done=sum(state == DONE for state in states.values()),
                units=len(page.units),
                skills=_skills(practiced[page.name], share=share, today=today),
                acts=_acts(page.units, notes, folder),
                handed_in=handed_in,
                begun=handed_in or any(state != OPEN for state in states.values()),
            )
        )
    return tuple(found)


def _skills(
    practiced: Sequence[tuple[str, Standing]], *, share: float, today: date
) -> tuple[SkillPart, ...]:
    by_skill: dict[str, list[tuple[str, Standing]]] = {}
    for label, standing in practiced:
        by_skill.setdefault(standing.skill, []).append((label, standing))
    parts = []
    for skill, rows in by_skill.items():
        due = [
            (label, one) for label, one in rows if (day := due_on(one)) is not None and day <= today
        ]
        parts.append(
            SkillPart(
                skill=skill[:1].upper() + skill[1:],
                asked=len(rows),
                tried=sum(one.box > 0 for _, one in rows),
                right=sum(one.box > 1 for _, one in rows),
                missed=sum(one.box == 1 for _, one in due),
                faded=tuple(
                    Faded(label=label, lesson=one.key[:2], days=(today - one.last).days)
                    for label, one in due
                    if one.box > 1 and one.last is not None
                ),
                expected=sum(believed(one, share=share) for _, one in rows) / len(rows),
            )
        )
    return tuple(parts)


def _acts(units: Sequence[Unit], notes: Mapping[str, Any], folder: Path) -> tuple[ActPart, ...]:
    """Return the drills and benches of a lesson; a unit's acts are one, as far as the least."""
    parts = []
    for unit in units:
        acts = [(times_done(act, notes, folder), act) for act in unit.acts]
        if not acts:
            continue
        done, act = min(acts, key=lambda one: one[0] / one[1].times)
        if len(acts) > 1:  # a bench with several acts: so many of them
            done = sum(count >= one.times for count, one in acts)
            parts.append(ActPart(title=unit.title, what=act.what, done=done, times=len(acts)))
        else:
            parts.append(ActPart(title=unit.title, what=act.what, done=done, times=act.times))
    return tuple(parts)


# the picture


_LEGEND = "".join(
    f'<span><i class="tk-portion{kind}"><{fill} style="width:100%"></{fill}></i> {said}</span> '
    for kind, fill, said in (
        ("", "b", "right last time"),
        ("", "s", "faded since"),
        (" tk-portion-act", "b", "drill or bench"),
        (" tk-portion-hand", "b", "handed in"),
    )
)


def howfar_html(rows: Sequence[LessonRow]) -> str:
    """Return the picture: a row a lesson, a field a skill; opened, each row says it in words."""
    lessons = "".join(map(_row_html, rows))
    return (
        f'<ul class="tk-bars">{lessons}</ul>'
        f'<p class="tk-legend" aria-hidden="true">{_LEGEND}</p>'
        f"{_faded_html(rows)}"
    )


def _row_html(row: LessonRow) -> str:
    count = f"{row.done} of {row.units} units" if row.begun else "not begun"
    words = f'<span class="tk-bar-words">{escape(row.words)} </span>' if row.begun else ""
    fields = [_skill_field(one) for one in row.skills]
    fields += [_field("act", 1.5, min(one.done / one.times, 1.0)) for one in row.acts]
    fields.append(_field("hand", 1, float(row.handed_in)))
    lines = [(one.skill, one.words) for one in row.skills]
    lines += [(one.title, one.words) for one in row.acts]
    lines.append((f"Exercise {row.page[:2]}", "handed in" if row.handed_in else "not handed in"))
    items = "".join(f"<li><b>{escape(name)}: </b>{escape(said)}</li>" for name, said in lines)
    return (
        f'<li><details class="tk-skills"><summary><span class="tk-bar-name">{escape(row.title)} '
        f'</span><span class="tk-bar-count">{count} </span>'
        f'<span class="tk-strip" aria-hidden="true">{"".join(fields)}</span>{words}</summary>'
        f"<ul>{items}</ul></details></li>"
    )


def _skill_field(one: SkillPart) -> str:
    faded = len(one.faded) / one.asked
    return _field("", one.asked, one.right / one.asked - faded, faded)


def _field(kind: str, weight: float, full: float, faded: float = 0.0) -> str:
    look = f"tk-portion tk-portion-{kind}" if kind else "tk-portion"
    inside = f'<b style="width:{100 * full:.0f}%"></b>' if full > 0 else ""
    inside += f'<s style="width:{100 * faded:.0f}%"></s>' if faded > 0 else ""
    return f'<i class="{look}" style="flex-grow:{weight:g}">{inside}</i>'


def _faded_html(rows: Sequence[LessonRow]) -> str:
    faded = sorted((one for row in rows for one in row.faded), key=lambda one: -one.days)
    if not faded:
        return ""
    named = "; ".join(
        f"“{escape(one.label)}” ({one.lesson}), {days_ago(one.days)}" for one in faded[:_NAMED]
    )
    more = len(faded) - _NAMED
    rest = f"; and {counted(more, 'other')}" if more > 0 else ""
    return f'<p class="tk-quiet"><b>Faded since it was last right: </b>{named}{rest}.</p>'
