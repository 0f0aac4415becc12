"""A file of words or of sign-offs, read and checked; a mistake in it is told with file and line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

__all__ = ["NUMBER", "TABLE", "TEXT", "TEXTS", "WordsError", "WordsFile"]

#: The kinds of value that a table may be asked for.
TEXT, NUMBER, TEXTS, TABLE = "a text in quotes", "a number", "a list of texts", "a table"


class WordsError(ValueError):
    """A file of words cannot be used: the file, the line, and what is expected there."""


class WordsFile:
    """One file of words, and where in it a thing stands."""

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            self.text = path.read_text(encoding="utf-8")
            self.all: dict[str, Any] = tomllib.loads(self.text)
        except (OSError, UnicodeDecodeError) as error:
            raise WordsError(f"{path} cannot be read ({error}). Put the file back.") from error
        except tomllib.TOMLDecodeError as error:
            raise WordsError(f"{path}: {error}. Correct that line.") from error

    def refuse(self, where: Sequence[str], what: str) -> WordsError:
        """Return the error, with the line of the nearest table or key that is there."""
        return WordsError(f"{self.path}, line {self._line(where)}: {what}")

    def table(self, where: Sequence[str], known: Mapping[str, str]) -> dict[str, Any]:
        """Return a table whose keys and kinds of value are the known ones."""
        there: Any = self.all
        for part in where:
            there = there[part]
        title = f"[{'.'.join(where)}]" if where else "the head of the file"
        if not isinstance(there, dict):
            raise self.refuse(where, f"{title} must be {TABLE}.")
        for name, value in there.items():
            if name not in known:
                raise self.refuse(
                    [*where, name],
                    f"“{name}” is not known in {title}; expected is one of: {', '.join(known)}.",
                )
            if _kind(value) != known[name]:
                raise self.refuse([*where, name], f"“{name}” in {title} must be {known[name]}.")
            if known[name] in (TEXT, TEXTS) and not all(
                one.strip() for one in ([value] if isinstance(value, str) else value)
            ):
                raise self.refuse([*where, name], f"“{name}” in {title} is empty; write its text.")
        return there

    def _line(self, where: Sequence[str]) -> int:
        lines = self.text.splitlines()
        found = 0
        for depth in range(1, len(where) + 1):
            head = r"\s*\.\s*".join(_spelled(part) for part in where[:depth])
            for at, line in enumerate(lines):
                if re.match(rf"\s*\[\s*{head}\s*[\].]", line):
                    found = at
                    break
            else:
                for at in range(found, len(lines)):
                    if at > found and depth == len(where) and lines[at].lstrip().startswith("["):
                        break
                    if re.match(rf"\s*{_spelled(where[depth - 1])}\s*=", lines[at]):
                        found = at
                        break
        return found + 1


def _spelled(name: str) -> str:
    plain = re.escape(name)
    return f"(?:{plain}|\"{plain}\"|'{plain}')"


def _kind(value: object) -> str:
    if isinstance(value, str):
        return TEXT
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return NUMBER
    if isinstance(value, list) and value and all(isinstance(one, str) for one in value):
        return TEXTS
    return TABLE if isinstance(value, dict) else "something else"
