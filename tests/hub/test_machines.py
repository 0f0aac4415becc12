"""A class on two machines: a network of its own for each, a hub and PostgreSQL before them.

Each machine is a network namespace with its own address, its own server of the class and no way
but the wire to the hub; processors, memory and the disk with the class folder are shared. What one
host cannot show: a disk over the network, clocks that differ, and a machine that is really lost.
"""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import shutil
import subprocess
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from tests import postgres_server

BASES = ("/services/class/", "/services/class-2/")


def _ip(*arguments: str) -> None:
    done = subprocess.run(["ip", *arguments], capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeError(f"ip {' '.join(arguments)}: {done.stderr.strip()}")


@dataclass
class Wire:
    """Two network namespaces on one bridge."""

    mark: str = field(default_factory=lambda: secrets.token_hex(2))
    net: int = field(default_factory=lambda: 1 + secrets.randbelow(250))

    @property
    def spaces(self) -> list[str]:
        return [f"tk{self.mark}-{n}" for n in (1, 2)]

    def address(self, number: int) -> str:
        return f"10.77.{self.net}.{number}"

    def lay(self) -> None:
        bridge = f"tkb{self.mark}"
        _ip("link", "add", bridge, "type", "bridge")
        _ip("addr", "add", f"{self.address(1)}/24", "dev", bridge)
        _ip("link", "set", bridge, "up")
        for number, space in enumerate(self.spaces, 1):
            ours, theirs = f"tkv{self.mark}{number}", f"tkw{self.mark}{number}"
            _ip("netns", "add", space)
            _ip("link", "add", ours, "type", "veth", "peer", "name", theirs)
            _ip("link", "set", theirs, "netns", space)
            _ip("link", "set", ours, "master", bridge, "up")
            _ip("-n", space, "addr", "add", f"{self.address(number + 1)}/24", "dev", theirs)
            _ip("-n", space, "link", "set", theirs, "up")
            _ip("-n", space, "link", "set", "lo", "up")

    def cut(self) -> None:
        for space in self.spaces:
            with contextlib.suppress(RuntimeError):
                _ip("netns", "del", space)
        with contextlib.suppress(RuntimeError):
            _ip("link", "del", f"tkb{self.mark}")


@dataclass
class Machine:
    """One of the machines."""

    served: Any
    wire: Wire
    number: int
    process: subprocess.Popen[bytes] | None = None

    def start(self, kit: Any) -> None:
        space = self.wire.spaces[self.number - 1]
        with (self.served.place / f"machine-{self.number}.log").open("ab") as log:
            self.process = subprocess.Popen(
                ["ip", "netns", "exec", space, str(kit.SCRIPT), "class", "serve",
                 str(self.served.folder), "--machine", str(self.number)],
                stdin=subprocess.DEVNULL, stdout=log, stderr=subprocess.STDOUT,
            )  # fmt: skip

    def stop(self) -> None:
        if self.process is not None and self.process.poll() is None:
            self.process.terminate()
            self.process.wait(30)


@pytest.fixture(scope="module")
def postgres(kit: Any) -> Iterator[Any]:
    """Give a PostgreSQL server."""
    programs = postgres_server.programs()
    if programs is None:
        pytest.skip(postgres_server.WORDS)
    running = postgres_server.PostgresServer(programs)
    yield running
    running.remove()


@pytest.fixture(scope="module")
def machines(kit: Any, postgres: Any) -> Iterator[tuple[Any, list[Machine]]]:
    """Give a class on two machines."""
    if os.geteuid() != 0 or shutil.which("ip") is None:
        pytest.skip("Only root may lay a network of its own, with ip: two machines were not tried.")
    wire = Wire()
    try:
        wire.lay()
    except RuntimeError as error:
        wire.cut()
        pytest.skip(f"No network of its own can be laid here ({error}): not tried.")
    own = [f'"http://{wire.address(n)}:8010"' for n in (2, 3)]
    lines = f'machines = [{", ".join(own)}]\nreached_at = "{wire.address(1)}"\n'
    served = kit.ServedClass(4, lines=f'{lines}database = "{postgres.new_database()}"\n')
    text = (served.folder / "class.toml").read_text("utf-8")
    port = f"port = {served.port}\n"
    (served.folder / "class.toml").write_text(text.replace("[hub]\n", f"[hub]\n{port}"), "utf-8")
    both = [Machine(served, wire, number) for number in (1, 2)]
    try:
        served.start()
        for one in both:
            one.start(kit)
        client = served.client()
        end = time.monotonic() + 120
        for base in BASES:
            while client.ask("GET", f"{base}notice")[0] != 200:
                assert time.monotonic() < end, served.log()[-2000:]
                time.sleep(0.5)
        yield served, both
    finally:
        for one in both:
            one.stop()
        served.stop()
        wire.cut()


def test_each_person_works_on_a_machine_and_the_instructor_sees_all(machines) -> None:
    served, _ = machines
    clients = {}
    for number, account in enumerate(served.apprentices, 1):
        client = served.client(account)
        base = BASES[number % 2]
        assert client.at == f"{base}doc/tree/lessons/00-start.ipynb"
        client.sit(base)
        clients[number] = client
        other = BASES[(number + 1) % 2]
        assert client.ask("GET", f"{other}api/sessions")[0] in (302, 403)
    staff = served.client(served.instructor)
    assert staff.at == f"{BASES[0]}class"
    told = json.loads(staff.ask("GET", f"{BASES[0]}class/state")[1])
    names = {one["name"] for one in told["people"]}
    assert names == {"Hand 1", "Hand 2", "Hand 3", "Hand 4"}
    assert clients[1].ask("GET", f"{BASES[0]}class/state")[0] in (302, 403)


def test_the_hubs_list_of_log_ins_is_on_the_server(machines, postgres) -> None:
    import psycopg

    served, _ = machines
    served.client(served.apprentices[0])
    found = next(
        line.split('"')[1]
        for line in (served.folder / "class.toml").read_text("utf-8").splitlines()
        if line.startswith("database")
    )
    with psycopg.connect(found.replace("+psycopg", "")) as line:
        names = {row[0] for row in line.execute("SELECT name FROM users").fetchall()}
    assert served.apprentices[0] in names
    assert not (served.folder / "hub" / "jupyterhub.sqlite").exists()


def test_a_machine_that_is_lost_takes_nobody_elses_pages(machines, kit) -> None:
    served, (_, second) = machines
    one, two = (served.client(account) for account in served.apprentices[:2])
    assert one.at.startswith(BASES[1])
    seat = one.sit(BASES[1])
    second.stop()
    assert two.ask("GET", f"{BASES[0]}api/me")[0] == 200
    assert one.ask("GET", f"{BASES[1]}api/me")[0] in (502, 503)
    second.start(kit)
    end = time.monotonic() + 120
    while one.ask("GET", f"{BASES[1]}api/me")[0] != 200:  # with the log-in that it had
        assert time.monotonic() < end
        time.sleep(0.5)
    found = json.loads(one.ask("GET", f"{BASES[1]}api/sessions/{seat['id']}")[1])
    assert found["kernel"]["id"] == seat["kernel"]["id"]
