"""The class folder: one place for everything of a class, outside the course.

======================  =====================================================
``class.toml``          code, title, edition of the course, due dates, late policy
``roster.csv``          number and name
``cards/``              job cards to print
``inbox/``              drop hand-ins here
``set-aside/``          what could not be taken in, with ``reasons.txt``
``hand-ins/``           every hand-in taken in, as it came
``arrivals.csv``        when each came
``replaced.csv``        what a later hand-in put itself in the place of
``records/``            marks, one file an apprentice and exercise
``assessors.txt``       who marks, signs off and moderates, one name a line
``card-key.txt``        what the codes on the job cards are drawn from; keep it to yourself
``releases.csv``        when worked solutions were released
``people.csv``          who withdrew, moved, got another number or longer
``brought/``            marks that somebody brought from another class
``moderation/``         moderated marks with their reasons
``by-hand.csv``         what an assessor entered, who it was, and when
``sign-offs.csv``       what an assessor saw at the bench, item by item
``second/``             answers drawn for a second mark, and a file to enter it in
``second-marks.csv``    the second marks
``audit/``              auditor's pages, an apprentice each
``feedback/``           a page an apprentice and exercise
``report/``             the class report and ``marks.csv``
``desks/``              what each apprentice typed in an open class, a folder each
``open/``               join codes and keys of an open class; keep it to yourself
======================  =====================================================
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Any

from coursework.card import require_class_code
from coursework.course import PAGES, course
from coursework.mark.kept import read_arrivals
from coursework.room.attempts import (
    Attempts,
    attempts_template,
    read_attempts,
    release_times,
    releases_register,
)
from coursework.room.dates import Dates, dates_template, read_dates
from coursework.room.flagrules import FlagRules, flags_template, read_flag_rules
from coursework.room.holding import held
from coursework.room.people import Changes, read_changes
from coursework.room.roster import (
    Apprentice,
    RosterError,
    read_roster,
    write_roster,
)
from taperkey.files import clear_halves, write_whole
from taperkey.names import require_title

__all__ = ["ClassError", "ClassFolder", "new_class", "open_class"]

SETTINGS = "class.toml"
ROSTER = "roster.csv"
RELEASED = "released.txt"
ROOMS = ("cards", "inbox", "set-aside", "hand-ins", "records", "feedback", "report")
_TITLE_STEP = "Write a title such as “Taper keys, autumn”."
FIRST_EDITION = 1  # of a class that was begun before editions were counted
BEGIN = "Begin one: taperkey class new FOLDER --roster FILE."


class ClassError(ValueError):
    """The class cannot be set up or opened; the message is one plain sentence."""


@dataclass(frozen=True)
class ClassFolder:
    """A class: its folder, code, title, list and dates."""

    folder: Path
    code: str
    title: str
    roster: tuple[Apprentice, ...]
    dates: Dates = field(default_factory=Dates)
    attempts: Attempts = field(default_factory=Attempts)
    flag_rules: FlagRules = field(default_factory=FlagRules)
    changes: Changes = field(default_factory=lambda: Changes(former={}, gone={}, extended={}))

    @property
    def cards(self) -> Path:
        """Job cards to print."""
        return self.folder / "cards"

    @property
    def inbox(self) -> Path:
        """Where hand-ins are dropped."""
        return self.folder / "inbox"

    @property
    def set_aside(self) -> Path:
        """What could not be taken in."""
        return self.folder / "set-aside"

    @property
    def hand_ins(self) -> Path:
        """Every hand-in taken in, as it came."""
        return self.folder / "hand-ins"

    @property
    def feedback(self) -> Path:
        """Feedback pages."""
        return self.folder / "feedback"

    @property
    def report(self) -> Path:
        """The class report."""
        return self.folder / "report"

    @cached_property
    def names(self) -> dict[int, str]:
        """Names by number, former numbers too."""
        found = {one.number: one.name for one in self.roster}
        former = {
            number: found[self.changes.today(number)]
            for number in self.changes.former
            if self.changes.today(number) in found
        }
        return former | found

    def numbers_of(self, number: int) -> tuple[int, ...]:
        """Return the number that somebody has today, then their former ones."""
        former = (one for one in self.changes.former if self.changes.today(one) == number)
        return (number, *former)

    def marked_under(self, number: int, exercise: str) -> int:
        """Return the number that an exercise of somebody is marked under."""
        for one in self.numbers_of(number):
            if (self.folder / "records" / f"{one:03d}" / f"{exercise}.json").is_file():
                return one
        return number

    @cached_property
    def present(self) -> tuple[Apprentice, ...]:
        """Who is in the class: everybody on the list who has not withdrawn or moved."""
        return tuple(one for one in self.roster if one.number not in self.changes.gone)

    def released(self) -> tuple[str, ...]:
        """Return the exercises whose worked solutions have been released."""
        try:
            lines = (self.folder / RELEASED).read_text("utf-8").split()
        except FileNotFoundError:
            return ()
        return tuple(name for name in PAGES if name in lines)

    def release(self, exercises: Sequence[str] | None = None, *, now: str = "") -> None:
        """Note that the worked solutions of these exercises may be seen, and since when."""
        wanted = {*self.released(), *(PAGES if exercises is None else exercises)}
        lines = "".join(f"{name}\n" for name in PAGES if name in wanted)
        known = release_times(self.folder)
        new = [name for name in PAGES if name in wanted and name not in known]
        stamp = now or datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        if new:
            run = str(max((one.run for one in read_arrivals(self.folder)), default=0))
            releases_register(self.folder).append((stamp, name, run) for name in new)
        write_whole(self.folder / RELEASED, lines.encode())

    @contextmanager
    def alone(self, doing: str = "working") -> Iterator[ClassFolder]:
        """Hold the folder, so that two runs never work in it at once.

        Yields
        ------
        ClassFolder
            The class as it stands now that it is held: another run may have changed it since this
            one was opened.

        Parameters
        ----------
        doing : str
            What the holder does, in a word or two, for whoever comes meanwhile.

        Raises
        ------
        ClassError
            Another run is at work: who, where, since when.
        """
        with held(self.folder, doing=doing) as other:
            if other:
                raise ClassError(
                    f"class folder is {self.folder}, and another run is at work in it{other}; it "
                    "must end first. Wait for it, then start this one again."
                )
            clear_halves(self.folder)
            now = open_class(self.folder)
            if now.roster != read_roster(self.folder / ROSTER):  # a renumbering was cut off
                write_roster(self.folder / ROSTER, roster=now.roster)
            yield now


def _numbers_of_today(roster: tuple[Apprentice, ...], changes: Changes) -> tuple[Apprentice, ...]:
    """Return the list with every renumbering on it, also one that was cut off before the list."""
    there = {one.number for one in roster}
    if not any(changes.today(one.number) not in there for one in roster):
        return roster
    return tuple(
        sorted(
            one if (today := changes.today(one.number)) in there else replace(one, number=today)
            for one in roster
        )
    )


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def new_class(
    folder: Path,
    *,
    code: str,
    title: str,
    roster: Sequence[Apprentice],
    like: ClassFolder | None = None,
) -> ClassFolder:
    """Set up a class folder.

    Parameters
    ----------
    folder : Path
        A folder that is not there yet, or is empty.
    code : str
        1 to 24 letters, digits and hyphens; see :mod:`coursework.room.classcode`.
    title : str
        One line for the head of every page.
    roster : sequence of Apprentice
        At least one.
    like : ClassFolder, optional
        A class whose rules are taken over, and its assessors; due dates are not.

    Returns
    -------
    ClassFolder
        The folder, opened.

    Raises
    ------
    ClassError
        One sentence.
    """
    folder = Path(os.path.abspath(folder.expanduser()))
    try:
        require_class_code(code)
        require_title("class title", title, step=_TITLE_STEP)
    except ValueError as error:
        raise ClassError(str(error)) from None
    if not roster:
        raise ClassError("roster has no apprentices; it must have at least one.")
    if folder.exists() and not folder.is_dir():
        raise ClassError(f"class folder is {folder}; it must be a folder, not a file.")
    try:
        if folder.is_dir() and any(folder.iterdir()):
            raise ClassError(
                f"class folder is {folder}; it must be new or empty, so that nothing in it is "
                "overwritten. Name another folder."
            )
        for room in ROOMS:
            (folder / room).mkdir(parents=True, exist_ok=True)
        write_roster(folder / ROSTER, roster=roster)
        settings = (
            "# The class. Change the title at any time.\n"
            "# The code is on every hand-in and every job card is drawn from it:\n"
            "# do not change it once cards are given out.\n"
            f"code = {_quoted(code)}\n"
            f"title = {_quoted(title)}\n"
            "# The edition of the course that job cards and right answers are taken from.\n"
            f"edition = {course().edition}\n"
            + dates_template(tuple(PAGES))
            + attempts_template()
            + flags_template()
        )
        if like is not None:
            settings += _rules_of(like)
            assessors = like.folder / "assessors.txt"
            if assessors.is_file():
                write_whole(folder / assessors.name, assessors.read_bytes())
        write_whole(folder / SETTINGS, settings.encode())
    except OSError as error:
        raise ClassError(
            f"class folder is {folder}; it must be one you may write in, on a disk with room "
            f"left ({error.strerror or 'the disk refused'}). Name another folder."
        ) from None
    return open_class(folder)


def _rules_of(like: ClassFolder) -> str:
    """Return the rules of a class on lateness and attempts, as they stand in ``class.toml``."""
    late = like.dates.policy
    lines = ["", "[attempts]", f'counts = "{like.attempts.counts}"']
    lines += [f"safety_cards = {like.attempts.cards}", "", *like.flag_rules.lines(), "", "[late]"]
    if late.percent_per_day:
        lines += ['policy = "percent per day"', f"percent_per_day = {late.percent_per_day:g}"]
    lines += [
        f"floor_percent = {late.floor_percent:g}",
        f"days_on_the_way = {late.days_on_the_way:g}",
        "",
    ]
    return "\n".join(lines)


def _require_edition(settings: Mapping[str, Any], path: Path) -> None:
    """Refuse a class that was begun with another edition of the course."""
    begun, now = settings.get("edition", FIRST_EDITION), course().edition
    if type(begun) is not int or begun < FIRST_EDITION:
        raise ClassError(
            f"{path}: edition is {str(begun)[:20]}; it must be a whole number from "
            f"{FIRST_EDITION}. Take it from the course that the class was begun with."
        )
    if begun != now:
        what = f" ({course().changed})" if begun < now and course().changed else ""
        raise ClassError(
            f"{path.parent} was begun with edition {begun} of the course, and this is edition "
            f"{now}{what}: its marks would come out otherwise, so nothing was taken in, marked or "
            f"changed. Go on with the course that has edition {begun}; or keep a copy of the "
            f"folder, write edition = {now} in {path.name} and mark again, and every mark that "
            "becomes another is named."
        )


def open_class(folder: Path, *, any_edition: bool = False) -> ClassFolder:
    """Open a class folder.

    Parameters
    ----------
    folder : Path
        The class folder.
    any_edition : bool
        Whether it may have been begun with another edition of the course, as where only its rules
        are read.

    Raises
    ------
    ClassError
        One sentence: there is no such folder, its settings or list are damaged, or it is of
        another edition of the course.
    """
    folder = Path(os.path.abspath(folder.expanduser()))
    if not folder.is_dir():
        raise ClassError(f"class folder is {folder}; it must be a folder that is there. {BEGIN}")
    path = folder / SETTINGS
    try:
        settings = tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except FileNotFoundError:
        raise ClassError(
            f"{folder} has no {SETTINGS}; it must be a class folder. {BEGIN}"
        ) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        reason = str(error).splitlines()[0].rstrip(".")
        raise ClassError(
            f"{path} cannot be read ({reason}); it must have the lines code = … and title = … . "
            "Put the missing quotation mark or line back."
        ) from None
    except OSError:
        raise ClassError(f"{path} cannot be opened; it must be a file you may read.") from None
    code, title = settings.get("code"), settings.get("title", "")
    if not isinstance(code, str):
        raise ClassError(
            f'{path} has no code; it must have a line code = "…". '
            "Copy it from a job card or from the name of a hand-in."
        )
    if not isinstance(title, str):
        raise ClassError(f'{path} has no usable title; it must have a line title = "…".')
    title = title or f"Class {code}"
    try:
        require_class_code(code)
        require_title("class title", title, step=_TITLE_STEP)
    except ValueError as error:
        raise ClassError(f"{path}: {error}") from None
    if not any_edition:
        _require_edition(settings, path)
    try:
        roster = read_roster(folder / ROSTER)
    except RosterError as error:
        raise ClassError(f"{folder}: {error}") from None
    dates, problems = read_dates(settings, exercises=tuple(PAGES))
    attempts, more = read_attempts(settings)
    flag_rules, further = read_flag_rules(settings)
    if problems or more or further:
        raise ClassError(f"{path}: {' '.join((*problems, *more, *further))}")
    changes = read_changes(folder)
    return ClassFolder(
        folder=folder,
        code=code,
        title=title,
        roster=_numbers_of_today(roster, changes),
        dates=replace(dates, extended=changes.extended),
        attempts=attempts,
        flag_rules=flag_rules,
        changes=changes,
    )
