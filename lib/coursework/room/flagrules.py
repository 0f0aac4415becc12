"""From when on a hand-in is asked about: a class's own thresholds, under ``[flags]``.

All of them are a choice of this course. A flag is a question to the apprentice, and no verdict.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

__all__ = ["FlagRules", "flags_template", "read_flag_rules"]

_LIMITS = {
    "fast_minutes": (0, 240, "all right without practice, and typed in fewer minutes"),
    "same_slips": (2, 50, "two hand-ins with the same slips, so many or more"),
    "code_after_hours": (0, 1000, "the card's code typed so many hours after the last entry"),
}


@dataclass(frozen=True, kw_only=True)
class FlagRules:
    """What a class asks about; 0 minutes or 0 hours leaves a question out.

    Attributes
    ----------
    fast_minutes : int
        All right at the first hand-in without practice, and typed in fewer minutes.
    same_slips : int
        Two hand-ins with the same slips at the same questions, so many or more.
    code_after_hours : int
        The card's code typed so many hours after the last entry.
    """

    fast_minutes: int = 5
    same_slips: int = 3
    code_after_hours: int = 12

    def lines(self) -> list[str]:
        """Return the rules as they stand in ``class.toml``."""
        return ["[flags]", *(f"{one.name} = {getattr(self, one.name)}" for one in fields(self))]


def flags_template() -> str:
    """Return the lines of a new ``class.toml`` about flags, all of them commented out."""
    own = FlagRules()
    lines = [
        "",
        "# What the report and status ask about. It is a question, and no verdict: there may be a",
        "# good reason. Apprentices do not see it. 0 leaves a question about time out.",
        "#",
        "# [flags]",
        *(
            f"{f'# {name} = {getattr(own, name)}':<32}# {words}"
            for name, (_, _, words) in _LIMITS.items()
        ),
        "",
    ]
    return "\n".join(lines)


def read_flag_rules(settings: Mapping[str, Any]) -> tuple[FlagRules, tuple[str, ...]]:
    """Return the rules of a class, and a sentence for each that cannot be used."""
    section = settings.get("flags", {})
    if not isinstance(section, dict):
        return FlagRules(), ("flags must be a section. Write [flags] on a line of its own.",)
    problems = [
        f"[flags] has “{name[:40]}”; it must be one of {', '.join(_LIMITS)}."
        for name in section
        if name not in _LIMITS
    ]
    values = {}
    for name, (low, high, _) in _LIMITS.items():
        value = section.get(name, getattr(FlagRules(), name))
        if type(value) is not int or not low <= value <= high:
            problems.append(
                f"[flags] {name} is {str(value)[:20]}; it must be a whole number from {low} to "
                f"{high}."
            )
        else:
            values[name] = value
    return FlagRules(**values), tuple(problems)
