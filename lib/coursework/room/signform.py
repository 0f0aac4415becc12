"""The sign-off as a form in the browser: a task and a person, yes or no, kept for good.

The pages are plain HTML without a script, so that they work on any phone beside the machine. What
is ticked is read and entered by the same functions as a CSV of ``class sign``. Who stands under it
is told by whatever serves the pages; nobody types a name.

`routes` gives the pages to a server of tornado's kind: the marking screen's, the one of
`coursework.room.signserver`, or another that lets only assessors in.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from tornado.web import RequestHandler

from coursework.mark.signoff import (
    HIGHEST_ATTEMPT,
    SignOffError,
    Task,
    counting_sign_offs,
    tasks,
)
from coursework.room.cards import page_template
from coursework.room.classfolder import ClassError, ClassFolder, open_class
from coursework.room.signing import (
    LONGEST_NOTE,
    enter_ticked,
    failed_words,
    sign_off_how,
    sign_off_words,
)

__all__ = ["PLACE", "form_page", "people_page", "routes", "tasks_page"]

PLACE = "sign-off"
_KEEP_OUT = "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"  # the page says the rest
_LONGEST_FIELD = 400  # characters; a note may have fewer


def _page(part: str, class_folder: ClassFolder, by: str, **more: Any) -> str:
    text: str = page_template("signform.html.j2").render(
        part=part, title=class_folder.title, by=by, **more
    )
    return text


def tasks_page(class_folder: ClassFolder, *, by: str, home: str) -> str:
    """Return the page that a task is chosen on.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    by : str
        The assessor.
    home : str
        Address of this page, with a slash at its end.
    """
    there = counting_sign_offs(class_folder.folder)
    rows = []
    for task in tasks().values():
        mine = [there.get((one.number, task.key)) for one in class_folder.present]
        passed = sum(1 for one in mine if one is not None and one.passed)
        rows.append((task, f"{passed} of {len(mine)} signed off"))
    return _page("tasks", class_folder, by, home=home, rows=rows)


def people_page(class_folder: ClassFolder, task: Task, *, by: str, home: str, told: int = 0) -> str:
    """Return the page that a person is chosen on.

    Parameters
    ----------
    class_folder, by, home
        As for `tasks_page`.
    task : Task
        The task.
    told : int
        Number of whom a sign-off was entered just now, or 0.
    """
    there = counting_sign_offs(class_folder.folder)
    rows = []
    for one in class_folder.present:
        mine = there.get((one.number, task.key))
        detail = f"{sign_off_how(mine)}, {mine.date}, {mine.by}" if mine else ""
        rows.append((one, "" if mine is None else mine.passed, sign_off_words(mine), detail))
    last = there.get((told, task.key))
    entered = None
    if last is not None and told in class_folder.names:
        marks = f"{last.marks} of {task.question.marks:g} marks"
        entered = {
            "passed": last.passed,
            "words": f"{class_folder.names[told]}: {sign_off_words(last)}, {marks}.",
            "failed": failed_words(task, last),
        }
    return _page("people", class_folder, by, home=home, task=task, rows=rows, entered=entered)


def form_page(
    class_folder: ClassFolder,
    task: Task,
    number: int,
    *,
    by: str,
    home: str,
    xsrf: str = "",
    given: Mapping[str, str] | None = None,
    refused: str = "",
    today: date | None = None,
) -> str:
    """Return the form of one task and person.

    Parameters
    ----------
    class_folder, task, by, home
        As for `people_page`.
    number : int
        The apprentice.
    xsrf : str
        Hidden field that shows that the form is ours.
    given : mapping of str to str, optional
        What was ticked before it was refused; it stands there again.
    refused : str
        Why, in one sentence.
    today : date, optional
        Left out, by the clock of this machine.
    """
    from markupsafe import Markup

    before = counting_sign_offs(class_folder.folder).get((number, task.key))
    attempt = min(before.attempt + 1, HIGHEST_ATTEMPT) if before else 1
    day = (today or date.today()).isoformat()
    blank = dict.fromkeys(["prompted", "note", *(str(one) for one in range(1, 100))], "")
    return _page(
        "form",
        class_folder,
        by,
        home=home,
        task=task,
        number=number,
        name=class_folder.names[number],
        before=f"{sign_off_words(before)}: {sign_off_how(before)}, {before.date}, {before.by}"
        if before
        else "",
        attempts=range(1, HIGHEST_ATTEMPT + 1),
        longest_note=LONGEST_NOTE,
        today=day,
        given={**blank, "attempt": str(attempt), "date": day, **(given or {})},
        refused=refused,
        xsrf=Markup(xsrf),  # tornado's own field
    )


def routes(
    folder: Path,
    *,
    by: Callable[[Any], str],
    base: type[RequestHandler] = RequestHandler,
    home: str = f"/{PLACE}/",
) -> list[tuple[str, type[RequestHandler]]]:
    """Return the pages for a server of tornado's kind.

    The server has to keep ``xsrf_cookies`` on and a request's body small.

    Parameters
    ----------
    folder : Path
        The class folder; it is opened at each request.
    by : callable
        Given the handler, returns the account or name of the assessor who is asking, or nothing
        where it is somebody else: they get a refusal.
    base : type, optional
        The server's own kind of handler.
    home : str
        Address that the pages lie under, with a slash at both ends.
    """

    class SignOffPage(base):  # type: ignore[misc, valid-type]
        """What the pages share: who asks, the class, and how a page is sent."""

        async def _answer(self, make: Callable[[ClassFolder, str], tuple[int, str]]) -> None:
            """Send what `make` returns: a status with a page, or 303 with an address."""
            who = by(self)
            if not who:
                self._send(403, _refusal("This page is for assessors. Open it by its link."))
                return
            try:
                status, text = await asyncio.to_thread(lambda: make(open_class(folder), who))
            except LookupError:
                self._send(404, _refusal("There is no such task or person in this class."))
            except ClassError as error:
                self._send(409, _refusal(str(error)))
            else:
                self._send(status, text)

        def _send(self, status: int, text: str) -> None:
            if status == 303:
                self.redirect(text, status=status)
                return
            self.set_status(status)
            self.set_header("Content-Type", "text/html; charset=utf-8")
            self.set_header("Content-Security-Policy", _KEEP_OUT)
            self.set_header("Referrer-Policy", "same-origin")
            self.set_header("X-Content-Type-Options", "nosniff")
            self.set_header("Cache-Control", "no-store")
            self.finish(text)

    class Tasks(SignOffPage):
        async def get(self) -> None:
            await self._answer(lambda room, who: (200, tasks_page(room, by=who, home=home)))

    class People(SignOffPage):
        async def get(self, key: str) -> None:
            told = self.get_query_argument("entered", "")
            number = int(told) if re.fullmatch(r"[0-9]{1,3}", told) else 0
            await self._answer(
                lambda room, who: (
                    200,
                    people_page(room, tasks()[key], by=who, home=home, told=number),
                )
            )

    class Form(SignOffPage):
        async def get(self, key: str, number: str) -> None:
            xsrf = self.xsrf_form_html()
            await self._answer(
                lambda room, who: (
                    200,
                    form_page(room, tasks()[key], int(number), by=who, home=home, xsrf=xsrf),
                )
            )

        async def post(self, key: str, number: str) -> None:
            given = {
                name: self.get_body_argument(name, "")[:_LONGEST_FIELD]
                for name in self.request.body_arguments
                if re.fullmatch(r"attempt|date|prompted|note|[0-9]{1,2}", name)
            }
            xsrf = self.xsrf_form_html()

            def enter(room: ClassFolder, who: str) -> tuple[int, str]:
                task, place = tasks()[key], int(number)
                if place not in {one.number for one in room.present}:
                    raise LookupError(number)
                try:
                    _enter(room, {**given, "number": number, "task": key}, who)
                except (SignOffError, ClassError) as error:
                    again = form_page(
                        room,
                        task,
                        place,
                        by=who,
                        home=home,
                        xsrf=xsrf,
                        given=given,
                        refused=f"{error} Nothing was entered.",
                    )
                    return 422, again
                return 303, f"{home}{key}?entered={place}"

            await self._answer(enter)

    start = re.escape(home)
    return [
        (start, Tasks),
        (rf"{start}([0-9a-z-]{{1,40}})", People),
        (rf"{start}([0-9a-z-]{{1,40}})/([0-9]{{1,3}})", Form),
    ]


def _enter(room: ClassFolder, row: Mapping[str, str], who: str) -> None:
    if not row.get("prompted"):
        raise SignOffError(
            "It is not said whether something had to be said. Tick unprompted or prompted."
        )
    enter_ticked(room, {"date": "", **row}, by=who)


def _refusal(sentence: str) -> str:
    text: str = page_template("signform.html.j2").render(
        part="refused", title="Sign-offs", by="", home="", refused=sentence
    )
    return text
