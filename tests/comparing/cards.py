"""A job card with all that is asked on it: texts, right answers, verdicts, carrying forward."""

from __future__ import annotations

import contextlib
import json
import math
from collections.abc import Callable
from typing import Any

from comparing.places import our
from comparing.shown import digest, text_of

__all__ = [
    "card_told",
    "cards_wanted",
    "entries_for",
    "kind_of",
    "told",
    "tried",
]

# what a question holds, as data: the only readers of its attributes


def kind_of(question: Any) -> str:
    """Return "Measure", "Choice", "PictureMarks", "Ordering", "Written" or "Practical"."""
    return type(question.kind).__name__


def offered(question: Any) -> list[str]:
    """Return what is offered to choose from or to put in order, as it stands on this card."""
    kind = question.kind
    if kind_of(question) == "Ordering":
        return [kind.steps[place] for place in kind.row]
    return list(getattr(kind, "options", ()))


def told(answer: Any) -> Any:
    """Return a value as it is kept: numbers to ten figures, beyond which nobody looks."""
    if isinstance(answer, (int, float)) and not isinstance(answer, bool):
        return f"{answer:.10g}"
    return list(answer) if isinstance(answer, tuple) else answer


def tried(function: Callable[..., Any], *arguments: Any) -> Any:
    """Return what comes out, or which error; None where it cannot happen."""
    try:
        return function(*arguments)
    except (ArithmeticError, ValueError, LookupError) as error:
        return f"{type(error).__name__}: {error}"


# the cards


def cards_wanted(count: int) -> list[tuple[str, int]]:
    """Return class codes and numbers: runs of numbers, since units and traps go by turns."""
    runs = (("QQ-26", 31), ("example", 1), ("practice", 899_970))
    share = math.ceil(count / len(runs))
    rows = [(code, first + place) for place in range(share) for code, first in runs]
    return sorted(rows[:count])


def with_unit(question: Any, value: float, form: str) -> str:
    """Write a value in the question's unit."""
    unit = question.kind.unit
    number = our("from_internal")(value, dimension=question.kind.dimension, unit=unit)
    return f"{number:{form}} {unit}".strip()


def entries_for(question: Any, card: Any, right: dict[str, Any], *, every: bool) -> dict[str, str]:
    """Return what is typed at a question, by what it is."""
    typed = {"blank": "", "spaces": "  ", "nonsense": "a lot", "nought": "0", "below": "-1"}
    typed |= {"divided": "1/0", "two numbers": "1 2 3 in", "no such unit": "1 furlong"}
    kind = kind_of(question)
    if kind in ("Written", "Practical"):
        return {"blank": "", "words": "It hangs in its slot.", "too long": "long " * 801}
    wanted = right[question.key]
    shown = our("show_answer")(question, wanted)
    typed["right as shown"] = shown
    if kind == "Measure":
        dimension, unit, places = question.kind.dimension, question.kind.unit, question.kind.places
        tolerance = question.tolerated(card, right)
        typed["right, all its figures"] = with_unit(question, wanted, ".9f")
        for times in (0.97, 0.995, 0.9995, 1.0005, 1.005, 1.03, 1.17, 10.0, 0.1, -1.0):
            typed[f"times {times}"] = with_unit(question, wanted * times, ".9f")
        for times in (-1.02, -0.98, 0.98, 1.02):
            typed[f"off by {times} of what agrees"] = with_unit(
                question, wanted + times * tolerance, ".12g"
            )
        for other in our("DIMENSIONS")[dimension].units:
            number = our("from_internal")(wanted, dimension=dimension, unit=other.name)
            typed[f"in {other.name}"] = f"{number:.9g} {other.name}".strip()
            if other.name != unit:
                typed[f"number of {other.name}, unit lost"] = f"{number:.{places}f}"
        typed["unit lost"] = shown.split(" ")[0]
        typed["decimal comma"] = shown.replace(".", ",")
    elif kind == "Choice":
        typed |= {f"answer {place}": one for place, one in enumerate(question.kind.options)}
        typed["small letters"] = shown.lower()
    else:
        letters = [chr(ord("A") + place) for place in range(len(offered(question)))]
        order = shown.split()
        typed |= {"run together": "".join(order), "small letters": ", ".join(order).lower()}
        typed |= {"backwards": " ".join(order[::-1]), "as they stand": " ".join(letters)}
        typed |= {"one less": " ".join(order[1:]), "not offered": "Z", "one letter": letters[0]}
        typed["turned on"] = " ".join(order[1:] + order[:1])
        if kind == "Ordering":
            for at in range(len(order) - 1):
                swapped = [*order[:at], order[at + 1], order[at], *order[at + 2 :]]
                typed[f"{at} and the next swapped"] = " ".join(swapped)
        else:
            typed |= {f"{one} as well": " ".join([*order, one]) for one in letters}
    if every:
        for place, text in enumerate(slips_typed(question, card, right)):
            if text is not None:
                typed[f"slip {place}"] = text
                if kind == "Measure":
                    value = question.slips[place].value(card, right)
                    typed[f"slip {place} as shown"] = our("show_answer")(question, value)
    return typed


def slips_typed(question: Any, card: Any, given: dict[str, Any]) -> list[str | None]:
    """Return what somebody types who makes a slip, slip by slip; None where it cannot happen."""
    found: list[str | None] = []
    for slip in question.slips:
        try:
            value = slip.value(card, given)
        except (ArithmeticError, ValueError, LookupError):
            value = None
        if value is None:
            found.append(None)
        elif kind_of(question) == "Measure":
            found.append(with_unit(question, float(value), ".9f"))
        else:
            found.append(our("show_answer")(question, value))
    return found


