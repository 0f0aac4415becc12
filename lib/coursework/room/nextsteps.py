"""Who needs what next: a few lines an apprentice, the most pressing first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from coursework.course import PAGES, page_of
from coursework.room.classfolder import ClassFolder
from coursework.room.marks import plain
from coursework.room.outcomes import Outcome, skills_of
from coursework.room.standings import Standings
from taperkey.counts import counted

__all__ = ["label", "next_steps", "numbered_labels", "who"]

MOST_SKILLS = 3  # told apart; the rest are counted
MOST_NAMED = 3  # causes named of one skill
_STATES = {"blank": "left blank", "unreadable": "could not be read"}


def label(key: str) -> str:
    """Return a question's label."""
    return page_of(key).question(key).label


def numbered_labels(keys: Iterable[str]) -> str:
    """Return labels with the numbers of their exercises, the same label once.

    Examples
    --------
    >>> numbered_labels(["02-large-end", "02-what-first"])
    'Large end (02), What first (02)'
    """
    numbers: dict[str, list[str]] = {}
    for key in keys:
        numbers.setdefault(label(key), []).append(page_of(key).name[:2])
    return ", ".join(f"{name} ({', '.join(found)})" for name, found in numbers.items())


def who(class_folder: ClassFolder, numbers: Sequence[int]) -> str:
    """Return names with numbers, or that it is everyone."""
    if len(numbers) == len(class_folder.present) > 3:
        return "everyone"
    return ", ".join(f"{class_folder.names[number]} ({number})" for number in numbers)


def next_steps(standings: Standings, number: int) -> list[tuple[str, str]]:
    """Return what one apprentice needs next: a word for the kind, and a sentence.

    Safety first, then what is not handed in, then the skills with most marks lost, then single
    slips in skills that are in order, then what waits for an assessor.
    """
    own = standings.of(number)
    steps = []
    critical = numbered_labels(one.key for one in own if one.critical)
    if critical:
        steps.append(("safety", f"{critical}: go through it together before any pull."))
    failed, unsigned = [], []
    pages = {one.page for one in own}
    for key, task in standings.tasks.items():
        signed = standings.sign_offs.get((number, key))
        if signed is not None and not signed.passed:
            failed.append(key[:2])
        elif signed is None and task.exercise in pages:
            unsigned.append(key[:2])
    if failed:
        steps.append(("safety", f"Bench task {', '.join(failed)}: not passed; watch it again."))
    missing = [page for page in PAGES if page not in pages]
    if missing:
        steps.append(("hand in", f"{', '.join(missing)}: not handed in."))
    weak: dict[str, float] = {}
    for skill, keys in skills_of(PAGES.values()).items():
        standing = standings.skill(number, keys)
        if standing.state == "not yet" and standing.mark < standing.out_of:
            weak[skill] = standing.out_of - standing.mark
    worst = sorted(weak, key=lambda skill: -weak[skill])
    for skill in worst[:MOST_SKILLS]:
        keys = skills_of(PAGES.values())[skill]
        lost = [one for one in own if one.key in keys and _lost(one)]
        steps.append(("practise", f"{_capital(skill)}: {_causes(lost)}."))
    if len(worst) > MOST_SKILLS:
        rest = ", ".join(worst[MOST_SKILLS:])
        steps.append(("then", f"{_capital(rest)}."))
    minor: dict[str, list[str]] = {}
    for one in own:
        if one.slip and PAGES[one.page].question(one.key).skill not in weak:
            minor.setdefault(one.slip, []).append(label(one.key).lower())
    if minor:
        told = ", ".join(
            f"{slip} ({', '.join(dict.fromkeys(places))})" for slip, places in minor.items()
        )
        steps.append(("watch", f"{_capital(told)}."))
    again = [
        skill
        for skill, keys in skills_of(PAGES.values()).items()
        if (standing := standings.skill(number, keys)).state == "not yet"
        and standing.cards < standing.cards_wanted
        and not standing.critical
    ]
    if again:
        steps.append(
            ("sit again", f"{_capital(', '.join(again))}: safety-critical, on one more card.")
        )
    if unsigned:
        steps.append(("sign off", f"Bench task {', '.join(unsigned)}: no sign-off yet."))
    out = sum(one.mark is None for one in own)
    if out:
        steps.append(("wait", f"{counted(out, 'answer')} with the assessor."))
    return steps or [("go on", "Nothing open: go on to the next exercise.")]


def _lost(one: Outcome) -> bool:
    return one.mark is not None and one.mark < one.out_of


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _causes(lost: Sequence[Outcome]) -> str:
    """Return why marks were lost: slips by name, then questions, the many of a kind counted."""
    slips = list(dict.fromkeys(one.slip for one in lost if one.slip))
    told = slips[:MOST_NAMED]
    if len(slips) > MOST_NAMED:
        told.append(f"{len(slips) - MOST_NAMED} more slips")
    by_state: dict[str, list[Outcome]] = {}
    for one in lost:
        if not one.slip:
            words = _STATES.get(one.state, "not right" if one.state != "marked" else "marked")
            by_state.setdefault(words, []).append(one)
    for words, found in by_state.items():
        if words == "marked":
            names = [f"{label(one.key).lower()} ({_of(one)})" for one in found]
        else:
            names = [label(one.key).lower() for one in found]
        shown = ", ".join(names[:MOST_NAMED])
        more = len(names) - MOST_NAMED
        shown += f" and {more} more" if more > 0 else ""
        told.append(shown if words == "marked" else f"{shown} {words}")
    return "; ".join(told)


def _of(one: Outcome) -> str:
    return f"{plain(one.mark or 0.0)} of {plain(one.out_of)}"
