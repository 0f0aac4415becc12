"""`taperkey class open`: begin, say where the class is open, stay until Ctrl+C."""

from __future__ import annotations

import contextlib
import secrets
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from coursework.desks.certificate import Certificate, certificate_of
from coursework.desks.codesheet import code_sheet
from coursework.desks.counter import (
    OWN_ACCOUNT,
    Account,
    Counter,
    account_of,
    bring_back,
    own_everything,
)
from coursework.desks.joincodes import INSTRUCTOR, JoinCodes
from coursework.desks.school import OPEN
from coursework.desks.seating import cookie_secret
from coursework.desks.starting import server_command
from coursework.room.assessors import name_of_assessor
from coursework.room.classfolder import ClassError, ClassFolder, open_class
from coursework.room.coursebook import CourseError
from coursework.room.holding import held
from coursework.room.launch import (
    HERE,
    answers_at,
    choose_port,
    end_process,
    ended_like_ctrl_c,
    lab_environment,
    own_address,
    start_process,
    try_port,
    why_not,
)
from taperkey.checks import sentence
from taperkey.files import write_whole

__all__ = ["OpenClass", "class_command", "open_doors", "start_class"]

FIRST_PORT = 8000
PORTS_TRIED = 40
MOST_PROCESSES = 16
START_SECONDS = 60.0
EVERYWHERE = "0.0.0.0"


@dataclass
class OpenClass:
    """An open class: its servers, each a process with a folder of state, and where it is."""

    processes: list[subprocess.Popen[bytes]]
    states: list[Path]
    address: str
    locals: list[str]
    codes: JoinCodes
    fingerprint: str = ""

    @property
    def process(self) -> subprocess.Popen[bytes]:
        """The first server, the instructor's."""
        return self.processes[0]

    @property
    def local(self) -> str:
        """Where the first server is, from this computer."""
        return self.locals[0]

    def wait_until_up(self, seconds: float = START_SECONDS) -> None:
        """Wait until every server of the class answers.

        Raises
        ------
        CourseError
            One does not; with its last words.
        """
        end = time.monotonic() + seconds
        for process, state, local in zip(self.processes, self.states, self.locals, strict=True):
            note = state / "runtime" / f"jpserver-{process.pid}.json"  # written once it listens
            while not (note.is_file() and answers_at(f"{local}/login", seconds=3)):
                if time.monotonic() > end or process.poll() is not None:
                    raise CourseError(why_not("The server of the class did not start", state))
                time.sleep(0.1)

    def wait_for_an_end(self, meanwhile: Callable[[], None] = lambda: None) -> None:
        """Wait until one of the servers has ended; every other second do something meanwhile."""
        turn = 0
        while all(one.poll() is None for one in self.processes):
            time.sleep(0.2)
            turn += 1
            if turn % 10 == 0:
                meanwhile()

    def stop(self, seconds: float = 8.0) -> None:
        """Close the class; what was typed is on the disk."""
        for process in self.processes:
            process.terminate()
        for process, state in zip(self.processes, self.states, strict=True):
            end_process(process, state, seconds=seconds)


