"""Everything that a face shows or says: labels, tips, lists, words, pictures and their words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape

#: An inch size that is a name stands with the shop's own figure behind it: "1/2 in (12.7 mm)".
NAMED = re.compile(r"[\d./]+ in \([\d.]+ mm\)|\d+ lb \([\d.]+ kg\)|°C \(\d+ °F\)")
INCH_WORDS = re.compile(
    r"^in$|\d ?in\b|, in\b(?! hundredths| milli| kilo)|\bin/|in²|per foot|\bft\b|\binch(es)?\b"
    r"|thousandth|lbf|\bpsi\b|°F|\d F\b|Fahrenheit|\d lb\b|\bpounds?\b"
)


def _parts(widget) -> Iterator:
    yield widget
    for part in getattr(widget, "children", ()):
        yield from _parts(part)


def all_shown(widget) -> Iterator[str]:
    """Give each text that can be seen or is read out."""
    for part in _parts(widget):
        for name in ("description", "tooltip", "placeholder"):
            if said := getattr(part, name, None):
                yield said
        if hasattr(part, "options"):
            yield from (str(label) for label, _ in part.options)
        elif isinstance(value := getattr(part, "value", None), str):
            yield from map(unescape, re.findall(r'(?:aria-label|title)="([^"]*)"', value))
            yield from (unescape(one).strip() for one in re.split(r"<[^>]+>", value))


def inch_words(widget) -> list[str]:
    """Return each shown text that has inches, pounds or °F in it, but for named sizes."""
    shown = {NAMED.sub("", text) for text in all_shown(widget)}
    assert len(shown) > 15
    return sorted(text for text in shown if INCH_WORDS.search(text))
