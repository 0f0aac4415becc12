"""Start JupyterLab for the course, and stop it again.

`start_server` starts one on this computer only, in a quiet view or with all
menus. Everything the server needs to keep for itself
(settings, signatures, log) lies in a folder of its own that goes when it
stops: nothing is written into the environment, and the user's own Jupyter
settings are neither read nor changed.

`lab_environment` and `lab_command` also serve the assessor's full screen:
``quiet=False`` leaves the menus and the marking buttons in place.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import secrets
import shutil
import signal
import socket
import sqlite3
import ssl
import subprocess
import sys
import tempfile
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from types import FrameType
from typing import Any
from urllib.parse import quote

from coursework.ink import look, signs
from coursework.room.coursebook import (
    CourseError,
)
from taperkey.checks import sentence
from taperkey.files import naming

__all__ = [
    "BEGIN",
    "HERE",
    "SIGN_OFFS",
    "START_PAGE",
    "Server",
    "answers_at",
    "ask_to_end",
    "choose_port",
    "end_process",
    "end_with_parent",
    "ended_like_ctrl_c",
    "lab_command",
    "lab_environment",
    "own_address",
    "root_may",
    "shared_folders",
    "sign_pages",
    "start_process",
    "start_server",
    "try_port",
    "why_not",
]

START_PAGE = "lessons/00-start.ipynb"
HERE = "127.0.0.1"  # this computer, by its own loopback
FIRST_PORT = 8710
PORTS_TRIED = 40
LAB = Path(__file__).resolve().parent / "lab"
START_SECONDS = 60.0
LOOK_SECONDS = 0.2
SIGN_OFFS = "coursework.room.signserver"  # the form beside the marking screen
PAGE_KERNEL = "coursework.room.pagekernel.PageKernel"
# Nothing here uses these, each is optional where it is asked for, and they take a while to load:
# checkers of web addresses and of durations, and a command line for fetching from the web.
BEGIN = (
    "import sys; sys.modules.update(rfc3987_syntax=None, rfc3986_validator=None); "
    "sys.modules.update({'isoduration': None, 'httpx._main': None}); "
    "from coursework.room.launch import end_with_parent; end_with_parent(); "
)
_START_LAB = BEGIN + "from jupyterlab.labapp import main; sys.exit(main())"


def lab_environment(
    *, state: Path, token: str, quiet: bool = True, settings: str = ""
) -> dict[str, str]:
    """Return the environment for a server that keeps everything in `state`.

    Parameters
    ----------
    state : Path
        Empty folder of this server's own; filled here.
    token : str
        Pass word of the address; handed over in the environment, where other
        users of the computer cannot read it.
    quiet : bool
        True for the apprentice's view; False for the full screen.
    settings : str
        More lines for the server's settings file, in the apprentice's view.

    Returns
    -------
    dict of str to str
        The present environment without any Jupyter setting, and ours added.
    """
    with naming(state):
        for name in ("config", "data", "runtime", "workspaces", "settings", "ipython"):
            (state / name).mkdir(mode=0o700, parents=True, exist_ok=True)
        _write_kernel(state / "data")
        if quiet:
            _write_quiet(state / "config", settings)
    env = {
        key: value
        for key, value in os.environ.items()
        if not key.startswith(("JUPYTER", "JPY_", "IPYTHON"))
    }
    programs = str(Path(sys.executable).parent)
    env.update(
        JUPYTER_CONFIG_DIR=str(state / "config"),
        JUPYTER_DATA_DIR=str(state / "data"),
        JUPYTER_RUNTIME_DIR=str(state / "runtime"),
        JUPYTERLAB_SETTINGS_DIR=str(state / "settings"),
        JUPYTERLAB_WORKSPACES_DIR=str(state / "workspaces"),
        IPYTHONDIR=str(state / "ipython"),
        JUPYTER_PREFER_ENV_PATH="0",
        JUPYTER_PLATFORM_DIRS="1",
        JUPYTER_TOKEN=token,
        PATH=os.pathsep.join([programs, env.get("PATH", "")]),
    )
    return env


def lab_command(
    *, root: Path, port: int, retries: int = 0, open_at: str = "/lab", quiet: bool = True
) -> list[str]:
    """Return the command that starts JupyterLab on `root`.

    Parameters
    ----------
    root : Path
        Folder to serve.
    port : int
        Port to listen on, 1 to 65535, on this computer only.
    retries : int
        How many ports above it may be tried when it is taken.
    open_at : str
        Path that the bare address leads to.
    quiet : bool
        True for the apprentice's view; False for the full screen.

    Returns
    -------
    list of str
        Program and arguments for `subprocess`.
    """
    command = [
        sys.executable,
        "-c",
        _START_LAB,
        "--no-browser",
        f"--ServerApp.ip={HERE}",
        f"--ServerApp.port={port}",
        f"--ServerApp.port_retries={retries}",
        f"--ServerApp.root_dir={root}",
        f"--LabApp.default_url={open_at}",
        "--ServerApp.allow_remote_access=False",
        "--ServerApp.terminals_enabled=False",
        "--ContentsManager.allow_hidden=False",
    ]
    if quiet:
        command += [
            "--LabApp.custom_css=True",
            f"--LabApp.extra_labextensions_path={LAB / 'labextensions'}",
            "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
            "--MappingKernelManager.cull_idle_timeout=1800",
            "--MappingKernelManager.cull_interval=300",
            "--KernelSpecManager.allowed_kernelspecs=python3",
        ]
    return command + root_may()


def root_may() -> list[str]:
    """Return the setting that lets a server run as root, where that is who we are."""
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        return ["--ServerApp.allow_root=True"]
    return []


def end_with_parent(*, every_seconds: float = 2.0) -> None:
    """End this process, in order, when the one that started it is gone.

    Without this a server would live on after its window was closed by force.
    Elsewhere than on POSIX systems a lost parent cannot be seen; nothing is done.
    """
    if os.name == "nt":
        return
    parent = os.getppid()

    def watch() -> None:
        while os.getppid() == parent:
            time.sleep(every_seconds)
        os.kill(os.getpid(), signal.SIGTERM)

    threading.Thread(target=watch, daemon=True).start()


def _write_kernel(data: Path) -> None:
    """Name this very interpreter as the one that runs the pages."""
    spec = {
        "argv": [
            *(sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}"),
            f"--IPKernelApp.kernel_class={PAGE_KERNEL}",
        ],
        "display_name": "Course",
        "language": "python",
        "metadata": {"debugger": False},
    }
    _write_json(data / "kernels" / "python3" / "kernel.json", spec)


def _write_quiet(config: Path, more: str) -> None:
    """Write the quiet view: settings, what is left out, look, and no foreign servers."""
    quiet = json.loads((LAB / "quiet.json").read_text("utf-8"))
    settings = json.loads((LAB / "settings.json").read_text("utf-8"))
    settings["@jupyterlab/shortcuts-extension:shortcuts"] = {
        "shortcuts": list(_shortcuts_off(set(quiet["kept_shortcuts"])))
    }
    others = _installed_extensions() - set(quiet["keep_extensions"])
    disabled = {name: True for name in [*quiet["disabled"], *sorted(others)]}
    _write_json(config / "labconfig" / "default_setting_overrides.json", settings)
    _write_json(config / "labconfig" / "page_config.json", {"disabledExtensions": disabled})
    servers = {name: name == "jupyterlab" for name in _server_extensions() | {"jupyterlab"}}
    (config / "jupyter_server_config.py").write_text(
        "from coursework.room.coursebook import leave_results_out\n"
        "from coursework.room.pageserver import PageFiles, PromptChannels\n"
        f"c.ServerApp.jpserver_extensions = {servers!r}\n"
        "c.ServerApp.contents_manager_class = PageFiles\n"
        "c.ServerApp.kernel_websocket_connection_class = PromptChannels\n"
        "c.FileContentsManager.pre_save_hook = leave_results_out\n" + more,
        "utf-8",
    )
    (config / "custom").mkdir(exist_ok=True)
    quiet_view = (LAB / "page.css").read_text("utf-8")
    sheets = (look.style(), quiet_view, signs.style(), look.drawing_rules())
    (config / "custom" / "custom.css").write_text("\n".join(sheets), "utf-8")


def shared_folders(*parts: str) -> Iterator[Path]:
    """Give the folders that installed parts of JupyterLab may lie in, nearest first."""
    for base in dict.fromkeys([sys.prefix, sys.base_prefix, "/usr/local", "/usr"]):
        yield Path(base).joinpath(*parts)


def _installed_extensions() -> set[str]:
    names = set()
    for folder in shared_folders("share", "jupyter", "labextensions"):
        for found in [*folder.glob("[!@]*/package.json"), *folder.glob("@*/*/package.json")]:
            with contextlib.suppress(OSError, ValueError, KeyError):
                names.add(str(json.loads(found.read_text("utf-8"))["name"]))
    return names


def _server_extensions() -> set[str]:
    names: set[str] = set()
    for folder in shared_folders("etc", "jupyter", "jupyter_server_config.d"):
        for found in folder.glob("*.json"):
            with contextlib.suppress(OSError, ValueError, AttributeError):
                server = json.loads(found.read_text("utf-8")).get("ServerApp", {})
                names |= set(server.get("jpserver_extensions", {}))
    return names


def _shortcuts_off(kept: set[str]) -> Iterator[dict[str, Any]]:
    """Yield every keyboard shortcut of the installed JupyterLab, turned off, save the kept."""
    for folder in shared_folders("share", "jupyter", "lab", "schemas", "@jupyterlab"):
        for found in sorted(folder.glob("*/*.json")):
            schema = json.loads(found.read_text("utf-8"))
            for shortcut in schema.get("jupyter.lab.shortcuts", []):
                if shortcut["command"] not in kept:
                    yield {**shortcut, "disabled": True}


def _write_json(path: Path, content: Any) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(content, indent=1), "utf-8")


def sign_pages(pages: tuple[Path, ...], *, data: Path) -> None:
    """Sign `pages` in the data folder `data` of the server, so that they are trusted there.

    Raises
    ------
    OSError
        The list of signed pages cannot be written.
    """
    from nbformat import reader
    from nbformat.sign import NotebookNotary

    notary: Any = NotebookNotary(data_dir=str(data))  # type: ignore[no-untyped-call]
    read: Any = reader.reads
    try:
        for page in pages:
            notary.sign(read(page.read_text("utf-8")))
    except sqlite3.Error as error:
        full = getattr(error, "sqlite_errorcode", 0) == sqlite3.SQLITE_FULL
        code = errno.ENOSPC if full else errno.EIO
        raise OSError(code, os.strerror(code), str(data)) from error
    finally:
        notary.store.close()


def choose_port(port: int | None) -> tuple[int, int]:
    """Return the port to ask for and how many above it may be tried."""
    if port is None:
        return FIRST_PORT, PORTS_TRIED
    step = "Name another port, or leave --port out to have a free one found."
    if not 1 <= port <= 65535:
        raise CourseError(sentence("port", port, "", "from 1 to 65535", step))
    try:
        try_port(HERE, port)
    except PermissionError:
        rule = "one that you may use, such as 8710"
        raise CourseError(sentence("port", port, "", rule, step)) from None
    except OSError:
        rule = "free, and another program is using it"
        raise CourseError(sentence("port", port, "", rule, step)) from None
    return port, 0


_LOG = "log.txt"  # what a server says, in its folder of state
_ROOM = 1_000_000  # bytes that a server needs to start with, rather too many


class Server:
    """A running JupyterLab and its folder of state; `stop` ends both."""

    def __init__(self, *, process: subprocess.Popen[bytes], state: Path, token: str) -> None:
        self.process = process
        self.state = state
        self.token = token
        self.base_url = ""

    def wait_until_up(self, *, seconds: float = START_SECONDS) -> None:
        """Wait until the server answers, and learn its address from it."""
        end = time.monotonic() + seconds
        note = self.state / "runtime" / f"jpserver-{self.process.pid}.json"
        while time.monotonic() < end:
            if self.process.poll() is not None:
                break
            with contextlib.suppress(OSError, ValueError, KeyError):
                self.base_url = str(json.loads(note.read_text("utf-8"))["url"])
                if self.answers():
                    return
            time.sleep(0.05)
        raise CourseError(self.why_not())

    def why_not(self) -> str:
        """Return one sentence on a server that did not start."""
        return why_not("The course page server did not start", self.state)

    def answers(self) -> bool:
        """Tell whether the server answers to our token."""
        return answers_at(f"{self.base_url}api/status", self.token)

    def address(self, page: str = START_PAGE) -> str:
        """Return the address of a page, token included."""
        return f"{self.base_url}doc/tree/{quote(page)}?token={self.token}"

    def wait_for_its_end(self) -> None:
        """Wait until the server has ended by itself.

        A look now and then, since a Ctrl+C that comes just before a wait without end is not heard.
        """
        while self.process.poll() is None:
            time.sleep(LOOK_SECONDS)

    def stop(self, *, seconds: float = 8.0) -> None:
        """Ask the server to end, wait, insist; then clear its state."""
        end_process(self.process, self.state, seconds=seconds)


def start_process(
    command: Sequence[str],
    *,
    cwd: Path,
    env: Mapping[str, str],
    state: Path,
    under: Mapping[str, Any] | None = None,
) -> subprocess.Popen[bytes]:
    """Start a server whose words go into the log of its folder of state.

    Ctrl+C comes to us alone; we end the server in order. `under` names user and groups that it
    runs under, where these are not ours, and what it is handed where this system can hand it over.
    """
    with (state / _LOG).open("wb") as log:
        return subprocess.Popen(
            command,
            cwd=cwd,
            env=env,
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
            start_new_session=os.name != "nt",
            creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
            **(under or {}),
        )


def why_not(what: str, state: Path) -> str:
    """Return one sentence on a server that did not start, with its last words."""
    with contextlib.suppress(OSError):
        if shutil.disk_usage(state).free < _ROOM:
            step = "Make room on it and try again"
            return f"{what}: the disk that {state.parent} lies on is full. {step}."
    with contextlib.suppress(OSError):
        lines = (state / _LOG).read_text("utf-8", "replace").splitlines()
        told = [line for line in lines if line.strip()]
        if told:
            return f"{what}; it last said: {told[-1].strip()}"
    return f"{what}. Try again, or install taperkey again."


def end_process(process: subprocess.Popen[bytes], state: Path, *, seconds: float) -> None:
    """Ask a server to end, wait, insist; then clear its folder of state."""
    ask_to_end(process, seconds=seconds)
    shutil.rmtree(state, ignore_errors=True)


def ask_to_end(process: subprocess.Popen[bytes], *, seconds: float) -> None:
    """Ask a process to end, wait, insist."""
    if process.poll() is None:
        process.terminate()
        try:
            process.wait(seconds)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def answers_at(address: str, token: str = "", *, seconds: float = 2.0) -> bool:
    """Tell whether one of our own servers answers there, to that token where one is named.

    No proxy is asked for this computer's own address, and a certificate of ours needs no witness.
    """
    trust = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    trust.check_hostname, trust.verify_mode = False, ssl.CERT_NONE
    opener = urllib.request.build_opener(
        urllib.request.ProxyHandler({}), urllib.request.HTTPSHandler(context=trust)
    )
    head = {"Authorization": f"token {token}"} if token else {}
    try:
        with opener.open(urllib.request.Request(address, headers=head), timeout=seconds) as reply:
            return bool(reply.status == 200)
    except (OSError, ValueError):
        return False


def try_port(host: str, port: int) -> None:
    """Take a port of this computer and let it go at once.

    Raises
    ------
    OSError
        It is taken, or not one of this computer's, or not allowed.
    """
    kind = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(kind, socket.SOCK_STREAM) as probe:
        if os.name != "nt":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        probe.bind((host, port))


def own_address() -> str:
    """Return this computer's address on its network; its loopback where it is on none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # for documentation, RFC 5737: nothing is sent
            return str(probe.getsockname()[0])
        except OSError:
            return HERE


