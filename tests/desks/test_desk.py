"""A page's desk: what it runs, what it lets through, and that two of them stay apart."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import ipywidgets
import pytest
from jupyter_server.services.kernels.connection.base import (
    deserialize_msg_from_ws_v1,
    serialize_msg_to_ws_v1,
)
from tests.open_page import parts_of

from coursework.desks import warming
from coursework.desks.calls import calls_in, page_calls
from coursework.desks.desk import CONTROL, MOST_KEPT, MOST_WAITING, Desk
from coursework.desks.hands import by_hand
from coursework.desks.wire import LARGEST_BYTES, WireError, packed, read
from coursework.desks.work import Row, Work
from coursework.page.here import Here
from coursework.room.coursebook import shipped_pages

MODULE = "keycourse.lesson"
EXERCISE = "exercises/01-measure/01-measure.ipynb"
LESSON = "lessons/01-measure.ipynb"
LESSONS = [one for one in shipped_pages() if one.startswith("lessons/") and one.endswith(".ipynb")]


@pytest.fixture
def work() -> Iterator[Work]:
    made = Work()
    yield made
    made.stop()


class Browser:
    """What a browser does with a page: runs its blocks, presses and types."""

    def __init__(self, work: Work, root: Path, page: str = EXERCISE) -> None:
        folder = root / Path(page).parent
        folder.mkdir(parents=True, exist_ok=True)
        (root / "lessons").mkdir(exist_ok=True)
        (root / "exercises").mkdir(exist_ok=True)
        self.blocks = page_calls(shipped_pages()[page], MODULE)
        self.raw: list[bytes] = []
        self.desk = Desk(
            key="desk",
            place=Here(place=folder, top=root, pages=shipped_pages()[page].parent),
            cells=lambda: self.blocks,
            module=MODULE,
            work=work,
            soon=lambda act, *given: act(*given),
        )
        self.desk.listen(self.raw.append)

    def send(self, kind: str, content: dict[str, Any], channel: str = "shell") -> list[Any]:
        """Send one message; return what came back for it, as (kind, content)."""
        before = len(self.raw)
        assert self.desk.take(read(packed(channel, kind, content, parent={}, session="b")))
        end = time.monotonic() + 30
        while time.monotonic() < end:
            told = [_told(raw) for raw in self.raw[before:]]
            if ("status", {"execution_state": "idle"}) in told:
                return told
            time.sleep(0.005)
        raise AssertionError(f"no answer to {kind}")

    def run(self, code: str) -> list[Any]:
        return self.send("execute_request", {"code": code})

    def open(self) -> None:
        for code in self.blocks:
            told = self.run(code)
            assert "error" not in [kind for kind, _ in told], told

    def box(self, label: str) -> str:
        """Return the comm of the input with this label."""
        for key, widget in self.desk.table.widgets.items():
            if getattr(widget, "description", "").startswith(label):
                return key
        raise AssertionError(label)

    def change(self, key: str, **state: Any) -> list[Any]:
        data = {"method": "update", "state": state, "buffer_paths": []}
        return self.send("comm_msg", {"comm_id": key, "data": data})


def _told(raw: bytes) -> tuple[str, Any]:
    _, parts = deserialize_msg_from_ws_v1(raw)
    return json.loads(parts[0])["msg_type"], json.loads(parts[3])


# the wire: against the server's own reader and writer of that format


def test_the_servers_own_reader_reads_what_is_written() -> None:
    raw = packed("iopub", "status", {"é": [1, None]}, parent={"msg_id": "p"}, session="s")
    channel, parts = deserialize_msg_from_ws_v1(raw)
    assert channel == "iopub"
    header, parent, metadata, content = (json.loads(part) for part in parts)
    assert header["msg_type"] == "status"
    assert (parent, metadata, content) == ({"msg_id": "p"}, {}, {"é": [1, None]})


def test_what_the_servers_own_writer_writes_is_read() -> None:
    message = {
        "header": {"msg_type": "comm_msg", "msg_id": "1"},
        "parent_header": {},
        "metadata": {},
        "content": {"comm_id": "x"},
    }
    found = read(serialize_msg_to_ws_v1(message, "shell", lambda one: json.dumps(one).encode()))
    assert (found.channel, found.kind, found.content) == ("shell", "comm_msg", {"comm_id": "x"})


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"x" * 65_536,
        b"\xff" * 65_536,
        b"\x00" * 65_536,
        b"[" * (LARGEST_BYTES + 1),
        packed("shell", "comm_msg", {}, parent={}, session="s")[:-3],
        packed("iopub", "status", {}, parent={}, session="s"),
        packed("shell", "comm_msg", {"data": float("nan")}, parent={}, session="s"),
        packed("shell", 7, {}, parent={}, session="s"),  # type: ignore[arg-type]
        packed("shell", "comm_msg", [], parent={}, session="s"),  # type: ignore[arg-type]
        (2**63).to_bytes(8, "little") * 40,
    ],
    ids=lambda raw: f"{raw[:6]!r}-{len(raw)}",
)
def test_what_cannot_be_read_is_refused(raw: bytes) -> None:
    with pytest.raises(WireError):
        read(raw)


def test_a_message_nested_without_end_is_refused() -> None:
    deep = b"[" * 100_000 + b"]" * 100_000
    parts = [b"shell", b'{"msg_type":"comm_msg"}', b"{}", b"{}", deep]
    places = [8 * (len(parts) + 2)]
    for part in parts:
        places.append(places[-1] + len(part))
    head = b"".join(one.to_bytes(8, "little") for one in (len(places), *places))
    with pytest.raises(WireError):
        read(head + b"".join(parts))


# what is run


def test_a_page_runs_from_its_first_block_to_its_last(work: Work, tmp_path: Path) -> None:
    browser = Browser(work, tmp_path)
    told = browser.run(next(iter(browser.blocks)))
    kinds = [kind for kind, _ in told]
    assert kinds[0] == "status"
    assert kinds[-1] == "status"
    shown = dict(told)["execute_result"]["data"]["application/vnd.jupyter.widget-view+json"]
    assert shown["model_id"] in browser.desk.table.widgets
    browser.open()


@pytest.mark.parametrize(
    "code",
    [
        "import os; os.system('true')",
        "lesson.open('01-measure')",
        'from keycourse import lesson\n\nlesson.open("01-measure") ',
        'from keycourse import lesson\n\nlesson.open("01-measure", "/etc")',
        'lesson.solution("01-measure")',
        "__import__('os')",
        "",
        "%run x",
        ["lesson.card()"],
        None,
    ],
)
def test_what_does_not_stand_on_the_page_is_not_run(
    work: Work, tmp_path: Path, code: object
) -> None:
    told = Browser(work, tmp_path).run(code)  # type: ignore[arg-type]
    assert "error" in [kind for kind, _ in told]
    assert "execute_input" not in [kind for kind, _ in told]


def test_a_block_of_another_page_is_not_run(work: Work, tmp_path: Path) -> None:
    browser = Browser(work, tmp_path, LESSON)
    assert "error" in [kind for kind, _ in browser.run("lesson.hand_in()")]


@pytest.mark.parametrize(
    "source",
    [
        "import os",
        "from os import system",
        "lesson.open(open('x'))",
        "lesson._page()",
        "lesson.open(folder='/')",
        "lesson.open(*['x'])",
        "lesson.__dict__['x']()",
        "x = lesson.card()",
        "lesson.card().close()",
        "other.card()",
    ],
)
def test_a_page_that_does_anything_else_is_not_served(source: str) -> None:
    with pytest.raises(ValueError, match="a page may"):
        calls_in(source, MODULE)


@pytest.mark.parametrize("page", [one for one in shipped_pages() if one.endswith(".ipynb")])
def test_every_shipped_page_holds_calls_only(page: str) -> None:
    assert page_calls(shipped_pages()[page], MODULE)


@pytest.mark.parametrize(
    "kind", ["complete_request", "inspect_request", "debug_request", "input_reply", "_clear"]
)
def test_no_other_request_is_answered(work: Work, tmp_path: Path, kind: str) -> None:
    browser = Browser(work, tmp_path)
    told = dict(browser.send(kind, {"code": "1", "value": "1"}))
    reply = told.get(kind.removesuffix("_request") + "_reply", {"status": "error"})
    assert reply["status"] == "error"


# what a hand can do


def test_what_is_typed_is_on_the_disk_when_the_page_says_saved(work: Work, tmp_path: Path) -> None:
    browser = Browser(work, tmp_path)
    browser.open()
    told = browser.change(browser.box("Mouth height"), value="1.0312 in")
    words = [
        content["data"]["state"]["value"]
        for kind, content in told
        if kind == "comm_msg" and "value" in content["data"].get("state", {})
    ]
    assert any("Saved. Read as 1.0312 in" in one for one in words)
    kept = json.loads((tmp_path / "exercises/01-measure/answers.json").read_text())
    assert kept["entries"]["01-mouth-height"]["text"] == "1.0312 in"


@pytest.mark.parametrize(
    "state",
    [
        {"description": "x"},
        {"layout": "IPY_MODEL_x"},
        {"_model_name": "HTMLModel"},
        {"disabled": True},
        {"max": 1e9, "min": -1e9, "step": 1e-300},
        {"value": 1e308},
        {"value": "x" * 65_536},
        {"value": [[1]]},
        {"value": {"a": 1}},
        {"value": list(range(1000))},
        {"value": float("nan")},
        {"value": [float("inf")]},
        {"value": [{}]},
        {"children": []},
    ],
)
def test_absurd_values_change_nothing(state: dict[str, Any]) -> None:
    for widget in (ipywidgets.Text("as it was"), ipywidgets.FloatSlider(0.5)):
        assert by_hand(widget, {"method": "update", "state": state}) is None


@pytest.mark.parametrize(
    "data", [None, [], "update", {}, {"method": "update"}, {"method": "open"}, {"method": ["x"]}]
)
def test_what_is_no_request_is_none(data: Any) -> None:
    assert by_hand(ipywidgets.Text(), data) is None


def test_what_is_only_shown_cannot_be_set_and_what_is_shut_stays_shut() -> None:
    change = {"method": "update", "state": {"value": "<b>x</b>"}}
    assert by_hand(ipywidgets.HTML(), change) is None
    assert by_hand(ipywidgets.Text(disabled=True), change) is None
    press = {"method": "custom", "content": {"event": "click"}}
    assert by_hand(ipywidgets.Button(disabled=True), press) is None
    assert by_hand(ipywidgets.Button(), press) == press
    assert by_hand(ipywidgets.Text(), press) is None


def test_what_a_hand_can_do_is_let_through() -> None:
    for widget, state in (
        (ipywidgets.Text(), {"value": "1.0104 in"}),
        (ipywidgets.FloatSlider(), {"value": 0.5}),
        (ipywidgets.Checkbox(), {"value": True}),
        (ipywidgets.Dropdown(options=["a"]), {"index": None}),
        (ipywidgets.SelectMultiple(options=["a", "b"]), {"index": [0, 1]}),
    ):
        asked = {"method": "update", "state": {**state, "disabled": False, "tooltip": "x"}}
        assert by_hand(widget, asked) == {"method": "update", "state": state, "buffer_paths": []}
        assert by_hand(widget, {"method": "request_state", "x": 1}) == {"method": "request_state"}


def test_the_browser_opens_no_widget_of_its_own(work: Work, tmp_path: Path) -> None:
    browser = Browser(work, tmp_path)
    browser.open()
    before = set(browser.desk.table.widgets)
    state = {"_model_module": "@jupyter-widgets/output", "_model_name": "OutputModel"}
    told = browser.send(
        "comm_open",
        {"comm_id": "mine", "target_name": "jupyter.widget", "data": {"state": state}},
    )
    assert ("comm_close", {"comm_id": "mine", "data": {}}) in told
    assert set(browser.desk.table.widgets) == before


def test_a_browser_that_comes_back_is_told_what_is_open_and_nothing_it_should_not_be(
    work: Work, tmp_path: Path
) -> None:
    browser = Browser(work, tmp_path)
    browser.open()
    for turn in range(12):
        browser.send("comm_open", {"comm_id": f"c{turn}", "target_name": CONTROL})
    asked = {"method": "request_states"}
    for key, told in (("c0", True), ("c7", True), ("c8", False), ("c11", False)):
        got = browser.send("comm_msg", {"comm_id": key, "data": asked})
        states = [one for kind, one in got if kind == "comm_msg"]
        assert bool(states) is told, key
        if told:
            known = states[0]["data"]["states"]
            assert set(known) == set(browser.desk.table.widgets)
            assert {one["model_module"] for one in known.values()} <= {
                "@jupyter-widgets/base", "@jupyter-widgets/controls",
            }  # fmt: skip
    for data in (None, [], {"method": "update_states"}, {"method": ["request_states"]}, "x"):
        got = browser.send("comm_msg", {"comm_id": "c0", "data": data})
        assert [kind for kind, _ in got] == ["status", "status"]
    browser.send("comm_close", {"comm_id": "c0"})
    assert len(browser.send("comm_msg", {"comm_id": "c0", "data": asked})) == 2


@pytest.mark.parametrize("key", [None, 7, [], {}, 65 * "x"])
@pytest.mark.parametrize("kind", ["comm_open", "comm_msg", "comm_close"])
def test_a_way_of_an_absurd_name_is_none(work: Work, tmp_path: Path, kind: str, key: Any) -> None:
    browser = Browser(work, tmp_path)
    browser.open()
    content = {"comm_id": key, "target_name": CONTROL, "data": {"method": "request_states"}}
    assert [one for one, _ in browser.send(kind, content)] == ["status", "status"]


# apart


def test_two_pages_see_nothing_of_one_another(work: Work, tmp_path: Path) -> None:
    first, second = Browser(work, tmp_path / "4"), Browser(work, tmp_path / "5")
    for block in first.blocks:  # by turns
        first.run(block)
        second.run(block)
    assert not set(first.desk.table.widgets) & set(second.desk.table.widgets)
    key = first.box("Mouth height")
    told = second.change(key, value="9.9 in")
    assert [kind for kind, _ in told] == ["status", "status"], "another's widget is not there"
    assert first.desk.table.widgets[key].value == ""
    assert not (tmp_path / "4/exercises/01-measure/answers.json").exists()
    second.change(second.box("Mouth height"), value="1.5 in")
    sent = b"".join(first.raw)
    assert b"1.5 in" not in sent
    second.send("comm_open", {"comm_id": "c", "target_name": "jupyter.widget.control"})
    told = second.send("comm_msg", {"comm_id": "c", "data": {"method": "request_states"}})
    states = next(content["data"]["states"] for kind, content in told if kind == "comm_msg")
    assert set(states) == set(second.desk.table.widgets)


def test_pages_work_at_the_same_time_and_each_in_its_own_order(work: Work, tmp_path: Path) -> None:
    browsers = [Browser(work, tmp_path / str(number)) for number in range(6)]
    threads = [threading.Thread(target=one.open) for one in browsers]
    for one in threads:
        one.start()
    for one in threads:
        one.join(60)
    counts = {len(one.desk.table.widgets) for one in browsers}
    assert len(counts) == 1
    for one in browsers:
        ran = [content["code"] for kind, content in map(_told, one.raw) if kind == "execute_input"]
        assert ran == list(one.blocks)


def test_running_a_page_again_leaves_nothing_of_the_first_time(work: Work, tmp_path: Path) -> None:
    browser = Browser(work, tmp_path)
    browser.open()
    count = len(browser.desk.table.widgets)
    old = browser.box("Mouth height")
    browser.open()
    assert len(browser.desk.table.widgets) == count
    assert browser.box("Mouth height") != old


# lost and found


def test_what_is_told_while_the_network_is_away_comes_afterwards_in_order(
    work: Work, tmp_path: Path
) -> None:
    browser = Browser(work, tmp_path)
    browser.open()
    key = browser.box("Mouth height")
    listener = next(iter(browser.desk._listeners))
    browser.desk.leave(listener)
    data = {"method": "update", "state": {"value": "1.25 in"}, "buffer_paths": []}
    message = packed("shell", "comm_msg", {"comm_id": key, "data": data}, parent={}, session="b")
    before = len(browser.raw)
    browser.desk.take(read(message))
    end = time.monotonic() + 20
    while len(browser.desk._kept) < 2 and time.monotonic() < end:
        time.sleep(0.01)
    assert len(browser.raw) == before
    browser.desk.listen(browser.raw.append)
    told = [_told(raw) for raw in browser.raw[before:]]
    assert told[0] == ("status", {"execution_state": "busy"})
    assert told[-1] == ("status", {"execution_state": "idle"})


def _life(browser: Browser) -> str:
    told = dict(browser.send("kernel_info_request", {}))
    return str(told["kernel_info_reply"]["implementation_version"])


def test_a_page_that_missed_too_much_learns_it(work: Work, tmp_path: Path) -> None:
    browser = Browser(work, tmp_path)
    life = _life(browser)
    assert _life(browser) == life
    browser.desk.leave(next(iter(browser.desk._listeners)))
    browser.desk._deliver([b"x"] * (MOST_KEPT + 1))
    browser.desk.listen(browser.raw.append)
    assert _life(browser) != life


def test_a_page_whose_server_was_stopped_learns_it_and_comes_back_to_what_was_typed(
    work: Work, tmp_path: Path
) -> None:
    first = Browser(work, tmp_path)
    first.open()
    first.change(first.box("Mouth height"), value="1.0312 in")
    again = Browser(work, tmp_path)
    assert _life(again) != _life(first)
    again.open()
    assert again.desk.table.widgets[again.box("Mouth height")].value == "1.0312 in"


def test_a_second_window_takes_nothing_from_the_first(work: Work, tmp_path: Path) -> None:
    browser = Browser(work, tmp_path)
    browser.open()
    box = browser.box("Mouth height")
    browser.desk.listen(lambda raw: None)
    browser.open()
    browser.change(box, value="1.0312 in")
    kept = json.loads((tmp_path / "exercises/01-measure/answers.json").read_text())
    assert kept["entries"]["01-mouth-height"]["text"] == "1.0312 in"


def test_a_window_that_comes_back_has_one_way(work: Work, tmp_path: Path) -> None:
    desk = Browser(work, tmp_path).desk
    ended: list[str] = []
    ways: dict[str, list[bytes]] = {"old": [], "new": [], "other": []}
    for name, window in (("old", "a"), ("other", "b"), ("new", "a")):
        desk.listen(ways[name].append, lambda name=name: ended.append(name), window=window)
    assert ended == ["old"], "what still comes on it would be older than what is sent now"
    desk.leave(ways["new"].append)
    desk.listen(ways["old"].append, lambda: ended.append("again"), window="a")
    assert ended == ["old"]


def test_what_an_open_page_holds_is_not_kept_for_good(monkeypatch: pytest.MonkeyPatch) -> None:
    frozen: list[bool] = []
    monkeypatch.setattr(warming.gc, "freeze", lambda: frozen.append(True))
    seats: dict[str, Any] = {"a": SimpleNamespace(desk=object())}
    warming._leave_alone(SimpleNamespace(seats=seats))  # type: ignore[arg-type]
    assert frozen == [], "its garbage would never be freed"
    seats["a"].desk = None
    warming._leave_alone(SimpleNamespace(seats=seats))  # type: ignore[arg-type]
    assert frozen == [True]


def test_who_sends_more_than_a_hand_can_is_told_no(tmp_path: Path) -> None:
    class Stuck(Work):
        def submit(self, act: Callable[[], None]) -> None:
            """Do nothing, for ever."""

    browser = Browser(Stuck(), tmp_path)
    message = read(packed("shell", "kernel_info_request", {}, parent={}, session="b"))
    taken = [browser.desk.take(message) for _ in range(MOST_WAITING + 5)]
    assert taken.count(True) == MOST_WAITING
    assert taken[-1] is False


def test_a_row_is_done_in_order_whoever_does_it() -> None:
    work, done = Work(threads=4), []
    rows = [Row(work) for _ in range(8)]
    for number in range(50):
        for place, row in enumerate(rows):
            row.add(lambda number=number, place=place: done.append((place, number)))  # type: ignore[misc]
    end = time.monotonic() + 20
    while len(done) < 400 and time.monotonic() < end:
        time.sleep(0.01)
    work.stop()
    for place in range(8):
        assert [number for where, number in done if where == place] == list(range(50))


def test_heavy_work_is_done_elsewhere_and_its_refusal_comes_back(work: Work) -> None:
    assert work.heavy(pow, base=2, exp=10) == 1024
    with pytest.raises(ValueError, match="Invalid literal"):
        work.heavy(Fraction, numerator="x")


@pytest.mark.parametrize("page", LESSONS)
def test_each_unit_runs_on_the_head_alone(work: Work, tmp_path: Path, page: str) -> None:
    """A browser runs the head and the unit that is shown: no unit leans on another one's blocks."""
    head, *units = parts_of(page)
    for turn, unit in enumerate(units):
        browser = Browser(work, tmp_path / str(turn), page)
        for block in (*head, *unit):
            told = dict(browser.send("execute_request", {"code": block}))
            assert "error" not in told, (page, turn, block, told.get("error"))
