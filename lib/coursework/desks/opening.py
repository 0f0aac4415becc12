"""`taperkey class open`: begin, say where the class is open, stay until Ctrl+C."""

from __future__ import annotations

import secrets
import shutil
import socket
import ssl
import subprocess
import sys
import tempfile
import time
import urllib.request
from dataclasses import dataclass
from pathlib import Path

from coursework.desks.certificate import Certificate, certificate_of
from coursework.desks.codesheet import code_sheet
from coursework.desks.joincodes import INSTRUCTOR, JoinCodes
from coursework.desks.school import OPEN
from coursework.room.assessors import name_of_assessor
from coursework.room.classfolder import ClassError, ClassFolder, open_class
from coursework.room.coursebook import CourseError
from coursework.room.holding import held
from coursework.room.launch import (
    LAB,
    START_LAB,
    choose_port,
    end_process,
    ended_like_ctrl_c,
    lab_environment,
    start_process,
    why_not,
)
from taperkey.files import write_whole

__all__ = ["OpenClass", "open_doors", "start_class"]

FIRST_PORT = 8000
PORTS_TRIED = 40
START_SECONDS = 60.0
EVERYWHERE = "0.0.0.0"


@dataclass
class OpenClass:
    """An open class: the server's process, and where it is."""

    process: subprocess.Popen[bytes]
    state: Path
    address: str
    local: str
    codes: JoinCodes
    fingerprint: str = ""

    def wait_until_up(self, seconds: float = START_SECONDS) -> None:
        """Wait until the class answers.

        Raises
        ------
        CourseError
            It does not; with the server's last words.
        """
        end = time.monotonic() + seconds
        while time.monotonic() < end and self.process.poll() is None:
            if self.answers():
                return
            time.sleep(0.1)
        raise CourseError(why_not("The server of the class did not start", self.state))

    def answers(self) -> bool:
        """Say whether the class answers."""
        trust = ssl.create_default_context()
        trust.check_hostname, trust.verify_mode = False, ssl.CERT_NONE  # it is our own server
        opener = urllib.request.build_opener(
            urllib.request.ProxyHandler({}), urllib.request.HTTPSHandler(context=trust)
        )
        try:
            with opener.open(f"{self.local}/login", timeout=3) as reply:
                return bool(reply.status == 200)
        except (OSError, ValueError):
            return False

    def stop(self, seconds: float = 8.0) -> None:
        """Close the class; what was typed is on the disk."""
        end_process(self.process, self.state, seconds=seconds)


