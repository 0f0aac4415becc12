"""Hand-in files: written whole, read strictly."""

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursework.course import PAGES
from coursework.page.handin import HandInError, read_hand_in, write_hand_in

AGAIN = " Hand in again from the exercise page and send the new file."
Change = Callable[[dict[str, Any]], object]


def write(folder: Path, **changes: Any) -> Path:
    fields: dict[str, Any] = {
        "class_code": "QQ-26",
        "number": 7,
        "page": "02-taper",
        "page_version": "0123456789ab",
        "entries": {"02-per-foot": "0,125 in/ft", "02-why-longer": "Länger.\nµ ≤ 1"},
        "made": "2026-11-25T12:00:00Z",
    }
    return write_hand_in(folder=folder, **(fields | changes))


def plain(tmp_path: Path) -> dict[str, Any]:
    content: dict[str, Any] = json.loads(write(tmp_path).read_text(encoding="utf-8"))
    return content


def sealed(content: dict[str, Any]) -> bytes:
    """Return the file with a right checksum, whatever is in it."""
    rest = {name: value for name, value in content.items() if name != "sha256"}
    text = json.dumps(rest, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    rest["sha256"] = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
    return json.dumps(rest).encode("ascii")


def refusal(content: bytes) -> str:
    with pytest.raises(HandInError) as refused:
        read_hand_in(content)
    return str(refused.value)


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    path = write(tmp_path)
    assert path.name == "QQ-26_007_02-taper.handin.json"
    hand_in = read_hand_in(path.read_bytes())
    assert (hand_in.class_code, hand_in.number, hand_in.page) == ("QQ-26", 7, "02-taper")
    assert hand_in.made == "2026-11-25T12:00:00Z"
    assert hand_in.page_version == "0123456789ab"
    assert hand_in.entries == {"02-per-foot": "0,125 in/ft", "02-why-longer": "Länger.\nµ ≤ 1"}


def test_checksum_is_over_canonical_json_of_the_rest(tmp_path: Path) -> None:
    content = plain(tmp_path)
    assert sealed(content) == sealed(read_hand_in(sealed(content)).content())
    assert json.loads(sealed(content))["sha256"] == content["sha256"]


@given(
    entries=st.dictionaries(
        st.sampled_from([question.key for question in PAGES["01-measure"].questions]),
        st.text(st.characters(exclude_categories=["Cs"]), max_size=300),
    )
)
def test_any_text_survives(tmp_path_factory: pytest.TempPathFactory, entries: Any) -> None:
    folder = tmp_path_factory.mktemp("any")
    path = write(folder, page="01-measure", entries=entries)
    assert read_hand_in(path.read_bytes()).entries == entries


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda c: c.update(format="x"), "The file says “x”, version 1; it must be "
         "“taperkey hand-in”, version 1." + AGAIN),
        (lambda c: c.pop("made"), "The hand-in has no “made”; it is not complete." + AGAIN),
        (lambda c: c.update(extra=1), "The hand-in has a field “extra” that does not belong "
         "there." + AGAIN),
        (lambda c: c.update(number=True), "“number” in the hand-in is not of its kind." + AGAIN),
        (lambda c: c.update(number=7.0), "“number” in the hand-in is not of its kind." + AGAIN),
        (lambda c: c.update(number=1000), "apprentice number is 1000; it must be from 1 to 999. "
         "Look at the name tag."),
        (lambda c: c.update({"class": "../x"}), "class code is “../x”; it must be 1 to 24 letters, "
         "digits and hyphens, such as QQ-26. Ask the instructor for the code of your class."),
        (lambda c: c.update(page="../../etc"), "exercise is “../../etc”; it must be one of: "
         f"{', '.join(PAGES)}. Look whether this course is up to date."),
        (lambda c: c.update(page_version=""), "“page_version” is “”; it must be 1 to 40 letters "
         "and digits." + AGAIN),
        (lambda c: c.update(made="2026-13-25T12:00:00Z"), "“made” is “2026-13-25T12:00:00Z”; it "
         "must be a time such as 2026-11-25T12:00:00Z." + AGAIN),
        (lambda c: c["entries"].update({"03-no": "1"}), "“03-no” is not a question of 02-taper; "
         "the hand-in must hold its questions only." + AGAIN),
        (lambda c: c["entries"].update({"02-ratio": 96}), "The entry of 02-ratio is not text."
         + AGAIN),
        (lambda c: c["entries"].update({"02-ratio": "9" * 4001}), "The entry of 02-ratio has 4001 "
         "characters; it must have 4000 or fewer. Shorten it and hand in again."),
        (lambda c: c["entries"].update({"02-ratio": "\ud800"}), "The hand-in holds a character "
         "that cannot be stored." + AGAIN),
        (lambda c: c.update(saved=["x"]), "“saved” in the hand-in is not of its kind." + AGAIN),
        (lambda c: c.update(saved={"03-no": "2026-11-25T11:00:00Z"}), "“03-no” is not a question "
         "of 02-taper; the hand-in must hold its questions only." + AGAIN),
        (lambda c: c.update(saved={"02-ratio": "noon"}), "“saved” is “noon”; it must be a time "
         "such as 2026-11-25T12:00:00Z." + AGAIN),
        (lambda c: c.update(code_typed=""), "“code_typed” is “”; it must be a time such as "
         "2026-11-25T12:00:00Z." + AGAIN),
        (lambda c: c.update(practiced=-1), "“practiced” is -1; it must be from 0 to 999." + AGAIN),
        (lambda c: c.update(practiced=10**30), "“practiced” is 100000000000; it must be from 0 to "
         "999." + AGAIN),
        (lambda c: c["entries"].update({"02-ratio": {"deep": {}}}), "The file is not a hand-in: "
         "it is nested too deep." + AGAIN),
    ],
)  # fmt: skip
def test_each_refusal_is_one_sentence(tmp_path: Path, change: Change, sentence: str) -> None:
    content = plain(tmp_path)
    change(content)
    assert refusal(sealed(content)) == sentence


