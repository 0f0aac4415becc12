"""The server of pages: its settings, what it serves besides the pages, its beginning.

`configure` (a class), `configure_hub` (a class behind a hub's log-in) or `configure_home` (one
person) is called by the server's settings file; the server then loads this module as an extension,
which puts the list of doors before everything else.
"""

from __future__ import annotations

import json
import os
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jupyter_server.auth.decorator import allow_unauthenticated
from jupyter_server.base.handlers import APIHandler, JupyterHandler
from jupyter_server.base.websocket import WebSocketMixin
from tornado import web
from tornado.ioloop import PeriodicCallback
from tornado.websocket import WebSocketHandler

from coursework.desks.doors import (
    PAGES_NEED,
    DeskDoors,
    DeskRights,
    Waits,
    is_open,
    let_in,
    path_inside,
)
from coursework.desks.frontend import FrontEnd
from coursework.desks.home import Home, HomeDoors, HomeRights
from coursework.desks.seating import Seating, cookie_secret
from coursework.desks.serverparts import DeskKernels, DeskPages, DeskSessions, DeskWay
from coursework.desks.warming import begin_to_warm
from coursework.desks.wire import LARGEST_BYTES

if TYPE_CHECKING:
    from coursework.desks.school import School

__all__ = ["configure", "configure_home", "configure_hub"]

LARGEST_REQUEST = 2_000_000
PUT_AWAY_EVERY_MS = 60_000
TELL_EVERY_MS = 2_000
ASK_AGAIN_EVERY_MS = 5_000
INLINE = "'unsafe-inline'"
#: What the settings file gives, until the server is there to take it.
_given: dict[str, Any] = {}
_KINDS = {".html": "text/html; charset=UTF-8", ".pdf": "application/pdf"}


def configure(
    c: Any,
    *,
    folder: str,
    address: str,
    fingerprint: str = "",
    by: str = "",
    turn: int = 0,
    ports: tuple[int, ...] = (),
) -> None:
    """Set the server up for a class.

    Parameters
    ----------
    c : Config
        The server's settings.
    folder : str
        Class folder.
    address : str
        Where the class is open, as it is printed.
    fingerprint : str
        Of the certificate, where it is signed by nobody.
    by : str
        Name of the assessor who opened the class; without one nobody signs off here.
    turn, ports : int, tuple of int
        Which process of the class this is, and where each listens.
    """
    # All of marking comes with these, and takes a second: one person at home does without.
    from coursework.desks.classpage import CLASS_PAGES, sign_off_pages
    from coursework.desks.codesheet import code_sheet
    from coursework.desks.school import School

    school = School(Path(folder), soon=lambda *_: None, turn=turn, ports=tuple(ports))
    _set_up_class(c, school, DeskDoors, DeskRights)
    c.DeskDoors.token = ""
    DeskDoors.school = school
    _given.update(
        waits=Waits(),
        signs_off=bool(by),
        code_sheet=lambda one, once: code_sheet(
            one.class_folder, one.codes, address=address, fingerprint=fingerprint, once=once
        ),
        more=[*CLASS_PAGES, *(sign_off_pages(school, lambda _: by) if by else ())],
    )


def configure_hub(c: Any, *, folder: str, name: str, turn: int, count: int) -> None:
    """Set the server up for a class that comes in through the log-in of a hub.

    What the hub says to its service stands in the environment (`hubservice`).

    Parameters
    ----------
    c : Config
        The server's settings.
    folder : str
        Class folder.
    name : str
        The service's name at the hub.
    turn, count : int
        Which server of the class this is, of how many.
    """
    from coursework.desks.classpage import CLASS_PAGES, sign_off_pages
    from coursework.desks.hubdoors import HubDoors, HubRights, HubSchool, hub_of

    hub = hub_of(name)
    school = HubSchool(Path(folder), soon=lambda *_: None, turn=turn, count=count, hub=hub)
    _set_up_class(c, school, HubDoors, HubRights)
    c.HubDoors.token = ""
    HubDoors.school = school
    _given.update(
        signs_off=True,
        more=[
            *CLASS_PAGES,
            *sign_off_pages(school, lambda one: one.current_user.account, base=hub.base_url),
        ],
        every=(school.ask_again, ASK_AGAIN_EVERY_MS),
    )


