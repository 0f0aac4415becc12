"""The engine's own look at a course: how it is found, and which cards are clear."""

from __future__ import annotations

import importlib.util
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from importlib.metadata import EntryPoint
from pathlib import Path

import pytest

from coursework import course as engine
from coursework.card import RESIT, JobCard, require_class_code
from coursework.course import Course, issue_card, unclear
from coursework.question import Choice, Measure, Page, Question, Slip

POUNDS = Measure(dimension="force", unit="lbf", low=0, high=900, places=0)


@dataclass(frozen=True, kw_only=True)
class Load(JobCard):
    drawing: int


def question(
    right: float | str, *slips: float | str | None, tolerance: float = 2.0, writing: bool = False
) -> Question:
    kind = POUNDS if isinstance(right, float) else Choice(options=("yes", "no", "none"))
    made = (
        Slip(
            name=f"slip {turn}",
            value=lambda card, given, one=one: one,
            sentence="",
            of_writing=writing,
        )
        for turn, one in enumerate(slips, 1)
    )
    return Question(key="load", skill="load", label="Load", ask="?", marks=1, kind=kind,
                    expected=lambda card, given: right, tolerance=lambda card, given: tolerance,
                    slips=tuple(made))  # fmt: skip


@pytest.fixture
def use() -> Iterator[Callable[..., Course]]:
    """Put a course of one page in use, which says why its drawings are not clear."""
    before = engine.course()

    def put(*questions: Question, doubt: Mapping[int, str] | None = None) -> Course:
        page = Page(
            name="01-load", title="Load", questions=questions,
            unclear=lambda card, given: (doubt or {}).get(card.drawing, ""),
        )  # fmt: skip

        def draw(*, attempt: int, **whose: object) -> Load:
            return Load(drawing=attempt, attempt=attempt, **whose)

        made = Course(pages=(page,), draw=draw, head=lambda card: (), modules=(),
                      folder=Path("loads"), pass_share=0.5)  # fmt: skip
        engine.use(made)
        return made

    yield put
    engine.use(before)


def card_of(attempt: int = 1) -> JobCard:
    return issue_card(exercise="01-load", class_code="QQ-26", number=7, attempt=attempt)


def test_the_first_clear_drawing_is_issued_and_a_resit_draws_its_own(use) -> None:
    use(question(100.0), doubt={0: "near", 1: "near", RESIT: "near"})
    assert (card_of().attempt, card_of(2).attempt, card_of(3).attempt) == (2, RESIT + 1, 2 * RESIT)
    assert issue_card(exercise="01-load", class_code="QQ-26", number=7) == card_of(1)
    assert not card_of().metric


def test_another_course_draws_other_cards(use) -> None:
    use(question(100.0))
    assert card_of().attempt == 0
    use(question(100.0), doubt={0: "near"})
    assert card_of().attempt == 1


def test_a_card_that_is_never_clear_is_told_after_two_hundred_drawings(use) -> None:
    use(question(100.0), doubt=dict.fromkeys(range(199), "near"))
    assert card_of().attempt == 199
    use(question(100.0), doubt=dict.fromkeys(range(200), "near"))
    with pytest.raises(
        ValueError,
        match=r"^job card QQ-26/01-load/7 could not be made clear in 200 drawings\. Tell whoever "
        r"looks after the course\.$",
    ):
        card_of()


@pytest.mark.parametrize(
    ("asked", "why"),
    [
        # with 2 lbf either way what is 4 lbf apart is told apart, and what is nearer is not
        (question(100.0, 104.0), ""),
        (question(100.0, 96.0), ""),
        (question(100.0, 103.9), "load: “slip 1” and “right” give the same value"),
        (question(100.0, 96.1), "load: “slip 1” and “right” give the same value"),
        # two slips need a tenth of that
        (question(100.0, 120.0, 120.4), ""),
        (question(100.0, 120.0, 120.3), "load: “slip 2” and “slip 1” give the same value"),
        (question(100.0, 120.0, 140.0, 120.0), "load: “slip 3” and “slip 1” give the same value"),
        # one that cannot happen on this card, or is of writing, is near to nothing
        (question(100.0, None, 120.0), ""),
        (question(100.0, 100.0, writing=True), ""),
        (question("yes", "no"), ""),
        (question("yes", "no", "none"), ""),
        (question("yes", "yes"), "load: “slip 1” and “right” give the same value"),
        (question("yes", "no", "no"), "load: “slip 2” and “slip 1” give the same value"),
    ],
)  # fmt: skip
def test_a_card_is_clear_where_each_slip_gives_another_value(
    use, asked: Question, why: str
) -> None:
    page = use(asked).pages[0]
    card = Load(class_code="QQ-26", exercise="01-load", number=7, attempt=0, drawing=0)
    assert unclear(page, card) == why


