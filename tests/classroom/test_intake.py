"""Taking in: hand-ins of this class get in, everything else is set aside with a reason."""

from __future__ import annotations

import errno
import hashlib
import io
import json
import os
import struct
import time
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coursework.mark.kept import arrivals_register, read_arrivals
from coursework.page.handin import write_hand_in
from coursework.room import intake
from coursework.room.classfolder import new_class
from coursework.room.intake import take_in
from coursework.room.roster import Apprentice
from taperkey.files import HALF_SECONDS

MADE = "2026-11-25T12:00:00Z"


@pytest.fixture
def room(tmp_path):
    people = [Apprentice(1, "Ada Brindle"), Apprentice(7, "Zoë Ferrant")]
    return new_class(tmp_path / "class", code="QQ-26", title="Keys", roster=people)


def hand_in(folder: Path, **changes) -> Path:
    fields = {
        "class_code": "QQ-26",
        "number": 7,
        "page": "01-measure",
        "page_version": "abc123",
        "entries": {"01-mouth-height": "1.0104 in"},
        "made": MADE,
    }
    return write_hand_in(folder=folder, **(fields | changes))


def content_of(tmp_path: Path, **changes) -> bytes:
    return hand_in(tmp_path / "made", **changes).read_bytes()


def signed(fields: dict) -> bytes:
    """Return a hand-in with a right checksum, whatever is in it."""
    rest = {key: value for key, value in fields.items() if key != "sha256"}
    text = json.dumps(rest, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return json.dumps(rest | {"sha256": hashlib.sha256(text.encode()).hexdigest()}).encode()


def everything_in(folder: Path) -> set[str]:
    return {
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if path.is_symlink() or not path.is_dir()
    }


def only_reason(room, result) -> str:
    assert result.admitted == []
    assert len(result.set_aside) == 1
    reasons = (room.set_aside / "reasons.txt").read_text("utf-8").splitlines()
    assert len(reasons) == 1
    assert reasons[0].endswith(result.set_aside[0].sentence)
    return result.set_aside[0].sentence


def test_a_good_one_is_kept_as_it_came(room, tmp_path):
    sent = hand_in(room.inbox)
    content = sent.read_bytes()
    result = take_in(room)
    (one,) = result.admitted
    assert (one.number, one.page, one.made) == (7, "01-measure", MADE)
    digest = hashlib.sha256(content).hexdigest()[:8]
    assert one.path == room.hand_ins / "007" / "01-measure" / f"20261125T120000Z-{digest}.json"
    assert one.path.read_bytes() == content
    assert everything_in(room.inbox) == set()
    assert result.set_aside == []


def test_subfolders_and_names_that_mail_changed(room):
    path = hand_in(room.inbox / "from mail" / "monday")
    path.rename(path.with_name("QQ-26_007_01-measure.handin (1).json"))
    hand_in(room.inbox / "stick", number=1)
    result = take_in(room)
    assert sorted(one.number for one in result.admitted) == [1, 7]
    assert list(room.inbox.iterdir()) == []


def test_the_same_file_twice_counts_once(room):
    hand_in(room.inbox / "a")
    hand_in(room.inbox / "b")
    result = take_in(room)
    assert (len(result.admitted), len(result.repeated)) == (1, 1)
    hand_in(room.inbox)
    again = take_in(room)
    assert (len(again.admitted), again.repeated) == (0, ["QQ-26_007_01-measure.handin.json"])
    assert len(everything_in(room.hand_ins)) == 1


def test_later_ones_are_all_kept(room):
    hand_in(room.inbox / "a")
    hand_in(room.inbox / "b", made="2026-11-26T08:00:00Z", entries={"01-mouth-height": "1.01 in"})
    assert len(take_in(room).admitted) == 2
    names = sorted(path.name[:8] for path in (room.hand_ins / "007" / "01-measure").iterdir())
    assert names == ["20261125", "20261126"]


def test_two_of_the_same_second_are_both_kept(room):
    hand_in(room.inbox / "a")
    hand_in(room.inbox / "b", entries={"01-mouth-height": "1.02 in"})
    assert len(take_in(room).admitted) == 2
    assert len(everything_in(room.hand_ins)) == 2


def test_an_older_page_version_with_known_questions_gets_in(room):
    hand_in(room.inbox, page_version="an-old-one")
    assert len(take_in(room).admitted) == 1


def test_a_zip_and_a_zip_in_a_zip(room, tmp_path):
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w") as archive:
        archive.writestr("x/one.handin.json", content_of(tmp_path))
    with zipfile.ZipFile(room.inbox / "class.zip", "w") as archive:
        archive.writestr("inner.zip", inner.getvalue())
        archive.writestr("__MACOSX/._one.handin.json", b"litter")
        archive.writestr("two.handin.json", content_of(tmp_path, number=1))
    whole = (room.inbox / "class.zip").read_bytes()
    result = take_in(room)
    assert sorted(one.number for one in result.admitted) == [1, 7]
    assert result.set_aside == []
    assert (room.hand_ins / "zips" / "class.zip").read_bytes() == whole
    assert everything_in(room.inbox) == set()


# what does not get in


def test_other_names_are_set_aside(room):
    (room.inbox / "run.py").write_text("raise SystemExit('ran')")
    sentence = only_reason(room, take_in(room))
    assert sentence == (
        "Its name does not end in .handin.json; only files made by the button “Hand in” "
        "are taken in."
    )
    assert (room.set_aside / "run.py").read_text() == "raise SystemExit('ran')"


def test_two_of_one_name_are_both_kept(room):
    for place in "ab":
        (room.inbox / place).mkdir()
        (room.inbox / place / "notes.txt").write_text(place)
    take_in(room)
    assert everything_in(room.set_aside) == {"notes.txt", "notes-2.txt", "reasons.txt"}


def test_a_file_called_reasons_does_not_overwrite_the_reasons(room):
    (room.inbox / "reasons.txt").write_text("mine")
    take_in(room)
    assert (room.set_aside / "reasons-2.txt").read_text() == "mine"
    assert "reasons.txt" in (room.set_aside / "reasons.txt").read_text("utf-8")


def test_a_link_to_a_file_is_not_followed(room, tmp_path):
    secret = hand_in(tmp_path / "elsewhere")
    (room.inbox / "QQ-26_007_01-measure.handin.json").symlink_to(secret)
    sentence = only_reason(room, take_in(room))
    assert sentence == "It is a link to another place; a hand-in must be a file of its own."
    assert secret.is_file()
    assert (room.set_aside / "QQ-26_007_01-measure.handin.json").is_symlink()


def test_a_link_to_a_folder_is_not_followed(room, tmp_path):
    hand_in(tmp_path / "elsewhere")
    (room.inbox / "folder").symlink_to(tmp_path / "elsewhere", target_is_directory=True)
    sentence = only_reason(room, take_in(room))
    assert sentence == "It is a link to another place; a hand-in must be a file of its own."
    assert len(list((tmp_path / "elsewhere").iterdir())) == 1


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
def test_a_pipe_does_not_hold_the_run_up(room):
    os.mkfifo(room.inbox / "QQ-26_007_01-measure.handin.json")
    hand_in(room.inbox / "later", number=1)
    result = take_in(room)
    assert [one.number for one in result.admitted] == [1]
    assert result.set_aside[0].sentence == "It is not a file; a hand-in must be one."


def test_too_large(room):
    (room.inbox / "big.handin.json").write_bytes(b" " * 65_537)
    sentence = only_reason(room, take_in(room))
    assert sentence == "It has 65,537 bytes; a file of its kind must have 65,536 or fewer."


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"class_code": "QQ-25"}, "It is from class QQ-25; it must be from QQ-26."),
        (
            {"number": 8},
            "It is from apprentice number 8, who is not on roster.csv. "
            "Add the number to the list, or ask whose it is.",
        ),
    ],
)
def test_other_class_or_number(room, changes, sentence):
    hand_in(room.inbox, **changes)
    assert only_reason(room, take_in(room)) == sentence