def _set_up_class(c: Any, school: School, doors: type, rights: type[DeskRights]) -> None:
    from coursework.desks.watching import Watch

    _set_up(c, school, doors, rights)
    _given.update(
        school=school,
        watch=Watch(school, _titles(school)),
        doors=rights.doors,
        tell=school.tell_whereabouts if school.turn else None,
        notices=True,
    )


def configure_home(c: Any, *, folder: str) -> None:
    """Set the server up for one person at their own computer.

    Parameters
    ----------
    c : Config
        The server's settings.
    folder : str
        Course folder.
    """
    home = Home(Path(folder), soon=lambda *_: None)
    _set_up(c, home, HomeDoors, HomeRights)
    _given.update(doors=PAGES_NEED, more=[])


def _set_up(c: Any, seating: Seating, doors: type, rights: type) -> None:
    server = c.ServerApp
    server.kernel_manager_class = DeskKernels
    server.kernel_websocket_connection_class = DeskWay
    server.session_manager_class = DeskSessions
    server.contents_manager_class = DeskPages
    server.identity_provider_class = doors
    server.authorizer_class = rights
    server.jpserver_extensions = dict.fromkeys(server.jpserver_extensions, False) | {__name__: True}
    server.cookie_secret = cookie_secret(seating.private)
    server.allow_unauthenticated_access = False
    server.max_body_size = server.max_buffer_size = LARGEST_REQUEST
    _given.update(
        seating=seating,
        websocket_max_message_size=LARGEST_BYTES,
        xsrf_cookie_kwargs={"samesite": "Lax"},
        server_root_dir="/",
        ws_ping_interval=15_000,
        ws_ping_timeout=40_000,  # more than two pings: an answer may be late
    )
    for part in (DeskKernels, DeskPages):
        part.seating = seating


def _titles(school: School) -> dict[str, str]:
    """Return what each page is called on the instructor's page."""
    titles = {}
    for name, path in school.pages.items():
        first = "".join(json.loads(path.read_bytes())["cells"][0]["source"])
        heading = first.lstrip("# ").splitlines()[0]
        kind = "Exercise" if name.startswith("exercises/") else "Lesson"
        titles[name] = heading if heading.startswith(kind) else f"{kind}: {heading}"
    return titles


class Silent(WebSocketMixin, WebSocketHandler, JupyterHandler):
    """The server's news, of which a page hears nothing: it would ask again without end."""

    @web.authenticated
    async def get(self, *args: Any, **named: Any) -> None:  # type: ignore[override]
        """Accept."""
        await super().get(*args, **named)

    def on_message(self, message: Any) -> None:
        """Nothing is listened to."""


class DeskFiles(JupyterHandler):
    """A person's own job sheets and feedback."""

    @web.authenticated
    def get(self, path: str) -> None:
        """Return a file; there are no others (see `doors.PAGES_NEED`)."""
        seating: Seating = self.settings["seating"]
        person = seating.person(let_in(self).number)
        if person is None:
            raise web.HTTPError(403)
        root = seating.root(person).resolve()
        file = (root / path).resolve()
        if root not in file.parents or file.suffix not in _KINDS or not file.is_file():
            raise web.HTTPError(404)
        self.set_header("Content-Type", _KINDS[file.suffix])
        self.set_header("Cache-Control", "no-cache")
        self.set_header("X-Content-Type-Options", "nosniff")
        self.finish(file.read_bytes())

    head = get

    @property
    def content_security_policy(self) -> str:
        """Let nothing in the file act."""
        return (
            f"default-src 'none'; style-src {INLINE}; img-src data:; font-src data:; "
            "frame-ancestors 'self'; sandbox allow-popups allow-modals"
        )


