"""The judging of entries: read, compared, slips named, errors carried forward.

A form, a marker and a test all use the same judgment. A question that *needs*
earlier entries is judged on the apprentice's own earlier entries first, then on
the right ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress

from coursework.card import JobCard
from coursework.carrying import FROM_NOTHING, from_nothing, has_footing
from coursework.question import (
    LONGEST_WRITTEN,
    Answer,
    Choice,
    Given,
    Measure,
    Ordering,
    Page,
    PictureMarks,
    Question,
    State,
    Verdict,
    Written,
    letters_of,
)
from coursework.slips import slip_of
from taperkey.units import (
    EntryError,
    Quantity,
    from_internal,
    number_text,
    parse_quantity,
    quantity_text,
    to_internal,
)

__all__ = [
    "agrees", "judge", "judge_page", "look_again", "read_answer", "right_answers", "show_answer",
]  # fmt: skip


def read_answer(question: Question, text: str) -> Answer:
    """Read a typed or chosen entry.

    Raises
    ------
    EntryError
        One sentence, where it cannot be read.
    """
    kind = question.kind
    if isinstance(kind, Measure):
        return _typed(question.label, kind, text).value
    if isinstance(kind, Choice):
        if text not in kind.options:
            raise EntryError(
                f"{question.label} is not one of the answers offered; choose one of them again."
            )
        return text
    if isinstance(kind, (PictureMarks, Ordering)):
        offered = kind.options if isinstance(kind, PictureMarks) else letters_of(len(kind.steps))
        letters = tuple(
            letter
            for part in text.replace(",", " ").upper().split()
            for letter in (part if set(part) <= set(offered) else (part,))  # "BFD" is B F D
        )
        bad = [part for part in letters if part not in offered]
        if bad:
            raise EntryError(
                f"{question.label} has “{_plain(bad[0][:12])}”; the letters must be from "
                f"{offered[0]} to {offered[-1]}. Write them with spaces between."
            )
        if isinstance(kind, Ordering):
            if sorted(letters) != sorted(offered):
                raise EntryError(
                    f"{question.label} has {len(letters)} letters; each of the "
                    f"{len(offered)} steps must be there once."
                )
            return kind.own(letters)
        return tuple(sorted(set(letters)))
    return text


def _typed(label: str, kind: Measure, text: str) -> Quantity:
    """Read a number with its unit; the range asked for decides what a comma means."""
    low, high = (
        to_internal(end, dimension=kind.dimension, unit=kind.unit) for end in (kind.low, kind.high)
    )
    return parse_quantity(
        text,
        dimension=kind.dimension,
        default_unit=kind.unit,
        label=label,
        within=(low, high),
    )


def _plain(text: str) -> str:
    """Return text without signs that cannot be shown."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)


def show_answer(question: Question, answer: Answer) -> str:
    """Write an answer with its unit, for a worked solution or a feedback page."""
    if isinstance(answer, tuple):
        kind = question.kind
        return " ".join(kind.as_shown(answer) if isinstance(kind, Ordering) else answer)
    if isinstance(answer, str) or not isinstance(question.kind, Measure):
        return str(answer)
    kind = question.kind
    return quantity_text(answer, dimension=kind.dimension, unit=kind.unit, places=kind.places)


def look_again(question: Question, text: str) -> str:
    """Return one sentence about the form of an entry, or nothing; never about its rightness."""
    try:
        answer = read_answer(question, text)
    except EntryError as error:
        return str(error)
    kind = question.kind
    if isinstance(kind, Measure) and isinstance(answer, float):
        number = from_internal(answer, dimension=kind.dimension, unit=kind.unit)
        if not kind.low <= number <= kind.high:
            return (
                f"{question.label} reads as {number_text(number)} {kind.unit}".rstrip()
                + f"; that is outside {number_text(kind.low)} to {number_text(kind.high)}"
                + f" {kind.unit}".rstrip()
                + ". It is saved; look at the decimal point and the unit once more."
            )
    if isinstance(kind, Written) and len(text) > LONGEST_WRITTEN:
        return (
            f"{question.label} has {len(text)} characters; it must be {LONGEST_WRITTEN} or "
            "fewer. Shorten it before you hand in."
        )
    return ""


def right_answers(page: Page, card: JobCard) -> dict[str, Answer]:
    """Return the right answer to every question of the page that has one, in order."""
    answers: dict[str, Answer] = {}
    for question in page.questions:
        if not question.by_assessor:
            answers[question.key] = question.on(card).expected(card, answers)
    return answers


def agrees(answer: Answer, wanted: Answer, tolerance: float) -> bool:
    """Return whether an answer is the one that is wanted."""
    if isinstance(answer, float) and isinstance(wanted, (int, float)):
        return abs(answer - wanted) <= tolerance * (1 + 1e-9)
    return answer == wanted


