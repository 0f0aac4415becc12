"""Two signs, drawn in one place: the hazard box with its signal word, and "must be right".

A hazard box has a signal word, the safety alert triangle, a color and a border of its own, so that
color alone never carries the level. The levels are those of ANSI Z535.6 and ISO 3864-2 (from
memory): DANGER will kill or seriously injure if it is not avoided, WARNING could, CAUTION could
injure a little or moderately. The drawing is our own.

"Must be right" marks an entry that decides on somebody's safety. It is a key on a plain tag and
shares nothing with the hazard box: it tells of a mark, not of something that can hit you.

On a page the box is text, in an ``aside`` whose classes `style` knows; in a form, on a bench and in
feedback it is HTML that carries its own look.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from types import MappingProxyType
from urllib.parse import quote

__all__ = [
    "LEVELS",
    "MUST_BE_RIGHT",
    "Level",
    "hazard_box",
    "hazard_text",
    "key_sign",
    "must_be_right",
    "style",
]

_BLACK, _WHITE = "#000000", "#ffffff"
_SVG = "http://www.w3.org/2000/svg"
MUST_BE_RIGHT = "Must be right"


@dataclass(frozen=True, kw_only=True)
class Level:
    """A level of hazard: its word, what it means, and its colors.

    Attributes
    ----------
    word, meaning : str
        The signal word in capitals, and what it says.
    panel, ink : str
        Color of the panel behind the signal word, and of the word.
    border_px : int
        Width of the border: the graver, the wider.
    """

    word: str
    meaning: str
    panel: str
    ink: str
    border_px: int


#: The levels by name, the gravest first.
LEVELS = MappingProxyType(
    {
        "danger": Level(
            word="DANGER",
            meaning="will kill or seriously injure, if it is not avoided",
            panel="#b3101f",
            ink=_WHITE,
            border_px=4,
        ),
        "warning": Level(
            word="WARNING",
            meaning="could kill or seriously injure",
            panel="#f58220",
            ink=_BLACK,
            border_px=3,
        ),
        "caution": Level(
            word="CAUTION",
            meaning="could injure a little or moderately",
            panel="#ffd100",
            ink=_BLACK,
            border_px=2,
        ),
    }
)


def _triangle(level: Level) -> str:
    """Return the safety alert triangle on this level's panel."""
    return (
        '<svg aria-hidden="true" width="26" height="23" viewBox="0 0 26 23">'
        f'<path d="M13 1.5 24.6 21.6H1.4Z" fill="{level.ink}" stroke="{level.ink}" '
        'stroke-width="1.8" stroke-linejoin="round"/>'
        f'<path d="M11.4 7.2h3.2l-.7 7.6h-1.8z" fill="{level.panel}"/>'
        f'<circle cx="13" cy="17.8" r="1.7" fill="{level.panel}"/></svg>'
    )


def _key(color: str) -> str:
    """Return the key of the tag "must be right"."""
    return (
        '<svg aria-hidden="true" width="30" height="16" viewBox="0 0 30 16">'
        f'<g fill="none" stroke="{color}" stroke-width="2.4">'
        '<circle cx="7" cy="8" r="5"/><path d="M12 8H28V13M22 8V12"/></g></svg>'
    )


def hazard_box(level: str, sentences: Sequence[str]) -> str:
    """Return the hazard box as HTML that carries its own look.

    Parameters
    ----------
    level : str
        One of :data:`LEVELS`.
    sentences : sequence of str
        What can happen and what to do; each is a line of its own.
    """
    one = LEVELS[level]
    lines = "".join(f'<p style="margin:.35em 0">{escape(text)}</p>' for text in sentences)
    return (
        f'<div role="note" aria-label="{one.word}" style="border:{one.border_px}px solid {_BLACK};'
        f"background:{_WHITE};color:{_BLACK};max-width:44rem;margin:.75em 0;box-sizing:border-box;"
        f'font-size:1em;line-height:1.5;{_KEEP}"><div style="display:flex;align-items:center;'
        f"gap:.5em;padding:.15em .7em;background:{one.panel};color:{one.ink};{_KEEP}"
        f"border-bottom:{one.border_px}px solid {_BLACK};font-weight:bold;font-size:1.1em;"
        f'letter-spacing:.06em"><span aria-hidden="true" style="line-height:0">{_triangle(one)}'
        f"</span>{one.word}</div>"
        f'<div style="padding:.2em .8em">{lines}</div></div>'
    )


