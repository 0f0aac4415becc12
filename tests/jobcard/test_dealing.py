"""What a thousand apprentices are dealt: every trap for everybody, and nothing to be foretold.

The counts asked for are the course's own rule (``dealing.WANTED``); how far a card may be foretold
is held against chance, with the tolerance said at each check. Nothing here draws readings.
"""

from __future__ import annotations

import functools
from collections import Counter, defaultdict
from collections.abc import Hashable, Sequence

import pytest

from coursework.card import RESIT
from coursework.course import PAGES, draw_card
from keycourse.course import example_card, set_of
from keycourse.dealing import METRIC_SHARE, Deck, deal

CLASSES = ("QQ-26", "NIGHT-7", "a")
NUMBERS = range(1, 1001)
TRAPS = ("cannot tell", "off standard", "short base", "weak rig", "rusted", "not tapped")
WAYS = ("reversed", "ordinary", "cannot tell")
#: Exercises in which the apprentice has to find out which way the hub is on.
ASKING = ("01-measure", "02-taper", "03-key", "04-fit", "05-pull", "06-whole-job")


@functools.cache
def sets(class_code: str, numbers: range = NUMBERS):
    return [set_of(class_code=class_code, number=number) for number in numbers]


def ways_of(dealt) -> list[str]:
    """Return which way the hub is on, exercise by exercise of those that ask."""
    return [next(way for way in WAYS if way in dealt[name].traps) for name in ASKING]


@pytest.mark.parametrize("class_code", CLASSES)
def test_everybody_meets_every_trap(class_code: str) -> None:
    for number, dealt in zip(NUMBERS, sets(class_code), strict=True):
        met = Counter(trap for one in dealt.values() for trap in one.traps)
        assert all(met[trap] for trap in TRAPS), number


@pytest.mark.parametrize("class_code", CLASSES)
def test_everybody_meets_reversed_and_ordinary_hubs_in_two_exercises_each(class_code: str) -> None:
    for number, dealt in zip(NUMBERS, sets(class_code), strict=True):
        ways = Counter(ways_of(dealt))
        assert min(ways["reversed"], ways["ordinary"]) >= 2, number


@pytest.mark.parametrize("class_code", CLASSES)
def test_everybody_has_a_metric_card_and_not_only_such(class_code: str) -> None:
    metric = [sum(one.metric for one in dealt.values()) for dealt in sets(class_code)]
    assert min(metric) >= 1
    assert METRIC_SHARE < sum(metric) / (len(PAGES) * len(metric)) < 1.5 * METRIC_SHARE


@pytest.mark.parametrize("class_code", CLASSES)
def test_every_exercise_of_a_set_is_about_another_machine(class_code: str) -> None:
    for dealt in sets(class_code):
        assert len({one.machine for one in dealt.values()}) == len(PAGES)


@pytest.mark.parametrize("exercise", ASKING)
def test_no_way_is_on_more_than_about_half_of_the_cards(exercise: str) -> None:
    seen = Counter(
        ways_of(dealt)[ASKING.index(exercise)] for code in CLASSES for dealt in sets(code)
    )
    assert max(seen.values()) <= 0.57 * sum(seen.values())  # half, some more, 3 s of 3,000 cards
    assert min(seen["reversed"], seen["ordinary"]) >= 0.15 * sum(seen.values())


def agreement(rows: Sequence[tuple[Hashable, Hashable]]) -> tuple[float, float]:
    """Return how often the best guess of the second from the first is right, and without it.

    The guess is learned on one half of the rows and tried on the other.
    """
    half = len(rows) // 2
    learned, usual = defaultdict(Counter), Counter()
    for known, asked in rows[:half]:
        learned[known][asked] += 1
        usual[asked] += 1
    most = usual.most_common(1)[0][0]
    told = sum(
        asked == (learned[known].most_common(1)[0][0] if known in learned else most)
        for known, asked in rows[half:]
    )
    return told / (len(rows) - half), sum(asked == most for _, asked in rows[half:]) / (
        len(rows) - half
    )


