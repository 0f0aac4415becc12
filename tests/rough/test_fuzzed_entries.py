"""Anything may be typed: it is read, or refused in one sentence, and never run.

Texts come from a generator that is the same every time (seeds of real entries, of other people's
code and of odd signs, cut and joined), and from hypothesis. TAPERKEY_MANY=1 tries twenty times as
many.
"""

from __future__ import annotations

import math
import os
import random
import sys
from collections import Counter
from collections.abc import Iterator

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from coursework.course import PAGES, issue_card
from coursework.judging import judge_page, look_again
from coursework.question import Page
from taperkey.units import DIMENSIONS, EntryError, parse_quantity

from .leaks import leaks

MANY = 20 if os.environ.get("TAPERKEY_MANY") == "1" else 1

TYPED = [
    "1.0104", "1-3/8 in", '1 3/8"', "0,5 mm", "10.4 thou", "1:96", "1/8 in/ft", "28,400 lbf",
    "14.2 tons", "20 °C", "350 lbf ft", "13 ksi", "0° 35' 48\"", "1½ in", "⅜”", "−0.25", ".5", "5.",
    "B D F", "ABCDE", "a, b, c", "the whole length", "same as Colm", "about a thumb",
]  # fmt: skip
CODE = [
    "__import__('os').system('touch run')", "eval('1+1')", "=1+1", "=cmd|' /c calc'!A1", "2**99999",
    "9**9**9**9", "(lambda: 1)()", "1 if 1 else 2", "{{7*7}}", "${7*7}", "%(x)s", "{0.__class__}",
    "<script>alert(1)</script>", "'; DROP TABLE grade; --", "\\N{DEGREE SIGN}", "$(touch run)",
    "`touch run`", "open('x','w')", "1; import os", "0x1F in", "1e5 in", "1_000", "inf", "nan in",
    "1j in", "True", "None", "[]", "1e400 mm", "../../etc/passwd", "C:\\temp", "%00", "pickle\x80",
    "KeyError: 'x'", "Traceback",
]  # fmt: skip
ODD = [
    "", " ", "\t", "\n", "\x00", "\x1b[2J", "\u200b", "\u202e", "\ud800", "\ufeff", "🔧", "٣", "³",
    "Ⅷ", "½", "⁄", "∕", "−", "–", "'", '"', "″", "′", "/", ":", ",", ".", "-", "+", "%", "°", "in",
    "mm", "µm", "e", "E9", "9" * 40, "0" * 40, "in" * 20, "/0", "1/0 in", "0:0", "1:0", "﷽", "ß",
]  # fmt: skip


def typed_texts(seed: str, count: int) -> Iterator[str]:
    """Yield texts, the same for the same seed."""
    draws = random.Random(seed)
    pool = TYPED + CODE + ODD
    for _ in range(count):
        text = draws.choice(pool)
        for _ in range(draws.choice((0, 1, 1, 2, 3, 6))):
            place = draws.randint(0, len(text))
            act = draws.randrange(4)
            if act == 0:
                text = text[:place] + draws.choice(pool) + text[place:]
            elif act == 1:
                text = text[:place] + text[place + draws.randint(1, 3) :]
            elif act == 2:
                text = text[:place] + chr(draws.choice((32, 57, 255, 0x2FFF, 0x10FFFF)))
            else:
                text = text[:place] + draws.choice("0123456789./,- in:") + text[place:]
        yield text


def read(text: str, dimension: str) -> str:
    """Return the refusal, or nothing where a finite number was read."""
    unit = DIMENSIONS[dimension].units[0].name
    try:
        found = parse_quantity(text, dimension=dimension, default_unit=unit, label="mouth height")
    except EntryError as refused:
        return str(refused)
    assert math.isfinite(found.value), text
    return ""


def one_sentence(words: str, typed: str) -> bool:
    long_enough = 10 < len(words) < 400 and words.endswith(".") and words.isprintable()
    return long_enough and not leaks(words, typed)


