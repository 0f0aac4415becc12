"""A class on a real hub, for the checks: made, served, cleared away; and a browser's requests."""

import csv
import http.client
import json
import os
import re
import secrets
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from pathlib import Path
from typing import Any
from urllib.parse import urlencode, urljoin, urlsplit

NAMED = "TAPERKEY_HUB_PROXY"
TRY = (
    "TAPERKEY_HUB_PROXY=$(bash tests/prepare_hub.sh) uv run pytest tests/hub "
    "tests/browser/test_hub_class.py -n 0"
)
PAGE = "exercises/01-measure/01-measure.ipynb"
SCRIPT = Path(sys.executable).parent / "taperkey"


def missing() -> str:
    """Return what is missing to serve a class here, as a sentence; empty if nothing is."""
    if sys.platform == "win32":
        return "A hub does not run on Windows: it was not tried."
    if not os.environ.get(NAMED):
        return f"No proxy of a hub is named in {NAMED}: the hub was not tried. With: {TRY}"
    return ""


def proxy() -> Path:
    return Path(os.environ[NAMED])


def environment() -> dict[str, str]:
    """Return the environment in which the proxy finds its Node.js."""
    path = os.pathsep.join([str(proxy() / "node" / "bin"), os.environ.get("PATH", "")])
    return {**os.environ, "PATH": path}


def free_ports(count: int) -> int:
    """Return the first of some free ports in a row."""
    for _ in range(200):
        first = 20_000 + secrets.randbelow(10_000)
        held = []
        try:
            for port in range(first, first + count):
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
    raise RuntimeError("no free ports in a row")


@dataclass
class Client:
    """A browser as far as its requests go: cookies by path, and no more."""

    address: str
    trusted: str = ""
    cookies: dict[tuple[str, str], str] = field(default_factory=dict)
    at: str = "/"

    def cookie(self, path: str) -> str:
        ours = sorted(self.cookies.items(), key=lambda one: -len(one[0][1]))
        return "; ".join(
            f"{name}={value}" for (name, where), value in ours if path.startswith(where)
        )

    def xsrf(self, path: str) -> str:
        found = re.search(r"(?:^|; )_xsrf=([^;]+)", self.cookie(path))
        return found[1] if found else ""

    def ask(
        self, method: str, path: str, body: Any = None, **headers: str
    ) -> tuple[int, bytes, dict[str, str]]:
        """Ask once."""
        where = urlsplit(self.address)
        if where.scheme == "https":
            trust = ssl.create_default_context(cafile=self.trusted)
            line: http.client.HTTPConnection = http.client.HTTPSConnection(
                where.hostname or "", where.port, timeout=60, context=trust
            )
        else:
            line = http.client.HTTPConnection(where.hostname or "", where.port, timeout=60)
        told = {"Cookie": self.cookie(path), "X-XSRFToken": self.xsrf(path)}
        told |= {key.replace("_", "-"): value for key, value in headers.items()}
        if isinstance(body, dict):
            body, told["Content-Type"] = json.dumps(body), "application/json"
        line.request(method, path, body=body, headers=told)
        reply = line.getresponse()
        for name, value in reply.getheaders():
            if name.lower() == "set-cookie":
                for key, morsel in SimpleCookie(value).items():
                    gone = morsel["max-age"] == "0" or (morsel["expires"] and not morsel.value)
                    if gone:
                        self.cookies.pop((key, morsel["path"] or "/"), None)
                    else:
                        self.cookies[key, morsel["path"] or "/"] = morsel.value
        return reply.status, reply.read(), {n.title(): v for n, v in reply.getheaders()}

    def go(
        self, path: str, method: str = "GET", body: Any = None, **headers: str
    ) -> tuple[int, str]:
        """Ask, and follow where it leads to; `at` is where it ended."""
        for _ in range(15):
            status, told, back = self.ask(method, path, body, **headers)
            self.at = path
            if status not in (301, 302, 303, 307):
                return status, told.decode("utf-8", "replace")
            path = urljoin(self.address + path, back["Location"]).removeprefix(self.address)
            method, body, headers = "GET", None, {}
            assert path.startswith("/"), path
        raise AssertionError(f"sent round in circles at {path}")

    def log_in(self, account: str, password: str, onward: str = "/") -> tuple[int, str]:
        """Log in at the hub and go on to the class; a password of one's own comes later."""
        self.go("/hub/login")
        told = {"username": account, "password": password, "_xsrf": self.xsrf("/hub/login")}
        status, text = self.go(
            f"/hub/login?{urlencode({'next': onward})}", "POST", urlencode(told),
            Content_Type="application/x-www-form-urlencoded",
        )  # fmt: skip
        return self.go(onward) if self.at.startswith("/hub/auth/") else (status, text)

    def sit(self, base: str = "/services/class/", page: str = PAGE) -> dict[str, Any]:
        """Open a page of the class."""
        folder, _, name = page.rpartition("/")
        wish = {"path": f"{folder}/x", "name": name, "type": "notebook"}
        status, told, _ = self.ask("POST", f"{base}api/sessions", wish)
        assert status == 201, (status, told[:300])
        seat: dict[str, Any] = json.loads(told)
        assert self.ask("PATCH", f"{base}api/sessions/{seat['id']}", {"path": page})[0] == 200
        return seat


