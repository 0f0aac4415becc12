"""The blocks of a page as HTML: what is given, what is worked, what is told back."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape

from coursework.question import Fact, WorkedLine

__all__ = ["SHORT_FACT", "facts_table", "said", "worked_lines"]

_SIGNS = {"good": ("✓", "ok"), "look": ("▲", "slip"), "plain": ("", "plain")}
_BOLD_UP_TO = 70  # letters of a first sentence that stands out


def said(text: str, state: str = "plain") -> str:
    """Return a sentence as HTML that screen readers announce; the state is a word, too."""
    if not text:
        return '<div role="status"></div>'
    mark, name = _SIGNS[state]
    sign = f'<span aria-hidden="true" class="tk-sign tk-sign-{name}">{mark} </span>' if mark else ""
    first, point, rest = text.partition(". ")
    words = escape(text)
    if mark and len(first) <= _BOLD_UP_TO:
        first = first.removesuffix(".")
        words = f"<b>{escape(first)}.</b>" + (f" {escape(rest)}" if point else "")
    return (
        f'<div role="status" class="tk-told tk-is-{name}">{sign}<div>'
        f"{words if mark else escape(text)}</div></div>"
    )


#: Letters of a value that stands as a figure.
SHORT_FACT = 34


def facts_table(facts: Iterable[Fact], caption: str) -> str:
    """Return lines of a card as HTML: what it is, small, and its figure, large."""
    rows = "".join(
        f"<div{'' if len(fact.value) <= SHORT_FACT else _LONG}><dt>{escape(fact.what)} </dt>"
        f"<dd>{_figure(fact.value)} </dd></div>"
        for fact in facts
    )
    name = f'<p class="tk-given-name">{escape(caption)}</p>' if caption else ""
    return f'<div class="tk-given">{name}<dl class="tk-facts">{rows}</dl></div>'


_LONG = ' class="tk-long"'
_NUMBER_AND_UNIT = re.compile(r"([−-]?[\d.,/]+(?:-\d+/\d+)?) ([^\d\s]\S{0,11})$")


def _figure(text: str) -> str:
    """Return a number with its unit lighter; other texts as they are."""
    found = _NUMBER_AND_UNIT.fullmatch(text)
    if not found:
        return escape(text)
    return f'{escape(found[1])} <span class="tk-unit">{escape(found[2])}</span>'


def _goes_on(line: WorkedLine, following: Sequence[WorkedLine]) -> bool:
    """Return whether the next line works on with this result."""
    number = _FIGURE.search(line.result)
    return number is not None and any(
        re.search(rf"(?<![\d.,]){re.escape(number[0])}(?![\d,]|\.\d)", one.numbers)
        for one in following
    )


_FIGURE = re.compile(r"\d[\d,]*(?:\.\d+)?(?:-\d+/\d+)?")


def worked_lines(
    lines: Sequence[WorkedLine], *, names: Sequence[str] = (), caption: str = ""
) -> str:
    """Return worked lines as one table: step and why, rule, numbers, result.

    Parameters
    ----------
    lines : sequence of WorkedLine
        In order.
    names : sequence of str
        What each line works out, where that is to be said; empty for a line that goes on.
    caption : str
        Over the table.
    """
    if not lines:
        return ""
    rows = []
    for turn, line in enumerate(lines):
        name = names[turn] if turn < len(names) else ""
        head = f"<b>{escape(name)} </b>" if name else ""
        numbers = f"= {escape(line.numbers)}" if line.numbers else ""
        wordy = "" if len(line.result) <= SHORT_FACT else " tk-words"
        onward = " tk-goes-on" if _goes_on(line, lines[turn + 1 : turn + 2]) else ""
        rows.append(
            f'<tr><th scope="row">{head}<span class="tk-why">{escape(line.why)} </span></th>'
            f'<td class="tk-rule">{escape(line.formula)} </td>'
            f'<td class="tk-sum">{numbers} </td>'
            f'<td class="tk-result{wordy}{onward}"><span class="tk-unit">→ </span>'
            f"<span>{_figure(line.result)} </span></td></tr>"
        )
    over = f"<caption>{escape(caption)}</caption>" if caption else ""
    heads = "".join(f'<th scope="col">{one} </th>' for one in ("Step", "Rule", "Numbers", "Result"))
    return (
        f'<table class="tk-steps">{over}<thead><tr>{heads}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table>"
    )