def judge(
    question: Question,
    card: JobCard,
    text: str,
    *,
    own: Given | None = None,
    paper: Given | None = None,
    right: Given | None = None,
    without: Mapping[str, str] | None = None,
) -> Verdict:
    """Judge one entry.

    Parameters
    ----------
    question : Question
        What was asked.
    card : JobCard
        The job card it was asked on.
    text : str
        The entry as typed.
    own, paper, right : mapping, optional
        Earlier answers as typed, the same with slips of writing put right, and the right ones.
    without : mapping of str to str, optional
        Earlier entries without footing: label by key. An answer that needs these alone earns
        nothing.

    Returns
    -------
    Verdict
        Mark and reason.
    """
    right = right or {}
    own = own or right
    paper = paper or own
    question = question.on(card)

    def verdict(state: State, share: float, reason: str, slip: str = "") -> Verdict:
        passed = state in ("right", "carried")
        critical = bool(question.critical) and not passed
        if critical:
            reason = f"{reason} {question.critical}"
        return Verdict(
            key=question.key,
            state=state,
            mark=question.marks * share,
            out_of=question.marks,
            reason=reason,
            slip=slip,
            entered=text,
            critical=critical,
        )

    if question.by_assessor:
        if isinstance(question.kind, Written) and not text.strip():
            return verdict("blank", 0.0, "Nothing was written.")
        return verdict("waiting", 0.0, "The assessor marks this one.")
    if not text.strip():
        return verdict("blank", 0.0, "Left blank.")
    try:
        answer = read_answer(question, text)
    except EntryError as error:
        return verdict("unreadable", 0.0, str(error))
    wanted = question.expected(card, right)
    tolerance = question.tolerated(card, right)
    afloat = bool(question.needs) and all(key in (without or {}) for key in question.needs)
    if agrees(answer, wanted, tolerance):
        if afloat:
            return verdict("slip", 0.0, from_nothing(question, without or {}), FROM_NOTHING)
        return verdict("right", 1.0, "Right.")
    givens: list[Given] = [right]
    for earlier in (own, paper):
        if all(earlier.get(key) == right.get(key) for key in question.needs):
            continue
        try:
            carried = question.expected(card, earlier)
            if agrees(answer, carried, question.tolerated(card, earlier)):
                return verdict(
                    "carried", 1.0, "Right, worked on from your earlier entry, which was off."
                )
        except (ArithmeticError, ValueError, LookupError):
            continue
        if earlier is paper:
            givens.insert(0, paper)
    kind = question.kind
    rounding = _typed(question.label, kind, text).half_place if isinstance(kind, Measure) else 0.0
    slip = slip_of(question, card, answer, givens, rounding=rounding)
    if slip:
        return verdict("slip", 0.0 if afloat else slip.share, slip.sentence, slip.name)
    hint = question.hint or "Go through the steps of the lesson again with the card beside you."
    return verdict("wrong", 0.0, f"Not what the readings on the card support. {hint}")


def judge_page(page: Page, card: JobCard, entries: Mapping[str, str]) -> tuple[Verdict, ...]:
    """Judge every question of a page, errors carried forward.

    What is carried is an entry that somebody can have come to with this card in hand
    (``carrying.has_footing``). For any other the right one stands in, and what was worked on
    from such entries alone earns nothing. From a slip of writing it is carried both ways: as it
    stands in the box, and as it was on the paper.

    Parameters
    ----------
    page : Page
        The exercise.
    card : JobCard
        The apprentice's job card for it.
    entries : mapping of str to str
        Raw text by question key; what is missing counts as blank.

    Returns
    -------
    tuple of Verdict
        One a question, in the page's order.
    """
    right = right_answers(page, card)
    own, paper = dict(right), dict(right)
    without: dict[str, str] = {}  # key and label of the entries that nothing is worked on from
    verdicts = []
    for asked in page.questions:
        text = entries.get(asked.key, "")
        verdict = judge(asked, card, text, own=own, paper=paper, right=right, without=without)
        verdicts.append(verdict)
        if asked.by_assessor:
            continue
        question = asked.on(card)
        if has_footing(question, verdict, right=right[asked.key], without=without):
            own[asked.key] = read_answer(question, verdict.entered)
            paper[asked.key] = own[asked.key]
            if any(slip.of_writing for slip in question.slips if slip.name == verdict.slip):
                with suppress(ArithmeticError, ValueError, LookupError):
                    paper[asked.key] = question.expected(card, paper)
        else:
            without[asked.key] = question.label
    return tuple(verdicts)
