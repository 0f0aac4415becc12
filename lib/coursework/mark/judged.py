"""A hand-in judged: its record as it would be today; nothing is written.

The card is drawn again from class, exercise and number, and of the hand-in the text is taken,
nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import datetime

from coursework.course import PAGES, issue_card
from coursework.judging import judge_page
from coursework.mark.kept import Kept
from coursework.mark.records import MarkRecord, Moderation, Sitting, Work
from coursework.mark.versions import card_version, marker_version, question_version
from coursework.mark.whose import better_fit
from coursework.page.handin import HandIn
from coursework.question import Verdict

__all__ = ["MarkingError", "judge_hand_in", "judged", "sittings_of", "stands", "work_of"]


class MarkingError(RuntimeError):
    """The class, or one hand-in, cannot be marked; the text is one sentence and what to do."""


def judged(
    *,
    one: Kept,
    class_code: str,
    acts: tuple[Moderation, ...] = (),
    others: Iterable[int] = (),
) -> MarkRecord:
    """Return the record of a kept hand-in, judged today; nothing is written.

    Parameters
    ----------
    one : Kept
        The hand-in.
    class_code : str
        The class, such as "QQ-26".
    acts : tuple of Moderation, optional
        Every moderation of this apprentice and exercise.
    others : iterable of int, optional
        Numbers whose job cards the answers are tried on as well.

    Raises
    ------
    MarkingError
        One sentence, where it cannot be judged.
    """
    hand_in = one.hand_in
    number, exercise = hand_in.number, hand_in.page
    verdicts = judge_hand_in(hand_in=hand_in, class_code=class_code, number=number)
    card = issue_card(
        exercise=exercise, class_code=class_code, number=number, attempt=hand_in.attempt
    )
    return MarkRecord(
        number=number,
        exercise=exercise,
        class_code=class_code,
        hand_in=one.sha256,
        made=hand_in.made,
        page_version=hand_in.page_version,
        question_version=question_version(PAGES[exercise]),
        marker_version=marker_version(),
        verdicts=verdicts,
        card_version=card_version(page=PAGES[exercise], card=card),
        came=one.came,
        emptied=one.emptied,
        moderated=acts,
        fits=better_fit(
            exercise=exercise,
            class_code=class_code,
            number=number,
            others=others,
            entries=hand_in.entries,
            verdicts=verdicts,
            attempt=hand_in.attempt,
        ),
        attempt=hand_in.attempt,
        sittings=sittings_of(one, class_code=class_code),
        work=work_of(hand_in),
    )


def work_of(hand_in: HandIn) -> Work:
    """Return what a hand-in says of how it was worked."""
    times = sorted(datetime.fromisoformat(time) for time in hand_in.saved.values())
    after = None
    if times and hand_in.code_typed:
        typed = datetime.fromisoformat(hand_in.code_typed)
        after = round((typed - times[-1]).total_seconds() / 3600, 1)
    return Work(
        sealed=bool(hand_in.seal),
        minutes=round((times[-1] - times[0]).total_seconds() / 60, 1) if times else None,
        practiced=hand_in.practiced,
        code_after_h=after,
    )


def sittings_of(one: Kept, *, class_code: str) -> tuple[Sitting, ...]:
    """Return what each attempt came to, in order; nothing where there is only one.

    Raises
    ------
    MarkingError
        One sentence, where an attempt cannot be judged.
    """
    if not one.others:
        return ()
    every = sorted((one, *one.others), key=lambda each: each.hand_in.attempt)
    return tuple(_sitting(each, class_code) for each in every)


def _sitting(one: Kept, class_code: str) -> Sitting:
    hand_in = one.hand_in
    verdicts = judge_hand_in(hand_in=hand_in, class_code=class_code, number=hand_in.number)
    judged = [each for each in verdicts if each.state != "waiting"]
    page = PAGES[hand_in.page]
    wrong = tuple(each.key for each in verdicts if each.critical)
    return Sitting(
        attempt=hand_in.attempt,
        hand_in=one.sha256,
        made=hand_in.made,
        mark=sum(each.mark for each in judged),
        out_of=sum(each.out_of for each in judged),
        right=tuple(each.key for each in page.questions if each.critical and each.key not in wrong),
        wrong=wrong,
    )


def judge_hand_in(*, hand_in: HandIn, class_code: str, number: int) -> tuple[Verdict, ...]:
    """Judge a hand-in on the job card of this class and number, whatever the file says.

    Raises
    ------
    MarkingError
        One sentence, where it cannot be judged.
    """
    try:
        card = issue_card(
            exercise=hand_in.page,
            class_code=class_code,
            number=number,
            attempt=hand_in.attempt,
        )
        verdicts = judge_page(PAGES[hand_in.page], card, hand_in.entries)
    except (ArithmeticError, ValueError, LookupError) as error:
        raise MarkingError(
            f"it could not be judged ({error}). Tell whoever looks after the course; the hand-in "
            "is kept."
        ) from error
    for verdict in verdicts:
        if not (math.isfinite(verdict.mark) and 0 <= verdict.mark <= verdict.out_of):
            raise MarkingError(
                f"the mark of {verdict.key} is {verdict.mark:g}; it must be from 0 to "
                f"{verdict.out_of:g}. Tell whoever looks after the course; the hand-in is kept."
            )
    return verdicts


def stands(record: MarkRecord, one: Kept) -> bool:
    """Return whether a record is of this very hand-in, by the questions and marker of today."""
    return bool(
        record.hand_in == one.sha256
        and record.question_version == question_version(PAGES[record.exercise])
        and record.marker_version == marker_version()
        and record.card_version
        and {each.hand_in for each in record.sittings if each.hand_in != record.hand_in}
        == {other.sha256 for other in one.others}
    )
