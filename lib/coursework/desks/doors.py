"""Who comes in, and to what: by join code and cookie, through a list of what there is.

Before the server looks for who answers a request, its method and path must stand in `OPEN_TO`;
what does not stand there is not found, whoever asks. Behind it the authorizer asks again. Who it is
is looked up in the class at every request.
"""

from __future__ import annotations

import asyncio
import functools
import re
import secrets
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from jupyter_server.auth.authorizer import Authorizer
from jupyter_server.auth.decorator import allow_unauthenticated
from jupyter_server.auth.identity import IdentityProvider, User
from jupyter_server.base.handlers import JupyterHandler
from tornado import web
from tornado.httputil import HTTPServerRequest

from coursework.desks.joincodes import INSTRUCTOR, read_typed
from coursework.desks.seating import START_PAGE, Seating

if TYPE_CHECKING:
    from coursework.desks.school import School

__all__ = ["DeskDoors", "DeskRights", "DeskUser", "Join", "Waits", "is_open"]

_ID = r"\w+-\w+-\w+-\w+-\w+"
_PAGE = r"(lessons|exercises)(/[\w-]+){1,2}\.ipynb"


def doors_of(*doors: tuple[str, str]) -> tuple[tuple[frozenset[str], re.Pattern[str]], ...]:
    """Return doors as they are looked up: methods, and what the whole path must be."""
    return tuple((frozenset(methods.split()), re.compile(path)) for methods, path in doors)


#: What pages need: method, and what the whole path must be.
PAGES_NEED = doors_of(
    ("GET HEAD", r"/"),
    ("GET HEAD POST", r"/login"),
    ("GET HEAD", r"/favicon\.ico"),
    ("GET HEAD", r"/static/[\w@./+-]+"),
    ("GET HEAD", r"/custom/custom\.css"),
    ("GET", r"/lab/extensions/@(jupyter-widgets|taperkey)/[\w./-]+"),
    ("GET", r"/lab/api/themes/@jupyterlab/theme-light-extension/[\w./-]+"),
    ("GET", r"/lab/api/settings/?"),
    ("GET", r"/lab/api/settings/@[\w-]+/[\w-]+:[\w-]+"),
    ("GET", r"/lab/api/translations/?[\w-]{0,12}"),
    ("GET PUT", r"/lab/api/workspaces/?[\w-]{0,40}"),
    ("GET", rf"/doc(/workspaces/[\w-]+)?/tree/{_PAGE}"),
    ("GET", r"/doc/?"),
    ("GET", rf"/api/contents/{_PAGE}"),
    ("PUT", rf"/api/contents/{_PAGE}"),
    ("GET", r"/api/contents(/lessons|/exercises(/[\w-]+)?)?/?"),
    ("GET POST", rf"/api/contents/{_PAGE}/checkpoints"),
    ("GET", r"/api/kernelspecs"),
    ("GET", r"/kernelspecs/python3/logo-(32x32|64x64|svg)\.(png|svg)"),
    ("GET", r"/api/kernels"),
    ("GET DELETE", rf"/api/kernels/{_ID}"),
    ("POST", rf"/api/kernels/{_ID}/(restart|interrupt)"),
    ("GET", rf"/api/kernels/{_ID}/channels"),
    ("GET POST", r"/api/sessions"),
    ("GET PATCH DELETE", rf"/api/sessions/{_ID}"),
    ("GET", r"/api/(me|status|terminals)"),
    ("GET", r"/api/events/subscribe"),
    ("GET HEAD", r"/files/(lessons|exercises/[\w-]+)/job-sheet\.(html|pdf)"),
    ("GET HEAD", r"/files/lessons/to-keep-(A4|Letter)\.pdf"),
    ("GET HEAD", r"/files/feedback/[\w-]+\.html"),
)
#: All that an open class needs.
OPEN_TO = PAGES_NEED + doors_of(
    ("GET", r"/notice"),
    ("GET", r"/class(/state)?"),
    ("POST", r"/class/(code|feedback|closing)"),
    ("GET POST", r"/class/projector"),
    ("GET", r"/class/projector/state"),
    ("GET", r"/class/codes"),
    ("GET POST", r"/class/sign-off/([\w-]+/?){0,3}"),
)
INSTRUCTORS_ONLY = "/class"


def path_inside(request: HTTPServerRequest, base: str) -> str:
    """Return the path after the server's base address; empty where it lies elsewhere."""
    return request.path[len(base) - 1 :] if request.path.startswith(base) else ""


