"""Two windows on one bench, a stop in the middle of a step, and what keeping costs in bytes."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from coursework.page.entries import EntriesFile
from coursework.page.steplog import StepLog, log_name
from keycourse.benches import BENCHES
from keycourse.fit.faces import fitting_bench
from keycourse.measure.faces import measuring_bench
from keycourse.pull.faces import pulling_bench

from .shown import all_shown

FITTING = BENCHES["fitting"]


def words(widget: Any) -> str:
    return " ".join(" ".join(all_shown(widget)).split())


def bench_in(folder: Path, make: Any = fitting_bench, **choices: Any) -> Any:
    return make(store=EntriesFile(folder / "answers.json"), **choices).face


def steps_in(folder: Path, key: str = FITTING) -> list[str]:
    record = EntriesFile(folder / "answers.json").get(key)
    return [one["do"] for one in record.get("session", record)["steps"]]


def test_what_one_window_does_another_goes_on_from(tmp_path: Path) -> None:
    first = bench_in(tmp_path, seed=4)
    second = bench_in(tmp_path, seed=4)
    first.clean_button.click()
    second.blue_button.click()
    assert "In another window 1 step was done on this bench." in words(second.widget)
    first.push_button.click()
    assert steps_in(tmp_path) == ["clean", "blue", "push"]
    assert second.book.session.steps[0]["do"] == "clean"
    assert first.book.session.steps == bench_in(tmp_path).book.session.steps


def test_another_key_on_the_bench_is_told_and_nothing_is_done_to_it(tmp_path: Path) -> None:
    first, second = bench_in(tmp_path, seed=4), bench_in(tmp_path, seed=4)
    first.clean_button.click()
    second.clean_button.click()
    first.start_over(other=True)
    second.blue_button.click()
    assert "something else was put on this bench" in words(second.widget)
    assert second.book.seed == first.book.seed
    assert EntriesFile(tmp_path / "answers.json").get(FITTING)["steps"] == []


@pytest.mark.parametrize(
    ("make", "bench", "press"),
    [
        (measuring_bench, "measuring", lambda face: face.measure()),
        (pulling_bench, "pulling", lambda face: face.soak()),
    ],
)
def test_the_other_benches_append_too(tmp_path: Path, make: Any, bench: str, press: Any) -> None:
    windows = [bench_in(tmp_path, make, seed=5) for _ in range(2)]
    if bench == "pulling":
        press(windows[0])
        press(windows[1])
        assert steps_in(tmp_path, BENCHES[bench]) == ["penetrant", "penetrant"]
    else:
        press(windows[0])
        press(windows[1])  # a reading waits on the micrometer: told, not taken twice
        assert windows[1].book.waiting == windows[0].book.waiting
    assert "In another window" in words(windows[1].widget)


WORK = """
import sys
from pathlib import Path
from coursework.page.entries import EntriesFile
from keycourse.fit.faces import fitting_bench
face = fitting_bench(store=EntriesFile(Path(sys.argv[1]) / "answers.json")).face
for _ in range(12):
    face.clean_button.click()
"""


def test_two_processes_lose_nothing(tmp_path: Path) -> None:
    bench_in(tmp_path, seed=4).clean_button.click()
    work = [sys.executable, "-c", WORK, str(tmp_path)]
    workers = [subprocess.Popen(work) for _ in range(2)]
    assert [one.wait(120) for one in workers] == [0, 0]
    assert steps_in(tmp_path) == ["clean"] * 25


def test_a_line_cut_off_is_put_aside_and_the_bench_stands_as_before(tmp_path: Path) -> None:
    face = bench_in(tmp_path, seed=4)
    for press in (face.clean_button, face.blue_button, face.push_button):
        press.click()
    log = tmp_path / str(log_name(FITTING))
    whole = log.read_bytes()
    last = whole.rstrip(b"\n").rfind(b"\n") + 1
    for cut in range(last + 1, len(whole), max(1, (len(whole) - last) // 20)):
        log.write_bytes(whole[:cut])
        again = bench_in(tmp_path)
        assert [one["do"] for one in again.book.session.steps] == ["clean", "blue"]
        assert "could not be read and was put aside in bench-fitting-set-aside-" in words(
            again.widget
        )
        assert log.read_bytes() == whole[:last]
    again.push_button.click()
    assert steps_in(tmp_path) == ["clean", "blue", "push"]


def test_a_session_of_the_version_before_is_taken_up(tmp_path: Path) -> None:
    face = fitting_bench(seed=4).face
    face.clean_button.click()
    face.blue_button.click()
    old = {
        "format": "taperkey answers", "version": 1, "entries": {},
        "notes": {FITTING: face.book.record(), "practice": {"box": 1}},
    }  # fmt: skip
    (tmp_path / "answers.json").write_text(json.dumps(old), encoding="utf-8")
    again = bench_in(tmp_path)
    assert [one["do"] for one in again.book.session.steps] == ["clean", "blue"]
    again.push_button.click()
    assert steps_in(tmp_path) == ["clean", "blue", "push"]
    notes = json.loads((tmp_path / "answers.json").read_text(encoding="utf-8"))["notes"]
    assert notes == {"practice": {"box": 1}}  # it stands in one place only


def test_a_step_costs_the_same_however_many_were_done(tmp_path: Path) -> None:
    log = StepLog(tmp_path / "bench-x.steps")
    record: dict[str, Any] = {"seed": 1, "session": {"steps": []}}
    sizes = []
    for number in range(1500):
        record = {"seed": 1, "session": {"steps": [*record["session"]["steps"], {"n": number}]}}
        before = log.path.stat().st_size if log.path.exists() else 0
        log.put(record, after=log.number)
        sizes.append(log.path.stat().st_size - before)
    assert max(sizes[1400:]) <= max(sizes[1:100]) + 8  # two more digits, here and there
    assert StepLog(log.path).read() == record


def test_what_another_did_meanwhile_is_never_written_over(tmp_path: Path) -> None:
    first, second = (StepLog(tmp_path / "bench-x.steps") for _ in range(2))
    first.put({"steps": [1]})
    second.read()
    first.put({"steps": [1, 2]})
    with pytest.raises(OSError, match="another window did a step meanwhile"):
        second.put({"steps": [1, 3]}, after=1)
    assert second.read() == {"steps": [1, 2]}
