"""Which attempt counts, and on how many cards a safety-critical answer must be right.

The class decides, under ``[attempts]`` in ``class.toml``. Every attempt has a job card of its own.
After the worked solutions are released, a hand-in on a card whose solutions were there to be seen
counts for nothing; a fresh card does.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coursework.mark.register import Register

__all__ = [
    "Attempts",
    "attempts_template",
    "read_attempts",
    "release_runs",
    "release_times",
    "releases_register",
]

COUNTS = ("last", "best", "first")
MOST_CARDS = 3


@dataclass(frozen=True, kw_only=True)
class Attempts:
    """What a class says of attempts.

    Attributes
    ----------
    counts : str
        "last", "best" (by the marker's marks, after lateness) or "first".
    cards : int
        On how many different cards the safety-critical answers of a skill must be right.
    """

    counts: str = "last"
    cards: int = 2

    @property
    def rule(self) -> str:
        """What counts, in one sentence."""
        which = {
            "last": "The last attempt counts.",
            "best": "The best attempt counts, by the marker's marks after lateness.",
            "first": "The first attempt counts.",
        }[self.counts]
        return which


def attempts_template() -> str:
    """Return the lines of a new ``class.toml`` about attempts, all of them commented out."""
    return (
        "\n# Which attempt counts where somebody sits an exercise again on another card; on how\n"
        "# many different cards the safety-critical answers of a skill must be right.\n"
        "#\n"
        "# [attempts]\n"
        '# counts = "last"               # "last", "best" or "first"\n'
        "# safety_cards = 2              # 1 to 3\n"
    )


def read_attempts(settings: Mapping[str, Any]) -> tuple[Attempts, tuple[str, ...]]:
    """Read what a class says of attempts; return it, and a sentence for each thing unusable."""
    table = settings.get("attempts", {})
    if not isinstance(table, dict):
        return Attempts(), ("attempts must be a heading [attempts] with lines under it.",)
    problems = [
        f"[attempts] has “{name[:40]}”; it must be counts or safety_cards."
        for name in table
        if name not in ("counts", "safety_cards")
    ]
    counts, cards = table.get("counts", "last"), table.get("safety_cards", 2)
    if counts not in COUNTS:
        problems.append(
            f"[attempts] counts is “{str(counts)[:20]}”; it must be “last”, “best” or “first”."
        )
    if type(cards) is not int or not 1 <= cards <= MOST_CARDS:
        problems.append(
            f"[attempts] safety_cards is {str(cards)[:20]}; it must be from 1 to {MOST_CARDS}."
        )
    if problems:
        return Attempts(), tuple(problems)
    return Attempts(counts=counts, cards=cards), ()


def releases_register(folder: Path) -> Register:
    """Return the register of when worked solutions were released, and after which taking-in."""
    columns = ("released", "exercise", "after run")
    return Register(path=folder / "releases.csv", columns=columns, later=1)


def release_times(folder: Path) -> dict[str, str]:
    """Return when the worked solutions of each exercise were first released, UTC."""
    found: dict[str, str] = {}
    for line in releases_register(folder).lines():
        found.setdefault(line["exercise"], line["released"])
    return found


def release_runs(folder: Path) -> dict[str, int]:
    """Return after which taking-in the solutions of each exercise were first released.

    A class of before has no such number; there the times are compared.
    """
    found: dict[str, int | None] = {}
    for line in releases_register(folder).lines():
        run = line["after run"]
        found.setdefault(line["exercise"], int(run) if run.isdecimal() else None)
    return {exercise: run for exercise, run in found.items() if run is not None}