@pytest.mark.parametrize("exercise", ASKING)
def test_a_neighbor_s_cards_tell_nothing(exercise: str) -> None:
    """Within 4 points of the guess without them: 2,000 cards scatter by 1.1 (s) each way."""
    place = ASKING.index(exercise)
    rows = [
        (tuple(ways_of(one)), ways_of(following)[place])
        for code in CLASSES
        for one, following in zip(sets(code), sets(code)[1:], strict=False)
    ]
    told, without = agreement(rows)
    assert told <= without + 0.04


def test_one_s_own_earlier_cards_do_not_foretell_the_next() -> None:
    """Somebody who knows all sets of three classes and which way each earlier hub was on.

    Two of each way and one that cannot be told have to be in a set of six, so the later cards can
    be guessed better than by chance; held here: right on 3 in 5 over all, on none above 4 in 5.
    """
    found = {}
    for place, exercise in enumerate(ASKING):
        rows = [
            (tuple(ways_of(dealt)[:place]), ways_of(dealt)[place])
            for code in CLASSES
            for dealt in sets(code)
        ]
        found[exercise], without = agreement(rows)
        assert found[exercise] <= max(0.8, without)
    assert sum(found.values()) / len(found) <= 0.6


def test_what_is_wrong_with_one_rig_does_not_tell_that_of_the_next() -> None:
    """Each of the three is on two in three of either card; knowing one adds nothing (3 points)."""
    for trap in ("weak rig", "rusted", "not tapped"):
        rows = [
            (trap in dealt["05-pull"].traps, trap in dealt["06-whole-job"].traps)
            for code in CLASSES
            for dealt in sets(code)
        ]
        told, without = agreement(rows)
        assert told <= without + 0.03


def test_the_same_number_in_another_class_tells_nothing() -> None:
    rows = [
        (tuple(ways_of(one)), ways_of(other)[0])
        for one, other in zip(sets(CLASSES[0]), sets(CLASSES[1]), strict=True)
    ]
    told, without = agreement(rows)
    assert told <= without + 0.06  # 500 tried: 2.2 points (s)


@pytest.mark.parametrize("exercise", ASKING)
def test_a_resit_is_dealt_anew(exercise: str) -> None:
    again = [set_of(class_code="QQ-26", number=one, attempt=RESIT) for one in NUMBERS]
    place = ASKING.index(exercise)
    rows = [
        (ways_of(one)[place], ways_of(other)[place])
        for one, other in zip(sets("QQ-26"), again, strict=True)
    ]
    told, without = agreement(rows)
    assert told <= without + 0.07  # 500 tried: 2.2 points (s)
    met = [Counter(trap for one in dealt.values() for trap in one.traps) for dealt in again]
    assert all(one[trap] for one in met for trap in TRAPS)


def test_drawings_of_one_attempt_are_of_one_kind() -> None:
    for drawing in (0, 1, 7, RESIT - 1):
        assert set_of(class_code="QQ-26", number=7, attempt=drawing) == sets("QQ-26")[6]


def test_the_card_is_what_was_dealt() -> None:
    for number in range(1, 13):
        dealt = set_of(class_code="QQ-26", number=number)
        machines = set()
        for exercise in PAGES:
            card = draw_card(class_code="QQ-26", exercise=exercise, number=number)
            assert card.metric == dealt[exercise].metric
            machines.add(card.drive.machine)
        assert len(machines) == len(PAGES)


@pytest.mark.parametrize("metric", [False, True])
def test_the_example_is_in_the_units_asked_for_and_stays_the_same(metric: bool) -> None:
    for exercise in PAGES:
        card = example_card(exercise, metric=metric)
        assert card.metric == metric
        assert card == example_card(exercise, metric=metric)


def test_decks_that_cannot_hold_what_is_wanted_are_refused_in_one_sentence() -> None:
    deck = Deck(exercise="01-only", kinds=("plain",), traps_of=lambda kind: frozenset({kind}))
    with pytest.raises(ValueError, match="no set of cards holds") as caught:
        deal((deck,), class_code="QQ-26", number=1)
    assert str(caught.value) == (
        "no set of cards holds reversed, ordinary, cannot tell, off standard, short base, weak "
        "rig, rusted, not tapped; the kinds of the lessons must hold each in enough exercises. "
        "Look at KINDS and traps_of in the card modules."
    )
