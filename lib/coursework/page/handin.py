"""The hand-in: one small file per exercise, written by the page and read with suspicion.

A hand-in is data and nothing else: the raw text of each entry, who handed in
what, and when. It travels by shared folder, stick or e-mail, so whatever comes
back is checked field by field before anybody uses it; each refusal is one
sentence. The checksum tells a damaged file from a whole one; it is no signature.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import taperkey
from coursework.card import require_class_code
from coursework.check import handed_page
from coursework.course import PAGES
from coursework.page.seal import HIGHEST_ATTEMPT, attempt_of, seal_of
from coursework.question import LONGEST_WRITTEN
from taperkey.files import write_whole

__all__ = [
    "LARGEST_BYTES",
    "LARGEST_NUMBER",
    "HandIn",
    "HandInError",
    "hand_in_name",
    "read_hand_in",
    "write_hand_in",
]

FORMAT = "taperkey hand-in"
VERSION = 1
LARGEST_BYTES = 65_536
LARGEST_NUMBER = 999
DEEPEST = 2  # the file, and the entries in it

_FIELDS = {
    "format": str,
    "version": int,
    "class": str,
    "number": int,
    "page": str,
    "page_version": str,
    "course_version": str,
    "made": str,
    "entries": dict,
    "sha256": str,
}
# what the first hand-ins did not have
_LATER = {"attempt": int, "seal": str, "saved": dict, "practiced": int, "code_typed": str}
MOST_PRACTICED = 999
_SEAL = re.compile(r"[0-9a-f]{64}")
_VERSION_WORD = re.compile(r"[0-9A-Za-z.+-]{1,40}")
_MADE = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ")
_AGAIN = "Hand in again from the exercise page and send the new file."


class HandInError(ValueError):
    """A hand-in that cannot be taken; the text is one sentence and what to do."""


@dataclass(frozen=True, kw_only=True)
class HandIn:
    """One exercise as one apprentice handed it in.

    Attributes
    ----------
    class_code : str
        The class, such as "QQ-26".
    number : int
        The apprentice's number, 1 to 999.
    page : str
        The exercise, such as "01-measure".
    page_version : str
        Version of the released page that it was written on.
    made : str
        When, in UTC, such as "2026-11-25T12:00:00Z".
    entries : mapping of str to str
        Raw text by question key.
    course_version : str
        Version of the course.
    sha256 : str
        Checksum of the rest, as 64 hexadecimal digits.
    attempt : int
        Which job card it was worked on, 1 for the first.
    seal : str
        What the code of that card makes of the rest; empty where none was typed.
    saved : mapping of str to str
        When each entry was last changed, UTC; empty in a hand-in of old.
    practiced : int or None
        How many practice questions of the exercise were tried; None where that is not known.
    code_typed : str
        When the code of the job card was typed, UTC; empty where that is not known.
    """

    class_code: str
    number: int
    page: str
    page_version: str
    made: str
    entries: Mapping[str, str]
    course_version: str = field(default=taperkey.__version__)
    sha256: str = ""
    attempt: int = 1
    seal: str = ""
    saved: Mapping[str, str] = field(default_factory=dict)
    practiced: int | None = None
    code_typed: str = ""

    def content(self) -> dict[str, Any]:
        """Return everything but the checksum, as it stands in the file."""
        return {
            "format": FORMAT,
            "version": VERSION,
            "class": self.class_code,
            "number": self.number,
            "page": self.page,
            "page_version": self.page_version,
            "course_version": self.course_version,
            "made": self.made,
            "entries": dict(self.entries),
            **({"attempt": self.attempt} if self.attempt > 1 else {}),
            **({"saved": dict(self.saved)} if self.saved else {}),
            **({"practiced": self.practiced} if self.practiced is not None else {}),
            **({"code_typed": self.code_typed} if self.code_typed else {}),
            **({"seal": self.seal} if self.seal else {}),
        }


def hand_in_name(*, class_code: str, number: int, page: str, attempt: int = 1) -> str:
    """Return the file's name, such as ``QQ-26_007_01-measure.handin.json``."""
    again = f"_attempt-{attempt}" if attempt > 1 else ""
    return f"{class_code}_{number:03d}_{page}{again}.handin.json"


