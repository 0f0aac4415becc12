"""What the course says about its questions, read from ``words.toml`` and checked.

A lesson's ``words.toml`` holds what is asked, its hint, each slip's sentence, the marking guide
and the cautions of its bench work. Values stay in Python beside it: ``Words.question`` joins the
two, and ``Words.page`` looks that nothing is left over on either side. Slips that more than one
lesson knows, and why an entry is safety-critical, may stand once in the ``words.toml`` of this
room.
"""

from __future__ import annotations

import dataclasses
import functools
import string
from collections.abc import Callable, Collection, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from coursework.question import (
    Answer,
    Fact,
    Given,
    Kind,
    Page,
    Practical,
    Question,
    Slip,
    Written,
)
from coursework.slips import writing_slips
from coursework.unit import units_of
from coursework.wordsfile import NUMBER, TABLE, TEXT, TEXTS, WordsError, WordsFile

__all__ = ["Slips", "Words", "WordsError", "WordsFile", "words_beside"]

Slips = Mapping[str, Callable[[Any, Given], Answer | None]]  # a slip's value by its name

_NEEDED = {"skill": TEXT, "label": TEXT, "ask": TEXT, "marks": NUMBER}
_QUESTION = {
    **_NEEDED,
    "hint": TEXT,
    "critical": TEXT,
    "guide": TEXTS,
    "samples": TABLE,
    "caution": TEXT,
    "options": TABLE,
    "steps": TEXTS,
    "slips": TABLE,
    "metric": TABLE,
}
_METRIC = {"label": TEXT, "ask": TEXT, "hint": TEXT, "slips": TABLE}
_SLIP = {"share": NUMBER, "sentence": TEXT}
_SAMPLES = {"full": TEXT, "half": TEXT, "nothing": TEXT, "unrewarded": TEXTS}
_COMMON = {"slips": TABLE, "critical": TABLE, "says": TABLE}
_LESSON = {"name": TEXT, "title": TEXT, "example": NUMBER, "units": TABLE, **_COMMON}


