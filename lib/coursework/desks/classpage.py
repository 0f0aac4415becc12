"""The instructor's page: who is in, who is stuck; feedback and codes."""

from __future__ import annotations

import json
from typing import Any

from tornado import web

from coursework.desks.doors import DeskUser, OwnPage
from coursework.desks.feedback import give_out, waiting
from coursework.desks.joincodes import INSTRUCTOR
from coursework.desks.school import School
from coursework.desks.seating import START_PAGE
from coursework.room.cards import page_template
from coursework.room.signform import routes

__all__ = ["CLASS_PAGES", "SIGN_OFF", "sign_off_pages"]

SIGN_OFF = "/class/sign-off/"


class _ForInstructor(OwnPage):
    """What the instructor alone may ask for."""

    asks_on = True

    async def prepare(self) -> Any:  # type: ignore[override]
        """Refuse everybody else."""
        done = await super().prepare()
        user = self.current_user
        if not isinstance(user, DeskUser) or user.number != INSTRUCTOR:
            raise web.HTTPError(403)
        return done

    def answer(self, told: dict[str, Any]) -> None:
        """Answer with named values."""
        self.set_header("Content-Type", "application/json")
        self.set_header("Cache-Control", "no-store")
        self.finish(json.dumps(told))


class ClassPage(_ForInstructor):
    """The page."""

    @web.authenticated
    def get(self) -> None:
        """Show it; what is on it comes from `ClassState`."""
        self.finish(
            page_template("class.html.j2").render(
                title=self.school.class_folder.title,
                code=self.school.class_folder.code,
                start=START_PAGE,
                xsrf=self.xsrf_token.decode(),
                once=self.once,
                people=self.school.people,
                sign_off=SIGN_OFF if self.settings["by"] else "",
            )
        )


class ClassState(_ForInstructor):
    """What changes on it."""

    @web.authenticated
    def get(self) -> None:
        """Tell who is in and how they get on."""
        watch = self.settings["watch"]
        self.answer({**watch.told(), "feedback": waiting(self.school)})


class ClassCode(_ForInstructor):
    """A code made again."""

    @web.authenticated
    def post(self) -> None:
        """Make it; whoever came in with the old one is out, on every device."""
        text = self.get_body_argument("number", "")
        person = self.school.person(int(text)) if text.isdigit() and len(text) < 4 else None
        if person is None or person.instructs:
            raise web.HTTPError(404)
        code = self.school.codes.make_again(person.number)
        self.school.send_out(person.number)
        self.answer({"number": person.number, "name": person.name, "code": code})


class ClassFeedback(_ForInstructor):
    """Feedback given out."""

    @web.authenticated
    def post(self) -> None:
        """Give it out."""
        self.answer({"given": give_out(self.school)})


class ClassCodes(_ForInstructor):
    """The sheet of codes, to print and cut."""

    @web.authenticated
    def get(self) -> None:
        """Show it."""
        sheet = self.settings["code_sheet"]
        self.finish(sheet(self.school, self.once))


def sign_off_pages(school: School, by: str) -> list[Any]:
    """Return the form for sign-offs at the bench, for the instructor alone.

    Parameters
    ----------
    school : School
        The open class.
    by : str
        Name of the assessor who opened it; without one there is no form.
    """
    if not by:
        return []
    pages: list[Any] = routes(
        school.folder, by=lambda handler: by, base=_ForInstructor, home=SIGN_OFF
    )
    return pages


CLASS_PAGES = (
    (r"/class", ClassPage),
    (r"/class/state", ClassState),
    (r"/class/code", ClassCode),
    (r"/class/feedback", ClassFeedback),
    (r"/class/codes", ClassCodes),
)