def test_a_page_says_itself_where_its_readings_leave_room_for_doubt(use) -> None:
    page = use(question(100.0, 140.0), doubt={3: "load: the readings nearly tell"}).pages[0]
    card = Load(class_code="QQ-26", exercise="01-load", number=7, attempt=3, drawing=3)
    assert unclear(page, card) == "load: the readings nearly tell"
    assert unclear(page, replace(card, drawing=4)) == ""


def test_a_question_is_found_by_its_key(use) -> None:
    use(question(100.0))
    assert engine.page_of("load").name == "01-load"
    with pytest.raises(LookupError, match="^question '02-other' is not in the bank$"):
        engine.page_of("02-other")
    assert (len(engine.PAGES), list(engine.PAGES)) == (1, ["01-load"])
    assert engine.course_folder() == Path("loads")


def test_a_course_without_a_check_has_no_card_for_one(use) -> None:
    made = use(question(100.0))
    assert (made.edition, made.changed, made.checks) == (1, "", ())
    with pytest.raises(LookupError, match="^this course has no check$"):
        made.draw_check(class_code="QQ-26", exercise="check-before", number=7)


def test_an_exercise_of_another_name_is_shown_in_short(use) -> None:
    use(question(100.0))
    with pytest.raises(ValueError, match="must be one of") as refused:
        engine.draw_card(class_code="QQ-26", exercise=31 * "x", number=7)
    assert str(refused.value) == f"exercise is “{30 * 'x'}”; it must be one of: 01-load."


def test_pages_lie_in_the_package_where_it_is_installed_and_beside_it_in_a_checkout(
    use, tmp_path: Path
) -> None:
    made = use(question(100.0))
    package = tmp_path / "lib" / "loads"
    engine.use(replace(made, folder=package))
    assert engine.exercises_folder() == tmp_path / "exercises"
    (package / "pages" / "exercises").mkdir(parents=True)
    assert engine.exercises_folder() == package / "pages" / "exercises"


def test_without_a_course_there_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "_in_use", [])
    monkeypatch.setattr(engine, "entry_points", lambda **_: [])
    for ask in (engine.course, engine.course_folder):
        with pytest.raises(ValueError, match=r"^No course is installed\. Install one, such as tap"):
            ask()


@pytest.mark.parametrize("found", ["nowhere", "no file"])
def test_a_course_whose_module_is_missing_is_told(
    monkeypatch: pytest.MonkeyPatch, found: str
) -> None:
    entry = EntryPoint("loads", "loads.course:COURSE", "coursework.course")
    spec = importlib.util.spec_from_loader("loads.course", None)
    monkeypatch.setattr(engine, "_in_use", [])
    monkeypatch.setattr(engine, "entry_points", lambda **_: [entry])
    monkeypatch.setattr(engine, "find_spec", lambda _: spec if found == "no file" else None)
    with pytest.raises(
        ValueError,
        match=r"^The course's module loads\.course is missing\. Install the course again\.$",
    ):
        engine.course_folder()


@pytest.mark.parametrize("code", ["a", "QQ-26", "0-9", "x" * 24])
def test_class_codes_of_1_to_24_signs_are_codes(code: str) -> None:
    require_class_code(code)


@pytest.mark.parametrize(
    ("code", "shown"),
    [
        ("", ""),
        ("-a", "-a"),
        ("a b", "a b"),
        ("käse", "käse"),
        ("a\n", "a\n"),
        (23 * "x" + "!", 23 * "x" + "!"),
        (25 * "x", 24 * "x" + "…"),
        (4000 * "x", 24 * "x" + "…"),
    ],
)
def test_what_is_no_class_code_is_shown_and_a_long_one_in_short(code: str, shown: str) -> None:
    with pytest.raises(ValueError, match="must be") as refused:
        require_class_code(code)
    assert str(refused.value) == (
        f"class code is “{shown}”; it must be 1 to 24 letters, digits and hyphens, such as QQ-26. "
        "Ask the instructor for the code of your class."
    )
