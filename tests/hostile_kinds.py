"""Kinds of bad hand-in, each built into a folder of its own in the inbox.

What tries to run code tries to make one file, the canary, so that anybody can
see whether it ran. Notebook-borne kinds are plain files by name, so that the
same ones can be put through a marker that does run notebooks.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import struct
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hostile_notebooks import (
    ENTRY,
    NOTEBOOKS,
    PAGE,
    RELEASED,
    WRITTEN,
    NotebookKind,
    code_for,
)

CLASS = "QQ-26"
HAND_IN = f"{PAGE}.handin.json"
ASIDE, JUDGED, LEFT = "set aside", "judged as text", "left in the inbox"
CUT = "= END MARK SCHEME =\n### BEGIN SOLUTION\n"


@dataclass(frozen=True)
class Kind:
    """One kind.

    Attributes
    ----------
    name : str
        In words.
    build : callable
        Writes it into a folder, for an apprentice's number, with the canary's path.
    ends : str
        Set aside, judged as text, or left in the inbox.
    says : str
        Words of the sentence it is set aside with; for a judged one, the entry that it is in.
    """

    name: str
    build: Callable[[Path, int, Path], None]
    ends: str = ASIDE
    says: str = ""


def _put(folder: Path, files: Mapping[str, bytes]) -> None:
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


# ---- hand-in files ---------------------------------------------------------------------------


def fields(number: int, /, **changes: Any) -> dict[str, Any]:
    made = {
        "format": "taperkey hand-in",
        "version": 1,
        "class": CLASS,
        "number": number,
        "page": PAGE,
        "page_version": "abc123",
        "course_version": "0.1.0",
        "made": "2026-11-25T12:00:00Z",
        "entries": {ENTRY: "1.0104 in"},
    }
    return made | changes


def signed(content: Mapping[str, Any]) -> bytes:
    """Return a hand-in with a right checksum, whatever is in it."""
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
    return json.dumps({**content, "sha256": digest}).encode()


def file_kind(name: str, make: Callable[[int], bytes], says: str, *, called: str = HAND_IN) -> Kind:
    """Return a kind that is one file."""
    return Kind(
        name, lambda place, number, canary: _put(place, {called: make(number)}), ASIDE, says
    )


def field_kind(name: str, says: str, **changes: Any) -> Kind:
    """Return a kind that is a signed hand-in with other fields."""
    return file_kind(name, lambda number: signed(fields(number, **changes)), says)


def entry_kind(name: str, entry: str | Callable[[Path], str], key: str = ENTRY) -> Kind:
    """Return a kind that is let in, and whose entry must stay text."""

    def build(place: Path, number: int, canary: Path) -> None:
        text = entry(canary) if callable(entry) else entry
        _put(place, {HAND_IN: signed(fields(number, entries={key: text}))})

    return Kind(name, build, JUDGED, key)


ENTRIES = (
    entry_kind("an expression", lambda canary: f"__import__('os').system('touch {canary}')"),
    entry_kind("an expression after a number", lambda canary: f"1.0; {code_for(canary)}"),
    entry_kind("a lambda called", lambda canary: f"(lambda: {code_for(canary)})()"),
    entry_kind("a shell substitution", lambda canary: f"$(touch {canary}) `touch {canary}`"),
    entry_kind("a sum", "1 + 0.0104 in"),
    entry_kind("a power tower", "9**9**9**9 in"),
    entry_kind("a pint expression", "1 inch ** 1000000"),
    entry_kind("infinity", "inf in"),
    entry_kind("not a number", "nan"),
    entry_kind("a number beyond all", "1e400 in"),
    entry_kind("four thousand digits", "9" * 3990 + " in"),
    entry_kind("four thousand blanks", " " * 3999 + "x"),
    entry_kind("a slow pattern", "1-" * 1990),
    entry_kind("fractions of fractions", "1/" * 1990 + "1"),
    entry_kind("full-width digits", "\uff11\uff0e\uff10\uff11\uff10\uff14 in"),
    entry_kind("digits of another script", "\u0661\u066b\u0660\u0661\u0660\u0664 in"),
    entry_kind("a look-alike unit", "1.0104 \u0456n"),
    entry_kind("text turned round", "\u202e401 in\u202c"),
    entry_kind("invisible signs", "1\u200b.\u200d01\ufeff04 in"),
    entry_kind("control signs", "1.01\x0004\x1b[31m in\x07\r\n\x08"),
    entry_kind("a thousand marks on one letter", "a" + "\u0301" * 1000),
    entry_kind("a formula", '=HYPERLINK("http://evil.example","1.01")'),
    entry_kind("a formula of another kind", "@SUM(A1:A9)"),
    entry_kind("a command for a spreadsheet", "+cmd|' /c calc'!A0"),
    entry_kind("a database statement", "'); DROP TABLE grade; --"),
    entry_kind("a page template", "{{ ''.__class__.__mro__ }} {% include '/etc/hostname' %}"),
    entry_kind("a YAML tag", lambda canary: f"!!python/object/apply:os.system ['touch {canary}']"),
    entry_kind("script in a written answer", "<script>document.title='ran'</script>", WRITTEN),
    entry_kind("a picture that runs", "</pre><img src=x onerror=alert(1)>", WRITTEN),
    entry_kind(
        "a drawing that runs", "<svg onload=alert(1)><a xlink:href='javascript:x'>", WRITTEN
    ),
    entry_kind("a page in a page", "<iframe srcdoc='<script>x</script>'></iframe>", WRITTEN),
    entry_kind("a link that runs", "[x](javascript:alert(1)) <javascript:alert(1)>", WRITTEN),
    entry_kind("mathematics that links", "$\\href{javascript:alert(1)}{x}$", WRITTEN),
    entry_kind("the marks of a marking guide", f"=={CUT}===", WRITTEN),
    entry_kind("code fences and magics", lambda canary: f"```\n%%bash\ntouch {canary}\n", WRITTEN),
    entry_kind("a formula in a written answer", "=cmd|' /c calc'!A1", WRITTEN),
    entry_kind("style that covers the page", "<style>*{display:none}</style>", WRITTEN),
)

DEEP = b'{"a":' * 20_000 + b"1" + b"}" * 20_000
NOT_UTF8 = "it is not UTF-8 text"
NO_JSON = "it cannot be read as JSON"

FIELDS = (
    field_kind("a field of one's own", "a field “mark” that does not belong there", mark=1000),
    field_kind("verdicts of one's own", "a field “verdicts” that does not", verdicts=[]),
    field_kind(
        "an unknown question", "“02-per-foot” is not a question of", entries={"02-per-foot": "1"}
    ),
    field_kind("a path for a question", "“../../x” is not a question of", entries={"../../x": "1"}),
    field_kind(
        "a look-alike question",
        "is not a question of 01-measure",
        entries={"01-m\u043euth-height": "1"},
    ),
    field_kind(
        "a number for an entry", "The entry of 01-mouth-height is not text", entries={ENTRY: 1}
    ),
    field_kind(
        "nothing for an entry", "The entry of 01-mouth-height is not text", entries={ENTRY: None}
    ),
    field_kind("a list for an entry", "nested too deep", entries={ENTRY: ["1"]}),
    field_kind("an object for an entry", "nested too deep", entries={ENTRY: {"a": "1"}}),
    field_kind("a list of entries", "“entries” in the hand-in is not of its kind", entries=[]),
    field_kind("an entry too long", "it must have 4000 or fewer", entries={ENTRY: "1" * 4001}),
    field_kind(
        "another class", "It is from class QQ-27; it must be from QQ-26", **{"class": "QQ-27"}
    ),
    field_kind("a path for a class", "class code is “../../up”", **{"class": "../../up"}),
    field_kind("an unknown number", "apprentice number 998, who is not on roster.csv", number=998),
    field_kind("number 0", "apprentice number is 0; it must be from 1 to 999", number=0),
    field_kind("a negative number", "apprentice number is -7; it must be from 1 to 999", number=-7),
    field_kind("an endless number", "apprentice number is 100000000000; it must", number=10**40),
    field_kind("a number with decimals", "“number” in the hand-in is not of its kind", number=7.0),
    field_kind("a yes for a number", "“number” in the hand-in is not of its kind", number=True),
    field_kind("a word for a number", "“number” in the hand-in is not of its kind", number="7"),
    field_kind("an unknown exercise", "exercise is “99-none”; it must be one of", page="99-none"),
    field_kind(
        "a path for an exercise", "exercise is “../../../etc”; it must", page="../../../etc"
    ),
    field_kind(
        "a path for a version", "“page_version” is “../../x”; it must", page_version="../../x"
    ),
    field_kind(
        "a time that is none", "“made” is “2026-13-45T99:99:99Z”", made="2026-13-45T99:99:99Z"
    ),
    field_kind("a time with a path", "“made” is “../../../../x”", made="../../../../x"),
    field_kind("another format", "the file says “something else”", format="something else"),
    field_kind("a format of the future", "must be “taperkey hand-in”, version 1", version=99),
    file_kind(
        "a key there twice",
        lambda number: signed(fields(number)).replace(b'{"format"', b'{"number": 1, "format"', 1),
        "“number” is in the hand-in twice",
    ),
    file_kind(
        "a changed entry",
        lambda number: signed(fields(number)).replace(b"1.0104", b"1.0105"),
        "The checksum does not match",
    ),
    file_kind(
        "no number at all",
        lambda number: signed(fields(number)).replace(b'"version": 1', b'"version": NaN'),
        "The hand-in holds NaN, which is not a number",
    ),
    file_kind(
        "infinity as a number",
        lambda number: signed(fields(number)).replace(b'"version": 1', b'"version": Infinity'),
        "The hand-in holds Infinity, which is not a number",
    ),
    file_kind(
        "a number that overflows",
        lambda number: signed(fields(number)).replace(b'"version": 1', b'"version": 1e999'),
        "“version” in the hand-in is not of its kind",
    ),
    file_kind("nested 20,000 deep", lambda number: DEEP[:65_000], "nested too deep"),
    file_kind("too large", lambda number: b" " * 65_537, "must have 65,536 or fewer"),
    file_kind("empty", lambda number: b"", NO_JSON),
    file_kind("cut short", lambda number: signed(fields(number))[:-90], NO_JSON),
    file_kind("a list", lambda number: b"[]", "it holds no named fields"),
    file_kind("null", lambda number: b"null", "it holds no named fields"),
    file_kind("UTF-16", lambda number: signed(fields(number)).decode().encode("utf-16"), NOT_UTF8),
    file_kind(
        "a byte order mark", lambda number: b"\xef\xbb\xbf" + signed(fields(number)), NO_JSON
    ),
    file_kind("Latin-1", lambda number: '{"a": "é"}'.encode("latin-1"), NOT_UTF8),
    file_kind("overlong UTF-8", lambda number: b'{"a": "\xc0\xaf"}', NOT_UTF8),
    file_kind(
        "half a character",
        lambda number: signed(fields(number, entries={ENTRY: "\ud800"})),
        "a character that cannot be stored",
    ),
    file_kind("a program", lambda number: b"\x7fELF" + bytes(range(256)), NOT_UTF8),
    file_kind("code in place of JSON", lambda number: b"import os; os.system('true')", NO_JSON),
    file_kind("a pickle", lambda number: b"cos\nsystem\n(S'true'\ntR.", NO_JSON),
    file_kind("a notebook renamed", lambda number: RELEASED.read_bytes()[:60_000], "The "),
)

# ---- names, links, archives ------------------------------------------------------------------

NAME = "Its name does not end in .handin.json"
LINK = "It is a link to another place"
OUTSIDE = "Its name points outside the zip"


def _linked(target: str) -> Callable[[Path, int, Path], None]:
    def build(place: Path, number: int, canary: Path) -> None:
        place.mkdir(parents=True)
        (place / HAND_IN).symlink_to(target)

    return build


def _pipe(place: Path, number: int, canary: Path) -> None:
    place.mkdir(parents=True)
    os.mkfifo(place / HAND_IN)


def _deep_folder(place: Path, number: int, canary: Path) -> None:
    _put(place, {"/".join("abcdefghijklmnop") + f"/{HAND_IN}": signed(fields(number))})


def _huge(place: Path, number: int, canary: Path) -> None:
    place.mkdir(parents=True)
    with (place / HAND_IN).open("wb") as file:
        file.truncate(3 * 1024**3)  # sparse: it has the size, not the bytes


def zipped(members: Mapping[str, bytes], *, level: int = zipfile.ZIP_DEFLATED) -> bytes:
    packed_up = io.BytesIO()
    with zipfile.ZipFile(packed_up, "w", level) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return packed_up.getvalue()


def zip_kind(
    name: str, make: Callable[[int, Path], bytes], says: str, *, called: str = "sent.zip"
) -> Kind:
    """Return a kind that is one archive."""
    return Kind(
        name, lambda place, number, canary: _put(place, {called: make(number, canary)}), ASIDE, says
    )


def named_in_zip(name: str) -> Callable[[int, Path], bytes]:
    return lambda number, canary: zipped({name: signed(fields(number))})


def _link_in_zip(number: int, canary: Path) -> bytes:
    info = zipfile.ZipInfo(HAND_IN)
    info.external_attr = 0o120777 << 16
    packed_up = io.BytesIO()
    with zipfile.ZipFile(packed_up, "w") as archive:
        archive.writestr(info, "/etc/hostname")
    return packed_up.getvalue()


def _locked_zip(number: int, canary: Path) -> bytes:
    content = bytearray(zipped({HAND_IN: signed(fields(number))}))
    content[content.index(b"PK\x01\x02") + 8] |= 1
    return bytes(content)


def _lying_zip(number: int, canary: Path) -> bytes:
    content = zipped({HAND_IN: b"0" * 3_000_000})
    return content.replace(struct.pack("<I", 3_000_000), struct.pack("<I", 100))


def _zip_in(depth: int) -> Callable[[int, Path], bytes]:
    def make(number: int, canary: Path) -> bytes:
        content, name = signed(fields(number)), HAND_IN
        for turn in range(depth):
            content, name = zipped({name: content}), f"{turn}.zip"
        return content

    return make


def _modules_in_zip(number: int, canary: Path) -> bytes:
    code = code_for(canary).encode()
    return zipped({"pint.py": code, "sitecustomize.py": code, "__main__.py": code})


PLACES = (
    Kind("a link to a file", _linked("/etc/hostname"), ASIDE, LINK),
    Kind("a link to a folder", _linked("/etc"), ASIDE, LINK),
    Kind("a link to an endless file", _linked("/dev/zero"), ASIDE, LINK),
    Kind("a link to nothing", _linked("nowhere"), ASIDE, LINK),
    Kind("a link to itself", _linked(HAND_IN), ASIDE, LINK),
    Kind("a pipe", _pipe, ASIDE, "It is not a file"),
    Kind("sixteen folders deep", _deep_folder, ASIDE, "more than 12 folders deep"),
    Kind("three gigabytes", _huge, ASIDE, "must have 65,536 or fewer"),
    file_kind("a program by name", lambda number: b"true", NAME, called="hand-in.exe"),
    file_kind("two endings", lambda number: b"true", NAME, called=f"{HAND_IN}.exe"),
    file_kind("a look-alike ending", lambda number: b"{}", NAME, called="x.handin.js\u043en"),
    file_kind("a name turned round", lambda number: b"{}", NAME, called="nosj.nidnah.\u202ex"),
    file_kind("a name of two lines", lambda number: b"{}", NAME, called="a\n007 was admitted.txt"),
    file_kind("a name with control signs", lambda number: b"{}", NAME, called="\x1b[2J\x07.txt"),
    file_kind("a formula for a name", lambda number: b"{}", NAME, called="=HYPERLINK(1).txt"),
    file_kind("a name of 250 letters", lambda number: b"{}", NAME, called="x" * 246 + ".txt"),
    file_kind("a name that is a script", lambda number: b"{}", NAME, called="<script>x<!--.txt"),
    file_kind("the list of reasons", lambda number: b"all admitted", NAME, called="reasons.txt"),
    file_kind("settings of a class", lambda number: b'code = "X"', NAME, called="class.toml"),
    file_kind("a gradebook", lambda number: b"SQLite format 3\0", NAME, called="gradebook.db"),
    file_kind("a record of marks", lambda number: b"{}", NAME, called=f"records/007/{PAGE}.json"),
    zip_kind("a way up in a zip", named_in_zip(f"../../{HAND_IN}"), OUTSIDE),
    zip_kind("a way from the root in a zip", named_in_zip(f"/tmp/{HAND_IN}"), OUTSIDE),
    zip_kind("a way up with backslashes", named_in_zip(f"..\\..\\{HAND_IN}"), OUTSIDE),
    zip_kind("a drive letter in a zip", named_in_zip(f"C:{HAND_IN}"), OUTSIDE),
    zip_kind("a link in a zip", _link_in_zip, LINK),
    zip_kind(
        "a zip bomb",
        lambda number, canary: zipped({HAND_IN: b"0" * 30_000_000}),
        "It has 30,000,000 bytes",
    ),
    zip_kind("a zip in a zip in a zip", _zip_in(3), "It is a zip in a zip in a zip"),
    zip_kind("a zip that lies about its size", _lying_zip, "It "),
    zip_kind("a locked zip", _locked_zip, "It is locked with a password"),
    zip_kind(
        "a thousand and one in a zip",
        lambda number, canary: zipped({f"{turn}.handin.json": b"{}" for turn in range(1001)}),
        "It holds 1,001 files",
    ),
    zip_kind(
        "a damaged zip", lambda number, canary: _zip_in(1)(number, canary)[:-40], "It is no zip"
    ),
    zip_kind("an empty zip", lambda number, canary: zipped({}), "There is no hand-in in it"),
    zip_kind("modules in a zip", _modules_in_zip, NAME),
)


def _from_notebook(kind: NotebookKind) -> Kind:
    return Kind(
        f"notebook: {kind.name}",
        lambda place, number, canary: _put(place, kind.files(canary)),
        ASIDE,
        kind.says,
    )


KINDS: tuple[Kind, ...] = (
    *(_from_notebook(kind) for kind in NOTEBOOKS),
    *ENTRIES,
    *FIELDS,
    *PLACES,
)