@pytest.mark.parametrize(
    ("typed", "words", "found"),
    [
        ("Error", "width is “Error”; it must start with a number.", []),
        ("1 Error", "width is “1 Error”; the part “Error” is not a unit used here.", []),
        ("”Error“", "width is “”Error“”; it must start with a number.", []),
        ("Error", "width is “Error”; ValueError: no number.", ["Error"]),
        ("Error", "width is “Error”; Traceback (most recent call last).", ["Traceback"]),
        ("”Error“", "width is “”Error“”; KeyError “x”.", ["Error"]),
        ("1 in", "width is “ValueError: 1 in”; it must start with a number.", ["Error"]),
        ("", "width is “None”; 'NoneType' has no length.", ["NoneType"]),
    ],
)
def test_a_leak_is_told_from_an_echo(typed: str, words: str, found: list[str]) -> None:
    assert leaks(words, typed) == found


def test_ten_thousand_entries_are_read_or_refused_in_one_sentence() -> None:
    tried: Counter[str] = Counter()
    names = sorted(DIMENSIONS)
    for place, text in enumerate(typed_texts("read", 10_000 * MANY)):
        refusal = read(text, names[place % len(names)])
        assert refusal == "" or one_sentence(refusal, text), (text, refusal)
        tried["refused" if refusal else "read"] += 1
    assert tried.total() == 10_000 * MANY
    assert min(tried["read"], tried["refused"]) > 500 * MANY  # both ends are met


@pytest.mark.parametrize("page", PAGES.values(), ids=lambda page: page.name)
def test_fuzzed_pages_are_judged(page: Page) -> None:
    wanted = -(-10_000 * MANY // len(PAGES))
    texts = typed_texts(f"judge {page.name}", 2 * wanted + 1000)
    judged, number, states = 0, 0, set()
    while judged < wanted:
        number += 1
        card = issue_card(exercise=page.name, class_code="fuzz", number=1 + number % 20)
        entries = {question.key: next(texts) for question in page.questions}
        for verdict in judge_page(page, card, entries):
            assert math.isfinite(verdict.mark)
            assert 0 <= verdict.mark <= verdict.out_of
            assert verdict.entered == entries[verdict.key]
            states.add(verdict.state)
            if verdict.state == "unreadable":
                assert one_sentence(verdict.reason, verdict.entered), verdict
            judged += 1
        for question in page.questions:
            said = look_again(question, entries[question.key])
            assert said == "" or one_sentence(said, entries[question.key]), (said, entries)
    assert judged >= wanted
    assert {"unreadable", "wrong"} <= states


@settings(max_examples=300 * MANY)
@given(
    st.text(max_size=70) | st.from_regex(r"[-+]?[0-9., /:-]{0,12} ?[a-z%°'\"/]{0,8}"),
    st.sampled_from(sorted(DIMENSIONS)),
)
@example(text="Error", dimension="angle")
@example(text="1 Traceback: None, nan", dimension="length")
@example(text="NoneType ” <class 'int'> “", dimension="force")
def test_whatever_hypothesis_types_is_read_or_refused(text: str, dimension: str) -> None:
    refusal = read(text, dimension)
    assert refusal == "" or one_sentence(refusal, text)


_armed: list[str] | None = None


def _watch(event: str, args: tuple[object, ...]) -> None:
    if _armed is not None and event in WATCHED:
        _armed.append(f"{event} {str(args)[:80]}")


WATCHED = {
    "compile", "exec", "import", "open", "os.system", "os.exec", "os.posix_spawn", "os.remove",
    "subprocess.Popen", "socket.connect", "pickle.find_class", "ctypes.dlopen",
}  # fmt: skip


def test_no_entry_is_evaluated() -> None:
    """Python's own audit tells of every compile, exec, import, open or program started."""
    global _armed
    texts = [
        f"{head}{code}{tail}" for code in CODE for head in ("", "1 + ") for tail in ("", " in")
    ]
    cards = {name: issue_card(exercise=name, class_code="fuzz", number=3) for name in PAGES}

    def judge_all(text: str) -> None:
        for page in PAGES.values():
            judge_page(page, cards[page.name], {q.key: text for q in page.questions})
            for question in page.questions:
                look_again(question, text)

    for text in ("1.0104 in", "3", "A", "nonsense"):
        judge_all(text)  # what is imported late is imported now
    sys.addaudithook(_watch)
    _armed = []
    try:
        for text in texts:
            judge_all(text)
        seen = list(_armed)
        eval("1 + 1")  # the watch itself works
        heard = len(_armed) > len(seen)
    finally:
        _armed = None
    assert heard
    assert seen == []
    assert len(texts) == 4 * len(CODE)
