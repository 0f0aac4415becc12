"""The words of the course, read from ``glossary.toml`` and checked.

One word for one thing: a word of the trade with its meaning, what a British and a metric shop
call it, and the words that are refused for it. The page of words shows it; ``tests/vocabulary``
looks through every text that a user meets for what is refused here.
"""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from pathlib import Path
from types import MappingProxyType
from typing import Any

__all__ = [
    "Allowed",
    "Glossary",
    "GlossaryError",
    "Term",
    "glossary",
    "glossary_table",
    "read_glossary",
]

_KEYS = {"meaning": str, "uk": str, "metric": str, "refused": list}
LONGEST_MEANING = 120  # characters: one or two short sentences, so that the page prints on a sheet


class GlossaryError(ValueError):
    """The glossary cannot be used: the file, the word, and what is expected there."""


@dataclass(frozen=True, kw_only=True)
class Term:
    """A word of the trade.

    Attributes
    ----------
    name, meaning : str
        The word, and what it means, in one or two short sentences.
    uk, metric : str
        What a British shop calls it; what a metric shop or the German standard does. May be empty.
    refused : tuple of str
        Words for the same thing that this course does not use.
    """

    name: str
    meaning: str
    uk: str = ""
    metric: str = ""
    refused: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Allowed:
    """A text in which refused words may stand, the file that holds it, and why."""

    text: str
    where: str
    why: str


@dataclass(frozen=True, kw_only=True)
class Glossary:
    """All words, in alphabetic order, and how the course spells.

    Attributes
    ----------
    terms : tuple of Term
        The words.
    spelling : mapping
        The spelling that is refused, and the one that stands for it.
    allowed : tuple of Allowed
        Texts in which a refused word may stand.
    """

    terms: tuple[Term, ...]
    spelling: Mapping[str, str]
    allowed: tuple[Allowed, ...]

    @property
    def refused(self) -> dict[str, str]:
        """Every refused word in small letters, and the word to use."""
        words = {word.lower(): term.name for term in self.terms for word in term.refused}
        return {**words, **self.spelling}

    def second_words(self, text: str, where: str = "") -> list[tuple[str, str]]:
        """Return each refused word that stands in a text of a file, with the word to use.

        >>> glossary().second_words("Put the sliding weight on the colour chart.")
        [('sliding weight', 'slide hammer'), ('colour', 'color')]
        """
        for one in self.allowed:
            if one.where == where:
                text = text.replace(one.text, " ")
        plain = re.sub(r"\s+", " ", text.replace("’", "'"))
        return [
            (found.group(), self.refused[found.group().lower()])
            for found in _pattern(tuple(self.refused)).finditer(plain)
        ]


@functools.cache
def _pattern(words: tuple[str, ...]) -> re.Pattern[str]:
    longest_first = sorted(words, key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest_first))})(?!\w)", re.I)


@functools.cache
def glossary() -> Glossary:
    """Return the course's own glossary."""
    return read_glossary(Path(__file__).with_name("glossary.toml"))


def read_glossary(path: Path) -> Glossary:
    """Read a glossary and check it.

    Raises
    ------
    GlossaryError
        One sentence: a key is unknown, a meaning missing or too long, or a word stands for two
        things.
    """
    try:
        found = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise GlossaryError(f"{path} cannot be read ({error}). Put the file back.") from error
    except tomllib.TOMLDecodeError as error:
        raise GlossaryError(f"{path}: {error}. Correct that line.") from error
    spelling = found.pop("spelling", {})
    allowed = tuple(_allowed(path, one) for one in found.pop("allowed", []))
    terms = [_term(path, name, there) for name, there in found.items()]
    _one_word_for_one_thing(path, terms, spelling)
    return Glossary(
        terms=tuple(sorted(terms, key=lambda term: term.name.lower())),
        spelling=MappingProxyType({one.lower(): other for one, other in spelling.items()}),
        allowed=allowed,
    )


def _allowed(path: Path, there: Mapping[str, str]) -> Allowed:
    if set(there) != {"text", "where", "why"} or not all(there.values()):
        raise GlossaryError(
            f"{path}: each [[allowed]] needs a “text”, a “where” and a “why”. Write the three."
        )
    return Allowed(**there)


