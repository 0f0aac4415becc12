"""Job cards to print: one a page, every apprentice and exercise, in one document."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from functools import cache
from pathlib import Path
from typing import Any

from markupsafe import Markup

from coursework.card import JobCard
from coursework.course import PAGES, card_facts, issue_card
from coursework.ink import look, signs
from coursework.page.seal import card_code, shown_code
from coursework.question import Page
from coursework.room.classfolder import ClassFolder
from coursework.room.seals import card_key
from taperkey.files import write_whole

__all__ = ["page_template", "write_cards"]

Progress = Callable[[int, int], None]
LONGEST_UNBROKEN = 40
"""Phrases of more signs may be broken between words, or they break at a hyphen."""


def page_template(name: str) -> Any:
    """Return one of this room's page templates, with everything put into it escaped."""
    return _pages().get_template(name)


@cache
def _pages() -> Any:
    """Return what reads the templates; each is made ready once."""
    from coursework.ink.templates import templates_in

    pages = templates_in(Path(__file__).resolve().parent / "templates")
    pages.globals["tokens"] = Markup(look.token_style())  # noqa: S704 - our own style sheet
    # our own drawings: what is said in them is escaped where they are drawn
    pages.globals["hazard_box"] = lambda level, texts: Markup(signs.hazard_box(level, texts))
    pages.globals["must_be_right"] = lambda: Markup(signs.must_be_right())
    pages.globals["key_sign"] = lambda: Markup(signs.key_sign())
    return pages


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


def _qr(code: str) -> Markup:
    """Return a code as a picture that a phone reads."""
    import segno

    text = segno.make(shown_code(code), error="m", micro=False).svg_inline(
        border=2, svgclass=None, lineclass=None, omitsize=True
    )
    return Markup(text.replace("<svg", f'<svg role="img" aria-label="QR of {shown_code(code)}"', 1))


def write_cards(
    class_folder: ClassFolder,
    *,
    progress: Progress | None = None,
    attempt: int = 1,
    numbers: Collection[int] = (),
) -> Path:
    """Write the job cards of a class: ``cards/index.html``, or those of a later attempt beside it.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    progress : callable, optional
        Told how many cards are drawn, and of how many.
    attempt : int
        1 for the first cards, 2 for those of a resit.
    numbers : collection of int
        Whose; left out, everybody's.

    Returns
    -------
    Path
        The document.
    """
    roster = [one for one in class_folder.roster if not numbers or one.number in numbers]
    total = len(roster) * len(PAGES)
    key = card_key(class_folder.folder)
    cards = []
    for apprentice in roster:
        for page in PAGES.values():
            card = issue_card(
                exercise=page.name,
                class_code=class_folder.code,
                number=apprentice.number,
                attempt=attempt,
            )
            code = card_code(key=key, exercise=page.name, number=apprentice.number, attempt=attempt)
            cards.append(
                {
                    "number": f"{apprentice.number:03d}",
                    "name": apprentice.name,
                    "page": page,
                    "facts": [(fact.what, _unbroken(fact.value)) for fact in card_facts(card)],
                    "pictures": _pictures(page, card),
                    "card_code": shown_code(code),
                    "qr": _qr(code),
                }
            )
            if progress:
                progress(len(cards), total)
    text = page_template("cards.html.j2").render(
        code=class_folder.code, title=class_folder.title, cards=cards, attempt=attempt
    )
    path = class_folder.cards / ("index.html" if attempt == 1 else f"attempt-{attempt}.html")
    write_whole(path, text.encode())
    return path
