"""The ten questions of a check, in each of its three forms: values here, words in TOML."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from coursework.question import Answer, Choice, Fact, Given, Measure, Page, Question
from coursework.words import Words
from keycourse.check.card import FORMS, CheckCard
from keycourse.common import FORCE

__all__ = ["PAGES"]

_HERE = Path(__file__).parent
_PER_FOOT = 1 / 8  # the inch standard's taper, which these questions name
_ISOLATOR = {
    "lock": "off, with the day shift's lock on it; none of yours",
    "try": "off, with your own lock and tag on it",
    "block": "off, with your own lock and tag on it",
    "go": "off, with your own lock and tag on it",
}
_SPOTS = {
    "more": "near the large end only",
    "less": "near the small end only",
    "same": "evenly, all along",
}
_TOLERANCE_IN = 0.0006  # a reading's last place and a half

Facts = Callable[[CheckCard], Sequence[Fact]]


def _inches(value: float) -> str:
    return f"{value:.4f} in"


def _thickness(card: CheckCard, given: Given) -> float:
    return 0.1 * card.sleeve + 0.025 * card.lines + 0.001 * card.thimble


def _height(card: CheckCard, given: Given) -> float:
    low, middle, high = sorted(card.readings_in)
    return (low + middle) / 2 if middle - low < high - middle else (middle + high) / 2


def _per_foot(card: CheckCard, given: Given) -> float:
    return (card.mouth_in - card.inside_in) / card.base_in  # a taper is a number, inch by inch


def _large_end(card: CheckCard, given: Given) -> float:
    return card.small_in + card.length_in * _PER_FOOT / 12


def _too_high(card: CheckCard, given: Given) -> float:
    return card.travel_in * _PER_FOOT / 12


def _weakest(card: CheckCard, given: Given) -> float:
    return float(min(card.carries_lbf))


def _reading_facts(card: CheckCard) -> Sequence[Fact]:
    return (
        Fact("Range of the micrometer", "0 to 1 in"),
        Fact("Last number out on the sleeve", str(card.sleeve)),
        Fact("Lines out after that number", str(card.lines)),
        Fact("Thimble line at the index line", str(card.thimble)),
    )


def _height_facts(card: CheckCard) -> Sequence[Fact]:
    return [Fact(f"Reading {n}", _inches(one)) for n, one in enumerate(card.readings_in, 1)]


def _slot_facts(card: CheckCard) -> Sequence[Fact]:
    return (
        Fact("Height at the mouth", _inches(card.mouth_in)),
        Fact("Height inside", _inches(card.inside_in)),
        Fact("Between the two", f"{card.base_in:g} in"),
    )


def _end_facts(card: CheckCard) -> Sequence[Fact]:
    return (
        Fact("Height at the mouth", _inches(card.ends_in[0])),
        Fact("Height 4 in inside", _inches(card.ends_in[1])),
        Fact("Each of them may be out by", "0.0005 in"),
    )


def _key_facts(card: CheckCard) -> Sequence[Fact]:
    return (
        Fact("Height at the small end", _inches(card.small_in)),
        Fact("Length", f"{card.length_in:g} in"),
    )


def _travel_facts(card: CheckCard) -> Sequence[Fact]:
    return (Fact("Still to go in", f"{card.travel_in:g} in"),)


def _spots_facts(card: CheckCard) -> Sequence[Fact]:
    return (Fact("Bright spots, top and bottom", _SPOTS[card.spots]),)


def _rig_facts(card: CheckCard) -> Sequence[Fact]:
    names = ("Rod", "Nut", "Chain", "Jack")
    return [Fact(n, f"{one:,} lbf") for n, one in zip(names, card.carries_lbf, strict=True)]


def _pull_facts(card: CheckCard) -> Sequence[Fact]:
    low, high = card.pull_lbf
    known = "not worked out" if card.decision == "first" else f"{low:,} to {high:,} lbf"
    return (
        Fact("Pull that is expected", known),
        Fact("The weakest part of the rig carries", f"{card.limit_lbf:,} lbf"),
    )


def _drive_facts(card: CheckCard) -> Sequence[Fact]:
    return (
        Fact("Disconnect", _ISOLATOR[card.missing]),
        Fact("Start button", "not tried yet" if card.missing == "try" else "tried, all still"),
        Fact("Load", "hangs on the drive" if card.missing == "block" else "blocked"),
    )


def _page(name: str) -> Page:
    form = name.removeprefix("check-")
    words = Words(_HERE / f"{form}.toml", _HERE / "common.toml")

    def length(key: str, value: Callable[[CheckCard, Given], float], facts: Facts) -> Question:
        return words.question(
            f"{form}-{key}",
            kind=Measure(dimension="length", unit="in", low=0.001, high=3, places=4),
            expected=value,
            tolerance=lambda card, given: min(_TOLERANCE_IN, 0.03 * value(card, given)),
            facts=facts,
        )

    def choice(key: str, right: Callable[[CheckCard], str], facts: Facts) -> Question:
        said = words.options(f"{form}-{key}")

        def expected(card: CheckCard, given: Given) -> Answer:
            return said[right(card)]

        return words.question(
            f"{form}-{key}",
            kind=Choice(options=tuple(said.values())),
            expected=expected,
            facts=facts,
        )

    return words.page(
        reckoned=(
            length("reading", _thickness, _reading_facts),
            length("height", _height, _height_facts),
            words.question(
                f"{form}-per-foot",
                kind=Measure(dimension="taper", unit="in/ft", low=0.03, high=0.5),
                expected=_per_foot,
                tolerance=lambda card, given: 0.001 / 12,
                facts=_slot_facts,
            ),
            choice("large-end", lambda card: card.end, _end_facts),
            length("key", _large_end, _key_facts),
            length("travel", _too_high, _travel_facts),
            choice("spots", lambda card: card.spots, _spots_facts),
            words.question(f"{form}-weakest", kind=FORCE, expected=_weakest, facts=_rig_facts),
            choice("decide", lambda card: card.decision, _pull_facts),
            choice("first", lambda card: card.missing, _drive_facts),
        ),
        facts=lambda card: (),
    )


PAGES = tuple(_page(name) for name in FORMS)
