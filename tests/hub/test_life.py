"""A class behind a hub from first hand-in to feedback, and what it outlives."""

from __future__ import annotations

import json
import os
import signal
import time
from typing import Any

from coursework.page.handin import read_hand_in, write_hand_in
from coursework.page.here import Here, stand
from coursework.page.pagefolder import read_name_tag

BASE = "/services/class/"
PAGE = "01-measure"


def until(true: Any, seconds: float = 90.0) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.3)


def lets_in(served: Any, account: str) -> bool:
    client = served.client()
    status, _ = client.log_in(account, served.passwords().get(account, "-"))
    return bool(status == 200 and client.at.startswith(f"{BASE}doc/"))


def test_a_hand_in_comes_to_the_class_is_marked_and_its_feedback_given_out(served) -> None:
    client = served.client(served.apprentices[0])
    assert client.ask("GET", f"{BASE}files/feedback/{PAGE}.html")[0] == 404
    desk = served.folder / "desks" / "001"
    assert read_name_tag(desk) is not None
    # what "Hand in" on the page does; the browser's check presses it
    handed = write_hand_in(
        folder=desk / "hand-ins",
        class_code=served.code,
        number=1,
        page=PAGE,
        page_version="unknown",
        entries={},
        made="2026-11-25T12:00:00Z",
    )
    assert read_hand_in(handed.read_bytes()).number == 1
    (served.folder / "inbox" / handed.name).write_bytes(handed.read_bytes())
    assert "1" in served.command("mark", str(served.folder)).stdout
    staff = served.client(served.instructor)
    state = json.loads(staff.ask("GET", f"{BASE}class/state")[1])
    assert state["feedback"] == 1
    kind = {"Content_Type": "application/x-www-form-urlencoded"}
    given = staff.ask("POST", f"{BASE}class/feedback", f"_xsrf={staff.xsrf(BASE)}", **kind)
    assert json.loads(given[1]) == {"given": 1}
    assert (desk / "returned" / f"{PAGE}.html").is_file()


def test_who_is_new_gets_in_and_who_is_gone_is_out_at_once(served) -> None:
    roster = served.folder / "roster.csv"
    code = served.code.lower()
    stays, gone, new = f"{code}-001", f"{code}-003", f"{code}-009"
    out = served.client(gone)
    assert out.ask("GET", f"{BASE}api/sessions")[0] == 200
    before = roster.read_text("utf-8-sig")
    lines = [one for one in before.splitlines() if not one.startswith("3,")]
    roster.write_text("\n".join([*lines, "9,Rue Tarrant"]) + "\n", "utf-8")
    served.wait_for(f"New on the class list, and let in: {new}.")
    served.wait_for(f"Off the class list, and not let in any more: {gone}.")
    time.sleep(1.1)  # the list is looked at once a second
    assert out.ask("GET", f"{BASE}api/sessions")[0] in (302, 403)
    status, text = out.go(f"{BASE}doc/tree/lessons/01-measure.ipynb")
    assert status == 403
    assert f"You are logged in as {gone}, and that account is not in the class now." in text
    assert lets_in(served, new)
    assert lets_in(served, stays)
    assert not lets_in(served, gone)
    roster.write_text(before, "utf-8")
    until(lambda: lets_in(served, gone))


def test_a_class_that_is_closed_says_so_to_whoever_logs_in(served) -> None:
    staff = served.client(served.instructor)
    kind = {"Content_Type": "application/x-www-form-urlencoded"}
    form = f"_xsrf={staff.xsrf(BASE)}&at="
    assert (
        staff.ask("POST", f"{BASE}class/closing", f"{form}{time.time() + 5:.3f}", **kind)[0] == 200
    )
    until(lambda: json.loads(staff.ask("GET", f"{BASE}class/state")[1])["closed"])
    account = served.apprentices[0]
    client = served.client()
    status, text = client.log_in(account, served.passwords()[account])
    assert (status, "The class is closed" in text) == (403, True)
    assert staff.ask("POST", f"{BASE}class/closing", form, **kind)[0] == 200
    assert client.go(f"{BASE}login")[0] == 200


def test_the_classs_server_is_started_again_where_it_is_lost(served) -> None:
    client = served.client(served.apprentices[0])
    seat = client.sit()
    (process,) = served.processes("--ServerApp.base_url=/services/class/")
    os.kill(process, signal.SIGKILL)
    until(lambda: client.ask("GET", f"{BASE}api/me")[0] == 200)
    assert served.processes("--ServerApp.base_url=/services/class/") != [process]
    found = json.loads(client.ask("GET", f"{BASE}api/sessions/{seat['id']}")[1])
    assert found["kernel"]["id"] == seat["kernel"]["id"]  # the page finds its desk again


def test_whoever_is_in_goes_on_while_the_hub_is_lost_and_it_comes_back(served) -> None:
    client = served.client(served.apprentices[0])
    (process,) = served.processes("-m jupyterhub ")
    os.kill(process, signal.SIGSTOP)  # it does not answer any more
    try:
        time.sleep(1)
        assert client.ask("GET", f"{BASE}api/me")[0] == 200
    finally:
        os.kill(process, signal.SIGKILL)
    served.wait_for("The hub ended by itself and is started again.")
    served.wait_for("The hub is open at", 200, count=served.told().count("The hub is open at") + 1)
    assert client.ask("GET", f"{BASE}api/me")[0] == 200  # still logged in: its list is on the disk
    assert lets_in(served, served.apprentices[1])


def test_one_class_is_served_once(served) -> None:
    again = served.command(
        "class", "open", str(served.folder), "--port", str(served.port + 5), check=False
    )
    assert again.returncode == 2
    assert "the class is open already (serving, by " in again.stderr


def test_files_of_the_hub_are_for_whoever_runs_it(served) -> None:
    own = served.folder / "hub"
    assert own.stat().st_mode & 0o077 == 0
    assert (served.folder / "open").stat().st_mode & 0o077 == 0
    for name in ("passwords.csv", "first-passwords.csv", "jupyterhub_config.py"):
        assert (own / name).stat().st_mode & 0o077 == 0, name


def test_a_page_is_told_where_to_log_out(tmp_path) -> None:
    import contextvars

    from coursework.page.classdrop import leave_note, password_note

    def noted() -> str:
        stand(Here(place=tmp_path, password="/hub/auth/change-password", leave="/hub/logout"))
        return password_note() + leave_note()

    told = contextvars.Context().run(noted)
    assert 'href="/hub/auth/change-password"' in told
    assert 'href="/hub/logout"' in told
    assert password_note() + leave_note() == ""
