"""Patterns of marks: what each stage must show for its question to have one answer."""

import pytest

from coursework.draws import Draws
from keycourse.fit.card import (
    BLUE,
    BRIGHT,
    THINNED,
    ZONES,
    draw_pattern,
)

STAGES = ("first", "following", "ordinary", "large end", "sides", "smeared", "one end filed")


def patterns(stage: str):
    return [draw_pattern(draws=Draws(f"{stage}:{seed}"), stage=stage) for seed in range(200)]


@pytest.mark.parametrize("stage", STAGES)
def test_each_face_bears_somewhere_and_is_blue_somewhere(stage: str) -> None:
    for pattern in patterns(stage):
        for face in (pattern.top, pattern.bottom):
            assert len(face) == ZONES
            assert set(face) <= {BLUE, THINNED, BRIGHT}
            assert BRIGHT in face
            assert BLUE in face


def test_marks_grow_from_the_first_push_to_the_last() -> None:
    shares = [
        sum(pattern.both.count(BRIGHT) for pattern in patterns(stage))
        for stage in ("first", "following", "ordinary", "ready")
    ]
    assert shares == sorted(shares)
    assert shares[0] < shares[1] < shares[-1]


def test_one_end_bears_where_the_other_is_untouched() -> None:
    for large, small in zip(patterns("large end"), patterns("one end filed"), strict=True):
        for face in (large.top, large.bottom):
            assert face[0] == BRIGHT
            assert set(face[3:]) == {BLUE}
        for face in (small.top, small.bottom):
            assert face[-1] == BRIGHT
            assert set(face[:3]) == {BLUE}


def test_late_marks_run_the_whole_length() -> None:
    for pattern in patterns("ready"):
        for face in (pattern.top, pattern.bottom):
            assert face[0] == face[-1] == BRIGHT
            assert face.count(BRIGHT) >= ZONES - 1


def test_the_same_seed_gives_the_same_marks() -> None:
    assert patterns("ordinary") == patterns("ordinary")
    assert len(set(patterns("ordinary"))) > 50
