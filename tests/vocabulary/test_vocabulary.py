"""One word for one thing in every text that a user meets, spelled as in the United States.

Refused words and spellings stand in ``lib/keycourse/glossary.toml``. What is held here beside
them: nothing that is pulled, driven or measured is ever called safe.
"""

from __future__ import annotations

import re
from html import unescape

import pytest
from tests.vocabulary.texts import KINDS, LIB, ROOT, all_texts

from keycourse.glossary import (
    LONGEST_MEANING,
    GlossaryError,
    glossary,
    glossary_table,
    read_glossary,
)

SAFE = re.compile(r"(?<!\w)(?:un)?safe(?:ly|r|st)?(?!\w)", re.IGNORECASE)


@pytest.mark.parametrize("kind", KINDS)
def test_one_word_for_one_thing(kind):
    found = [
        f"{one.file}, {one.place}: “{word}”, say “{use}”"
        for one in KINDS[kind]()
        for word, use in glossary().second_words(one.text, one.file)
    ]
    assert found == []


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_called_safe(kind):
    """A page says what was compared with what; safe is for whoever answers for the work."""
    found = [
        f"{one.file}, {one.place}: {one.text[max(0, m.start() - 40) : m.end() + 20]!r}"
        for one in KINDS[kind]()
        for m in SAFE.finditer(one.text)
    ]
    assert found == []


def test_a_feeler_is_a_gauge_or_one_of_its_leaves():
    """Which of the two is always said: a gauge is tried, a leaf goes in or does not."""
    bare = re.compile(r"(?<![\w])feeler(?! gauge| leaf| leaves| set|\w)", re.IGNORECASE)
    found = [f"{one.file}, {one.place}" for one in all_texts() if bare.search(one.text)]
    assert found == []


def test_every_kind_of_text_is_there():
    for kind, texts in KINDS.items():
        assert len(list(texts())) >= 5, kind
    files = {one.file for one in all_texts()}
    assert {"README.md", "lessons/05-pull.ipynb", "lib/keycourse/pull/words.toml"} <= files


def test_an_exception_is_one():
    """Each allowed text stands where it says, and would be refused without its exception."""
    texts = all_texts()
    for one in glossary().allowed:
        there = [text.text for text in texts if text.file == one.where and one.text in text.text]
        assert there, f"{one.where} no longer holds “{one.text}”"
        assert glossary().second_words(one.text), one.text


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Clamp it in the vice.", ["vise"]),
        ("Grey vice, VICE.", ["gray", "vise", "vise"]),
        ("Advice on devices", []),
        ("Put engineer’s\nblue on it", ["high-spot blue"]),
        ("A safe working load", ["working load"]),
        ("the earth clamp of the set", ["ground clamp"]),
        ("a slide hammer", []),
    ],
)
def test_the_rule_itself(text, found):
    assert [use for _, use in glossary().second_words(text)] == found


def test_words_that_tell_of_safety_pass_and_claims_do_not():
    for text in ("safety-critical", "eye and face safety", "Safety first"):
        assert not SAFE.search(text)
    for text in ("The pull is safe.", "can safely be pulled", "safe to load", "a safer rig"):
        assert SAFE.search(text)


def test_glossary_page_shows_every_word_in_alphabetic_order():
    shown = re.findall(r'<th scope="row">(.*?)</th><td>(.*?)</td>', glossary_table())
    names = [unescape(name) for name, _ in shown]
    assert names == sorted(names, key=str.lower)
    assert len(names) == len(glossary().terms) == len(set(names))
    for term in glossary().terms:
        assert term.meaning.endswith(".")
        assert len(term.meaning) <= LONGEST_MEANING


@pytest.mark.parametrize(
    ("text", "refusal"),
    [
        ('["vise"]\nmeaning = ""', "“vise” has no meaning. Write one or two short sentences."),
        (
            '["vise"]\nmeaning = "Clamps."\nfrench = "étau"',
            "“french” of “vise” is not known; expected is one of: meaning, uk, metric, refused.",
        ),
        (
            '["vise"]\nmeaning = "Clamps."\nrefused = "vice"',
            "“refused” of “vise” must be a list of texts.",
        ),
        (
            '["vise"]\nmeaning = "Clamps."\n["clamp"]\nmeaning = "Holds."\nrefused = ["Vise"]',
            "“Vise” is refused for “clamp” and is a word of its own. Choose one.",
        ),
        (
            '["a"]\nmeaning = "A."\nrefused = ["x"]\n["b"]\nmeaning = "B."\nrefused = ["x"]',
            "“x” is refused for “a” and for “b”. Keep it at one.",
        ),
        (
            '["a"]\nmeaning = "A."\nrefused = ["x"]\n[spelling]\nx = "y"',
            "“x” stands in the spelling and is refused for “a”. Keep it at one.",
        ),
        (
            '[["allowed"]]\ntext = "x"',
            "each [[allowed]] needs a “text”, a “where” and a “why”. Write the three.",
        ),
        (
            f'["a"]\nmeaning = "{"x" * 121}"',
            "the meaning of “a” has 121 characters; it must be at most 120. Shorten it.",
        ),
    ],
)
def test_a_wrong_glossary_is_one_sentence(tmp_path, text, refusal):
    path = tmp_path / "glossary.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(GlossaryError) as refused:
        read_glossary(path)
    assert str(refused.value) == f"{path}: {refusal}"


def test_a_source_can_be_looked_up():
    """A copy on the web, a laboratory's initials or a maker's leaflet is no source."""
    nobody_can_check = re.compile(
        r"web (?:copy|chart|table)|\bLBL\b|\bvendor|universit|maker's catalog"
        r"|question bank|problem collection|grade-marking chart|generic table",
        re.IGNORECASE,
    )
    files = [*LIB.rglob("*.csv"), *LIB.rglob("*.py"), *ROOT.glob("lessons/*.ipynb")]
    files += [*ROOT.glob("tests/published/*.py"), *ROOT.glob("tests/common_practice/*.py")]
    found = [
        f"{path.relative_to(ROOT)}: {one.group()}"
        for path in files
        for one in nobody_can_check.finditer(path.read_text("utf-8"))
    ]
    assert found == []


def test_common_practice_does_not_pass_for_print():
    for path in ROOT.glob("tests/published/*.py"):
        head = path.read_text("utf-8").split('"""')[1]
        assert "common practice" not in head.lower(), path.name
