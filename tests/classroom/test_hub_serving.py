"""A class on a real hub with real accounts: what each may do, tried as that account."""

import asyncio
import importlib.util
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType

import pytest

PAGE = "exercises/01-measure/01-measure.ipynb"


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


@pytest.fixture(scope="module")
def served() -> Iterator[object]:
    """Give a class of three on a running hub, or say plainly why there is none."""
    why = hub_class.missing()
    if why:
        if os.environ.get("TAPERKEY_HUB") == "1":
            pytest.fail(why)
        pytest.skip(why)
    room = hub_class.ServedClass(3)
    try:
        room.start()
        yield room
    finally:
        room.stop()


def person(served, account: str, password: str | None = None):
    word = served.passwords()[account] if password is None else password
    return hub_client.Person(served.address, account, word)


async def at_a_page(served, account: str):
    who = await logged_in(served, account)
    page = await who.open_page(PAGE)
    await page.run()
    return who, page


async def logged_in(served, account: str):
    who = person(served, account)
    await who.log_in()
    await who.start()
    return who


def text_box(page, words: str) -> str:
    return next(
        one
        for one, has in page.widgets.items()
        if has.get("_model_name") == "TextModel" and has.get("description", "").startswith(words)
    )


def shown(page) -> str:
    return " ".join(
        str(has.get("value", ""))
        for has in page.widgets.values()
        if has.get("_model_name") == "HTMLModel"
    )


def answers(served, account: str) -> dict[str, str]:
    path = served.course(account) / "exercises" / "01-measure" / "answers.json"
    entries = json.loads(path.read_text("utf-8"))["entries"]
    return {key: entry["text"] for key, entry in entries.items()}


def eventually(true: Callable[[], bool], seconds: float = 60.0) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if true():
            return True
        time.sleep(0.25)
    return False


# what an account may reach


def test_an_apprentice_reaches_nothing_that_is_not_theirs(served) -> None:
    one, two = served.apprentices[:2]
    hub_client.finish(logged_in(served, one))
    hub = served.place / "hub"
    out_of_reach = {
        "the class folder": f"ls {served.folder}",
        "its settings": f"cat {served.folder}/class.toml",
        "the class list": f"cat {served.folder}/roster.csv",
        "the inbox": f"ls {served.folder}/inbox",
        "putting into the inbox": f"touch {served.folder}/inbox/x",
        "the gradebook": f"cat {served.folder}/gradebook.db",
        "the records": f"ls {served.folder}/records",
        "the hub's configuration": f"cat {served.folder}/jupyterhub_config.py",
        "the hub's own files": f"ls {hub}/hub",
        "the first passwords": f"cat {hub}/hub/first-passwords.csv",
        "the hub's log": f"cat {hub}/hub/hub.log",
        "whose drops there are": f"ls {hub}/drop",
        "looking into one's own drop": f"ls {hub}/drop/{two}",
        "another's drop": f"ls {hub}/drop/{one}",
        "putting into another's drop": f"touch {hub}/drop/{one}/x",
        "another's feedback": f"ls {hub}/returned/{one}",
        "writing one's own feedback": f"touch {hub}/returned/{two}/x",
        "another's page server": f"ls {hub}/state/{one}",
        "another's home": f"ls {served.homes}/{one}",
        "another's entries": f"cat {served.course(one)}/name-tag.json",
        "the keeper's home": f"ls {hub}/keeper",
        "another's environment": f"cat /proc/{served.processes(one, 'hub_lean')[0]}/environ",
    }
    reached = {
        what: done.stdout
        for what, script in out_of_reach.items()
        if (done := served.as_account(two, script)).returncode == 0
    }
    assert reached == {}
    said = served.as_account(two, f"cat {served.folder}/class.toml").stderr
    assert "Permission denied" in said  # and not for want of the file
    assert served.as_account(two, f"echo x > {hub}/drop/{two}/x").returncode == 0
    assert served.as_account(two, f"ls {hub}/returned/{two}").returncode == 0


def test_masters_are_not_where_apprentices_look(served) -> None:
    done = served.as_account(
        served.apprentices[0],
        f"find {hub_class.ENVIRONMENT} -path '*solutions*' -name '*.ipynb' | grep .",
    )
    assert (done.returncode, done.stdout) == (1, "")


