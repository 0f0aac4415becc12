"""What holds of a log-in between two answers of the hub, and when the hub answers no more.

The hub here answers what a check tells it to, by a clock that a check sets; a real one, with the
way there and back, is tried in tests/hub.
"""

from __future__ import annotations

import asyncio
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from tests.loops import run_beside
from tornado import web

from coursework.desks.joincodes import INSTRUCTOR
from coursework.room.classfolder import new_class
from coursework.room.registrar import withdraw
from coursework.room.roster import Apprentice

if sys.platform == "win32":
    pytest.skip("A hub does not run on Windows: it was not tried.", allow_module_level=True)
from coursework.desks.hubdoors import HubSchool, Tickets

SCOPE = "access:services!service=class"
HOUR = 3600.0


@dataclass
class Hub:
    """A hub as far as a class asks it."""

    told: Any = None
    answers: bool = True
    asked: int = 0
    now: float = 1000.0
    base_url: str = "/services/class/"
    hub_prefix: str = "/hub/"
    access_scopes: frozenset[str] = frozenset({SCOPE})
    waits: asyncio.Event | None = field(default=None)

    async def user_for_token(self, token: str, *, use_cache: bool, sync: bool) -> Any:
        self.asked += 1
        if self.waits is not None:
            await self.waits.wait()
        if not self.answers:
            raise web.HTTPError(500)
        return self.told

    def check_scopes(self, wanted: frozenset[str], told: dict[str, Any]) -> bool:
        return bool(wanted & set(told["scopes"]))


def somebody(name: str = "w-ashby", kind: str = "user", *scopes: str) -> dict[str, Any]:
    return {"name": name, "kind": kind, "scopes": scopes or (SCOPE,)}


@pytest.fixture
def hub() -> Hub:
    return Hub(told=somebody())


@pytest.fixture
def tickets(hub: Hub) -> Tickets:
    return Tickets(hub, clock=lambda: hub.now)


def ask(tickets: Tickets, token: str = "t") -> str:
    return run_beside(tickets.account(token))


def good(tickets: Tickets, token: str = "t") -> bool:
    return tickets.good(Tickets.mark(token))


def test_the_hubs_word_holds_for_twenty_seconds(hub: Hub, tickets: Tickets) -> None:
    assert ask(tickets) == "w-ashby"
    hub.told, hub.now = None, hub.now + 19.9
    assert ask(tickets) == "w-ashby"
    assert hub.asked == 1
    hub.now += 0.2
    assert ask(tickets) == ""
    assert hub.asked == 2
    assert not good(tickets)


@pytest.mark.parametrize(
    "told",
    [None, somebody("class", "service"), somebody("w-ashby", "user", "access:servers")],
    ids=["nobody", "a service", "somebody who may not come here"],
)
def test_who_is_no_user_of_the_class_is_nobody(hub: Hub, tickets: Tickets, told: Any) -> None:
    hub.told = told
    assert ask(tickets) == ""
    assert not good(tickets)


def test_a_page_that_asks_for_much_at_once_asks_the_hub_once(hub: Hub, tickets: Tickets) -> None:
    async def many() -> list[str]:
        hub.waits = asyncio.Event()
        asks = [asyncio.ensure_future(tickets.account("t")) for _ in range(30)]
        await asyncio.sleep(0)
        asks.pop().cancel()  # a browser that went away takes nobody else's answer with it
        hub.waits.set()
        return list(await asyncio.gather(*asks))

    assert run_beside(many()) == ["w-ashby"] * 29
    assert hub.asked == 1


def test_a_hub_that_does_not_answer_lets_in_nobody_new(hub: Hub, tickets: Tickets) -> None:
    hub.answers = False
    with pytest.raises(web.HTTPError) as refused:
        ask(tickets)
    assert refused.value.status_code == 503
    assert not good(tickets)


def test_who_is_in_stays_twelve_hours_while_the_hub_does_not_answer(
    hub: Hub, tickets: Tickets
) -> None:
    ask(tickets)
    hub.answers, begun = False, hub.now
    hub.now = begun + 12 * HOUR - 1
    assert ask(tickets) == "w-ashby"
    assert hub.asked == 2
    hub.now += 0.5  # it was tried just now, and is left alone for a few seconds
    assert ask(tickets) == "w-ashby"
    assert hub.asked == 2
    hub.now = begun + 12 * HOUR + 5
    with pytest.raises(web.HTTPError):
        ask(tickets)
    assert good(tickets), "a request is no look at who has a page open"
    run_beside(tickets.ask_again({Tickets.mark("t")}))
    assert not good(tickets)