def is_open(request: HTTPServerRequest, doors: Any = OPEN_TO, base: str = "/") -> bool:
    """Say whether there is a door for this method and path."""
    path = path_inside(request, base)
    if len(path) > 300 or len(request.uri or "") > 4000 or "%" in path or "\\" in path:
        return False
    return has_door(str(request.method), path, doors)


def has_door(method: str, path: str, doors: Any) -> bool:
    """Say whether a list of doors has one for a method and a path inside the server."""
    return any(method in methods and pattern.fullmatch(path) for methods, pattern in doors)


@dataclass
class DeskUser(User):
    """Somebody who came in: their number, and what tells their code from an older one."""

    number: int = -1
    mark: str = ""


class Doors(IdentityProvider):
    """What is the same for everybody who must come in, by whatever key."""

    @property
    def auth_enabled(self) -> bool:
        """Everybody must come in with a key of their own."""
        return True

    @property
    def login_available(self) -> bool:
        """There is a page to come in by."""
        return True

    def validate_security(self, app: Any, ssl_options: Any = None) -> None:
        """Nothing to say: a key of one's own, not an address, lets people in."""

    def identity_model(self, user: User) -> dict[str, Any]:
        """Return the name only."""
        return {"username": user.username, "name": user.name, "display_name": user.display_name}


class DeskDoors(Doors):
    """Knows people by a signed cookie; whether they are still in the class is asked each time."""

    school: School  # given by `serving.configure`

    def get_cookie_name(self, handler: Any) -> str:
        """Return the cookie's name; one computer may have two classes open."""
        return "taperkey-class-" + re.sub(r"\W", "-", self.school.class_folder.code)

    async def _get_user(self, handler: Any) -> User | None:
        if getattr(handler, "_jupyter_current_user", None) is not None:
            found: User = handler._jupyter_current_user
            return found
        raw = handler.get_signed_cookie(self.get_cookie_name(handler), max_age_days=120)
        told = re.fullmatch(rb"(\d{1,3})\.([0-9a-f]{16})", raw or b"")
        if told is None:
            return None
        number, mark = int(told[1]), told[2].decode()
        person = self.school.person(number)
        if person is None:
            return None
        user = DeskUser(person.folder, person.name, person.name, number=number, mark=mark)
        return user if self.school.stays(user) else None

    def get_handlers(self) -> list[tuple[str, Any]]:
        """Return the page for the code."""
        return [(r"/login", Join)]

    def come_in(self, handler: Any, number: int) -> None:
        """Give a browser the cookie of a number."""
        handler.set_signed_cookie(
            self.get_cookie_name(handler),
            f"{number}.{self.school.codes.mark(number)}",
            expires_days=120,
            httponly=True,
            samesite="Lax",  # a link from a camera or a message still finds who is in
            secure=handler.request.protocol == "https",
            path="/",
        )


class DeskRights(Authorizer):
    """What somebody may do who is in: the same list once more, and the instructor's page."""

    doors: ClassVar[Any] = OPEN_TO

    def is_authorized(self, handler: Any, user: Any, action: str, resource: str) -> bool:
        """Say whether this may be done."""
        if not isinstance(user, DeskUser):
            return False
        path = path_inside(handler.request, handler.base_url)
        if path.startswith(INSTRUCTORS_ONLY) and user.number != INSTRUCTOR:
            return False
        return self.has_door(handler, resource)

    def has_door(self, handler: Any, resource: str) -> bool:
        """Say whether this server has a door for what is asked."""
        if not is_open(handler.request, self.doors, handler.base_url):
            return False
        return resource in ("contents", "kernels", "sessions", "kernelspecs", "api", "events", "")


class Waits:
    """How long whoever tries codes of a number has to wait: longer after each wrong one.

    It is kept for each number, not for each address: a class sits behind one.
    """

    LONGEST_SECONDS = 8.0
    FORGOTTEN_SECONDS = 600.0
    MOST_AT_ONCE = 20

    def __init__(self) -> None:
        self._wrong: dict[int, tuple[int, float]] = {}
        self.waiting = 0

    def seconds(self, number: int) -> float:
        """Return how long to wait before the next code of a number is looked at."""
        count, when = self._wrong.get(number, (0, 0.0))
        if count < 3 or time.monotonic() - when > self.FORGOTTEN_SECONDS:
            return 0.0
        return float(min(self.LONGEST_SECONDS, 0.5 * 2 ** min(count - 3, 8)))

    def wrong(self, number: int) -> None:
        """Note a wrong code."""
        count, when = self._wrong.get(number, (0, 0.0))
        again = time.monotonic() - when > self.FORGOTTEN_SECONDS
        self._wrong[number] = (1 if again else count + 1, time.monotonic())

    def right(self, number: int) -> None:
        """Forget what was wrong."""
        self._wrong.pop(number, None)


