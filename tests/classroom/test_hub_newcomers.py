"""A class list that changes while the hub runs: who is new gets in, who is off does not."""

import importlib.util
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from coursework.room import registrar
from coursework.room.classfolder import ClassFolder, new_class, open_class
from coursework.room.hub_settings import HubSettings, read_hub_settings
from coursework.room.roster import Apprentice

if sys.platform == "win32":
    pytest.skip("a hub runs on Linux only", allow_module_level=True)

from coursework.room import hub_newcomers
from coursework.room.hub_newcomers import Newcomers

PAGE = "exercises/01-measure/01-measure.ipynb"
PEOPLE = (Apprentice(7, "Zoë Ferrant"), Apprentice(8, "Bram Oakes"))
WAIT = " Until then the accounts stay as they were."


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


# what is taken up, and what is not


@pytest.fixture
def room(tmp_path: Path) -> ClassFolder:
    made = new_class(tmp_path / "class", code="QQ-26", title="Taper keys", roster=PEOPLE)
    with (made.folder / "class.toml").open("a", encoding="utf-8") as file:
        file.write(f'[hub]\ninstructors = ["w-ashby"]\nplace = "{tmp_path / "place"}"\n')
    (tmp_path / "place" / "hub").mkdir(parents=True)
    return open_class(made.folder)


@pytest.fixture
def settings(room: ClassFolder) -> HubSettings:
    return read_hub_settings(room)


