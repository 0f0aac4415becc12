"""The instructor's page: who is in, who is stuck; feedback, codes, closing time, projector."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Callable
from typing import Any

from jupyter_server.auth.decorator import allow_unauthenticated
from jupyter_server.base.handlers import JupyterHandler
from tornado import web

from coursework.course import PAGES
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
                units=_units(self.school, self.base_url),
                base=self.base_url,
                codes="code_sheet" in self.settings,
                leave=self.school.addresses(),
                sign_off=self.base_url + SIGN_OFF[1:] if self.settings["signs_off"] else "",
            )
        )


class ClassState(_ForInstructor):
    """What changes on it."""

    @web.authenticated
    def get(self) -> None:
        """Tell who is in and how they get on."""
        watch = self.settings["watch"]
        notices = self.school.notices
        self.answer(
            {
                **watch.told(),
                "feedback": waiting(self.school),
                "closes": notices.closes,
                "closed": notices.closed,
                "projector": notices.projector,
            }
        )


class ClassCode(_ForInstructor):
    """A code made again."""

    @web.authenticated
    def post(self) -> None:
        """Make it; whoever came in with the old one is out, on every device."""
        text = self.get_body_argument("number", "")
        person = self.school.person(int(text)) if text.isdecimal() and len(text) < 4 else None
        if person is None or person.instructs:
            raise web.HTTPError(404)
        code = self.school.new_key(person.number)
        self.answer({"number": person.number, "name": person.name, "code": code})


class ClassFeedback(_ForInstructor):
    """Feedback given out."""

    @web.authenticated
    def post(self) -> None:
        """Give it out."""
        self.answer({"given": give_out(self.school)})


class ClassClosing(_ForInstructor):
    """When the class closes."""

    @web.authenticated
    def post(self) -> None:
        """Set the time, or with an empty one take it back."""
        text = self.get_body_argument("at", "")
        moment = float(text) if re.fullmatch(r"\d{1,12}(\.\d{1,6})?", text) else None
        if (text and moment is None) or not self.school.notices.close_at(moment):
            raise web.HTTPError(400)
        self.answer({"closes": moment})


class Projector(_ForInstructor):
    """The window that stands on the projector, and what is put on it."""

    holds_pages = True

    @web.authenticated
    def get(self) -> None:
        """Show the window."""
        text = page_template("projector.html.j2").render(
            code=self.school.class_folder.code, base=self.base_url, once=self.once
        )
        self.finish(text)

    @web.authenticated
    def post(self) -> None:
        """Put a unit on it."""
        address = self.get_body_argument("address", "")
        if address not in {
            one for _, units in _units(self.school, self.base_url) for one, _ in units
        }:
            raise web.HTTPError(404)
        self.school.notices.project(address)
        self.answer({"address": address})


class ProjectorState(_ForInstructor):
    """What is to stand on the projector."""

    @web.authenticated
    def get(self) -> None:
        """Tell it."""
        self.answer({"address": self.school.notices.projector})


class Notice(JupyterHandler):
    """What every page is told, also one that is shut out since then: when the class closes."""

    @allow_unauthenticated
    def get(self) -> None:
        """Tell it, and what time it is here."""
        school: School = self.settings["school"]
        self.set_header("Content-Type", "application/json")
        self.set_header("Cache-Control", "no-store")
        self.finish(json.dumps({"closes": school.notices.closes, "now": time.time()}))


def _units(school: School, base: str) -> list[tuple[str, list[tuple[str, str]]]]:
    """Return each lesson's title with the addresses and titles of its units."""
    found = []
    for path in sorted(one for one in school.pages if one.startswith("lessons/")):
        page = PAGES.get(path.removeprefix("lessons/").removesuffix(".ipynb"))
        if page is not None and page.units:
            units = [(f"{base}doc/tree/{path}#{unit.id}", unit.title) for unit in page.units]
            found.append((f"{page.name[:2]} {page.title}", units))
    return found


class ClassCodes(_ForInstructor):
    """The sheet of codes, to print and cut."""

    @web.authenticated
    def get(self) -> None:
        """Show it."""
        sheet = self.settings["code_sheet"]
        self.finish(sheet(self.school, self.once))


def sign_off_pages(school: School, by: Callable[[Any], str], *, base: str = "/") -> list[Any]:
    """Return the form for sign-offs at the bench, for the instructor alone.

    Parameters
    ----------
    school : School
        The open class.
    by : callable
        Given the handler, returns the name of the assessor who is asking.
    base : str
        The server's base address.
    """
    home = base + SIGN_OFF[1:]
    pages = routes(school.folder, by=by, base=_ForInstructor, home=home)
    return [(path[len(re.escape(base)) - 1 :], page) for path, page in pages]


CLASS_PAGES = (
    (r"/class", ClassPage),
    (r"/class/state", ClassState),
    (r"/class/code", ClassCode),
    (r"/class/feedback", ClassFeedback),
    (r"/class/codes", ClassCodes),
    (r"/class/closing", ClassClosing),
    (r"/class/projector", Projector),
    (r"/class/projector/state", ProjectorState),
    (r"/notice", Notice),
)
