"""Job cards to print: one a page, every apprentice and exercise, in one document."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from markupsafe import Markup

from coursework.card import JobCard
from coursework.course import PAGES, card_facts, issue_card
from coursework.ink import signs
from coursework.question import Page
from coursework.room.classfolder import ClassFolder
from taperkey.files import write_whole

__all__ = ["page_template", "write_cards"]

Progress = Callable[[int, int], None]
LONGEST_UNBROKEN = 40
"""Phrases of more signs may be broken between words, or they break at a hyphen."""


def page_template(name: str) -> Any:
    """Return one of this room's page templates, with everything put into it escaped."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    folder = Path(__file__).resolve().parent / "templates"
    pages = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    # our own drawings: what is said in them is escaped where they are drawn
    pages.globals["hazard_box"] = lambda level, texts: Markup(signs.hazard_box(level, texts))
    pages.globals["must_be_right"] = lambda: Markup(signs.must_be_right())
    pages.globals["key_sign"] = lambda: Markup(signs.key_sign())
    return pages.get_template(name)


def _unbroken(value: str) -> str:
    """Keep each reading on one line: a number is never parted from its unit."""
    phrases = re.split(r"(?<=[;,]) ", value)
    return " ".join(
        re.sub(" " if len(one) <= LONGEST_UNBROKEN else r"(?<=\d) ", "\N{NO-BREAK SPACE}", one)
        for one in phrases
    )


def _pictures(page: Page, card: JobCard) -> list[tuple[str, Markup]]:
    """Return each picture of a card once, under the names of all questions that it is for."""
    named: dict[str, list[str]] = {}
    for question in (one.on(card) for one in page.questions):
        if question.picture is not None:
            named.setdefault(question.picture(card), []).append(question.label)
    return [(" · ".join(labels), Markup(drawn)) for drawn, labels in named.items()]


def write_cards(class_folder: ClassFolder, *, progress: Progress | None = None) -> Path:
    """Write ``cards/index.html`` with the job cards of the whole class.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    progress : callable, optional
        Told how many cards are drawn, and of how many.

    Returns
    -------
    Path
        The document.
    """
    total = len(class_folder.roster) * len(PAGES)
    cards = []
    for apprentice in class_folder.roster:
        for page in PAGES.values():
            card = issue_card(
                exercise=page.name, class_code=class_folder.code, number=apprentice.number
            )
            cards.append(
                {
                    "number": f"{apprentice.number:03d}",
                    "name": apprentice.name,
                    "page": page,
                    "facts": [(fact.what, _unbroken(fact.value)) for fact in card_facts(card)],
                    "pictures": _pictures(page, card),
                }
            )
            if progress:
                progress(len(cards), total)
    text = page_template("cards.html.j2").render(
        code=class_folder.code, title=class_folder.title, cards=cards
    )
    path = class_folder.cards / "index.html"
    write_whole(path, text.encode())
    return path