def own_address() -> str:
    """Return this computer's address on its network; its loopback where it is on none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # names a way out; nothing is sent
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"


def start_class(
    class_folder: ClassFolder,
    *,
    port: int | None = None,
    listen: str = EVERYWHERE,
    named: str = "",
    https: bool = False,
    by: str = "",
) -> OpenClass:
    """Start the server of a class and return it before it is up.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    port : int, optional
        Left out, the first free one from 8000.
    listen : str
        Address of this computer to listen on.
    named : str
        Address or name that apprentices use; left out, this computer's own.
    https : bool
        Whether the class signs a certificate for itself where ``class.toml`` names none.
    by : str
        Name of the assessor who opens it.
    """
    private = class_folder.folder / OPEN
    private.mkdir(mode=0o700, exist_ok=True)
    name = named or (own_address() if listen == EVERYWHERE else listen)
    shown = certificate_of(class_folder, private, name=name, sign=https)
    chosen = _free_port(port, listen)
    state = Path(tempfile.mkdtemp(prefix="taperkey-"))
    scheme = "https" if shown else "http"
    address = f"{scheme}://{name}:{chosen}"
    told = {"folder": str(class_folder.folder), "address": address}
    told |= {"fingerprint": shown.fingerprint if shown else "", "by": by}
    try:
        env = lab_environment(state=state, token=secrets.token_urlsafe(24))
        with (state / "config" / "jupyter_server_config.py").open("a", encoding="utf-8") as file:
            file.write(
                f"from coursework.desks.serving import configure\nconfigure(c, **{told!r})\n"
            )
        (state / "root").mkdir()
        command = _command(state / "root", chosen, listen, shown)
        process = start_process(command, cwd=state / "root", env=env, state=state)
    except BaseException:
        shutil.rmtree(state, ignore_errors=True)
        raise
    codes = JoinCodes(private)
    local = f"{scheme}://{'127.0.0.1' if listen == EVERYWHERE else listen}:{chosen}"
    return OpenClass(process, state, address, local, codes, told["fingerprint"])


def _command(root: Path, port: int, listen: str, shown: Certificate | None) -> list[str]:
    pair = (
        [f"--ServerApp.certfile={shown.certificate}", f"--ServerApp.keyfile={shown.key}"]
        if shown
        else []
    )
    return [
        sys.executable,
        "-c",
        START_LAB,
        "--no-browser",
        f"--ServerApp.ip={listen}",
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        f"--ServerApp.root_dir={root}",
        "--ServerApp.allow_remote_access=True",
        "--ServerApp.allow_root=True",
        "--ServerApp.terminals_enabled=False",
        "--LabApp.default_url=/login",
        "--LabApp.custom_css=True",
        f"--LabApp.extra_labextensions_path={LAB / 'labextensions'}",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--ServerApp.log_level=WARN",
        *pair,
    ]


def _free_port(port: int | None, listen: str) -> int:
    if port is not None:
        return choose_port(port)[0]
    for candidate in range(FIRST_PORT, FIRST_PORT + PORTS_TRIED):
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
            if sys.platform != "win32":
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((listen, candidate))
            except OSError:
                continue
            return candidate
    raise CourseError("No port from 8000 to 8039 is free. Name another one: --port 9000")


def open_doors(
    folder: Path,
    *,
    port: int | None = None,
    listen: str = EVERYWHERE,
    named: str = "",
    https: bool = False,
    by: str | None = None,
) -> int:
    """Open a class, and stay until Ctrl+C.

    Parameters
    ----------
    folder : Path
        Class folder.
    port : int, optional
        Left out, the first free one from 8000.
    listen : str
        Address of this computer to listen on.
    named : str
        Address or name that apprentices use; left out, this computer's own.
    https : bool
        Whether the class signs a certificate for itself where ``class.toml`` names none.
    by : str, optional
        Name of the assessor who opens it; left out, the only one that is named in the class.

    Returns
    -------
    int
        0 after a clean stop, 1 if the server ended by itself.

    Raises
    ------
    CourseError
        The class is open already, or the server did not start.
    """
    class_folder = open_class(folder)
    private = class_folder.folder / OPEN
    private.mkdir(mode=0o700, exist_ok=True)
    with held(private, doing="open") as other:
        if other:
            raise CourseError(
                f"class folder is {class_folder.folder}, and the class is open already{other}. "
                "Close it with Ctrl+C in its window, then open it again."
            )
        name = _assessor(class_folder.folder, by)
        return _stay_open(
            start_class(class_folder, port=port, listen=listen, named=named, https=https, by=name),
            class_folder,
        )


def _assessor(folder: Path, given: str | None) -> str:
    """Return who signs off in the open class; nothing where nobody is named yet."""
    try:
        return name_of_assessor(folder, given)
    except ClassError:
        if given:
            raise
        return ""


def _stay_open(open_now: OpenClass, class_folder: ClassFolder) -> int:
    try:
        with ended_like_ctrl_c():
            open_now.wait_until_up()
            _tell(class_folder, open_now)
            open_now.process.wait()
            print("The class closed by itself. Open it again: taperkey class open.", flush=True)
            return 1
    except KeyboardInterrupt:
        print("The class is closed. What everybody typed is kept.", flush=True)
        return 0
    finally:
        open_now.stop()


def _tell(class_folder: ClassFolder, open_now: OpenClass) -> None:
    codes = JoinCodes(open_now.codes.path.parent)
    sheet = class_folder.cards / "join-codes.html"
    write_whole(sheet, _sheet(class_folder, codes, open_now))
    sheet.chmod(0o600)
    print(f"The class is open at   {open_now.address}")
    print()
    for one in class_folder.present:
        print(f"  {codes.of(one.number):<18} {one.name}")
    print(f"  {codes.of(INSTRUCTOR):<18} you, the instructor")
    print()
    print(f"To print, with pictures for tablets: {sheet}")
    if open_now.address.startswith("http:"):
        print(
            "It is plain http: whoever taps the network can read along. Use the shop's own "
            "network, or close the class and open it with --https."
        )
    elif open_now.fingerprint:
        print("Browsers warn once, since the class signed its own certificate. Its fingerprint:")
        print(f"  {open_now.fingerprint}")
    print("Leave this window open. Close the class with Ctrl+C.", flush=True)


def _sheet(class_folder: ClassFolder, codes: JoinCodes, open_now: OpenClass) -> bytes:
    text = code_sheet(
        class_folder, codes, address=open_now.address, fingerprint=open_now.fingerprint
    )
    return text.encode()