def start_server(
    *,
    root: Path,
    port: int | None = None,
    open_at: str = "/lab",
    quiet: bool = True,
    settings: str = "",
    extensions: Sequence[str] = (),
) -> Server:
    """Start JupyterLab on `root` and return it before it is up.

    Parameters
    ----------
    root : Path
        Folder to serve.
    port : int, optional
        Port to use; left out, the first free one from 8710.
    open_at : str
        Path that the bare address leads to.
    quiet : bool
        True for the apprentice's view; False for the full screen.
    settings : str
        More lines for the server's settings file, in the apprentice's view.
    extensions : sequence of str
        Modules that the server loads besides.

    Returns
    -------
    Server
        Started; call `wait_until_up` before using its address.

    Raises
    ------
    CourseError
        The port is taken or out of range.
    """
    first, retries = choose_port(port)
    state = Path(tempfile.mkdtemp(prefix="taperkey-"))
    token = secrets.token_urlsafe(24)
    try:
        env = lab_environment(state=state, token=token, quiet=quiet, settings=settings)
        command = lab_command(root=root, port=first, retries=retries, open_at=open_at, quiet=quiet)
        command += [f"--ServerApp.jpserver_extensions={one}=True" for one in extensions]
        process = start_process(command, cwd=root, env=env, state=state)
    except BaseException:
        shutil.rmtree(state, ignore_errors=True)
        raise
    return Server(process=process, state=state, token=token)


def _raise_interrupt(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt


@contextlib.contextmanager
def ended_like_ctrl_c() -> Iterator[None]:
    """Treat a closed terminal or a request to end like Ctrl+C."""
    wanted = [getattr(signal, name, None) for name in ("SIGTERM", "SIGHUP")]
    before = {}
    try:
        for number in filter(None, wanted):
            before[number] = signal.signal(number, _raise_interrupt)
    except ValueError:  # not in the main thread: whoever runs us sees to the signals
        pass
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