def write_hand_in(
    *,
    folder: Path,
    class_code: str,
    number: int,
    page: str,
    page_version: str,
    entries: Mapping[str, str],
    made: str,
    code: str = "",
    saved: Mapping[str, str] | None = None,
    practiced: int | None = None,
    code_typed: str = "",
) -> Path:
    """Write the hand-in of one exercise and return where it lies.

    Parameters
    ----------
    folder : Path
        Where hand-ins are kept; made if it is not there.
    class_code : str
        1 to 24 letters, digits and hyphens.
    number : int
        The apprentice's number, 1 to 999.
    page : str
        The exercise, such as "01-measure".
    page_version : str
        Version of the released page.
    entries : mapping of str to str
        Raw text by question key.
    made : str
        When, in UTC, such as "2026-11-25T12:00:00Z".
    code : str, optional
        Code of the job card, which says the attempt and seals the file.
    saved, practiced, code_typed : optional
        As in `HandIn`.

    Raises
    ------
    HandInError
        One sentence, where the file would not be taken at the other end.
    """
    hand_in = HandIn(
        class_code=class_code,
        number=number,
        page=page,
        page_version=page_version,
        made=made,
        entries=entries,
        attempt=attempt_of(code) if code else 1,
        saved=saved or {},
        practiced=None if practiced is None else min(practiced, MOST_PRACTICED),
        code_typed=code_typed,
    )
    rest = hand_in.content()
    try:
        if code:
            rest["seal"] = seal_of(rest, code)
        rest["sha256"] = _checksum(rest)
        content = json.dumps(rest, ensure_ascii=False, indent=1).encode("utf-8")
    except UnicodeEncodeError:
        raise HandInError(
            "An entry holds a character that cannot be stored. Type that entry again."
        ) from None
    read_hand_in(content)
    name = hand_in_name(class_code=class_code, number=number, page=page, attempt=hand_in.attempt)
    path = folder / name
    write_whole(path, content + b"\n")
    return path


def read_hand_in(content: bytes) -> HandIn:
    """Read a hand-in file strictly.

    Parameters
    ----------
    content : bytes
        The file as it came.

    Returns
    -------
    HandIn
        With known fields, a known page and known question keys only.

    Raises
    ------
    HandInError
        One sentence with what is wrong and what to do.
    """
    rest = _parse(content)
    for name, kind in _FIELDS.items():
        if name not in rest:
            raise HandInError(f"The hand-in has no “{name}”; it is not complete. {_AGAIN}")
        if type(rest[name]) is not kind:
            raise HandInError(f"“{name}” in the hand-in is not of its kind. {_AGAIN}")
    for name, kind in _LATER.items():
        if name in rest and type(rest[name]) is not kind:
            raise HandInError(f"“{name}” in the hand-in is not of its kind. {_AGAIN}")
    unknown = [name for name in rest if name not in _FIELDS and name not in _LATER]
    if unknown:
        raise HandInError(
            f"The hand-in has a field “{_short(unknown[0])}” that does not belong there. {_AGAIN}"
        )
    if rest["format"] != FORMAT or rest["version"] != VERSION:
        raise HandInError(
            f"The file says “{_short(rest['format'])}”, version {str(rest['version'])[:12]}; "
            f"it must be “{FORMAT}”, version {VERSION}. {_AGAIN}"
        )
    try:
        require_class_code(rest["class"])
    except ValueError as error:
        raise HandInError(str(error)) from None
    number = rest["number"]
    if not 1 <= number <= LARGEST_NUMBER:
        raise HandInError(
            f"apprentice number is {str(number)[:12]}; it must be from 1 to {LARGEST_NUMBER}. "
            "Look at the name tag."
        )
    if handed_page(rest["page"]) is None:
        raise HandInError(
            f"exercise is “{_short(rest['page'])}”; it must be one of: {', '.join(PAGES)}. "
            "Look whether this course is up to date."
        )
    for name in ("page_version", "course_version"):
        if not _VERSION_WORD.fullmatch(rest[name]):
            raise HandInError(
                f"“{name}” is “{_short(rest[name])}”; it must be 1 to 40 letters and digits. "
                f"{_AGAIN}"
            )
    _require_time("made", rest["made"])
    _require_entries(rest["page"], rest["entries"])
    attempt, seal = rest.get("attempt", 1), rest.get("seal", "")
    if not 1 <= attempt <= HIGHEST_ATTEMPT:
        raise HandInError(
            f"attempt is {str(attempt)[:12]}; it must be from 1 to {HIGHEST_ATTEMPT}. {_AGAIN}"
        )
    if seal and not _SEAL.fullmatch(seal):
        raise HandInError(f"The seal of the hand-in is not of its kind. {_AGAIN}")
    saved, practiced = rest.get("saved", {}), rest.get("practiced")
    _require_entries(rest["page"], saved)
    for time in saved.values():
        _require_time("saved", time)
    if "code_typed" in rest:
        _require_time("code_typed", rest["code_typed"])
    if practiced is not None and not 0 <= practiced <= MOST_PRACTICED:
        raise HandInError(
            f"“practiced” is {str(practiced)[:12]}; it must be from 0 to {MOST_PRACTICED}. {_AGAIN}"
        )
    given = rest.pop("sha256")
    if _checksum(rest) != given:
        raise HandInError(
            "The checksum does not match; the file was changed or damaged on the way. " + _AGAIN
        )
    return HandIn(
        class_code=rest["class"],
        number=number,
        page=rest["page"],
        page_version=rest["page_version"],
        course_version=rest["course_version"],
        made=rest["made"],
        entries=rest["entries"],
        sha256=given,
        attempt=attempt,
        seal=seal,
        saved=saved,
        practiced=practiced,
        code_typed=rest.get("code_typed", ""),
    )


