"""On a real hub: a password of one's own, and what a page server may take up."""

import errno
import importlib.util
import os
import re
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from types import ModuleType
from urllib.parse import urlencode

import pytest

PAGE = "exercises/01-measure/01-measure.ipynb"
CHANGE = "/hub/auth/change-password"
MIB = 2**20
MEMORY, FILE, PROCESSES = 900, 16, 300  # other than the course's own


def _kit(name: str) -> ModuleType:
    if name in sys.modules:
        return sys.modules[name]
    path = Path(__file__).parents[1] / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


hub_class = _kit("hub_class")
hub_client = _kit("hub_client")


@pytest.fixture(scope="module", params=["system", "first-use"])
def served(request) -> Iterator[object]:
    why = hub_class.missing()
    if why:
        if os.environ.get("TAPERKEY_HUB") == "1":
            pytest.fail(why)
        pytest.skip(why)
    room = hub_class.ServedClass(
        3,
        lines=f'login = "{request.param}"\nmost_memory_mib = {MEMORY}\nlargest_file_mib = {FILE}\n'
        f"most_processes = {PROCESSES}\n",
    )
    try:
        room.start()
        room.login = request.param
        yield room
    finally:
        room.stop()


def first_password(served, account: str) -> str:
    return served.passwords()[account] if served.login == "system" else f"first of {account}"


def person(served, account: str, password: str):
    return hub_client.Person(served.address, account, password)


async def shown(who, **typed: str) -> str:
    """Return the words of the page that changes a password, after typing."""
    if not typed:
        reply = await who.fetch(CHANGE)
    else:
        body = urlencode({**typed, "_xsrf": who._xsrf("/hub/")})
        reply = await who.fetch(CHANGE, method="POST", body=body)
    assert reply.code == 200, reply.body[:500]
    text = re.sub(r"<(script|style|head)\b.*?</\1>", " ", reply.body.decode(), flags=re.S)
    return " ".join(re.sub(r"<[^>]+>", " ", text).split())


def test_somebody_takes_a_password_of_their_own(served) -> None:
    one, two = served.apprentices[:2]
    first, own = first_password(served, one), "Keyway 1:96, Zoë"
    asked = "Choose a password of your own" if served.login == "system" else "Change your password"

    async def act() -> None:
        who = person(served, one, first)
        await who.log_in()
        assert asked in await shown(who)
        told = await shown(who, present=first, new="short", again="short")
        assert "length of the new password is 5 signs; it must be from 8 to 64." in told
        told = await shown(who, present="not it at all", new=own, again=own)
        assert "The present password is not right. Type it again." in told
        line = f"{own}\n{two}:{own}"
        told = await shown(who, present=first, new=line, again=line)
        assert "The new password holds a sign that cannot be seen." in told
        assert "Your password is changed" in await shown(who, present=first, new=own, again=own)
        assert "Change your password" in await shown(who)
        with pytest.raises(hub_client.RefusedError):
            await person(served, one, first).log_in()
        await person(served, one, own).log_in()
        if served.login == "system":  # else the first that is typed becomes its own
            with pytest.raises(hub_client.RefusedError):
                await person(served, two, own).log_in()

    hub_client.finish(act())
    assert first.encode() not in b"".join(
        path.read_bytes() for path in (served.place / "hub" / "hub").glob("*") if path.is_file()
    )
    if served.login == "system":
        left = served.passwords()
        assert left[one] == f"changed {date.today().isoformat()}"
        assert re.fullmatch(r"(\w{4}-){2}\w{4}", left[two])


def test_guessing_there_has_the_limit_of_the_log_in(served) -> None:
    account = served.apprentices[2]
    first, own = first_password(served, account), "Keyway 1 in 96"

    async def act() -> str:
        who = person(served, account, first)
        await who.log_in()
        told = [await shown(who, present=f"guess {n}", new=own, again=own) for n in range(6)]
        assert all("is not right" in one for one in told[:5])
        return await shown(who, present=first, new=own, again=own)

    assert "Too many wrong passwords for this account. Wait 5 minutes" in hub_client.finish(act())


def test_nobody_changes_a_password_without_a_log_in(served) -> None:
    async def act():
        who = person(served, served.apprentices[1], "")
        return await who.fetch(CHANGE)

    reply = hub_client.finish(act())
    assert b'name="username"' in reply.body
    assert b'name="present"' not in reply.body


def limits(pid: int) -> dict[str, tuple[str, str]]:
    lines = Path(f"/proc/{pid}/limits").read_text().splitlines()[1:]
    return {line[:25].strip(): tuple(line[25:].split()[:2]) for line in lines}


def test_a_page_server_keeps_to_its_limits_and_a_page_works_under_them(served) -> None:
    account = served.apprentices[1]

    async def act() -> None:
        who = person(served, account, first_password(served, account))
        await who.log_in()
        await who.start()
        page = await who.open_page(PAGE)
        await page.run()
        assert page.errors == []
        found = [*served.processes(account, "hub_lean"), *served.processes(account, "ipykernel")]
        assert len(found) >= 2
        for pid in found:
            has = limits(pid)
            assert has["Max address space"] == (str(MEMORY * MIB),) * 2
            assert has["Max file size"] == (str(FILE * MIB),) * 2
            assert has["Max processes"] == (str(PROCESSES),) * 2
            status = Path(f"/proc/{pid}/status").read_text()
            peak = int(re.search(r"VmPeak:\s+(\d+) kB", status)[1]) // 1024
            assert peak < MEMORY / 1.5, f"{peak} MiB is near the limit"

        # an answer is judged and kept
        box = next(
            one
            for one, has in page.widgets.items()
            if str(has.get("description", "")).startswith("Inside height")
        )
        await page.type_into(box, "1.021 in")
        words = " ".join(str(has.get("value", "")) for has in page.widgets.values())
        assert "Saved. Read as" in words

        # a file over the limit fails, one under it does not
        write = f"with open('large', 'wb') as file: file.write(bytes({FILE * MIB} + {{more}}))"
        await page.execute(write.format(more=0))
        assert page.errors == []
        await page.execute(write.format(more=1))
        assert page.errors == [f"OSError: [Errno {errno.EFBIG}] File too large"]

        # memory over the limit is a sentence at the head of the page, which goes on
        await page.execute(f"bytearray({MEMORY * MIB})")
        assert len(page.errors) == 1
        words = " ".join(str(has.get("value", "")) for has in page.widgets.values())
        assert "This page has used up the memory that this computer gives it." in words
        await page.type_into(box, "1.022 in")
        await page.close()

    hub_client.finish(act())
    answers = (served.course(account) / "exercises" / "01-measure" / "answers.json").read_text()
    assert "1.022 in" in answers


def test_an_assessors_server_has_room_for_a_class(served) -> None:
    async def act() -> None:
        who = person(served, served.assessor, first_password(served, served.assessor))
        await who.log_in()
        await who.start()

    hub_client.finish(act())
    (pid,) = served.processes(served.keeper, "jupyterhub.singleuser")[:1]
    has = limits(pid)
    assert int(has["Max address space"][0]) == 4 * MEMORY * MIB
    assert int(has["Max file size"][0]) == 16 * FILE * MIB
    assert int(has["Max processes"][0]) == 4 * PROCESSES
