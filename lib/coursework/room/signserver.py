"""Who serves the sign-off form: the marking screen, or a small server for a phone at the machine.

The marking screen's server takes it as an extension, under ``sign-off``, behind its own log-in. The
small server lets in whoever opens its link, which holds a secret; it is kept in a cookie from then
on. It answers on this computer, or on the network: there over https where ``class.toml`` names a
certificate, else in plain letters, and it says so.
"""

from __future__ import annotations

import asyncio
import contextlib
import hmac
import os
import secrets
import socket
import ssl
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tornado.httpserver import HTTPServer
from tornado.netutil import bind_sockets
from tornado.web import Application, RequestHandler

from coursework.mark.signoff import read_sign_offs
from coursework.room.classfolder import ClassError, ClassFolder
from coursework.room.hub_settings import own_certificate
from coursework.room.launch import HERE, ended_like_ctrl_c, own_address
from coursework.room.signform import PLACE, routes

__all__ = ["SignServer", "serve_sign_offs", "start_sign_server"]

FIRST_PORT = 8760
PORTS_TRIED = 20
LARGEST_BYTES = 65_536
_COOKIE = "taperkey-sign-off"
_HOME = f"/{PLACE}/"


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    return [{"module": __name__}]


def _load_jupyter_server_extension(app: Any) -> None:
    """Put the pages into the marking screen's server, where it is known who is at work."""
    from jupyter_server.base.handlers import JupyterHandler

    folder = Path(os.environ.get("TAPERKEY_CLASS_FOLDER") or app.root_dir)
    who = os.environ.get("TAPERKEY_ASSESSOR", "")
    home = f"{app.web_app.settings['base_url'].rstrip('/')}/{PLACE}/"

    def by(handler: Any) -> str:
        return who if handler.current_user else ""

    app.web_app.add_handlers(".*$", list(routes(folder, by=by, base=JupyterHandler, home=home)))


class _Door(RequestHandler):
    """The link: who has it gets the cookie, and an address without the secret in it."""

    def initialize(self, secret: str, secure: bool) -> None:
        self.secret, self.secure = secret, secure

    def get(self, given: str) -> None:
        if hmac.compare_digest(given.encode(), self.secret.encode()):
            self.set_cookie(
                _COOKIE, self.secret, httponly=True, samesite="Strict", secure=self.secure, path="/"
            )
        # a page of its own, not a redirect: a strict cookie is not sent on from another's page
        self.set_header("Referrer-Policy", "no-referrer")
        self.set_header("Cache-Control", "no-store")
        self.set_header("Refresh", f"0; url={_HOME}")
        self.finish(
            '<!doctype html><html lang="en"><meta charset="utf-8">'
            '<meta name="viewport" content="width=device-width">'
            f'<title>Sign-offs</title><p><a href="{_HOME}">To the sign-offs</a></p>'
        )


@dataclass(frozen=True)
class SignServer:
    """A running server for the form.

    Attributes
    ----------
    server : HTTPServer
        Tornado's.
    port : int
        Where it listens.
    secret : str
        What the link holds.
    secure : bool
        Whether it answers over https.
    """

    server: HTTPServer
    port: int
    secret: str
    secure: bool

    def link(self, host: str = HERE) -> str:
        """Return the link for a computer that calls this one so."""
        return f"{'https' if self.secure else 'http'}://{host}:{self.port}/open/{self.secret}"


def start_sign_server(
    class_folder: ClassFolder, *, by: str, network: bool = False, port: int | None = None
) -> SignServer:
    """Start the small server in the running event loop.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    by : str
        The assessor whose name stands on what is entered.
    network : bool
        Whether other computers may call it.
    port : int, optional
        Left out, the first free one from 8760.
    """
    secret = secrets.token_urlsafe(24)
    pair = own_certificate(class_folder) if network else None
    context = None
    if pair is not None:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        try:
            context.load_cert_chain(*pair)
        except (OSError, ssl.SSLError) as error:
            raise ClassError(
                f"certificate is {pair[0]}; it cannot be used with the key {pair[1]} ({error}). "
                "Correct class.toml."
            ) from None

    def asked_by(handler: RequestHandler) -> str:
        given = handler.get_cookie(_COOKIE, "") or ""
        return by if hmac.compare_digest(given.encode(), secret.encode()) else ""

    app = Application(
        [
            (r"/open/([0-9A-Za-z_-]{1,64})", _Door, {"secret": secret, "secure": bool(context)}),
            *routes(class_folder.folder, by=asked_by, home=_HOME),
        ],
        xsrf_cookies=True,
        xsrf_cookie_kwargs={"httponly": True, "samesite": "Strict", "secure": bool(context)},
        log_function=lambda _: None,
    )
    server = HTTPServer(
        app, max_body_size=LARGEST_BYTES, max_buffer_size=2 * LARGEST_BYTES, ssl_options=context
    )
    server.add_sockets(_listen(port, "" if network else HERE))
    taken = next(iter(server._sockets.values())).getsockname()[1]
    return SignServer(server=server, port=taken, secret=secret, secure=bool(context))


def _listen(port: int | None, address: str) -> list[socket.socket]:
    wanted = range(FIRST_PORT, FIRST_PORT + PORTS_TRIED) if port is None else (port,)
    for one in wanted:
        with contextlib.suppress(OSError, OverflowError):
            return bind_sockets(one, address or None, family=socket.AF_INET)
    raise ClassError(
        f"port is {wanted[0]}; it must be free, from 1 to 65535. Name another port, or leave "
        "--port out to have a free one found."
    )


def serve_sign_offs(
    class_folder: ClassFolder,
    *,
    by: str,
    network: bool = False,
    port: int | None = None,
    open_browser: bool = True,
    say: Callable[[str], None] = print,
) -> int:
    """Serve the form until Ctrl+C; return how many sign-offs were entered meanwhile.

    Parameters
    ----------
    class_folder, by, network, port
        As for the small server.
    open_browser : bool
        Whether a browser is opened here.
    say : callable
        Told what to do.
    """
    before = len(read_sign_offs(class_folder.folder))
    with contextlib.suppress(KeyboardInterrupt), ended_like_ctrl_c():
        asyncio.run(_serve(class_folder, by, network, port, open_browser, say))
    return len(read_sign_offs(class_folder.folder)) - before


async def _serve(
    class_folder: ClassFolder,
    by: str,
    network: bool,
    port: int | None,
    open_browser: bool,
    say: Callable[[str], None],
) -> None:
    running = start_sign_server(class_folder, by=by, network=network, port=port)
    host = own_address() if network else HERE
    link = running.link(host)
    say(f"The sign-off form is open at {link}")
    if network and host == HERE:
        say(
            "This computer is on no network, so the link works here only. Join the one that the "
            "phone is in, stop with Ctrl+C and start again."
        )
    elif network:
        say("On a phone in the same network, read this with its camera:")
        say(_qr(link))
        if not running.secure:
            say(
                "It goes over the network in plain letters: whoever reads along there sees names "
                "and ticks, and could tick. Use a network of your own, or name certificate and key "
                "under [hub] in class.toml."
            )
    say(f"Every sign-off is kept with the name {by}. Give the link to nobody else.")
    say("When you are done, stop with Ctrl+C; the report is then written again.")
    if open_browser and not network:
        webbrowser.open(link)
    await asyncio.Event().wait()


def _qr(link: str) -> str:
    import io

    import segno

    text = io.StringIO()
    segno.make(link, error="l", micro=False).terminal(out=text, compact=True, border=2)
    return text.getvalue()