def start_class(
    class_folder: ClassFolder,
    *,
    port: int | None = None,
    listen: str = EVERYWHERE,
    named: str = "",
    https: bool = False,
    by: str = "",
    processes: int = 1,
    account: Account | None = None,
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
    processes : int
        How many servers share the class, 1 to 16; each listens on a port of its own.
    account : Account, optional
        Account that the servers run under; the class is then what `Counter` lends it.
    """
    private = class_folder.folder / OPEN
    private.mkdir(mode=0o700, exist_ok=True)
    name = named or (own_address() if listen == EVERYWHERE else listen)
    shown = certificate_of(class_folder, private, name=name, sign=https)
    ports = _free_ports(port, listen, processes)
    scheme = "https" if shown else "http"
    address = f"{scheme}://{name}:{ports[0]}"
    codes = JoinCodes(private)
    codes.provide(one.number for one in class_folder.present)  # before several processes read them
    cookie_secret(private)
    told = {"folder": str(class_folder.folder), "address": address, "ports": ports}
    told |= {"fingerprint": shown.fingerprint if shown else "", "by": by}
    here = f"{scheme}://{HERE if listen == EVERYWHERE else listen}"
    made = OpenClass([], [], address, [f"{here}:{one}" for one in ports], codes)
    made.fingerprint = shown.fingerprint if shown else ""
    try:
        for turn, one in enumerate(ports):
            state = Path(tempfile.mkdtemp(prefix="taperkey-"))
            made.states.append(state)
            env = lab_environment(
                state=state,
                token=secrets.token_urlsafe(24),
                settings="from coursework.desks.serving import configure\n"
                f"configure(c, **{told | {'turn': turn}!r})\n",
            )
            (state / "root").mkdir()
            command = class_command(state / "root", one, listen, shown)
            under = None
            if account is not None:
                env["HOME"], under = str(state), account.starts
                for place in (private, state):
                    own_everything(place, account)
            process = start_process(command, cwd=state / "root", env=env, state=state, under=under)
            made.processes.append(process)
    except BaseException:
        for process in made.processes:
            process.kill()
        for state in made.states:
            shutil.rmtree(state, ignore_errors=True)
        raise
    return made


def class_command(
    root: Path, port: int, listen: str, shown: Certificate | None = None
) -> list[str]:
    """Return the command that starts the server of a class."""
    more = ["--ServerApp.allow_remote_access=True", "--ServerApp.log_level=WARN"]
    if shown:
        more += [f"--ServerApp.certfile={shown.certificate}", f"--ServerApp.keyfile={shown.key}"]
    more += ["--ServerApp.default_url=/login"]
    return server_command(root=root, port=port, listen=listen, more=more)


def _free_ports(port: int | None, listen: str, count: int) -> tuple[int, ...]:
    """Return ports to listen on: the named one, or the first that is free, and free ones above."""
    if not 1 <= count <= MOST_PROCESSES:
        rule = f"from 1 to {MOST_PROCESSES}"
        raise CourseError(sentence("processes", count, "", rule, "One for each core is enough."))
    found = [] if port is None else [choose_port(port)[0]]
    first = FIRST_PORT if port is None else port + 1
    for candidate in range(first, first + PORTS_TRIED):
        if len(found) == count:
            break
        with contextlib.suppress(OSError, OverflowError):
            try_port(listen, candidate)
            found.append(candidate)
    if len(found) < count:
        last = first + PORTS_TRIED - 1
        raise CourseError(
            f"Too few ports from {first} to {last} are free. Name another one: --port 9000"
        )
    return tuple(found)


def open_doors(
    folder: Path,
    *,
    port: int | None = None,
    listen: str = EVERYWHERE,
    named: str = "",
    https: bool = False,
    by: str | None = None,
    processes: int = 1,
    account: str | None = None,
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
    processes : int
        How many servers share the class, 1 to 16.
    account : str, optional
        Account that the servers run under; only root may name one.

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
        bring_back(class_folder)
        with ExitStack() as stack:
            served, counter = class_folder, None
            if account is not None:
                counter = Counter(class_folder, account_of(account))
                served = stack.enter_context(counter.lent())
            started = start_class(
                served,
                port=port,
                listen=listen,
                named=named,
                https=https,
                by="" if counter else name,
                processes=processes,
                account=counter.account if counter else None,
            )
            return _stay_open(started, class_folder, counter)


def _assessor(folder: Path, given: str | None) -> str:
    """Return who signs off in the open class; nothing where nobody is named yet."""
    try:
        return name_of_assessor(folder, given)
    except ClassError:
        if given:
            raise
        return ""


def _stay_open(open_now: OpenClass, class_folder: ClassFolder, counter: Counter | None) -> int:
    try:
        with ended_like_ctrl_c():
            open_now.wait_until_up()
            _tell(class_folder, open_now, counter)
            open_now.wait_for_an_end(counter.go_on if counter else lambda: None)
            print("The class closed by itself. Open it again: taperkey class open.", flush=True)
            return 1
    except KeyboardInterrupt:
        print("The class is closed. What everybody typed is kept.", flush=True)
        return 0
    finally:
        open_now.stop()


def _tell(class_folder: ClassFolder, open_now: OpenClass, counter: Counter | None) -> None:
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
    print(counter.said if counter else OWN_ACCOUNT)
    print("Leave this window open. Close the class with Ctrl+C.", flush=True)


def _sheet(class_folder: ClassFolder, codes: JoinCodes, open_now: OpenClass) -> bytes:
    text = code_sheet(
        class_folder, codes, address=open_now.address, fingerprint=open_now.fingerprint
    )
    return text.encode()