@pytest.fixture(autouse=True)
def computer(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Stand in for the accounts of a computer, which only root can make."""
    has = {"qq26-keeper", "w-ashby", "qq26-007", "qq26-008", "old-hand"}

    def missing(settings: HubSettings) -> tuple[str, ...]:
        names = (settings.keeper, *settings.staff, *settings.apprentices)
        return tuple(name for name in names if name not in has)

    def make(settings: HubSettings) -> dict[str, str]:
        given = {name: f"word-of-{name}" for name in missing(settings)}
        has.update(given)
        return given if settings.login == "system" else {}

    monkeypatch.setattr(hub_newcomers, "missing_accounts", missing)
    monkeypatch.setattr(hub_newcomers, "make_accounts", make)
    monkeypatch.setattr(hub_newcomers, "make_account_folders", lambda settings: None)
    return has


def list_of(room: ClassFolder, *lines: str) -> None:
    (room.folder / "roster.csv").write_text("\n".join(("number,name,account", *lines)) + "\n")


def let_in(settings: HubSettings) -> list[str]:
    return (settings.own / "accounts.txt").read_text("utf-8").split()


def looks(newcomers: Newcomers) -> list[str]:
    """Look twice: once to see a change, once to see that it stands."""
    return [*newcomers.look(), *newcomers.look()]


def test_a_new_name_gets_an_account_a_word_and_a_place_on_the_list(room, settings) -> None:
    newcomers = Newcomers(room, settings)
    assert looks(newcomers) == []

    list_of(room, "7,Zoë Ferrant,", "8,Bram Oakes,", "12,Ida Quist,")

    assert newcomers.look() == []  # it may be half written
    assert newcomers.look() == [
        "New on the class list, and let in: qq26-012.",
        f"The first passwords, to hand out, are in {settings.own}/first-passwords.csv (for root "
        "only).",
    ]
    assert let_in(settings) == ["qq26-007", "qq26-008", "qq26-012", "w-ashby"]
    assert looks(newcomers) == []


def test_who_is_off_the_list_is_not_let_in_and_may_come_back(room, settings) -> None:
    newcomers = Newcomers(room, replace(settings, login="first-use"))
    list_of(room, "7,Zoë Ferrant,")
    assert looks(newcomers) == ["Off the class list, and not let in any more: qq26-008."]
    assert let_in(settings) == ["qq26-007", "w-ashby"]
    list_of(room, "7,Zoë Ferrant,", "8,Bram Oakes,")
    assert looks(newcomers) == ["New on the class list, and let in: qq26-008."]
    assert let_in(settings) == ["qq26-007", "qq26-008", "w-ashby"]


def test_who_withdraws_is_not_let_in_and_may_come_back(room, settings) -> None:
    newcomers = Newcomers(room, settings)
    assert looks(newcomers) == []
    said = {"number": 8, "reason": "Went to another quarry.", "by": "w-ashby"}
    gone = registrar.withdraw(room, **said)
    assert looks(newcomers) == ["Withdrawn or moved, and not let in any more: qq26-008."]
    assert let_in(settings) == ["qq26-007", "w-ashby"]
    told = read_hub_settings(gone)
    assert (dict(told.apprentices), dict(told.closed)) == ({"qq26-007": 7}, {"qq26-008": 8})
    registrar.back(gone, **said)
    assert looks(newcomers) == ["New on the class list, and let in: qq26-008."]
    assert let_in(settings) == ["qq26-007", "qq26-008", "w-ashby"]


def test_an_account_of_somebody_who_withdrew_is_not_given_to_another(room, settings) -> None:
    registrar.withdraw(room, number=8, reason="Went to another quarry.", by="w-ashby")
    newcomers = Newcomers(room, settings)
    looks(newcomers)
    list_of(room, "7,Zoë Ferrant,", "8,Bram Oakes,", "9,Ida Quist,qq26-008")
    (told,) = looks(newcomers)
    assert told.startswith("roster.csv: account qq26-008 is there for numbers 8 and 9;")
    assert let_in(settings) == ["qq26-007", "w-ashby"]


def test_an_assessor_is_taken_up_from_the_settings(room, settings) -> None:
    newcomers = Newcomers(room, settings)
    looks(newcomers)
    with (room.folder / "class.toml").open("a", encoding="utf-8") as file:
        file.write('assessors = ["m-dole"]\nport = 9000\n')
    assert looks(newcomers)[0] == "New on the class list, and let in: m-dole."
    assert let_in(settings) == ["m-dole", "qq26-007", "qq26-008", "w-ashby"]
    assert newcomers.settings.staff == ("w-ashby", "m-dole")
    assert newcomers.settings.port == settings.port  # everything else at the next start


def test_a_name_put_right_is_nobody_new(room, settings) -> None:
    newcomers = Newcomers(room, settings)
    list_of(room, "7,Zoë Ferrant-Lund,", "8,Bram Oakes,")
    assert looks(newcomers) == []


def test_a_damaged_list_is_said_once_and_changes_nothing(room, settings) -> None:
    newcomers = Newcomers(room, settings)
    hub_newcomers.note_accounts(settings)
    list_of(room, "7,Zoë Ferrant,", "7,Ida Quist,")
    (said,) = looks(newcomers)
    assert said.startswith(f"{room.folder}: roster.csv, line 3: number")
    assert said.endswith(WAIT)
    assert looks(newcomers) == []
    (room.folder / "roster.csv").unlink()
    (said,) = looks(newcomers)
    assert "roster.csv" in said
    assert said.endswith(WAIT)
    assert let_in(settings) == ["qq26-007", "qq26-008", "w-ashby"]
    list_of(room, "7,Zoë Ferrant,", "8,Bram Oakes,", "9,Ida Quist,")
    assert looks(newcomers)[0] == "New on the class list, and let in: qq26-009."


@pytest.mark.parametrize(
    ("login", "account", "said"),
    [
        (
            "first-use",
            "old-hand",
            "account old-hand is new on the class list, and this computer has it already; while "
            "the hub runs it must be one that is not there yet. Stop the hub with Ctrl+C and start "
            "it again, or name another account.",
        ),
        (
            "system",
            "root",
            "account root has the system number 0; a person's account must have 1000 or more. Give "
            "that person an account of their own.",
        ),
        (
            "system",
            "w-ashby",
            "CLASS/class.toml: account w-ashby is apprentice number 12 too; nobody may be both. "
            "Give one of them another account.",
        ),
    ],
)
def test_an_account_that_is_not_the_apprentices_own(room, settings, login, account, said) -> None:
    newcomers = Newcomers(room, replace(settings, login=login))
    hub_newcomers.note_accounts(settings)
    list_of(room, "7,Zoë Ferrant,", "8,Bram Oakes,", f"12,Ida Quist,{account}")
    told = [one.replace(str(room.folder), "CLASS") for one in looks(newcomers)]
    assert told == [said + WAIT]
    assert let_in(settings) == ["qq26-007", "qq26-008", "w-ashby"]


def test_with_passwords_of_its_own_an_old_account_may_join(room, settings) -> None:
    newcomers = Newcomers(room, settings)  # login = "system": its owner knows the password
    list_of(room, "7,Zoë Ferrant,", "8,Bram Oakes,", "12,Ida Quist,old-hand")
    assert looks(newcomers) == ["New on the class list, and let in: old-hand."]
    assert "old-hand" in let_in(settings)


# on a real hub


def eventually(true: Callable[[], bool], seconds: float = 60.0) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if true():
            return True
        time.sleep(0.25)
    return False


def _or_say_why() -> None:
    why = hub_class.missing()
    if why:
        if os.environ.get("TAPERKEY_HUB") == "1":
            pytest.fail(why)
        pytest.skip(why)


@pytest.fixture(scope="module")
def served() -> Iterator[object]:
    _or_say_why()
    room = hub_class.ServedClass(3)
    try:
        room.start()
        yield room
    finally:
        room.stop()


def test_first_use_goes_by_the_list_as_it_is_now(tmp_path: Path) -> None:
    _or_say_why()
    script = """
import asyncio, sys
from pathlib import Path
from types import SimpleNamespace
from coursework.room.hub_spawn import FirstUseLogin
place = Path(sys.argv[1])
login = FirstUseLogin(dbm_path=str(place / "words"), accounts=str(place / "accounts.txt"),
                      allowed_users={"zoe"}, create_users=True, min_password_length=8)
def tries(*accounts):
    for account in accounts:
        handler = SimpleNamespace(custom_login_error="")
        data = {"username": account, "password": "long-enough-1"}
        got = asyncio.run(login.get_authenticated_user(handler, data))
        print(account, got and got["name"], login.check_allowed(account))
tries("zoe", "bram")  # no list yet: as the hub was started
(place / "accounts.txt").write_text("zoe\\nbram\\n")
tries("zoe", "bram", "root")
(place / "accounts.txt").write_text("bram\\n")
tries("zoe", "bram")
"""
    python = hub_class.ENVIRONMENT / "bin" / "python"
    done = subprocess.run(
        [str(python), "-c", script, str(tmp_path)], capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines() == [
        "zoe zoe True",
        "bram None False",
        "zoe zoe True",
        "bram bram True",
        "root None False",
        "zoe None False",
        "bram bram True",
    ]


def test_a_new_name_is_let_in_and_an_old_one_is_not_without_a_restart(served) -> None:
    account = f"{served.apprentices[0][:-3]}004"
    roster = served.folder / "roster.csv"
    before = roster.read_text("utf-8")
    opened = served.said().count("The hub is open at")
    with pytest.raises(hub_client.RefusedError, match="Account and password do not go together"):
        hub_client.finish(hub_client.Person(served.address, account, "guess").log_in())

    served.apprentices.append(account)  # so that it is cleared away with the others
    roster.write_text(f"{before.rstrip()}\n4,Hand 4\n", "utf-8")
    assert eventually(lambda: account in served.passwords())
    assert f"New on the class list, and let in: {account}." in served.said()
    word = served.passwords()[account]

    async def hands_in() -> str:
        who = hub_client.Person(served.address, account, word)
        await who.log_in()
        await who.start()
        page = await who.open_page(PAGE)
        await page.run()
        boxes = page.find(_model_name="TextModel")
        height = next(
            one for one in boxes if page.widgets[one]["description"].startswith("Mouth height")
        )
        await page.type_into(height, "1.0104 in")
        await page.press(page.find(description="Hand in")[0])
        return " ".join(str(has["value"]) for has in page.widgets.values() if "value" in has)

    words = hub_client.finish(hands_in())
    assert f"class {served.code}, number 4" in words
    assert "It is with your class." in words
    assert "1 marked" in served.command("mark", str(served.folder)).stdout

    roster.write_text(before, "utf-8")
    assert eventually(lambda: "Off the class list, and not let in any more:" in served.said())
    with pytest.raises(hub_client.RefusedError, match="Account and password do not go together"):
        hub_client.finish(hub_client.Person(served.address, account, word).log_in())
    assert served.said().count("The hub is open at") == opened