class ServedClass:
    """A class folder with a running hub."""

    def __init__(self, apprentices: int = 3, *, lines: str = "", host: str = "127.0.0.1") -> None:
        mark = secrets.token_hex(2)
        self.code = f"TKX{mark}"
        self.place = Path(tempfile.mkdtemp(prefix="taperkey-hub-"))
        self.apprentices = [f"tkx{mark}-{n:03d}" for n in range(1, apprentices + 1)]
        self.instructor, self.assessor = "w-ashby", "m-dole"
        self.folder = self.place / "class"
        self.process: subprocess.Popen[bytes] | None = None
        roster = self.place / "roster.csv"
        roster.write_text(
            "number,name\n" + "".join(f"{n},Hand {n}\n" for n in range(1, apprentices + 1))
        )
        self.command("class", "new", str(self.folder), "--roster", str(roster), "--code", self.code)
        settings = self.folder / "class.toml"
        settings.write_text(
            f'{settings.read_text("utf-8")}\n[hub]\ninstructors = ["{self.instructor}"]\n'
            f'assessors = ["{self.assessor}"]\n{lines}',
            "utf-8",
        )
        self.port = free_ports(6)
        self.host = host
        self.address = f"http://{host}:{self.port}"
        self.trusted = ""

    def command(self, *arguments: str, check: bool = True) -> subprocess.CompletedProcess[str]:
        """Run `taperkey`."""
        done = subprocess.run(
            [str(SCRIPT), *arguments], capture_output=True, text=True, cwd=self.place, check=False,
            timeout=240,
        )  # fmt: skip
        if check and done.returncode:
            raise RuntimeError(f"taperkey {' '.join(arguments)}: {done.stderr.strip()}")
        return done

    def told(self) -> str:
        """Return what the window says in which the hub was started."""
        return (self.place / "serve.log").read_text("utf-8", "replace")

    def start(self, seconds: float = 240.0, before: tuple[str, ...] = ()) -> None:
        """Serve the class and wait until the hub is up."""
        begun = self.told().count("The hub is open at") if self.process else 0
        with (self.place / "serve.log").open("ab") as log:
            self.process = subprocess.Popen(
                [*before, str(SCRIPT), "class", "serve", str(self.folder), "--port", str(self.port),
                 "--proxy", str(proxy())],
                stdin=subprocess.DEVNULL, stdout=log, stderr=subprocess.STDOUT, cwd=self.place,
                env=environment(),
            )  # fmt: skip
        self.wait_for("The hub is open at", seconds, count=begun + 1)

    def wait_for(self, words: str, seconds: float = 60.0, *, count: int = 1) -> None:
        """Wait until the hub's window has said something so many times."""
        end = time.monotonic() + seconds
        while self.told().count(words) < count:
            assert self.process is not None
            if time.monotonic() > end or self.process.poll() is not None:
                raise RuntimeError(f"“{words}” was not said:\n{self.told()}\n{self.log()[-3000:]}")
            time.sleep(0.2)

    def log(self) -> str:
        """Return the hub's log."""
        try:
            return (self.folder / "hub" / "hub.log").read_text("utf-8", "replace")
        except OSError:
            return ""

    def passwords(self) -> dict[str, str]:
        """Return the first passwords by account."""
        with (self.folder / "hub" / "first-passwords.csv").open(encoding="utf-8") as file:
            return dict(csv.reader(file))

    def client(self, account: str = "", onward: str = "/") -> Client:
        """Return a browser; with an account, one that has logged in and come into the class."""
        made = Client(self.address, self.trusted)
        if account:
            status, text = made.log_in(account, self.passwords()[account], onward)
            assert status == 200, (status, made.at, text[:500])
        return made

    def processes(self, word: str) -> list[int]:
        """Return the processes of this class whose command holds a word."""
        found = []
        for one in Path("/proc").glob("[0-9]*/cmdline"):
            try:
                told = one.read_bytes().replace(b"\0", b" ").decode("utf-8", "replace")
            except OSError:
                continue
            if word in told and (str(self.folder) in told or f"--port {self.port} " in told):
                found.append(int(one.parent.name))
        return found

    def stop(self) -> None:
        """End the hub and clear everything away."""
        self.end()
        shutil.rmtree(self.place, ignore_errors=True)

    def end(self) -> None:
        """End the hub."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            try:
                self.process.wait(60)
            except subprocess.TimeoutExpired:
                self.process.kill()
                self.process.wait()