@pytest.mark.parametrize(
    "change",
    [
        {"page": "../../etc"},
        {"number": True},
        {"number": "7"},
        {"made": "2026-11-25T12:00:00Z/../../x"},
        {"class": "QQ-26/../.."},
        {"entries": {"01-mouth-height": ["a"]}},
        {"entries": {"09-nowhere": "1 in"}},
        {"entries": {"01-mouth-height": "x" * 4001}},
        {"extra": "field"},
        {"version": 2},
    ],
)
def test_forged_fields_are_refused_and_nothing_is_written_elsewhere(room, tmp_path, change):
    fields = json.loads(content_of(tmp_path)) | change
    (room.inbox / "forged.handin.json").write_bytes(signed(fields))
    before = everything_in(room.folder.parent)
    assert only_reason(room, take_in(room)).endswith(".")
    gone = "class/inbox/forged.handin.json"
    new = {"class/set-aside/forged.handin.json", "class/set-aside/reasons.txt"}
    assert everything_in(room.folder.parent) == (before - {gone}) | new


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"null",
        b"[" * 30_000,
        b"\xff\xfe\x00",
        b'{"format": NaN}',
        b'{"a": 1, "a": 2}',
        b"import os",
    ],
)
def test_damaged_files(room, content):
    (room.inbox / "damaged.handin.json").write_bytes(content)
    hand_in(room.inbox / "good")
    result = take_in(room)
    assert len(result.admitted) == 1
    assert len(result.set_aside) == 1
    assert (room.set_aside / "damaged.handin.json").read_bytes() == content