def test_page_servers_answer_their_owner_only(served) -> None:
    one, two = served.apprentices[:2]

    async def tried() -> list[int]:
        await logged_in(served, one)
        stranger = person(served, two)
        codes = [(await stranger.fetch(f"/user/{one}/api/contents/")).code]
        await stranger.log_in()
        await stranger.start()
        codes.append((await stranger.fetch(f"/user/{one}/api/contents/")).code)
        codes.append((await stranger.fetch(f"/user/{one}/files/name-tag.json")).code)
        codes.append((await stranger.fetch("/hub/admin")).code)
        codes.append((await stranger.fetch("/hub/api/users")).code)
        return codes

    assert [code for code in hub_client.finish(tried()) if code not in (403, 404)] == []


def test_no_apprentice_page_offers_a_terminal_or_runs_as_another(served) -> None:
    one = served.apprentices[0]

    async def tried() -> tuple[int, str]:
        who, page = await at_a_page(served, one)
        code = (await who.api("api/terminals", method="POST", body={})).code
        await page.execute("import getpass, os; raise ValueError(getpass.getuser(), os.getuid())")
        return code, page.errors[-1]

    code, said = hub_client.finish(tried())
    assert code == 404
    uid = hub_class.pwd.getpwnam(one).pw_uid
    assert said == f"ValueError: ('{one}', {uid})"


# logging in


def test_wrong_password_and_somebody_not_on_the_list(served) -> None:
    for account in (served.apprentices[0], "root", "nobody"):
        with pytest.raises(hub_client.RefusedError) as refused:
            hub_client.finish(person(served, account, "guess").log_in())
        assert str(refused.value) == (
            "Account and password do not go together. Type both again; the account is on your slip."
        )


def test_guessing_has_to_wait(served) -> None:
    account = served.instructor
    for _ in range(6):
        with pytest.raises(hub_client.RefusedError):
            hub_client.finish(person(served, account, "guess").log_in())
    with pytest.raises(hub_client.RefusedError) as refused:
        hub_client.finish(person(served, account).log_in())  # the right one, too late
    assert str(refused.value) == (
        "Too many wrong passwords for this account. Wait 5 minutes, or ask your instructor."
    )


