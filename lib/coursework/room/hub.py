"""Serve a class on a network: look first, make ready, start JupyterHub, stay.

Everything that can be missing is looked for before anything is changed, and said
in one sentence with the next step.
"""

from __future__ import annotations

import contextlib
import errno
import importlib.metadata
import importlib.util
import json
import os
import shutil
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import unquote, urlsplit

import jinja2

from coursework.room.classfolder import SETTINGS, ClassFolder, open_class
from coursework.room.hub_settings import (
    HubError,
    HubSettings,
    account_of,
    read_hub_settings,
)
from taperkey.checks import sentence
from taperkey.counts import counted
from taperkey.files import write_whole

__all__ = ["look_first", "make_ready", "own_lines", "serve", "write_config"]

TEMPLATES = Path(__file__).resolve().parent / "templates"
PROGRAM = "configurable-http-proxy"
EVERYWHERE = {"0.0.0.0": "127.0.0.1", "::": "::1"}
MOST_RESTARTS = 5
WITHIN_SECONDS = 600.0
LOOK_SECONDS = 5.0  # between two looks at the class list
SIZES = """\
# With tests/load.py: 10, 20 and 40 apprentices at once on 2 cores that others used fully at the
# same time (load average 4 to 25). 140 to 155 MiB an apprentice, half of it the page server and
# half the page; hub and proxy 0.2 GiB; 40 at once: 6 GiB. A press on Check was back within 0.07 s
# (10 and 20) and 0.11 s (40) for 95 of 100. The knee is not the press but opening a page, which
# takes about 2 s of one core: 3 s (20 at once, load 4) to 13 s (40 at once, load 16) at the median.
# Reckoned from it, for an otherwise idle machine: 40 at once need 2 cores and 8 GiB; where a whole
# class opens its first page in the same minute, 4 cores. For each further 20: 1 core and 3 GiB."""


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
    if shutil.which("node") is None:
        raise HubError(
            "Node.js is not installed, and the proxy runs on it. Install the package nodejs (and "
            "npm), then start again."
        )
    return Path(os.path.abspath(path))


def closed_at(path: Path) -> Path | None:
    """Return the first folder on the way that other accounts cannot get through, or None."""
    path = Path(os.path.abspath(path))
    for one in [*reversed(path.parents), path]:
        if not one.stat().st_mode & (0o001 if one.is_dir() else 0o004):
            return one
    return None


def look_first(class_folder: ClassFolder, settings: HubSettings) -> Path:
    """Look for everything the hub needs; change nothing; return the proxy program.

    Raises
    ------
    HubError
        One sentence about the first thing that is missing, and the next step.
    """
    if os.name != "posix" or not sys.platform.startswith("linux"):
        raise HubError(
            "The hub runs on Linux only. Start it on a Linux computer; apprentices use any browser."
        )
    needed = {"jupyterhub": "JupyterHub", "firstuseauthenticator": "The hub's log-in"}
    for module, name in needed.items():
        if importlib.util.find_spec(module) is None:
            raise HubError(f"{name} is not installed. Type: pip install 'taperkey[hub]'")
    proxy = find_proxy(settings)
    if os.geteuid() != 0:
        raise HubError(
            "This account may not make accounts or start pages under other ones; root must start "
            "the hub. Type: sudo taperkey class serve CLASSFOLDER"
        )
    for program in ("useradd", "chpasswd"):
        if shutil.which(program, path=f"{os.environ.get('PATH', '')}:/usr/sbin:/sbin") is None:
            raise HubError(
                f"The program {program} is not there; accounts are made with it. Install the "
                "package passwd, then start again."
            )
    from coursework.room.hub_accounts import require_ordinary_accounts

    require_ordinary_accounts(settings)
    _look_at_rights(class_folder, settings)
    _require_free(settings.port, address=settings.address)
    for port in (settings.port + 1, settings.port + 2):
        _require_free(port, address="127.0.0.1")
    return proxy


def _look_at_rights(class_folder: ClassFolder, settings: HubSettings) -> None:
    package = Path(__file__).resolve().parents[1]
    for what, path in (
        ("the Python that runs the course", Path(sys.executable).parent),
        ("the Python that runs the course", Path(os.path.realpath(sys.executable))),
        ("the course", package),
    ):
        shut = closed_at(path)
        if shut is not None:
            raise HubError(
                f"Other accounts cannot get through {shut}, and {what} lies behind it. Install "
                "taperkey[hub] into an environment outside, such as /opt/course, and start that "
                "one."
            )
    shut = closed_at(class_folder.folder.parent)
    if shut is not None:
        raise HubError(
            f"class folder is {class_folder.folder}, and the class's keeper cannot get through "
            f"{shut}. Move it to a place such as /srv."
        )
    _require_masters_shut(package)
    for name, path_or_none in (("certificate", settings.certificate), ("key", settings.key)):
        if path_or_none is None:
            continue
        if not path_or_none.is_file():
            raise HubError(
                sentence(name, path_or_none, "", "a file that is there", "Correct class.toml.")
            )
        if name == "key" and path_or_none.stat().st_mode & 0o077:
            raise HubError(
                f"key is {path_or_none}, and other accounts may read it; only root may. Type: "
                f"chmod 600 {path_or_none}"
            )
    if settings.certificate and settings.key:
        _require_pair(settings.certificate, settings.key)