def _term(path: Path, name: str, there: Any) -> Term:
    if not isinstance(there, dict):
        raise GlossaryError(f'{path}: “{name}” must be a table: ["{name}"].')
    for key, value in there.items():
        if key not in _KEYS:
            raise GlossaryError(
                f"{path}: “{key}” of “{name}” is not known; expected is one of: {', '.join(_KEYS)}."
            )
        if not isinstance(value, _KEYS[key]):
            kind = "a text in quotes" if _KEYS[key] is str else "a list of texts"
            raise GlossaryError(f"{path}: “{key}” of “{name}” must be {kind}.")
    meaning = there.get("meaning", "").strip()
    if not meaning:
        raise GlossaryError(f"{path}: “{name}” has no meaning. Write one or two short sentences.")
    if len(meaning) > LONGEST_MEANING:
        raise GlossaryError(
            f"{path}: the meaning of “{name}” has {len(meaning)} characters; it must be at most "
            f"{LONGEST_MEANING}. Shorten it."
        )
    return Term(
        name=name,
        meaning=meaning,
        uk=there.get("uk", ""),
        metric=there.get("metric", ""),
        refused=tuple(there.get("refused", ())),
    )


def _one_word_for_one_thing(path: Path, terms: list[Term], spelling: Mapping[str, str]) -> None:
    taken = {term.name.lower(): term.name for term in terms}
    refused: dict[str, str] = {}
    for term in terms:
        for word in term.refused:
            if word.lower() in taken:
                raise GlossaryError(
                    f"{path}: “{word}” is refused for “{term.name}” and is a word of its own. "
                    "Choose one."
                )
            if word.lower() in refused:
                raise GlossaryError(
                    f"{path}: “{word}” is refused for “{refused[word.lower()]}” and for "
                    f"“{term.name}”. Keep it at one."
                )
            refused[word.lower()] = term.name
    for word in spelling:
        if word.lower() in refused:
            raise GlossaryError(
                f"{path}: “{word}” stands in the spelling and is refused for "
                f"“{refused[word.lower()]}”. Keep it at one."
            )


_STYLE = (
    "<style>.course-glossary table { border-collapse: collapse; width: 100%; line-height: 1.35; }"
    ".course-glossary :is(th, td) { text-align: left; vertical-align: top; white-space: normal; "
    "padding: .3rem .8rem .3rem 0; border-bottom: 1px solid var(--tk-hair); background: none; }"
    ".course-glossary .letter :is(th, td) { border-top: 2px solid var(--tk-ink); }"
    ".course-glossary tr { break-inside: avoid; }"
    "@media screen and (max-width: 40rem) { .course-glossary thead { display: none; }"
    " .course-glossary tbody :is(tr, th, td) { display: block; border: 0; padding: 0; }"
    " .course-glossary tbody tr { padding: .4rem 0; border-bottom: 1px solid var(--tk-hair); }"
    " .course-glossary td:nth-child(3):not(:empty)::before { content: 'UK: '; }"
    " .course-glossary td:nth-child(4):not(:empty)::before { content: 'Metric: '; } }"
    "@media print { .course-glossary table { font-size: 7.5pt; line-height: 1.2; }"
    " .course-glossary :is(th, td) { padding: .5mm 3mm .5mm 0; }"
    " .course-glossary td:nth-child(2) { width: 54%; } }</style>"
)


def glossary_table(words: Glossary | None = None) -> str:
    """Return the table of words as HTML, in alphabetic order."""
    rows = []
    letter = ""
    for term in (words or glossary()).terms:
        first = term.name[0].upper()
        head = ' class="letter"' if first != letter else ""
        letter = first
        rows.append(
            f'<tr{head}><th scope="row">{escape(term.name)}</th><td>{escape(term.meaning)}</td>'
            f"<td>{escape(term.uk)}</td><td>{escape(term.metric)}</td></tr>"
        )
    return (
        f'<div class="course-glossary">{_STYLE}<table><thead><tr><th scope="col">Word</th>'
        '<th scope="col">What it means</th><th scope="col">In the UK</th>'
        '<th scope="col">In a metric shop</th></tr></thead><tbody>'
        f"{''.join(rows)}</tbody></table></div>"
    )
