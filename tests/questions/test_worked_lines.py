"""Every worked line can be done again with a pencil: its numbers, as printed, give its result.

The arithmetic is Python's own on the printed text, never the course's formulas. A line passes when
the numbers, read as they are printed, give the printed result within half of its last place; a
whole number from 1,000 up may be rounded to three figures, as the course writes forces. A result
that says "rounded down" or "rounded up" is taken at its word. Symbols, numbers and result all have
to be there.
"""

from __future__ import annotations

import ast
import math
import re
from collections.abc import Callable, Iterator

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers
from coursework.question import WorkedLine
from keycourse.start.drill import new_reading
from keycourse.start.tools import TOOLS, worked_reading

CARDS = range(1, 201)

# Questions whose lines cannot be done again yet. Take a key off as soon as its lines can.
STILL_TO_DO: frozenset[str] = frozenset()

_UNITS = re.compile(
    r"mm/100 mm|in/ft|in/in|mm/mm|mm/in|lbf/in|rev/min|lbf in|N m|mm²|in²|kN|MPa|psi|bar|lbf|hp|kW"
    r"|°[FC]|\bN\b|\bmm\b|\bin\b|\bft\b"
)
_NUMBER = r"-?\d[\d,]*(?:\.\d+)?"
_WORDS_OF_ORDER: dict[str, Callable[[float, float], bool]] = {
    "agrees": lambda left, right: left <= right,
    "within": lambda left, right: left <= right,
    "does not agree": lambda left, right: left > right,
    "over": lambda left, right: left > right,
}


def tan(degrees: float) -> float:
    return math.tan(math.radians(degrees))


def cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))


def arctan(ratio: float) -> float:
    return math.degrees(math.atan(ratio))


_FUNCTIONS = {"tan": tan, "cos": cos, "arctan": arctan, "sqrt": math.sqrt, "abs": abs}


def value_of(text: str) -> float:
    """Return what a printed expression comes to, its units left out.

    Raises
    ------
    ValueError
        It holds more than numbers, units and the signs of arithmetic.
    """
    bare = _UNITS.sub(" ", text.strip())
    bare = bare.replace("°", " ").replace("−", "-").replace("×", "*").replace("÷", "/")
    bare = re.sub(r"(\d),(?=\d{3})", r"\1", bare)
    bare = re.sub(r"(\d+)-(\d+/\d+)", r"(\1+\2)", bare)
    bare = re.sub(r"(?<![\d.)])(\d+/\d+)", r"(\1)", bare)
    bare = re.sub(r"√\s*(\d+(?:\.\d+)?)", r"sqrt(\1)", bare)
    bare = re.sub(r"√\s*\(", "sqrt(", bare)
    bare = re.sub(r"\b(arctan|tan|cos)\s+(\d+(?:\.\d+)?)", r"\1(\2)", bare)
    bare = re.sub(r"\|([^|]*)\|", r"abs(\1)", bare)
    bare = bare.replace("²", "**2")
    bare = re.sub(r"([\d.]+)\s*%", r"(\1/100)", bare)
    try:
        tree = ast.parse(bare.strip(), mode="eval")
    except SyntaxError:
        raise ValueError(f"{text!r} is not arithmetic") from None
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and node.id not in _FUNCTIONS:
            raise ValueError(f"{text!r} is not arithmetic: {node.id!r}")
        if isinstance(node, (ast.Tuple, ast.List, ast.Attribute)):
            raise ValueError(f"{text!r} is not arithmetic")
    return float(eval(compile(tree, "line", "eval"), {"__builtins__": {}}, _FUNCTIONS))


def last_place(text: str) -> float:
    """Return what half a step of the last printed place is measured in."""
    found = re.search(_NUMBER, text)
    assert found, text
    digits = found.group().replace(",", "").lstrip("-")
    if "." in digits:
        return 10.0 ** -len(digits.split(".")[1])
    figures = len(digits)
    zeros = figures - len(digits.rstrip("0"))
    return float(10 ** min(zeros, figures - 3)) if figures > 3 else 1.0


def same(value: float, printed: str) -> bool:
    """Whether a value, rounded as the printed number is, is that number."""
    if re.search(r"\d/\d", printed):  # a fraction is exact
        return math.isclose(value, value_of(printed), abs_tol=1e-9)
    number = re.search(r"1:(\d[\d.]*)", printed)
    text = number.group(1) if number else printed.replace("−", "-")
    found = re.search(_NUMBER, text)
    assert found, printed
    scale = 100.0 if "%" in printed else 1.0
    off = scale * value - float(found.group().replace(",", ""))
    if "rounded down" in printed:
        return -1e-9 <= off < last_place(text)
    if "rounded up" in printed:
        return -last_place(text) < off <= 1e-9
    return abs(off) <= 0.5 * last_place(text) * (1 + 1e-6) + 1e-9


def _starts_with_number(text: str) -> bool:
    return re.match(r"(1:)?[-−]?\d", text.strip()) is not None


def _ordered(text: str) -> Iterator[str]:
    """Yield what is wrong with a row of comparisons such as "3 in < 4 in ≤ 4-1/2 in"."""
    parts = re.split(r"\s*([<>≤≥])\s*", text)
    values = [value_of(part) for part in parts[::2]]
    for place, sign in enumerate(parts[1::2]):
        left, right = values[place], values[place + 1]
        holds = {"<": left < right, ">": left > right, "≤": left <= right, "≥": left >= right}
        if not holds[sign]:
            yield f"{parts[2 * place]} {sign} {parts[2 * place + 2]} does not hold"