def test_a_changed_entry_breaks_the_checksum(room):
    path = hand_in(room.inbox)
    path.write_bytes(path.read_bytes().replace(b"1.0104", b"1.0105"))
    assert only_reason(room, take_in(room)).startswith("The checksum does not match;")


def test_a_zip_that_is_none(room):
    (room.inbox / "class.zip").write_bytes(b"PK\x03\x04 and no more")
    sentence = only_reason(room, take_in(room))
    assert sentence == "It is no zip that can be opened; it may be damaged. Send it again."
    assert (room.set_aside / "class.zip").is_file()


def test_an_empty_zip(room):
    with zipfile.ZipFile(room.inbox / "class.zip", "w"):
        pass
    assert only_reason(room, take_in(room)) == "There is no hand-in in it."


@pytest.mark.parametrize(
    "name", ["../../up.handin.json", "/root.handin.json", "..\\up.handin.json", "C:x.handin.json"]
)
def test_path_tricks_in_a_zip(room, tmp_path, name):
    with zipfile.ZipFile(room.inbox / "class.zip", "w") as archive:
        archive.writestr(name, content_of(tmp_path))
        archive.writestr("good.handin.json", content_of(tmp_path, number=1))
    result = take_in(room)
    assert [one.number for one in result.admitted] == [1]
    assert [one.sentence for one in result.set_aside] == [
        "Its name points outside the zip; a hand-in's name must not."
    ]
    assert (room.set_aside / "class.zip").is_file()  # whole, so nothing is lost


def test_a_link_in_a_zip(room):
    info = zipfile.ZipInfo("link.handin.json")
    info.external_attr = 0o120777 << 16
    with zipfile.ZipFile(room.inbox / "class.zip", "w") as archive:
        archive.writestr(info, "/etc/hostname")
    assert only_reason(room, take_in(room)).startswith("It is a link to another place;")


