"""Names from outside: what a person's name and a class's title may hold, decided here only.

A class list comes from a spreadsheet that anybody may have filled in, and its names are shown on
pages that this course writes and on pages that other programs write. `require_name` refuses at
the border what no name needs. `harmless` is for text that is already kept, in a gradebook made
before: it leaves letters alone and writes every sign that a page could take for markup as one
that looks alike and means nothing.
"""

from __future__ import annotations

import unicodedata

__all__ = ["JOINERS", "LONGEST_NAME", "harmless", "require_name", "require_title"]

LONGEST_NAME = 80  # characters
LONGEST_TITLE = 120  # characters
#: Signs that names are written with, beside letters, their marks, digits and spaces.
SIGNS = "'’‘\"“”„«»-‐‑–.,·・׳״՚()/?"  # "?" stands for a letter that a file had lost
JOINERS = "\u200c\u200d"  # unseen, between letters: Persian, Sinhala and other names need them
_LOOK_ALIKES = str.maketrans(
    {"<": "‹", ">": "›", "&": "＆", '"': "”", "'": "’", "`": "’", "$": "＄", "\\": "＼"}
    | {"{": "（", "}": "）", "%": "％"}
)


def _of_a_name(sign: str) -> bool:
    return unicodedata.category(sign)[0] in "LM" or sign.isdecimal() or sign in f" {SIGNS}{JOINERS}"


def require_name(what: str, text: str, *, step: str = "Correct the name.") -> None:
    """Refuse what is no person's name.

    Parameters
    ----------
    what : str
        What it is called in the refusal, such as "roster.csv, line 3: name".
    text : str
        The name.
    step : str
        What to do, as a sentence.

    Raises
    ------
    ValueError
        One sentence with the first sign that no name has.

    Examples
    --------
    >>> require_name("name", "Seán O'Brien-Łukasz")
    >>> require_name("name", "Pat <b>")
    Traceback (most recent call last):
    ...
    ValueError: name is “Pat <b>” and holds “<”; it must be letters, spaces, digits and signs such \
as ' - . , only. Correct the name.
    """
    if len(text) > LONGEST_NAME:
        raise ValueError(
            f"{what} has {len(text)} characters; it must have {LONGEST_NAME} or fewer. {step}"
        )
    strange = next((sign for sign in text if not _of_a_name(sign)), "")
    if strange:
        shown = strange if strange.isprintable() else f"the unseen sign U+{ord(strange):04X}"
        raise ValueError(
            f"{what} is “{_short(text)}” and holds “{shown}”; it must be letters, spaces, digits "
            f"and signs such as ' - . , only. {step}"
        )
    if not any(sign.isalnum() for sign in text):
        raise ValueError(f"{what} is “{text}”; it must hold at least one letter. {step}")


def require_title(what: str, text: str, *, step: str) -> None:
    """Refuse a title that is not one plain line.

    Only this course's own pages show it, and they write out every sign of it.

    Raises
    ------
    ValueError
        One sentence.
    """
    if not text.strip() or len(text) > LONGEST_TITLE or not text.isprintable():
        raise ValueError(
            f"{what} has {len(text)} characters; it must be one line of 1 to {LONGEST_TITLE}. "
            f"{step}"
        )


def _short(text: str) -> str:
    plain = "".join(sign if sign.isprintable() else "?" for sign in text[:40])
    return plain if len(text) <= 40 else plain + "…"


def harmless(text: str) -> str:
    """Return text in which no page finds markup, whatever wrote it.

    Letters, digits and spaces stay as they are. Unseen signs become spaces.

    Examples
    --------
    >>> harmless("O'Brien <b>")
    'O’Brien ‹b›'
    """
    seen = "".join(
        sign if sign.isprintable() or sign in JOINERS else " " for sign in text
    ).translate(_LOOK_ALIKES)
    return " ".join(seen.split())