def _require_masters_shut(package: Path) -> None:
    """Refuse masters that other accounts may read: beside the course, or where it came from."""
    for place in (package.parents[1], _installed_from()):
        masters = place / "solutions" if place is not None else None
        if masters is not None and masters.is_dir() and closed_at(masters) is None:
            raise HubError(
                f"The masters with the worked solutions lie open in {masters}; apprentices must "
                f"not read them. Type: chmod go-rwx {masters}"
            )


def _installed_from() -> Path | None:
    """Return the folder that pip installed the course from, where it was one."""
    try:
        noted = importlib.metadata.distribution("taperkey").read_text("direct_url.json")
        address = urlsplit(str(json.loads(noted or "{}").get("url", "")))
    except (importlib.metadata.PackageNotFoundError, ValueError, AttributeError):
        return None
    return Path(unquote(address.path)) if address.scheme == "file" else None


def _require_pair(certificate: Path, key: Path) -> None:
    """Refuse a certificate and a key that the proxy could not serve with."""
    try:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(certificate, key, password="")
    except ssl.SSLError as error:
        if error.reason == "KEY_VALUES_MISMATCH":
            rule, step = f"the key of {certificate}", "Name the two that were made together."
            raise HubError(sentence("key", key, "", rule, step)) from None
        raise HubError(
            f"certificate is {certificate} with key {key}; both must be PEM files, the key without "
            "a pass phrase. Correct class.toml."
        ) from None


def _require_free(port: int, *, address: str) -> None:
    kind = socket.AF_INET6 if ":" in address else socket.AF_INET
    with socket.socket(kind, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((address, port))
        except OSError as error:
            if isinstance(error, socket.gaierror) or error.errno == errno.EADDRNOTAVAIL:
                raise HubError(
                    sentence(
                        "address",
                        address,
                        "",
                        "one of this computer's own, or 0.0.0.0 for all of them",
                        "Correct the line in class.toml.",
                    )
                ) from None
            raise HubError(
                f"port {port} is taken by another program; the hub needs three in a row. Name "
                "another one with --port, or stop the other program."
            ) from None


def make_ready(class_folder: ClassFolder, settings: HubSettings, *, proxy: Path) -> list[str]:
    """Make accounts and folders, write the configuration; return sentences to tell."""
    from coursework.room.hub_accounts import (
        FIRST_PASSWORDS,
        make_accounts,
        make_folders,
        note_accounts,
    )

    given = make_accounts(settings)
    make_folders(class_folder, settings)
    note_accounts(settings)
    told = [
        f"The class folder belongs to account {settings.keeper} now; root and the pages of "
        "instructors and assessors work in it."
    ]
    if given:
        path = settings.own / FIRST_PASSWORDS
        count = counted(len(given), "new account")
        told.append(f"{count}; the first passwords, to hand out, are in {path} (for root only).")
    write_config(class_folder, settings, proxy=proxy)
    return told


def write_config(class_folder: ClassFolder, settings: HubSettings, *, proxy: Path) -> Path:
    """Write ``jupyterhub_config.py`` into the class folder; return where it is."""
    from coursework.mark.address import is_own_file
    from coursework.room.hub_accounts import (
        ACCOUNTS,
        CONFIG,
        FIRST_PASSWORDS,
        OWN_LINES,
    )

    templates = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        undefined=jinja2.StrictUndefined,
        keep_trailing_newline=True,
    )
    templates.filters["py"] = repr
    own_file = is_own_file(class_folder.folder)
    text = templates.get_template(f"{CONFIG}.j2").render(
        code=class_folder.code,
        folder=str(class_folder.folder),
        own=str(settings.own),
        own_lines=class_folder.folder / OWN_LINES,
        first_passwords=settings.own / FIRST_PASSWORDS,
        example_account=account_of(class_code=class_folder.code, number=7),
        login=settings.login,
        templates=str(TEMPLATES / "hub"),
        limited="SystemLogin" if settings.login == "system" else "FirstUseLogin",
        accounts=set(sorted([*settings.apprentices, *settings.staff])),
        accounts_now=str(settings.own / ACCOUNTS),
        bind_url=_url(settings, settings.address),
        certificate=str(settings.certificate) if settings.certificate else "",
        key=str(settings.key) if settings.key else "",
        address=settings.address,
        behind_tls=settings.behind_tls,
        proxy=[str(proxy)],
        proxy_api=f"http://127.0.0.1:{settings.port + 2}",
        hub_port=settings.port + 1,
        keeper=settings.keeper,
        python=sys.executable,
        staff=settings.staff,
        sizes=SIZES,
        most_at_once=settings.most_at_once,
        most_memory_mib=settings.most_memory_mib,
        largest_file_mib=settings.largest_file_mib,
        most_processes=settings.most_processes,
        gradebook="Now: the file gradebook.db in the class folder."
        if own_file
        else "Now: the PostgreSQL server that class.toml names.",
    )
    path = class_folder.folder / CONFIG
    # The keeper may write beside it, so never trust what stands in its place.
    path.unlink(missing_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(text)
    return path


def own_lines(folder: str) -> Iterator[tuple[str, str]]:
    """Yield the shop's own configuration, if root owns it and nobody else may write it."""
    from coursework.room.hub_accounts import OWN_LINES

    path = Path(folder) / OWN_LINES
    try:
        handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW)
    except FileNotFoundError:
        return
    with os.fdopen(handle, encoding="utf-8") as file:
        info = os.fstat(handle)
        if info.st_uid != os.geteuid() or info.st_mode & 0o022:
            print(
                f"{path} was left out: it must belong to root, and nobody else may write it.",
                file=sys.stderr,
            )
            return
        yield file.read(), str(path)


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
    before = path.stat()
    lines = path.read_text("utf-8-sig").splitlines()
    head = next((at for at, line in enumerate(lines) if line.lstrip().startswith("[")), len(lines))
    kept = [line for line in lines[:head] if line.split("=")[0].strip() != "gradebook"]
    text = "\n".join([*kept, f'gradebook = "{address}"', *lines[head:]]) + "\n"
    write_whole(path, text.encode())
    os.chown(path, before.st_uid, before.st_gid)
    os.chmod(path, before.st_mode & 0o640)


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
        Port for browsers; the next two are the hub's own. 8000 if left out.
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
    program = look_first(class_folder, settings)
    if check_only:
        tell("Everything that the hub needs is there.")
        return 0
    if gradebook:
        name_gradebook(class_folder, gradebook)
    for line in make_ready(class_folder, settings, proxy=program):
        tell(line)
    return _stay(class_folder, settings, tell)


