"""A class on a real hub, with real accounts, for the checks: made, served, cleared away."""

import csv
import hashlib
import os
import pwd
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[1]
ENVIRONMENT = Path(os.environ.get("TAPERKEY_HUB_ENV", "/opt/taperkey-hub"))
PROXY = Path(os.environ.get("TAPERKEY_HUB_PROXY", "/opt/taperkey-proxy"))
TRY = (
    "bash tests/prepare_hub.sh && TAPERKEY_HUB=1 uv run pytest tests/classroom/test_hub_*.py "
    "tests/browser/test_hub_class.py -n 0"
)
PREPARE = f"With: {TRY}"


def missing() -> str:
    """Return what is missing to serve a class here, as a sentence; empty if nothing is."""
    if os.environ.get("TAPERKEY_HUB") != "1":
        return f"A hub makes accounts and takes minutes: it is tried on request only. {PREPARE}"
    if not sys.platform.startswith("linux"):
        return "A hub runs on Linux only: it was not tried."
    if os.geteuid() != 0:
        return "Only root may make accounts: the hub was not tried."
    if shutil.which("useradd", path="/usr/sbin:/sbin:/usr/bin") is None:
        return "There is no useradd here: the hub was not tried."
    if not (ENVIRONMENT / "bin" / "jupyterhub").is_file():
        return f"There is no JupyterHub in {ENVIRONMENT}: the hub was not tried. {PREPARE}"
    if not (PROXY / "node_modules" / ".bin" / "configurable-http-proxy").is_file():
        return f"The proxy is not in {PROXY}: the hub was not tried. {PREPARE}"
    if _course(ENVIRONMENT) != _course(REPOSITORY):
        return f"The course in {ENVIRONMENT} is not this one: the hub was not tried. {PREPARE}"
    return ""


def _course(place: Path) -> str:
    """Return a mark of the hub's own files in a checkout or an environment."""
    inside = "lib" if place == REPOSITORY else "lib/python*/site-packages"
    found = sorted(place.glob(f"{inside}/coursework/room/hub*.py"))
    digest = hashlib.sha256()
    for path in found:
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()


def three_ports() -> int:
    """Return the first of three free ports in a row."""
    for _ in range(200):
        first = 20_000 + secrets.randbelow(10_000)
        held = []
        try:
            for port in range(first, first + 3):
                one = socket.socket()
                held.append(one)
                one.bind(("127.0.0.1", port))
        except OSError:
            continue
        else:
            return first
        finally:
            for one in held:
                one.close()
    raise RuntimeError("no three free ports")


class ServedClass:
    """A class folder with a running hub."""

    def __init__(self, apprentices: int = 3, *, lines: str = "") -> None:
        mark = secrets.token_hex(2)
        self.code = f"TKX{mark}"
        self.place = Path("/srv") / f"taperkey-test-{mark}"
        self.place.mkdir(mode=0o755)
        self.apprentices = [f"tkx{mark}-{n:03d}" for n in range(1, apprentices + 1)]
        self.instructor, self.assessor = f"tkx{mark}-ashby", f"tkx{mark}-dole"
        self.keeper = f"tkx{mark}-keeper"
        self.folder = self.place / "class"
        self.homes = self.place / "homes"
        self.process: subprocess.Popen[bytes] | None = None
        roster = self.place / "roster.csv"
        roster.write_text(
            "number,name\n" + "".join(f"{n},Hand {n}\n" for n in range(1, apprentices + 1))
        )
        self.command("class", "new", str(self.folder), "--roster", str(roster), "--code", self.code)
        settings = self.folder / "class.toml"
        settings.write_text(
            f'{settings.read_text("utf-8")}\n[hub]\ninstructors = ["{self.instructor}"]\n'
            f'assessors = ["{self.assessor}"]\nplace = "{self.place / "hub"}"\n'
            f'homes = "{self.homes}"\n{lines}',
            "utf-8",
        )
        self.port = three_ports()
        self.address = f"http://127.0.0.1:{self.port}"

    def command(self, *arguments: str, check: bool = True) -> subprocess.CompletedProcess[str]:
        """Run `taperkey` of the hub's environment."""
        done = subprocess.run(
            [str(ENVIRONMENT / "bin" / "taperkey"), *arguments],
            capture_output=True,
            text=True,
            cwd=self.place,
            check=False,
            timeout=240,
        )
        if check and done.returncode:
            raise RuntimeError(f"taperkey {' '.join(arguments)}: {done.stderr.strip()}")
        return done

    def start(self, seconds: float = 90.0) -> None:
        """Serve the class and wait until the hub is up."""
        with (self.place / "serve.log").open("ab") as log:
            self.process = subprocess.Popen(
                [str(ENVIRONMENT / "bin" / "taperkey"), "class", "serve", str(self.folder),
                 "--port", str(self.port), "--proxy", str(PROXY)],
                stdin=subprocess.DEVNULL, stdout=log, stderr=subprocess.STDOUT, cwd=self.place,
            )  # fmt: skip
        end = time.monotonic() + seconds
        while time.monotonic() < end and self.process.poll() is None:
            if "The hub is open at" in self.said():
                return
            time.sleep(0.2)
        raise RuntimeError(f"the hub did not start: {self.said()} {self.log()[-2000:]}")

    def said(self) -> str:
        """Return what the command has told so far."""
        return (self.place / "serve.log").read_text("utf-8")

    def log(self) -> str:
        """Return the hub's own log."""
        path = self.place / "hub" / "hub" / "hub.log"
        return path.read_text("utf-8", "replace") if path.is_file() else ""

    def passwords(self) -> dict[str, str]:
        """Return the first passwords by account."""
        path = self.place / "hub" / "hub" / "first-passwords.csv"
        return dict(csv.reader(path.read_text("utf-8").splitlines()))

    def course(self, account: str) -> Path:
        """Return an apprentice's course folder."""
        return self.homes / account / "taper-key-course"

    def as_account(self, account: str, script: str) -> subprocess.CompletedProcess[str]:
        """Run a shell line as an account; its end tells what was allowed."""
        entry = pwd.getpwnam(account)
        return subprocess.run(
            ["/bin/sh", "-c", script],
            user=entry.pw_uid,
            group=entry.pw_gid,
            extra_groups=os.getgrouplist(account, entry.pw_gid),
            cwd="/",
            env={"PATH": "/usr/bin:/bin", "HOME": entry.pw_dir},
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
        )

    def processes(self, account: str, words: str) -> list[int]:
        """Return the processes of an account whose command line holds these words."""
        uid = pwd.getpwnam(account).pw_uid
        found = []
        for path in Path("/proc").glob("[0-9]*"):
            try:
                if path.stat().st_uid == uid and words in (path / "cmdline").read_text():
                    found.append(int(path.name))
            except OSError:
                continue
        return found

    def stop(self) -> None:
        """End the hub and clear everything away."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            try:
                self.process.wait(60)
            except subprocess.TimeoutExpired:
                self.process.kill()
        for account in (*self.apprentices, self.instructor, self.assessor, self.keeper):
            try:
                uid = pwd.getpwnam(account).pw_uid
            except KeyError:
                continue
            for path in Path("/proc").glob("[0-9]*"):
                try:
                    if path.stat().st_uid == uid:
                        os.kill(int(path.name), signal.SIGKILL)
                except OSError:
                    continue
            subprocess.run(["userdel", account], capture_output=True, check=False)
        shutil.rmtree(self.place, ignore_errors=True)