def _short(text: str) -> str:
    plain = "".join(sign if sign.isprintable() else "?" for sign in text[:30])
    return plain if len(text) <= 30 else plain + "…"


def _checksum(rest: Mapping[str, Any]) -> str:
    canonical = json.dumps(rest, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(canonical.encode("utf-8")).hexdigest()


def _parse(content: bytes) -> dict[str, Any]:
    if len(content) > LARGEST_BYTES:
        raise HandInError(
            f"The hand-in has {len(content)} bytes; it must have {LARGEST_BYTES} or fewer. "
            "Shorten the written answers and hand in again."
        )
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError:
        raise HandInError(f"The file is not a hand-in: it is not UTF-8 text. {_AGAIN}") from None
    if _depth(text) > DEEPEST:
        raise HandInError(f"The file is not a hand-in: it is nested too deep. {_AGAIN}")
    try:
        rest = json.loads(text, object_pairs_hook=_once_each, parse_constant=_no_constant)
        text_again = json.dumps(rest, ensure_ascii=False)
        text_again.encode("utf-8")
    except HandInError:
        raise
    except UnicodeEncodeError:
        raise HandInError(
            f"The hand-in holds a character that cannot be stored. {_AGAIN}"
        ) from None
    except (ValueError, RecursionError):
        raise HandInError(
            f"The file is not a hand-in: it cannot be read as JSON. {_AGAIN}"
        ) from None
    if not isinstance(rest, dict):
        raise HandInError(f"The file is not a hand-in: it holds no named fields. {_AGAIN}")
    return rest


def _depth(text: str) -> int:
    deepest = depth = 0
    in_string = skip = False
    for sign in text:
        if skip:
            skip = False
        elif in_string:
            if sign == "\\":
                skip = True
            elif sign == '"':
                in_string = False
        elif sign == '"':
            in_string = True
        elif sign in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif sign in "]}":
            depth -= 1
    return deepest


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    for name, value in pairs:
        if name in fields:
            raise HandInError(f"“{_short(name)}” is in the hand-in twice. {_AGAIN}")
        fields[name] = value
    return fields


def _no_constant(name: str) -> float:
    raise HandInError(f"The hand-in holds {name}, which is not a number. {_AGAIN}")


def _require_time(name: str, made: str) -> None:
    try:
        if not _MADE.fullmatch(made):
            raise ValueError
        datetime.fromisoformat(made)
    except ValueError:
        raise HandInError(
            f"“{name}” is “{_short(made)}”; it must be a time such as 2026-11-25T12:00:00Z. "
            + _AGAIN
        ) from None


def _require_entries(page: str, entries: Mapping[str, Any]) -> None:
    asked = handed_page(page)
    known = {question.key for question in asked.questions} if asked else set()
    for key, text in entries.items():
        if key not in known:
            raise HandInError(
                f"“{_short(key)}” is not a question of {page}; the hand-in must hold its "
                f"questions only. {_AGAIN}"
            )
        if type(text) is not str:
            raise HandInError(f"The entry of {key} is not text. {_AGAIN}")
        if len(text) > LONGEST_WRITTEN:
            raise HandInError(
                f"The entry of {key} has {len(text)} characters; it must have {LONGEST_WRITTEN} "
                "or fewer. Shorten it and hand in again."
            )
