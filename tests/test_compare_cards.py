"""The comparison before and after a change: the same twice over, and a changed word is found."""

from __future__ import annotations

import gzip
import json
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = Path(__file__).parent / "compare_cards.py"


def run(*words: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(SCRIPT), *map(str, words)], capture_output=True, text=True, timeout=280
    )


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Two cards of each exercise, their guides, a page, a bench and a sheet, written twice."""
    folder = tmp_path_factory.mktemp("compare")
    paths = [folder / "one.json.gz", folder / "two.json.gz"]
    for path in paths:  # a process each: what hangs on the order of a set would show
        done = run("write", path, "--count", 2, "--workers", 1)
        assert done.returncode == 0, done.stderr
    return paths


def test_same_code_writes_the_same_byte_for_byte(written: list[Path]) -> None:
    assert written[0].read_bytes() == written[1].read_bytes()
    done = run("compare", *written)
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.count("2 cards compared") == 7
    assert done.stdout.endswith("Nothing differs.\n")


def changed(path: Path, whole: dict) -> Path:
    other = path.with_name("changed.json.gz")
    other.write_bytes(gzip.compress(json.dumps(whole).encode()))
    return other


def compared(written: list[Path], whole: dict, *words: object) -> str:
    done = run("compare", written[0], changed(written[0], whole), *words)
    assert done.returncode == 1, done.stdout + done.stderr
    return done.stdout


def read(path: Path) -> dict:
    return json.loads(gzip.decompress(path.read_bytes()))


CARD = "02-taper/QQ-26/31"


def test_a_changed_word_of_a_question_is_shown(written: list[Path]) -> None:
    whole = read(written[0])
    whole["cards"][CARD]["questions"]["02-ratio"]["text"]["hint"] += " Look twice."
    said = compared(written, whole)
    assert f"cards > {CARD} > text > 02-ratio > hint" in said
    assert "Look twice." in said
    line = next(one for one in said.splitlines() if one.startswith("02-taper"))
    assert line.endswith("texts equal 1, right answers equal 2, verdicts equal 2")
    assert said.endswith("1 differences.\n")


def test_a_verdict_is_followed_to_where_it_was_given(written: list[Path]) -> None:
    whole = read(written[0])
    card = whole["cards"][CARD]
    place = card["questions"]["02-ratio"]["verdicts"]["right as shown"][1]
    card["said"].append([*card["said"][place][:3], "Right, nearly.", ""])
    card["questions"]["02-ratio"]["verdicts"]["right as shown"][1] = len(card["said"]) - 1
    said = compared(written, whole)
    assert f"cards > {CARD} > verdicts > 02-ratio > right as shown > 1 > 3" in said
    assert "verdicts equal 1" in said


def test_what_is_gone_is_a_difference(written: list[Path]) -> None:
    whole = read(written[0])
    del whole["cards"][CARD]
    whole["guides"]["guides"].popitem()
    said = compared(written, whole, "--part", "cards")
    assert f"cards > {CARD}" in said
    assert said.endswith("1 differences.\n")
    assert compared(written, whole).endswith("2 differences.\n")


def test_a_place_that_is_nowhere_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(SCRIPT.parent))
    from comparing import places

    monkeypatch.setitem(places.PLACES, "nothing", ("taperkey.nowhere:nothing", "elsewhere:it"))
    with pytest.raises(SystemExit, match=r"^nothing is at none of taperkey\.nowhere:nothing, els"):
        places.our("nothing")
    assert places.our("judge")


def test_a_changed_sentence_and_share_come_through(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(SCRIPT.parent))
    from comparing.cards import card_told
    from comparing.places import our

    before = json.dumps(card_told("02-taper", "QQ-26", 1))
    slip = our("PAGES")["02-taper"].question("02-per-foot").slips[0]
    kept = slip.sentence, slip.share
    try:
        object.__setattr__(slip, "sentence", "Look at the unit of length.")
        object.__setattr__(slip, "share", kept[1] + 0.05)
        after = card_told("02-taper", "QQ-26", 1)
    finally:
        object.__setattr__(slip, "sentence", kept[0])
        object.__setattr__(slip, "share", kept[1])
    assert "Look at the unit of length." not in before
    rows = [row for row in after["said"] if row[3].startswith("Look at the unit of length.")]
    assert rows
    assert {row[2] for row in rows} == {slip.name}
    assert json.dumps(card_told("02-taper", "QQ-26", 1)) == before
