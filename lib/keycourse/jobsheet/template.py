"""The job file to begin from: every entry with what it means, filled in at Quillmoor Quarry."""

from __future__ import annotations

import textwrap

from keycourse.jobsheet.fields import FIELDS, SECTIONS, Field

__all__ = ["template_text"]

_HEAD = """\
# A job for the job sheet: fill in, save, then: taperkey sheet THIS-FILE
# The numbers here are an invented job at Quillmoor Quarry: put yours in their place.
# Every entry stands in quotes: "1.0104", "1-3/8 in", "0,5 mm". Readings have ; between them.
# A line that begins with # is a comment. Take the # away from an entry to use it.
"""
_NOTES = {
    "pull": 'If nothing is pulled, write method = "none"; the other lines are then left alone.'
}


def template_text() -> str:
    """Return the commented job file, TOML."""
    lines = [_HEAD]
    for section, title in SECTIONS.items():
        lines.append(f"\n[{section}]  # {title}")
        if section in _NOTES:
            lines.append(f"# {_NOTES[section]}")
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
    lines = ["", *(f"# {line}" for line in textwrap.wrap(words, 94, break_on_hyphens=False))]
    used = field.example and (not field.methods or "hollow-ram" in field.methods)
    lines.append(f'{"" if used else "# "}{field.name} = "{field.example}"')
    return lines