def hazard_text(level: str, text: str, names: Sequence[str] = ()) -> str:
    """Return the hazard box as a page holds it: text in an aside; `names` say what it is from."""
    classes = " ".join(["hazard", level, *names])
    return f'<aside class="{classes}">\n\n**{LEVELS[level].word}**\n\n{text}\n\n</aside>'


def key_sign() -> str:
    """Return the key alone, for a cell of a table that says in words what it means."""
    return (
        f'<span role="img" aria-label="{MUST_BE_RIGHT.lower()}" title="{MUST_BE_RIGHT.lower()}" '
        f'style="white-space:nowrap;line-height:0;vertical-align:-.1em">{_key("currentColor")}</span>'
    )


def must_be_right() -> str:
    """Return the tag of an entry that decides on somebody's safety, as HTML."""
    return (
        '<span style="display:inline-flex;align-items:center;gap:.45rem;border:2px solid #1c2326;'
        "border-radius:999px 5px 5px 999px;padding:.05rem .7rem .05rem .5rem;background:#ffffff;"
        'color:#1c2326;font-weight:bold;font-size:1rem;white-space:nowrap">'
        f'<span aria-hidden="true" style="line-height:0">{_key("#1c2326")}</span>'
        f"{MUST_BE_RIGHT}</span>"
    )


_KEEP = "print-color-adjust:exact;-webkit-print-color-adjust:exact;break-inside:avoid;"


def _picture(drawn: str) -> str:
    alone = drawn.replace("<svg", f'<svg xmlns="{_SVG}"', 1)
    return f'url("data:image/svg+xml,{quote(alone)}")'


def style() -> str:
    """Return the style sheet that gives a page's asides the look of the boxes."""
    rules = [
        "aside.hazard { border: 2px solid #000; background: #fff; color: #000; margin: .75rem 0 "
        f"1rem; padding: 0 .8rem .3rem; max-width: 44rem; box-sizing: border-box; {_KEEP} }}",
        "aside.hazard p { margin: .3rem 0 !important; }",
        "aside.hazard p:first-child { margin: 0 -.8rem .45rem !important; padding: .1rem .7rem "
        ".1rem 2.7rem; font-size: 1.1rem; letter-spacing: .06em; background-repeat: no-repeat; "
        f"background-position: .7rem center; {_KEEP} }}",
        "aside.must-be-right { border: 2px solid #1c2326; border-radius: 1.6rem 5px 5px 1.6rem; "
        "background: #fff; color: #1c2326; margin: .75rem 0 1rem; max-width: 44rem; "
        "padding: .3rem .9rem .3rem 3.2rem; box-sizing: border-box; background-repeat: no-repeat; "
        f"background-position: .9rem .8rem; background-image: {_picture(_key('#1c2326'))}; "
        f"{_KEEP} }}",
        "aside.must-be-right p { margin: .3rem 0 !important; }",
    ]
    for name, one in LEVELS.items():
        rules.append(f"aside.hazard.{name} {{ border-width: {one.border_px}px; }}")
        rules.append(
            f"aside.hazard.{name} p:first-child {{ background-color: "
            f"{one.panel}; color: {one.ink}; border-bottom: {one.border_px}px solid #000; "
            f"background-image: {_picture(_triangle(one))}; }}"
        )
    return "\n".join(rules) + "\n"