def test_when_and_how_much_practice_is_read_back_and_sealed(tmp_path: Path) -> None:
    from coursework.page.seal import card_code, seal_of

    code = card_code(key=b"class", exercise="02-taper", number=7, attempt=1)
    more = {
        "saved": {"02-per-foot": "2026-11-25T11:58:00Z"},
        "practiced": 4,
        "code_typed": "2026-11-25T11:59:00Z",
    }
    hand_in = read_hand_in(write(tmp_path, code=code, **more).read_bytes())
    assert {name: getattr(hand_in, name) for name in more} == more
    other = {**hand_in.content(), "practiced": 5}
    assert hand_in.seal == seal_of(hand_in.content(), code) != seal_of(other, code)


def test_a_changed_entry_breaks_the_checksum(tmp_path: Path) -> None:
    content = write(tmp_path).read_bytes().replace(b"0,125", b"0,126")
    assert refusal(content) == (
        "The checksum does not match; the file was changed or damaged on the way." + AGAIN
    )


def test_a_large_file_is_refused_before_it_is_read() -> None:
    assert refusal(b" " * 65_537) == (
        "The hand-in has 65537 bytes; it must have 65536 or fewer. Shorten the written answers "
        "and hand in again."
    )


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"\xff\xfe{}", "The file is not a hand-in: it is not UTF-8 text."),
        (b"", "The file is not a hand-in: it cannot be read as JSON."),
        (b"{", "The file is not a hand-in: it cannot be read as JSON."),
        (b"[" * 60_000, "The file is not a hand-in: it is nested too deep."),
        (b'"text"', "The file is not a hand-in: it holds no named fields."),
        (b"9" * 60_000, "The file is not a hand-in: it cannot be read as JSON."),
        (b'{"a": 1, "a": 2}', "“a” is in the hand-in twice."),
        (b'{"a": NaN}', "The hand-in holds NaN, which is not a number."),
        (b'{"a": -Infinity}', "The hand-in holds -Infinity, which is not a number."),
    ],
)
def test_what_is_no_hand_in_is_refused(content: bytes, reason: str) -> None:
    assert refusal(content) == reason + AGAIN


def test_writing_refuses_what_reading_would(tmp_path: Path) -> None:
    with pytest.raises(HandInError, match="^apprentice number is 0; it must be from 1 to 999. "):
        write(tmp_path, number=0)
    with pytest.raises(HandInError, match="^An entry holds a character that cannot be stored."):
        write(tmp_path, entries={"02-ratio": "\ud800"})
    assert list(tmp_path.iterdir()) == []


def test_a_cut_off_write_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write(tmp_path)
    old = path.read_bytes()

    def cut_off(*_: object) -> None:
        raise OSError(errno.EIO, "no power")

    monkeypatch.setattr("taperkey.files.os.replace", cut_off)
    with pytest.raises(OSError, match="no power"):
        write(tmp_path, made="2026-11-26T12:00:00Z")
    monkeypatch.undo()
    assert path.read_bytes() == old
    assert os.listdir(tmp_path) == [path.name]