def _stay(class_folder: ClassFolder, settings: HubSettings, tell: Callable[[str], None]) -> int:
    """Run the hub; start it again when it is lost; end it in order when asked to."""
    from coursework.room.hub_newcomers import Newcomers
    from coursework.room.launch import ended_like_ctrl_c

    newcomers = Newcomers(class_folder, settings)
    starts: list[float] = []
    process: subprocess.Popen[bytes] | None = None
    try:
        with ended_like_ctrl_c():
            while True:
                starts = [one for one in starts if time.monotonic() - one < WITHIN_SECONDS]
                if len(starts) > MOST_RESTARTS:
                    tell(
                        "The hub keeps ending. What was typed is kept in the course folders. Look "
                        f"at the end of {settings.own / 'hub.log'}."
                    )
                    return 1
                starts.append(time.monotonic())
                process = _start(class_folder, settings)
                if _wait_until_up(process, settings):
                    tell(f"The hub is open at {_told_address(settings)}")
                    if len(starts) == 1:
                        tell("Leave this window open. Stop with Ctrl+C; what was typed is kept.")
                while not _ends(process, within_seconds=LOOK_SECONDS):
                    for line in newcomers.look():
                        tell(line)
                tell(
                    "The hub ended by itself and is started again. Pages that are open go on, and "
                    "what was typed is kept."
                )
    except KeyboardInterrupt:
        tell("The hub is closed. What was typed is kept in the course folders.")
        return 0
    finally:
        if process is not None and process.poll() is None:
            process.terminate()
            try:
                process.wait(60)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()


def _ends(process: subprocess.Popen[bytes], *, within_seconds: float) -> bool:
    with contextlib.suppress(subprocess.TimeoutExpired):
        process.wait(within_seconds)
    return process.poll() is not None


def _start(class_folder: ClassFolder, settings: HubSettings) -> subprocess.Popen[bytes]:
    from coursework.room.hub_accounts import CONFIG

    env = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("JUPYTER", "JPY_", "IPYTHON", "CONFIGPROXY", "PG", "TAPERKEY"))
    }
    env["PATH"] = f"{Path(sys.executable).parent}:{env.get('PATH', '')}"
    log = os.open(settings.own / "hub.log", os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    with os.fdopen(log, "wb") as stream:
        return subprocess.Popen(
            [sys.executable, "-m", "jupyterhub", "-f", str(class_folder.folder / CONFIG)],
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


def _own_address(settings: HubSettings) -> str:
    """Return the address that this very computer reaches the hub at."""
    return EVERYWHERE.get(settings.address, settings.address)


def _wait_until_up(process: subprocess.Popen[bytes], settings: HubSettings) -> bool:
    end = time.monotonic() + 60
    while time.monotonic() < end and process.poll() is None:
        with (
            contextlib.suppress(OSError),
            socket.create_connection(("127.0.0.1", settings.port + 1), timeout=1),
            socket.create_connection((_own_address(settings), settings.port), timeout=1),
        ):
            return True
        time.sleep(0.2)
    return False