def test_a_zip_bomb_is_not_unpacked(room):
    with zipfile.ZipFile(room.inbox / "class.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("bomb.handin.json", b"0" * 30_000_000)
    sentence = only_reason(room, take_in(room))
    assert sentence == "It has 30,000,000 bytes; a file of its kind must have 65,536 or fewer."


def test_a_member_that_lies_about_its_size(room):
    path = room.inbox / "class.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("liar.handin.json", b"0" * 3_000_000)
    content = path.read_bytes().replace(struct.pack("<I", 3_000_000), struct.pack("<I", 100))
    path.write_bytes(content)
    sentence = only_reason(room, take_in(room))
    assert "cannot be" in sentence or "fewer" in sentence
    assert (room.set_aside / "class.zip").read_bytes() == content


def test_too_many_members(room):
    with zipfile.ZipFile(room.inbox / "class.zip", "w") as archive:
        for number in range(1001):
            archive.writestr(f"{number}.handin.json", b"x")
    sentence = only_reason(room, take_in(room))
    assert sentence == "It holds 1,001 files; a zip must hold 1,000 or fewer."


def test_too_much_in_all(room, tmp_path, monkeypatch):
    monkeypatch.setattr(intake, "MOST_READ_PER_ZIP", 1000)
    with zipfile.ZipFile(room.inbox / "class.zip", "w") as archive:
        archive.writestr("good.handin.json", content_of(tmp_path, number=1))
        archive.writestr("more.handin.json", b"x" * 2000)
    result = take_in(room)
    assert len(result.admitted) == 1
    assert [one.sentence for one in result.set_aside] == [
        "The zip holds too much to read; send the hand-ins by themselves."
    ]


def test_a_zip_in_a_zip_in_a_zip(room, tmp_path):
    content = content_of(tmp_path)
    name = "one.handin.json"
    for turn in range(3):
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w") as archive:
            archive.writestr(name, content)
        content, name = packed.getvalue(), f"{turn}.zip"
    (room.inbox / "deep.zip").write_bytes(content)
    assert only_reason(room, take_in(room)) == "It is a zip in a zip in a zip; send it unpacked."


def test_a_locked_zip(room, tmp_path):
    path = room.inbox / "class.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("one.handin.json", content_of(tmp_path))
    content = bytearray(path.read_bytes())
    place = content.index(b"PK\x01\x02")
    content[place + 8] |= 1  # flag of a locked member, in the list at the end
    path.write_bytes(bytes(content))
    sentence = only_reason(room, take_in(room))
    assert sentence == "It is locked with a password; send it without one."


def test_half_copied_and_litter_stay_where_they_are(room):
    (room.inbox / "x.handin.json.part").write_text("half")
    (room.inbox / ".DS_Store").write_text("litter")
    result = take_in(room)
    assert [one.source for one in result.left] == ["x.handin.json.part"]
    assert everything_in(room.inbox) == {"x.handin.json.part", ".DS_Store"}
    assert result.set_aside == []


def test_names_with_control_characters_cannot_forge_a_reason(room):
    (room.inbox / "a\nQQ-26_001 was admitted.txt").write_text("x")
    take_in(room)
    reasons = (room.set_aside / "reasons.txt").read_text("utf-8").splitlines()
    assert len(reasons) == 1
    assert reasons[0].startswith("a?QQ-26_001 was admitted.txt")


def test_a_file_that_may_not_be_moved_stays_and_the_rest_goes_on(room, monkeypatch):
    (room.inbox / "a.txt").write_text("x")
    hand_in(room.inbox)
    moves = Path.rename

    def stuck(self, target):
        if self.name == "a.txt":
            raise PermissionError(13, "in use")
        return moves(self, target)

    monkeypatch.setattr(Path, "rename", stuck)
    result = take_in(room)
    assert len(result.admitted) == 1
    assert [(one.source, one.sentence) for one in result.left] == [
        ("a.txt", "It could not be read or moved (in use). It is still in inbox.")
    ]
    assert (room.inbox / "a.txt").read_text() == "x"


def test_a_run_cut_off_after_keeping_is_completed_by_the_next(room, monkeypatch):
    hand_in(room.inbox)
    removes = Path.unlink
    monkeypatch.setattr(Path, "unlink", lambda self, **_: (_ for _ in ()).throw(KeyboardInterrupt))
    with pytest.raises(KeyboardInterrupt):
        take_in(room)
    monkeypatch.setattr(Path, "unlink", removes)
    result = take_in(room)
    assert (len(result.admitted), len(result.repeated)) == (0, 1)
    assert len(everything_in(room.hand_ins)) == 1
    assert everything_in(room.inbox) == set()


def test_an_inbox_on_another_disk(room, monkeypatch):
    (room.inbox / "notes.txt").write_text("x")

    def other_disk(self, target):
        raise OSError(errno.EXDEV, "other disk")

    monkeypatch.setattr(Path, "rename", other_disk)
    assert len(take_in(room).set_aside) == 1
    assert (room.set_aside / "notes.txt").read_text() == "x"
    assert everything_in(room.inbox) == set()


def test_another_file_under_the_same_short_name_is_not_overwritten(room):
    content = hand_in(room.inbox).read_bytes()
    digest = hashlib.sha256(content).hexdigest()
    taken = room.hand_ins / "007" / "01-measure" / f"20261125T120000Z-{digest[:8]}.json"
    taken.parent.mkdir(parents=True)
    taken.write_text("another one")
    (one,) = take_in(room).admitted
    assert one.path.name == f"20261125T120000Z-{digest}.json"
    assert one.path.read_bytes() == content
    assert taken.read_text() == "another one"


# the register of arrivals


def arrivals_in(room) -> list[tuple[int, str, int, str]]:
    return [(one.run, one.came, one.number, one.emptied) for one in read_arrivals(room.folder)]


EIGHT, NINE, TEN = (datetime(2026, 11, 25, hour, tzinfo=UTC) for hour in (8, 9, 10))
AT_8, AT_9, AT_10 = (f"2026-11-25T{hour:02}:00:00Z" for hour in (8, 9, 10))


def test_each_arrival_has_a_line_with_its_run_and_time(room):
    hand_in(room.inbox / "a")
    sent = hand_in(room.inbox / "b", number=1)
    content = sent.read_bytes()
    take_in(room, now=EIGHT)
    take_in(room, now=NINE)  # nothing came: no line
    hand_in(room.inbox, made="2026-11-20T08:00:00Z")
    take_in(room, now=TEN)
    assert arrivals_in(room) == [(1, AT_8, 7, ""), (1, AT_8, 1, ""), (2, AT_10, 7, AT_8)]
    assert arrivals_register(room.folder).faults() == []
    one = read_arrivals(room.folder)[1]
    assert one.sha256 == hashlib.sha256(content).hexdigest()
    assert (room.folder / one.kept_as).read_bytes() == content
    assert one.source == "b/QQ-26_001_01-measure.handin.json"


def test_what_comes_again_keeps_its_first_line(room):
    for now in (EIGHT, NINE):
        hand_in(room.inbox)
        take_in(room, now=now)
    assert arrivals_in(room) == [(1, AT_8, 7, "")]


def test_a_run_cut_off_before_keeping_leaves_one_line_and_no_doubt(room, monkeypatch):
    hand_in(room.inbox / "a")
    hand_in(room.inbox / "b", number=1)
    writes = intake.write_whole
    monkeypatch.setattr(intake, "write_whole", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
    with pytest.raises(KeyboardInterrupt):
        take_in(room, now=EIGHT)
    monkeypatch.setattr(intake, "write_whole", writes)
    assert len(take_in(room, now=NINE).admitted) == 2
    assert arrivals_in(room) == [(1, AT_8, 7, ""), (2, AT_9, 1, "")]  # it did lie there at 8


def test_a_run_that_left_something_did_not_empty_the_inbox(room):
    hand_in(room.inbox / "a")
    (room.inbox / "x.handin.json.part").write_text("half")
    take_in(room, now=EIGHT)
    hand_in(room.inbox / "b", number=1)
    take_in(room, now=NINE)
    assert arrivals_in(room) == [(1, AT_8, 7, ""), (2, AT_9, 1, "")]


def test_a_hand_in_too_deep_in_folders_is_set_aside_and_one_less_deep_is_not(room):
    deep = room.inbox.joinpath(*(12 * ["f"]))
    deep.mkdir(parents=True)
    hand_in(deep)
    assert len(take_in(room).admitted) == 1
    (deep / "g").mkdir(parents=True)  # an emptied folder was taken away
    hand_in(deep / "g", number=1)
    sentence = only_reason(room, take_in(room))
    assert sentence == "It lies more than 12 folders deep; put it higher up."
    assert [one.name for one in room.set_aside.rglob("*.handin.json")], "with all that is in it"


def test_what_was_cut_off_on_the_way_in_is_told_when_nobody_writes_it_any_more(room):
    """A page hands in under another name and renames it; a network that drops leaves the half."""
    half = room.inbox / "0123456789ab_007.handin.json.part"
    half.write_text('{"format": "tap')
    result = take_in(room)
    assert [one.sentence for one in result.left] == ["It looks half copied. It is still in inbox."]
    assert half.exists()
    old = time.time() - HALF_SECONDS - 1
    os.utime(half, (old, old))
    assert only_reason(room, take_in(room)) == (
        "It was cut off while it was handed in. Ask for the exercise to be handed in again."
    )
    assert not half.exists()


def test_a_zip_that_says_less_than_it_holds_is_set_aside(room, monkeypatch):
    """The size in a zip's list is only what somebody wrote there."""
    name = "x.handin.json"
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr(name, b"x" * 5_000_000)
    raw = bytearray(content.getvalue())
    for place in (raw.find(b"PK\x03\x04") + 22, raw.find(b"PK\x01\x02") + 24):
        raw[place : place + 4] = struct.pack("<I", 90)
    (room.inbox / "all.zip").write_bytes(raw)
    result = take_in(room)
    assert result.admitted == []
    assert len(result.set_aside) == 1
    assert "too" in result.set_aside[0].sentence or "damaged" in result.set_aside[0].sentence
