"""Pages, pictures and forms as plain text, and chance that comes out the same each time."""

from __future__ import annotations

import contextlib
import hashlib
import random
import re
import secrets
from collections.abc import Iterator
from html import unescape
from typing import Any

__all__ = ["digest", "no_chance", "parts_of", "shown_by", "text_of"]


def text_of(html: str) -> str:
    """Return words, names of pictures and, for each drawing, a digest of its lines."""
    html = re.sub(r"<(style|script)\b.*?</\1>", " ", html, flags=re.S)
    html = re.sub(
        r"<svg\b.*?</svg>",
        lambda found: f" [drawing {digest(found[0])}] {found[0]}",
        html,
        flags=re.S,
    )
    html = re.sub(r'<[^>]*?(?:aria-label|title|alt)="([^"]*)"[^>]*>', r" [\1] ", html)
    html = re.sub(r"</(?:p|div|li|tr|h\d|caption|section|table)>|<br>", "\n", html)
    lines = unescape(re.sub(r"<[^>]+>", " ", html)).splitlines()
    return "\n".join(one for one in (" ".join(line.split()) for line in lines) if one)


def digest(text: str) -> str:
    """Return twelve figures that change when the text does."""
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def parts_of(widget: Any) -> Iterator[Any]:
    """Give a form and everything in it, in the order in which it stands there."""
    yield widget
    for part in getattr(widget, "children", ()):
        yield from parts_of(part)


def shown_by(widget: Any) -> list[str]:
    """Return each text of a form that is seen or read out."""
    found = []
    for part in parts_of(widget):
        for name in ("description", "tooltip", "placeholder"):
            if said := getattr(part, name, None):
                found.append(f"{name}: {said}")
        if hasattr(part, "_options_labels"):
            found.append("offered: " + " | ".join(map(str, part._options_labels)))
            found.append(f"chosen: {part.label}")
        elif (value := getattr(part, "value", None)) is not None:
            found.extend(text_of(str(value)).splitlines())
    return found


@contextlib.contextmanager
def no_chance(seed: str) -> Iterator[None]:
    """Let whatever is drawn by chance come out the same each time."""
    dice = random.Random(seed)
    kept = random.SystemRandom, secrets.randbelow, secrets.token_hex
    random.SystemRandom = lambda: dice  # type: ignore[assignment,misc]
    secrets.randbelow = lambda below: dice.randrange(below)
    secrets.token_hex = lambda nbytes=16: f"{dice.getrandbits(8 * nbytes):0{2 * nbytes}x}"
    try:
        yield
    finally:
        random.SystemRandom, secrets.randbelow, secrets.token_hex = kept  # type: ignore[misc]