def _places(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


class _Options(dict[str, str]):
    """Answers by name; a name that is not there is a mistake in the file."""

    def __init__(self, file: WordsFile, where: list[str], found: Mapping[str, str]) -> None:
        super().__init__(found)
        self._file, self._where = file, where

    def __missing__(self, name: str) -> str:
        title = ".".join(self._where)
        raise self._file.refuse(self._where, f"“{name}” is missing in [{title}]. Write its text.")


class Words:
    """The words of one lesson.

    Parameters
    ----------
    path : Path
        The lesson's file.
    common : Path, optional
        The words that lessons share; ``words.toml`` in the room above.

    Raises
    ------
    WordsError
        One sentence with file, line and what is expected.
    """

    def __init__(self, path: Path, common: Path | None = None) -> None:
        self._own = WordsFile(path)
        self._common = WordsFile(common or path.parent.parent / "words.toml")
        self._used: set[tuple[str, ...]] = set()
        self._common.table([], _COMMON)
        for one in (self._own, self._common):
            for kind in _COMMON.keys() & one.all.keys():
                self._check_common(one, kind)
        keys = [key for key in self._own.all if key not in _LESSON]
        head = self._own.table([], {**_LESSON, **dict.fromkeys(keys, TABLE)})
        for needed in ("name", "title"):
            if needed not in head:
                raise self._own.refuse([], f"“{needed}” of the exercise is missing. Write it.")
        self.name: str = head["name"]
        self.title: str = head["title"]
        self.example = int(head.get("example", 1))
        self.keys = tuple(keys)
        for key in keys:
            self._check_question(key)

    @staticmethod
    def _check_common(file: WordsFile, kind: str) -> None:
        names = file.all[kind]
        if kind != "slips":
            file.table([kind], dict.fromkeys(names, TEXT))
        for name in names:
            if kind == "slips":
                _check_slip(file, [kind, name])
            else:
                _check_braces(file, [kind, name], names[name])

    def _check_question(self, key: str) -> None:
        own = self._own
        there = own.table([key], _QUESTION)
        for needed in _NEEDED:
            if needed not in there:
                raise own.refuse([key], f"“{needed}” of {key} is missing. Write it.")
        if not there["marks"] >= 0:
            raise own.refuse([key, "marks"], f"{key} has {there['marks']} marks; 0 is the least.")
        if "guide" in there:
            if len(there["guide"]) != there["marks"]:
                raise own.refuse(
                    [key, "guide"],
                    f"the guide of {key} has {len(there['guide'])} points for {there['marks']} "
                    "marks; there must be one a mark.",
                )
            for field in ("slips", "metric", "critical"):
                if field in there:
                    raise own.refuse(
                        [key, field], f"{key} is marked by its guide; it takes no “{field}”."
                    )
            if "samples" in there:
                samples = own.table([key, "samples"], _SAMPLES)
                for needed in [name for name in _SAMPLES if name not in samples]:
                    raise own.refuse(
                        [key, "samples"],
                        f"“{needed}” is missing in the samples of {key}. Write it.",
                    )
        elif "caution" in there:
            raise own.refuse(
                [key, "caution"], f"{key} has a caution but no guide. Only bench work has one."
            )
        if "samples" in there and ("caution" in there or "guide" not in there):
            raise own.refuse([key, "samples"], f"{key} is not a written answer; leave them out.")
        if "metric" in there:
            own.table([key, "metric"], _METRIC)
        if "options" in there:
            own.table([key, "options"], dict.fromkeys(there["options"], TEXT))
        for where in ([key, "slips"], [key, "metric", "slips"]):
            for name in self._at(where):
                _check_slip(own, [*where, name])

    def _at(self, where: Sequence[str]) -> Mapping[str, Any]:
        there: Any = self._own.all
        for part in where:
            there = there.get(part, {})
        return there if isinstance(there, Mapping) else {}

    def _named(
        self, kind: str, name: str, places: Sequence[Sequence[str]]
    ) -> tuple[Any, WordsFile, list[str]]:
        """Return a slip or a reason by name, the question's own first, and where it stands."""
        for where in (*places, [kind]):
            if name in self._at(where):
                self._used.add((*where, name))
                return self._at(where)[name], self._own, [*where, name]
        return self._common.all.get(kind, {}).get(name), self._common, [kind, name]

    def _slips(
        self,
        key: str,
        slips: Slips,
        filled: Mapping[str, str],
        places: Sequence[Sequence[str]],
        written: Slips,
    ) -> tuple[Slip, ...]:
        told = []
        known = self._common.all.get("slips", {})
        written = {name: written[name] for name in written if name in known and name not in slips}
        for name, value in {**slips, **written}.items():
            words, file, where = self._named("slips", name, places)
            if words is None:
                raise self._own.refuse(
                    [key], f"{key} knows the slip “{name}”, but no words stand for it. Write them."
                )
            sentence = words["sentence"]
            missing = sorted(_places(sentence) - filled.keys())
            if missing:
                raise file.refuse(
                    where,
                    f"the sentence of “{name}” has a place {{{missing[0]}}} that {key} does not "
                    f"fill; it fills: {', '.join(filled) or 'none'}.",
                )
            told.append(
                Slip(
                    name=name,
                    value=value,
                    sentence=sentence.format(**filled),
                    share=float(words.get("share", 0.0)),
                    of_writing=name in written,
                )
            )
        return tuple(told)

    def sayings(self, *names: str, places: Collection[str] = ()) -> Callable[..., str]:
        """Return what says these sentences of the lesson, or of its slips, by name.

        Parameters
        ----------
        *names : str
            Of sentences under [says], or of slips.
        places : collection of str
            The places that are filled when one of them is said.

        Raises
        ------
        WordsError
            At once, where there is none of a name, or one has a place that is not filled.
        """
        texts: dict[str, str] = {}
        for name in names:
            words, file, where = self._named("slips", name, [])
            if words is None:
                words, file, where = self._named("says", name, [])
            if words is None:
                raise self._own.refuse([], f"no sentence is named “{name}”; write it under [says].")
            texts[name] = words if isinstance(words, str) else words["sentence"]
            missing = sorted(_places(texts[name]) - set(places))
            if missing:
                raise file.refuse(
                    where,
                    f"“{name}” has a place {{{missing[0]}}} that nothing fills; filled are: "
                    f"{', '.join(places) or 'none'}.",
                )
        return lambda name, **filled: texts[name].format(**filled)

    def options(self, key: str) -> Mapping[str, str]:
        """Return the answers that a question offers, by the names that Python knows them by.

        Raises
        ------
        WordsError
            The file has none for it.
        """
        found: Mapping[str, str] | None = self._own.all.get(key, {}).get("options")
        if found is None:
            raise self._own.refuse([key], f"{key} offers answers, but has no [{key}.options].")
        return _Options(self._own, [key, "options"], found)

    def steps(self, key: str) -> tuple[str, ...]:
        """Return the steps that a question has put in order.

        Raises
        ------
        WordsError
            The file has none for it.
        """
        if "steps" not in self._own.all.get(key, {}):
            raise self._own.refuse([key], f"{key} has steps to put in order, but no “steps”.")
        return tuple(self._own.all[key]["steps"])

    def question(
        self,
        key: str,
        *,
        kind: Kind,
        expected: Callable[..., Any],
        slips: Slips = MappingProxyType({}),
        places: Mapping[str, str] = MappingProxyType({}),
        metric: Mapping[str, Any] | None = None,
        **reckoned: Any,
    ) -> Question:
        """Return a question: its words from the file, the rest as given.

        Parameters
        ----------
        key : str
            The question's table in the file.
        kind, expected
            As in ``Question``.
        slips : mapping
            Value of each known slip by its name; sentences and shares are in the file.
        places : mapping of str to str
            What fills the places in the slips' sentences.
        metric : mapping, optional
            What is different on a metric card: kind, slips, places, or a field of ``Question``.
        **reckoned
            Further fields of ``Question``: tolerance, needs, facts, worked, picture.

        Raises
        ------
        WordsError
            Where the file has no words for it.
        """
        if key not in self.keys:
            raise self._own.refuse([], f"{key} is reckoned, but no table [{key}] says what it is.")
        there = self._own.all[key]
        if "guide" in there:
            raise self._own.refuse([key, "guide"], f"{key} is reckoned; it takes no guide.")
        reason = there.get("critical", "")
        critical = self._named("critical", reason, [])[0] if reason else ""
        if critical is None:
            raise self._own.refuse(
                [key, "critical"],
                f"no text stands under [critical] for “{reason}”. Write it there.",
            )
        asked = Question(
            key=key,
            **{name: there[name] for name in _NEEDED},
            hint=there.get("hint", ""),
            critical=critical,
            kind=kind,
            expected=expected,
            slips=self._slips(key, slips, places, [[key, "slips"]], writing_slips(kind, expected)),
            **reckoned,
        )
        self._used.add((key,))
        if metric is None and "metric" not in there:
            return asked
        changed = dict(metric or {})
        written = writing_slips(changed.get("kind", kind), changed.get("expected", expected))
        told = self._slips(
            key,
            changed.pop("slips", slips),
            changed.pop("places", places),
            [[key, "metric", "slips"], [key, "slips"]],
            written,
        )
        words = there.get("metric", {})
        return dataclasses.replace(
            asked,
            metric=dataclasses.replace(
                asked,
                **{name: words[name] for name in ("label", "ask", "hint") if name in words},
                slips=told,
                **changed,
            ),
        )

    def page(
        self,
        *,
        reckoned: Sequence[Question],
        facts: Callable[[Any], Sequence[Fact]],
        unclear: Callable[[Any, Given], str] | None = None,
    ) -> Page:
        """Return the exercise, its questions in the row of the file.

        Raises
        ------
        WordsError
            Where something stands in the file that no question uses.
        """
        questions = {question.key: question for question in reckoned}
        for key in self.keys:
            there = self._own.all[key]
            if "guide" in there:
                questions[key] = _by_assessor(key, there)
            elif key not in questions:
                raise self._own.refuse([key], f"{key} has neither a right value nor a guide.")
        for where in (
            ["slips"],
            ["critical"],
            ["says"],
            *([key, *rest, "slips"] for key in self.keys for rest in ([], ["metric"])),
        ):
            for name in self._at(where):
                if (*where, name) not in self._used:
                    raise self._own.refuse([*where, name], f"“{name}” is used by no question.")
        return Page(
            name=self.name,
            title=self.title,
            example=self.example,
            questions=tuple(questions[key] for key in self.keys if questions[key].marks),
            practised=tuple(questions[key] for key in self.keys if not questions[key].marks),
            facts=facts,
            units=units_of(self._own),
            **({} if unclear is None else {"unclear": unclear}),
        )


def _check_braces(file: WordsFile, where: Sequence[str], text: str) -> None:
    try:
        _places(text)
    except ValueError as error:
        name = where[-2] if where[-1] == "sentence" else where[-1]
        raise file.refuse(where, f"a brace is left open in the sentence of “{name}”.") from error


def _check_slip(file: WordsFile, where: Sequence[str]) -> None:
    there = file.table(where, _SLIP)
    if "sentence" not in there:
        raise file.refuse(where, f"the slip “{where[-1]}” has no sentence. Write it.")
    _check_braces(file, [*where, "sentence"], there["sentence"])
    if not 0 <= there.get("share", 0) < 1:
        raise file.refuse(
            [*where, "share"],
            f"the share of “{where[-1]}” is {there['share']}; it must be from 0 to below 1.",
        )


def _by_assessor(key: str, there: Mapping[str, Any]) -> Question:
    guide = tuple(there["guide"])
    samples = there.get("samples", {})
    kind: Written | Practical = (
        Practical(guide=guide, caution=there["caution"])
        if "caution" in there
        else Written(
            guide=guide,
            **{name: samples[name] for name in ("full", "half", "nothing") if samples},
            unrewarded=tuple(samples.get("unrewarded", ())),
        )
    )
    return Question(key=key, **{name: there[name] for name in _NEEDED}, kind=kind)


@functools.cache
def _words(path: Path) -> Words:
    return Words(path)


def words_beside(module: str) -> Words:
    """Return the words of the lesson in whose folder the module lies; pass ``__file__``."""
    return _words(Path(module).with_name("words.toml"))
