"""Too good, too fast, too alike: what an instructor may want to ask about.

Each flag is one sentence and ends in what to ask. It is told in the report and by ``class status``,
never to an apprentice, and it changes no mark. Nothing here proves anything: whoever practiced on
paper is fast, and neighbors at a bench make the same slips.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from coursework.course import PAGES
from coursework.mark.records import MarkRecord
from coursework.mark.replaced import read_replaced
from coursework.room.nextsteps import who
from coursework.room.seals import FILE as CARD_KEY
from coursework.room.standings import Standings
from taperkey.counts import counted

__all__ = ["A_QUESTION", "flags"]

A_QUESTION = (
    "Each of these is a question to ask, and no verdict: there may be a good reason. No mark "
    "depends on it, and the apprentices are not told."
)
MOST_ALIKE = 3  # with more people it is a slip of the class: teach it again


def flags(standings: Standings) -> list[tuple[str, str]]:
    """Return what to ask about, as a word for the kind and a sentence."""
    folder = standings.class_folder.folder
    found: list[tuple[str, str]] = []
    for page in PAGES:
        own = {
            number: record for (number, name), record in standings.records.items() if name == page
        }
        found += _fast(standings, page, own)
        found += _alike(standings, page, own)
        found += _late_code(standings, page, own)
        found += _unsealed(standings, page, own, folder)
    return found


def _fast(standings: Standings, page: str, own: Mapping[int, MarkRecord]) -> list[tuple[str, str]]:
    again = {(one.number, one.exercise) for one in read_replaced(standings.class_folder.folder)}
    limit = standings.class_folder.flag_rules.fast_minutes
    return [
        (
            "fast",
            f"{who(standings.class_folder, [number])}, {page}: every entry right at the first "
            f"hand-in, all typed within {_minutes(record.work.minutes)}, and no practice question "
            "tried; ask how one of them was worked out.",
        )
        for number, record in own.items()
        if record.work.practiced == 0
        and record.work.minutes is not None
        and record.work.minutes < limit
        and record.attempt == 1
        and (number, page) not in again
        and _all_right(record)
    ]


def _minutes(minutes: float) -> str:
    return counted(max(1, round(minutes)), "minute")


def _all_right(record: MarkRecord) -> bool:
    page = PAGES[record.exercise]
    by_assessor = {one.key for one in page.questions if one.by_assessor}
    return all(one.state == "right" for one in record.verdicts if one.key not in by_assessor)


def _alike(standings: Standings, page: str, own: Mapping[int, MarkRecord]) -> list[tuple[str, str]]:
    fewest = standings.class_folder.flag_rules.same_slips
    groups: dict[tuple[tuple[str, str], ...], list[int]] = {}
    for number, record in sorted(own.items()):
        slips = tuple((one.key, one.slip) for one in record.verdicts if one.slip)
        if len(slips) >= fewest:
            groups.setdefault(slips, []).append(number)
    return [
        (
            "alike",
            f"{who(standings.class_folder, numbers)}, {page}: the same {len(slips)} slips at the "
            "same questions, each on their own card; ask each of them how they came to one.",
        )
        for slips, numbers in groups.items()
        if 1 < len(numbers) <= MOST_ALIKE
    ]


def _late_code(
    standings: Standings, page: str, own: Mapping[int, MarkRecord]
) -> list[tuple[str, str]]:
    limit = standings.class_folder.flag_rules.code_after_hours
    return [
        (
            "code",
            f"{who(standings.class_folder, [number])}, {page}: the code of the card was typed "
            f"{counted(round(after), 'hour')} after the last entry; ask which card was in hand "
            "while it was worked.",
        )
        for number, record in own.items()
        if limit and (after := record.work.code_after_h) is not None and after >= limit
    ]


def _unsealed(
    standings: Standings, page: str, own: Mapping[int, MarkRecord], folder: Path
) -> list[tuple[str, str]]:
    if not (folder / CARD_KEY).is_file():
        return []
    code = standings.class_folder.code
    bare = [
        number
        for number, record in sorted(own.items())
        if not record.work.sealed and record.class_code == code
    ]
    if not bare:
        return []
    return [
        (
            "no code",
            f"{who(standings.class_folder, bare)}, {page}: handed in without the code of the job "
            "card, so nothing shows whose card it was; ask to see the card.",
        )
    ]