def test_first_use_password_has_limits(tmp_path: Path) -> None:
    why = hub_class.missing()
    if why:
        if os.environ.get("TAPERKEY_HUB") == "1":
            pytest.fail(why)
        pytest.skip(why)
    script = """
import asyncio, sys
from types import SimpleNamespace
from coursework.room.hub_spawn import FirstUseLogin
login = FirstUseLogin(dbm_path=sys.argv[1], allowed_users={"zoe"}, create_users=True,
                      min_password_length=8, wrong_tries=3)
def tries(account, password):
    handler = SimpleNamespace(custom_login_error="")
    got = asyncio.run(login.authenticate(handler, {"username": account, "password": password}))
    print(got, handler.custom_login_error[:24], sep="|")
tries("stranger", "long-enough-1")
tries("zoe", "short")
tries("zoe", "aaaaaaaaaaaa")
tries("zoe", "long-enough-1")
FirstUseLogin._tries(login).clear()
tries("zoe", "long-enough-1")
tries("zoe", "long-enough-1")
for _ in range(3): tries("zoe", "another-one-2")
tries("zoe", "long-enough-1")
"""
    python = hub_class.ENVIRONMENT / "bin" / "python"
    done = subprocess.run(
        [str(python), "-c", script, str(tmp_path / "words")],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.splitlines() == [
        "None|Account and password do ",
        "None|Password too short! Plea",
        "None|Password too short! Plea",
        "zoe|",
        "zoe|",
        "zoe|",
        *["None|Account and password do "] * 3,
        "None|Too many wrong passwords",
    ]


# from hand-in to feedback


def test_hand_in_is_marked_and_feedback_comes_back(served) -> None:
    one, two = served.apprentices[:2]

    async def hands_in(account: str, height: str):
        who, page = await at_a_page(served, account)
        await page.type_into(text_box(page, "Mouth height"), height)
        await page.press(page.find(description="Hand in")[0])
        return who, page

    async def both():
        return await asyncio.gather(hands_in(one, "1.0104 in"), hands_in(two, "nonsense"))

    ((_, page), _) = hub_client.finish(both())
    assert "It is with your class." in shown(page)
    assert f"class {served.code}, number 1" in shown(page)  # the name tag came from the account
    done = served.command("mark", str(served.folder))
    assert "2 marked" in done.stdout
    owners = {path.stat().st_uid for path in served.folder.rglob("*.json")}
    assert owners == {hub_class.pwd.getpwnam(served.keeper).pw_uid}

    async def reads() -> tuple[str, int, str]:
        who, again = await at_a_page(served, one)
        feedback = await who.api("files/feedback/01-measure.html")
        return shown(again), feedback.code, feedback.body.decode("utf-8")

    words, code, feedback = hub_client.finish(reads())
    assert "Your feedback on this exercise has come: read it." in words
    assert code == 200
    assert "1.0104" in feedback
    assert "nonsense" not in feedback


def test_handing_in_under_another_number_is_set_aside(served) -> None:
    one = served.apprentices[2]

    async def cheats() -> None:
        _, page = await at_a_page(served, one)
        tag = json.dumps({"class": served.code, "number": 1, "name": "Hand 1"})
        await page.execute(f"open('../../name-tag.json', 'w').write({tag!r})")
        await page.press(page.find(description="Hand in")[0])

    hub_client.finish(cheats())
    done = served.command("mark", str(served.folder))
    assert "0 marked" in done.stdout
    reasons = (served.folder / "set-aside" / "reasons.txt").read_text("utf-8")
    assert f"it came from account {one}, which is number 3. Ask both." in reasons


def test_staff_see_the_class_and_the_marking_screen(served) -> None:
    async def looks():
        who = await logged_in(served, served.assessor)
        names = json.loads((await who.api("api/contents/")).body)["content"]
        screen = await who.api("formgrader/gradebook")
        marks = await who.api("formgrader/api/assignments")
        return {one["name"] for one in names}, screen.code, marks.code

    names, screen, marks = hub_client.finish(looks())
    assert {"inbox", "feedback", "records", "roster.csv"} <= names
    assert (screen, marks) == (200, 200)
    process = served.processes(served.keeper, "jupyterhub.singleuser")[0]
    told = Path(f"/proc/{process}/environ").read_bytes().split(b"\0")
    assert f"LOGNAME={served.assessor}".encode() in told  # who marks is noted by name


# when something ends that should not


def test_typed_text_outlives_what_runs_the_page(served) -> None:
    account = served.apprentices[0]

    async def typed(text: str):
        _, page = await at_a_page(served, account)
        await page.type_into(text_box(page, "Inside height"), text)

    async def stands() -> str:
        _, page = await at_a_page(served, account)
        return str(page.widgets[text_box(page, "Inside height")]["value"])

    hub_client.finish(typed("0.9990 in"))
    for process in served.processes(account, "ipykernel"):
        os.kill(process, signal.SIGKILL)
    assert hub_client.finish(stands()) == "0.9990 in"
    hub_client.finish(typed("0.9991 in"))
    for process in served.processes(account, "hub_lean"):
        os.kill(process, signal.SIGKILL)
    time.sleep(1)
    assert hub_client.finish(stands()) == "0.9991 in"


def test_proxy_and_hub_are_started_again(served) -> None:
    account = served.apprentices[0]

    async def typed(text: str) -> str:
        _, page = await at_a_page(served, account)
        box = text_box(page, "Inside height")
        before = str(page.widgets[box]["value"])
        await page.type_into(box, text)
        return before

    hub_client.finish(typed("0.9992 in"))
    pid = int((served.place / "hub" / "hub" / "proxy.pid").read_text().split()[0])
    os.kill(pid, signal.SIGKILL)
    assert eventually(lambda: _answers(served))
    assert hub_client.finish(typed("0.9993 in")) == "0.9992 in"
    hubs = served.processes("root", "jupyterhub_config.py")
    page_servers = served.processes(account, "hub_lean")
    for process in hubs:
        os.kill(process, signal.SIGKILL)
    assert eventually(lambda: served.said().count("The hub is open at") == 2)
    assert (
        "The hub ended by itself and is started again. Pages that are open go on, and what was "
        "typed is kept." in served.said()
    )
    assert hub_client.finish(typed("0.9994 in")) == "0.9993 in"
    assert served.processes(account, "hub_lean") == page_servers  # it went on


def _answers(served) -> bool:
    done = subprocess.run(
        ["curl", "-s", "-o", "/dev/null", "-w", "%{http_code}", f"{served.address}/hub/login"],
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout == "200"


@contextmanager
def small_disk(served, account: str) -> Iterator[Path]:
    """Put an exercise on a disk of its own of 600 KiB, for as long as the test lasts."""
    entry = hub_class.pwd.getpwnam(account)
    course = served.course(account) / "exercises" / "01-measure"
    hub_client.finish(at_a_page(served, account))
    options = f"size=600k,uid={entry.pw_uid},gid={entry.pw_gid},mode=700"
    kept = {path.name: path.read_bytes() for path in course.iterdir() if path.is_file()}
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(course)],
        capture_output=True,
        check=False,
    )
    if mounted.returncode:
        pytest.skip("No small disk can be set up here: a full one was not tried.")
    try:
        for name, content in kept.items():
            (course / name).write_bytes(content)
            os.chown(course / name, entry.pw_uid, entry.pw_gid)
        yield course
    finally:
        for process in served.processes(account, "ipykernel"):
            os.kill(process, signal.SIGKILL)
        subprocess.run(["umount", "-l", str(course)], check=False)