class OwnPage(JupyterHandler):
    """A page of the open class itself: it loads its own style and its own few lines, no others."""

    asks_on: ClassVar[bool] = False  # whether its lines ask the class for more
    holds_pages: ClassVar[bool] = False  # whether it shows a page of the course inside

    @property
    def school(self) -> School:
        """The open class."""
        found: School = self.settings["school"]
        return found

    @property
    def seating(self) -> Seating:
        """Whoever's pages this server has."""
        found: Seating = self.settings["seating"]
        return found

    @functools.cached_property
    def once(self) -> str:
        """A word of this answer alone, by which the page's own lines are known."""
        return secrets.token_urlsafe(16)

    @property
    def content_security_policy(self) -> str:
        """Let the page load nothing but its own style and its own few lines."""
        asks = "connect-src 'self'; " if self.asks_on else ""
        asks += "frame-src 'self'; " if self.holds_pages else ""
        server = f"{self.request.protocol}://{self.request.host_name}"
        others = "".join(f" {server}:{port}" for port in getattr(self.seating, "ports", ())[1:])
        return (
            f"default-src 'none'; style-src 'nonce-{self.once}'; script-src 'nonce-{self.once}'; "
            f"{asks}form-action 'self'{others}; frame-ancestors 'none'; base-uri 'none'"
        )


class Join(OwnPage):
    """The page where the code is typed."""

    @allow_unauthenticated
    def get(self) -> None:
        """Show the page; who is in already goes on to the course."""
        if self.current_user is not None and not self.get_argument("again", ""):
            self._go_on(self.current_user.number)
            return
        self._show()

    @allow_unauthenticated
    async def post(self) -> None:
        """Look at a code; after wrong ones that takes longer."""
        waits: Waits = self.settings["waits"]
        typed = self.get_body_argument("code", "")
        told = read_typed(typed)
        if told is None:
            said = typed.strip()[:40] or "empty"
            self._show(
                f"The join code is “{said}”; it must look like 7-K7QMX-4XRTB. "
                "Copy it from the sheet that you were given.",
                typed,
            )
            return
        number, secret = told
        seconds = waits.seconds(number)
        if seconds:
            if waits.waiting >= waits.MOST_AT_ONCE:
                self.set_status(429)
                self._show("Too many codes were tried just now. Wait a minute, then try again.")
                return
            waits.waiting += 1
            try:
                await asyncio.sleep(seconds)
            finally:
                waits.waiting -= 1
        if self.school.person(number) is None or not self.school.codes.fits(number, secret):
            waits.wrong(number)
            self._show(
                "No apprentice of this class has that code. Look at each letter, and ask your "
                "instructor for a new one if it still does not fit.",
                typed,
            )
            return
        waits.right(number)
        if number != INSTRUCTOR and self.school.notices.closed:
            self._show(
                "The class is closed. Your instructor opens it again. What you typed is kept."
            )
            return
        doors: Any = self.identity_provider
        doors.come_in(self, number)
        self._go_on(number)

    def _go_on(self, number: int) -> None:
        port = self.school.port_of(number)
        there = f"{self.request.protocol}://{self.request.host_name}:{port}" if port else ""
        way = "/class" if number == INSTRUCTOR else f"/doc/tree/{START_PAGE}"
        self.redirect(there + way, status=303)

    def _show(self, refused: str = "", typed: str = "") -> None:
        from coursework.room.cards import page_template  # brings all of marking, and takes a second

        text = page_template("join.html.j2").render(
            title=self.school.class_folder.title,
            refused=refused,
            typed=typed[:40],
            xsrf=self.xsrf_token.decode(),
            once=self.once,
            plain=self.request.protocol != "https",
        )
        self.finish(text)


def let_in(handler: Any) -> DeskUser:
    """Return the user of a request; raises 403 for nobody."""
    if not isinstance(handler.current_user, DeskUser):
        raise web.HTTPError(403)
    return handler.current_user
