"""The job file to begin from: every entry with what it means, and nothing filled in.

An example that is filled in passes for a job when a line of it is forgotten, so the examples
stand in the comments and every entry starts empty.
"""

from __future__ import annotations

import textwrap

from keycourse.jobsheet.fields import FIELDS, SECTIONS, Field

__all__ = ["template_text"]

_HEAD = """\
# A job for the job sheet: fill in, save, then: taperkey sheet THIS-FILE
# Every entry stands in quotes: "1.0104", "1-3/8 in", "0,5 mm". Readings have ; between them.
# What stays empty counts as not given. An entry that is needed and not given stops the sheet;
# the others say what is taken in their place. A line that begins with # is a comment.
"""
_NOTES = {
    "pull": 'If nothing is pulled, write method = "none" and leave the other lines as they are.',
    "opening": "The key must be out. While it is still in, leave this section and the next one "
    "empty: the sheet then plans the pull, and nothing else.",
}


def template_text() -> str:
    """Return the commented job file, TOML."""
    lines = [_HEAD]
    for section, title in SECTIONS.items():
        lines.append(f"\n[{section}]  # {title}")
        if section in _NOTES:
            lines.extend(f"# {line}" for line in textwrap.wrap(_NOTES[section], 94))
        for field in FIELDS:
            if field.section == section:
                lines.extend(_entry(field))
    return "\n".join(lines) + "\n"


def _entry(field: Field) -> list[str]:
    words = field.ask
    if field.methods:
        words += f" For: {', '.join(field.methods)}."
    if field.options and len(field.options) <= 12:
        words += f" One of: {', '.join(field.options)}."
    elif field.options:
        words += f" Such as: {', '.join(field.options[:8])}, …"
    elif field.example:
        words += f' Such as "{field.example}".'
    words = f"{'Needed. ' if field.needed else 'If known. '}{words}"
    lines = ["", *(f"# {line}" for line in textwrap.wrap(words, 94, break_on_hyphens=False))]
    return [*lines, f'{field.name} = ""']