def test_a_full_disk_is_said_and_nothing_typed_before_is_lost(served) -> None:
    account = served.apprentices[2]
    with small_disk(served, account) as course:

        async def types() -> tuple[str, str, str]:
            _, page = await at_a_page(served, account)
            box = text_box(page, "Inside height")
            await page.type_into(box, "0.9990 in")
            served.as_account(account, f"cat /dev/zero > {course}/full")
            await page.type_into(box, "0.9995 in")
            full = shown(page)
            kept = answers(served, account)["01-inside-height"]
            served.as_account(account, f"rm {course}/full")
            await page.type_into(box, "0.9996 in")
            return full, kept, answers(served, account)["01-inside-height"]

        full, before, after = hub_client.finish(types())
    assert "could not be written (No space left on device). What you typed still stands" in full
    assert (before, after) == ("0.9990 in", "0.9996 in")


# pages on the disk


def test_a_saved_page_is_whole_and_belongs_to_its_apprentice(served) -> None:
    account = served.apprentices[1]
    path = served.course(account) / PAGE
    before = path.stat().st_ino

    async def saves() -> tuple[list[int], list[int]]:
        who = await logged_in(served, account)
        page = json.loads((await who.api(f"api/contents/{PAGE}")).body)["content"]
        code = next(cell for cell in page["cells"] if cell["cell_type"] == "code")
        code["outputs"] = [{"output_type": "stream", "name": "stdout", "text": "left out"}]

        async def save(turn: int) -> int:
            words = {**page, "metadata": {**page["metadata"], "turn": turn}}
            wish = {"type": "notebook", "format": "json", "content": words}
            return (await who.api(f"api/contents/{PAGE}", method="PUT", body=wish)).code

        async def read() -> int:
            return (await who.api(f"api/contents/{PAGE}")).code

        saved = [save(turn) for turn in range(20)]
        got = await asyncio.gather(*saved, *(read() for _ in range(20)))
        return got[:20], got[20:]

    saved, read = hub_client.finish(saves())
    assert set(saved) == {200}
    assert set(read) == {200}
    info = path.stat()
    assert info.st_ino != before  # another file in its place, not the same one written over
    assert info.st_uid == hub_class.pwd.getpwnam(account).pw_uid
    page = json.loads(path.read_text("utf-8"))
    assert page["metadata"]["turn"] in range(20)
    assert [cell["outputs"] for cell in page["cells"] if cell.get("outputs")] == []
    assert [one.name for one in path.parent.iterdir() if one.suffix == ".part"] == []


def test_a_page_that_the_disk_has_no_room_for_stays_as_it_was(served) -> None:
    account = served.apprentices[2]
    with small_disk(served, account) as course:
        page = course / "01-measure.ipynb"
        before = page.read_bytes()

        async def saves() -> tuple[int, str]:
            who = await logged_in(served, account)
            content = json.loads((await who.api(f"api/contents/{PAGE}")).body)["content"]
            content["metadata"]["filling"] = "x" * 700_000
            wish = {"type": "notebook", "format": "json", "content": content}
            reply = await who.api(f"api/contents/{PAGE}", method="PUT", body=wish)
            return reply.code, json.loads(reply.body)["message"]

        code, said = hub_client.finish(saves())
        after = page.read_bytes()
        halves = [one.name for one in course.iterdir() if one.suffix == ".part"]
    assert code == 500
    assert "No space left on device" in said
    assert after == before
    assert halves == []