class FirstPage(JupyterHandler):
    """The page that begins the front end at a page of the course."""

    @web.authenticated
    def get(self, workspace: str | None, path: str) -> None:
        """Return it; what the browser must send along is in its cookie then."""
        front: FrontEnd = self.settings["front"]
        assert self.xsrf_token  # asked for, it is given
        token = self.identity_provider.token
        self.set_header("Content-Type", "text/html; charset=UTF-8")
        self.set_header("Cache-Control", "no-cache")
        self.finish(front.page(path, token=token, workspace=workspace or "default"))


class FrontFiles(JupyterHandler):
    """The front end's own files, the same for everybody."""

    @allow_unauthenticated
    def get(self) -> None:
        """Return one."""
        front: FrontEnd = self.settings["front"]
        found = front.answer(path_inside(self.request, front.base).lstrip("/"))
        if found is None:
            raise web.HTTPError(404)
        self.set_header("Content-Type", found.kind)
        self.set_header("Cache-Control", found.keep)
        self.set_header("X-Content-Type-Options", "nosniff")
        self.finish(found.content)

    head = get


class FrontData(APIHandler):
    """What the front end is set to, its languages, its windows: the same for all, never kept."""

    @web.authenticated
    def get(self) -> None:
        """Return it."""
        front: FrontEnd = self.settings["front"]
        names_only = self.get_query_argument("ids_only", "") == "true"
        path = path_inside(self.request, front.base).strip("/")
        found = front.told(path, names_only=names_only)
        if found is None:
            raise web.HTTPError(404)
        self.finish(found)

    @web.authenticated
    def put(self) -> None:
        """Keep nothing."""
        self.set_status(204)
        self.finish()


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    return [{"module": __name__}]


def _load_jupyter_server_extension(serverapp: Any) -> None:
    app = serverapp.web_app
    app.settings.update(_given)
    # the sign in the browser's tab is fetched at every busy moment: once is enough
    app.settings.setdefault("static_immutable_cache", []).append("/static/favicons/")
    seating: Seating = _given["seating"]
    seating.soon = serverapp.io_loop.asyncio_loop.call_soon_threadsafe
    # not before the server listens: till then nobody can be served
    serverapp.io_loop.add_callback(begin_to_warm, seating, give_up=serverapp.stop)

    def put_away() -> None:
        seating.put_away()

    PeriodicCallback(put_away, PUT_AWAY_EVERY_MS).start()
    if _given.get("tell"):
        PeriodicCallback(_given["tell"], TELL_EVERY_MS).start()
    if _given.get("every"):
        PeriodicCallback(*_given["every"]).start()
    base: str = serverapp.base_url
    app.settings["front"] = FrontEnd(
        Path(os.environ["JUPYTER_CONFIG_DIR"]), base, notices=bool(_given.get("notices"))
    )
    own = [
        *_given["more"],
        (r"/files/(.+)", DeskFiles),
        (r"/doc(?:/workspaces/([\w-]+))?/tree/(.+)", FirstPage),
        (r"/(?:static/lab|lab/extensions|lab/api/themes)/.+", FrontFiles),
        (r"/custom/custom\.css", FrontFiles),
        (r"/lab/api/(?:settings|translations|workspaces)\b.*", FrontData),
        (r"/api/events/subscribe", Silent),
    ]
    app.add_handlers(r".*$", [(re.escape(base[:-1]) + path, *rest) for path, *rest in own])
    find = app.find_handler

    def find_handler(request: Any, **given: Any) -> Any:
        if is_open(request, _given["doors"], base):
            return find(request, **given)
        return app.get_handler_delegate(request, web.ErrorHandler, {"status_code": 404})

    app.find_handler = find_handler