def test_log_ins_of_open_pages_are_asked_again_and_unused_ones_forgotten(
    hub: Hub, tickets: Tickets
) -> None:
    ask(tickets, "open")
    ask(tickets, "shut")
    used = {Tickets.mark("open")}
    hub.now += 30
    run_beside(tickets.ask_again(used))
    assert hub.asked == 3
    assert good(tickets, "shut"), "whoever closed a page comes back without the hub for a while"
    hub.now += HOUR
    run_beside(tickets.ask_again(used))
    assert good(tickets, "open")
    assert not good(tickets, "shut")
    hub.told, hub.now = None, hub.now + 30
    run_beside(tickets.ask_again(used))
    assert not good(tickets, "open"), "a log-out at the hub ends the pages that are open"


# who that account is in the class


@pytest.fixture
def school(tmp_path: Path, hub: Hub) -> Iterator[HubSchool]:
    folder = tmp_path / "class"
    roster = (Apprentice(1, "Ines Okafor"), Apprentice(2, "Tom Brandt"))
    new_class(folder, code="QQ-26-K7PX", title="Taper keys", roster=roster)
    settings = folder / "class.toml"
    settings.write_text(settings.read_text() + '\n[hub]\ninstructors = ["w-ashby"]\n')
    made = HubSchool(folder, soon=lambda act, *given: act(*given), turn=0, count=2, hub=hub)
    made.tickets.clock = lambda: hub.now
    yield made
    made.stop()


def _now(school: HubSchool) -> None:
    school._looked = (0.0, school._looked[1])  # as a second later


def test_an_account_is_looked_up_in_the_class_at_every_request(school: HubSchool) -> None:
    assert school.number_of("w-ashby") == INSTRUCTOR
    assert school.number_of("qq26k7px-002") == 2
    assert school.number_of("somebody-else") is None
    withdraw(school.class_folder, number=2, by="W. Ashby", reason="left the quarry")
    _now(school)
    assert school.number_of("qq26k7px-002") is None
    settings = school.folder / "class.toml"
    settings.write_text(settings.read_text().replace('"w-ashby"', "17"))
    _now(school)
    assert school.number_of("w-ashby") == INSTRUCTOR, "a list that cannot be read shuts nobody out"


def test_each_number_works_on_the_server_that_its_number_says(school: HubSchool) -> None:
    assert school.base_of(INSTRUCTOR) == school.base_of(2) == "/services/class/"
    assert school.base_of(1) == "/services/class-2/"


def test_who_was_logged_out_or_left_is_cut_off_and_nobody_else(school: HubSchool, hub: Hub) -> None:
    cut: list[str] = []

    def way(number: int, account: str) -> Any:
        hub.told = somebody(account)
        run_beside(school.tickets.account(account))
        user = SimpleNamespace(number=number, mark=Tickets.mark(account), account=account)
        return SimpleNamespace(current_user=user, close=lambda code: cut.append(account))

    who = ((INSTRUCTOR, "w-ashby"), (1, "qq26k7px-001"), (2, "qq26k7px-002"), (1, "stranger"))
    school.ways = ways = [way(*one) for one in who]
    run_beside(school.ask_again())
    assert cut == ["stranger"]
    cut.clear()
    hub.told, hub.now = None, hub.now + 30
    run_beside(school.tickets.account("qq26k7px-001"))  # logged out at the hub, and came again
    hub.now -= 30
    run_beside(school.ask_again())
    assert cut == ["qq26k7px-001", "stranger"]
    assert school.stays(ways[2].current_user)
    assert school.notices.close_at(time.time() + 0.05)
    time.sleep(0.1)
    assert not school.stays(ways[2].current_user)
    assert school.stays(ways[0].current_user)


def test_another_first_password_is_given_for_the_account_of_that_number(school: HubSchool) -> None:
    told = school.new_key(2)
    assert told.endswith(" for account qq26k7px-002")
    assert len(told.split()[0]) >= 8
    assert school.new_key(2) != told