def _lowest(text: str, result: str) -> Iterator[str]:
    """Yield what is wrong with a list such as "rod 10,000 lbf; nut 11,800 lbf"."""
    links = [re.fullmatch(rf"(\D+?) ({_NUMBER})\D*", one.strip()) for one in text.split(";")]
    if not all(links):
        yield f"{text!r} is not a list of names and numbers"
        return
    pairs = [(float(link.group(2).replace(",", "")), link.group(1)) for link in links if link]
    if min(pairs)[1] not in result:
        yield f"the lowest of {text!r} is not {result!r}"


def problems_of(line: WorkedLine) -> Iterator[str]:
    """Yield why a worked line cannot be done again, in words; nothing if it can."""
    if not line.numbers or not re.search(r"\d", line.numbers):
        if _starts_with_number(line.result):
            yield f"{line.result!r} comes from nowhere"
        return
    if not line.formula:
        yield f"{line.numbers!r} has no symbols"
    if not line.result:
        yield f"{line.numbers!r} has no result"
        return
    try:
        yield from _numbers(line)
    except ValueError as error:
        yield str(error)


def _numbers(line: WorkedLine) -> Iterator[str]:
    if ";" in line.numbers:
        yield from _lowest(line.numbers, line.result)
        return
    if re.search(r"[<>≤≥]", line.numbers):
        yield from _ordered(line.numbers)
        return
    left, _, right = line.numbers.partition(" against ")
    for side in (left, right):
        pieces = side.split(" = ")
        for done, printed in zip(pieces, pieces[1:], strict=False):
            if not same(value_of(done), printed):
                yield f"{done} is {value_of(done):.7g}, not {printed}"
    last = value_of(left.split(" = ")[-1])
    if right:
        other = value_of(right.split(" = ")[-1])
        order = _WORDS_OF_ORDER.get(line.result)
        if order and not order(last, other):
            yield f"{line.numbers}: not {line.result!r}"
    elif not _starts_with_number(line.result):
        if " = " not in left:  # a sum that stands there done may lead to words
            yield f"{line.numbers!r} gives no {line.result!r}"
    elif not same(last, line.result):
        yield f"{line.numbers} is {last:.7g}, not {line.result}"


def lines_of(key: str) -> Iterator[tuple[int, WorkedLine]]:
    """Yield the worked lines of a question over the cards, inch and metric."""
    page = next(page for page in PAGES.values() if key.startswith(page.name[:2]))
    for number in CARDS:
        card = issue_card(exercise=page.name, class_code="QQ-26", number=number)
        question = page.question(key).on(card)
        for line in question.worked(card, right_answers(page, card)):
            yield number, line


@pytest.mark.parametrize("kind", list(TOOLS))
def test_a_reading_can_be_put_together_again_from_its_lines(kind: str) -> None:
    starts = set()
    for number in range(1, 201):
        reading = new_reading(kind=kind, seed="lines", number=number)
        lines = worked_reading(kind, reading)
        assert [one for line in lines for one in problems_of(line)] == []
        assert value_of(lines[-1].result) == pytest.approx(reading, abs=1e-9)
        starts.add(lines[0].formula == "start of the range")
    assert starts == ({True, False} if TOOLS[kind].name == "micrometer" else {False})


KEYS = [question.key for page in PAGES.values() for question in page.questions]


@pytest.mark.parametrize("key", KEYS)
def test_the_numbers_as_printed_give_the_result_as_printed(key: str) -> None:
    problems = [f"card {n}: {one}" for n, line in lines_of(key) for one in problems_of(line)]
    if key in STILL_TO_DO:
        assert problems, f"{key} is done: take it off STILL_TO_DO"
    else:
        assert not problems, "\n".join(problems[:6])


def test_only_questions_of_the_course_are_still_to_do() -> None:
    assert set(KEYS) >= STILL_TO_DO


@pytest.mark.parametrize(
    ("numbers", "result"),
    [
        ("G = 1.787, limit 1.715", "reading 5"),
        ("tan φ = 0.19, tan α = 0.01361", "0.3659"),
        ("0.0933 in ÷ 9 in", "0.01038 in/in"),
        ("2 × 3 in = 7 in against 8 in", "agrees"),
        ("9,000 psi against 8,900 psi", "within"),
        ("2 in < 1-1/4 in ≤ 1.25 in", "0.25 in"),
        ("rod 10,000 lbf; nut 9,900 lbf", "the rod"),
        ("21,000 lbf × 0.3659", "7,690 lbf"),
        ("2 × 9.81 kN × 0.8", "15.8 kN, rounded down"),
    ],
)
def test_a_line_that_cannot_be_done_again_is_seen(numbers: str, result: str) -> None:
    assert list(problems_of(WorkedLine(why="", formula="f", numbers=numbers, result=result)))


@pytest.mark.parametrize(
    ("numbers", "result"),
    [
        ("1-3/8 in + 0.0100 in", "1.3850 in"),
        ("0.43 in − 1/8 in", "0.305 in"),
        ("(0.0108 in ÷ 2) × (1 − cos 120°)", "0.0081 in"),
        ("√2 × 0.0003 in ÷ 9 in × 12 in/ft", "0.00057 in/ft"),
        ("0.15 + tan(arctan 0.15 + 0.597°)", "0.3107"),
        ("1 ÷ 0.01037 in/in", "1:96.4"),
        ("|0.1244 in/ft − 0.1250 in/ft| = 0.0006 in/ft against 0.0011 in/ft", "agrees"),
        ("21,000 lbf × 0.3659", "7,680 lbf"),
        ("(0.2501 − 0.0100) ÷ 0.2501", "96.0 %"),
        ("1 × 20 × 9.81 kN × 0.8", "156.9 kN, rounded down"),
    ],
)
def test_a_line_that_can_be_done_again_passes(numbers: str, result: str) -> None:
    line = WorkedLine(why="", formula="f", numbers=numbers, result=result)
    assert list(problems_of(line)) == []
