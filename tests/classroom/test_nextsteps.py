"""Who needs what next: few lines, the most pressing first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coursework.course import PAGES
from coursework.mark.signoff import SignOff, tasks
from coursework.room.attempts import Attempts
from coursework.room.classfolder import ClassFolder
from coursework.room.nextsteps import next_steps, who
from coursework.room.outcomes import Outcome, skills_of
from coursework.room.roster import Apprentice
from coursework.room.standings import Standings

ONE_CARD = Attempts(cards=1)
SKILLS = skills_of(PAGES.values())
ALL = [one for page in PAGES.values() for one in page.questions]


def outcome(key, state="right", share=1.0, **more):
    page = next(page.name for page in PAGES.values() if any(q.key == key for q in page.questions))
    out_of = PAGES[page].question(key).marks
    mark = None if share is None else out_of * share
    return Outcome(number=1, page=page, key=key, state=state, mark=mark, out_of=out_of, **more)


@pytest.fixture
def folder(tmp_path):
    people = tuple(Apprentice(number, f"N{number}") for number in range(1, 6))
    return ClassFolder(
        folder=tmp_path, code="QQ-26", title="Keys", roster=people, attempts=ONE_CARD
    )


def steps(folder, **changed):
    """Return the steps of one who has everything right but what is changed."""
    changed = {key.replace("_", "-")[1:]: value for key, value in changed.items()}
    outcomes = [changed.get(one.key, outcome(one.key)) for one in ALL]
    signed = {(1, key): signed_off(key, task) for key, task in tasks().items()}
    return next_steps(Standings(folder, tuple(outcomes), sign_offs=signed), 1)


def signed_off(key, task, *, failed=()):
    return SignOff(
        noted="2026-11-25T12:00:00Z",
        number=1,
        task=key,
        attempt=1,
        date="2026-11-25",
        by="Pat Holt",
        answers=(True,) * len(task.items),
        prompted=False,
        note="",
        marks=int(task.question.marks),
        failed=failed,
        version=task.version,
    )


def test_a_must_that_was_not_passed_comes_first(folder):
    signed = {(1, key): signed_off(key, task) for key, task in tasks().items()}
    signed[1, "05-sign-off"] = signed_off("05-sign-off", tasks()["05-sign-off"], failed=(2,))
    del signed[1, "03-sign-off"]
    outcomes = tuple(outcome(one.key) for one in ALL)
    assert next_steps(Standings(folder, outcomes, sign_offs=signed), 1) == [
        ("safety", "Bench task 05: not passed; watch it again."),
        ("sign off", "Bench task 03: no sign-off yet."),
    ]


def test_all_right_goes_on(folder):
    assert steps(folder) == [("go on", "Nothing open: go on to the next exercise.")]


def test_safety_comes_first_and_names_the_exercise_once(folder):
    keys = ("02-large-end", "02-what-first")
    wrong = {f"_{key}".replace("-", "_"): outcome(key, "wrong", 0.0, critical=True) for key in keys}
    kind, words = steps(folder, **wrong)[0]
    assert kind == "safety"
    assert words == "Large end (02), What first (02): go through it together before any pull."


def test_slips_are_named_and_the_rest_counted(folder):
    made = {
        "_01_clearance": outcome("01-clearance", "slip", 0.0, slip="radius for diameter"),
        "_01_missed_height": outcome("01-missed-height", "blank", 0.0),
    }
    assert steps(folder, **made) == [
        ("practise", "Clearance: radius for diameter; missing height left blank.")
    ]


def test_a_slip_in_a_skill_that_is_in_order_is_only_watched(folder):
    made = {"_01_clearance": outcome("01-clearance", "slip", 0.5, slip="radius for diameter")}
    assert steps(folder, **made) == [("watch", "Radius for diameter (clearance).")]


def test_of_many_weak_skills_the_worst_three_are_told(folder):
    everything = {
        f"_{one.key}".replace("-", "_"): outcome(one.key, "wrong", 0.0)
        for one in ALL
        if not one.by_assessor
    }
    told = steps(folder, **everything)
    assert [kind for kind, _ in told].count("practise") == 3
    kind, words = told[3]
    assert kind == "then"
    weak = [skill for skill, keys in SKILLS.items() if _graded(keys)]
    assert words.count(",") == len(weak) - 3 - 1
    assert all("and" in words or words.count(",") <= 3 for kind, words in told[:3])


def _graded(keys):
    """Tell whether a skill falls under 70 % when all but the assessor's questions are wrong."""
    marks = {one.key: one.marks for one in ALL}
    own = {one.key for one in ALL if one.by_assessor}
    full = sum(marks[key] for key in keys)
    return sum(marks[key] for key in keys if key in own) < 0.7 * full


def test_what_waits_is_last_and_what_is_missing_is_one_line(folder):
    first = next(iter(PAGES.values()))
    outcomes = [
        outcome(one.key, "waiting", None) if one.by_assessor else outcome(one.key)
        for one in first.questions
    ]
    told = next_steps(Standings(folder, tuple(outcomes)), 1)
    missing = ", ".join(name for name in PAGES if name != first.name)
    assert told[0] == ("hand in", f"{missing}: not handed in.")
    assert told[-1][0] == "wait"


def test_a_skill_that_wants_another_card_says_so(tmp_path):
    folder = ClassFolder(folder=tmp_path, code="QQ-26", title="Keys", roster=(Apprentice(1, "N1"),))
    # a sign-off without prompting counts as the second card; one that was prompted does not
    assert [words for kind, words in steps(folder) if kind == "sit again"] == []
    outcomes = tuple(outcome(one.key) for one in ALL)
    signed = {
        (1, key): replace(signed_off(key, task), prompted=True) for key, task in tasks().items()
    }
    told = next_steps(Standings(folder, outcomes, sign_offs=signed), 1)
    assert [words for kind, words in told if kind == "sit again"] == [
        "Make it ready, check its strength, judge a fitting: safety-critical, on one more card."
    ]


def test_everyone_is_a_word(folder):
    assert who(folder, [1, 2, 3, 4, 5]) == "everyone"
    assert who(folder, [2, 4]) == "N2 (2), N4 (4)"