class Said:
    """Verdicts, each kept once and named by its place."""

    def __init__(self) -> None:
        self.rows: dict[str, int] = {}

    def place(self, verdict: Any) -> int:
        """Return where this verdict stands."""
        row = [verdict.state, f"{verdict.mark:g} of {verdict.out_of:g}", verdict.slip]
        row += [verdict.reason, "critical" if verdict.critical else ""]
        return self.rows.setdefault(json.dumps(row, ensure_ascii=False), len(self.rows))

    def listed(self) -> list[Any]:
        """Return them in the order of their places."""
        return [json.loads(row) for row in self.rows]


def card_told(exercise: str, code: str, number: int) -> dict[str, Any]:
    """Return everything that is met on one card."""
    page = our("PAGES")[exercise]
    card = our("issue_card")(exercise=exercise, class_code=code, number=number)
    right = our("right_answers")(page, card)
    said = Said()
    questions = {}
    for bare in page.questions:
        question = bare.on(card)
        kind = question.kind
        about: dict[str, Any] = {
            "form": text_of(our("asked_html")(question)),
            "label": our("labeled")(question),
            "skill": question.skill,
            "kind": kind_of(question),
            "hint": question.hint,
            "critical": question.critical,
            "points": f"{question.marks:g}",
            "offered": offered(question),
            "card lines": text_of(our("facts_table")(question.facts(card), "")),
            "needs": list(question.needs),
        }
        if kind_of(question) == "Measure":
            about["plausible"] = f"{kind.low:g} to {kind.high:g} {kind.unit}"
        if question.picture is not None:
            about["picture"] = text_of(question.picture(card))
        row: dict[str, Any] = {"text": about}
        if not question.by_assessor:
            row["right"] = {
                "value": told(right[question.key]),
                "shown": our("show_answer")(question, right[question.key]),
                "agrees within": told(question.tolerated(card, right)),
                "worked": text_of(our("worked_lines")(question.worked(card, right))),
                "slips": [told(tried(slip.value, card, right)) for slip in question.slips],
            }
            about["slips"] = [[s.name, s.sentence, f"{s.share:g}"] for s in question.slips]
        row["verdicts"] = {
            what: [
                text if len(text) < 200 else digest(text),
                said.place(our("judge")(question, card, text, right=right)),
                our("look_again")(question, text),
            ]
            for what, text in entries_for(question, card, right, every=True).items()
        }
        questions[question.key] = row
    return {
        "card": text_of(our("card_table")(card, our("card_facts")(card))),
        "metric": card.metric,
        "title": page.title,
        "questions": questions,
        "carried": carried(page, card, right, said),
        "said": said.listed(),
    }


def carried(page: Any, card: Any, right: dict[str, Any], said: Said) -> dict[str, Any]:
    """Return the verdicts on whole pages with one slip each, as the marker judges them.

    Each slip twice: with right answers behind it, and with answers worked on from it. Where an
    earlier entry is off in no known way, each slip of what needs it is made on top.
    """
    asked = [one.on(card) for one in page.questions if not one.by_assessor]
    plain = {one.key: our("show_answer")(one, right[one.key]) for one in asked}

    def judged(entries: dict[str, str]) -> list[int]:
        return [said.place(one) for one in our("judge_page")(page, card, entries)]

    def worked_on(key: str, text: str) -> tuple[dict[str, str], dict[str, Any]]:
        entries, own, behind = dict(plain), dict(right), False
        for one in asked:
            if one.key == key:
                behind, entries[key] = True, text
                with contextlib.suppress(ValueError):
                    own[key] = our("read_answer")(one, text)
            elif behind and one.needs:
                with contextlib.suppress(ArithmeticError, ValueError, LookupError):
                    own[one.key] = one.expected(card, own)
                    entries[one.key] = (
                        with_unit(one, own[one.key], ".9f")
                        if kind_of(one) == "Measure"
                        else our("show_answer")(one, own[one.key])
                    )
        return entries, own

    found: dict[str, Any] = {"all right": judged(plain), "all blank": judged({})}
    needed = {need for one in asked for need in one.needs}
    for question in asked:
        for place, text in enumerate(slips_typed(question, card, right)):
            if text is None:
                continue
            found[f"{question.key}, slip {place}"] = judged({**plain, question.key: text})
            if question.key in needed:
                entries, _ = worked_on(question.key, text)
                found[f"{question.key}, slip {place}, worked on"] = judged(entries)
        if question.key in needed:
            off = [text for text in wrong_ways(question, right) if text != plain[question.key]]
            for text in off:
                entries, own = worked_on(question.key, text)
                found[f"{question.key} = {text}, worked on"] = judged(entries)
                for later in asked:
                    if question.key in later.needs:
                        for place, slip in enumerate(slips_typed(later, card, own)):
                            if slip is not None:
                                name = f"{question.key} = {text}, then {later.key}, slip {place}"
                                found[name] = judged({**entries, later.key: slip})
    return found


def wrong_ways(question: Any, right: dict[str, Any]) -> list[str]:
    """Return entries that are off in no known way: a number by 17 %, every other choice."""
    if kind_of(question) == "Measure":
        return [with_unit(question, right[question.key] * 1.17, ".9f")]
    return list(getattr(question.kind, "options", ())) if kind_of(question) == "Choice" else []
