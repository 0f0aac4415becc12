"""The code of a class: made new, or asked for, so that no two classes share their job cards.

Every job card is drawn from the code, so who has the same code has the same cards. The
demo's code is the demo's alone: its cards lie open beside its worked answers.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable

from coursework.card import require_class_code

__all__ = ["DEMO_CODE", "ask_code", "make_code", "require_own_code"]

DEMO_CODE = "QQ-26"

_GROUP = 3
_SIGNS = "CDFHJKMNPRTWXY3479"
"""Of each group that is taken for one another (0 O Q D, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V) one sign at
most; no vowels, so that no word comes out."""


def make_code() -> str:
    """Return a new code, such as "KWT-9X4".

    Two groups of three signs: 34 million codes, so that even among a thousand classes two
    hardly ever get the same.
    """
    return "-".join("".join(secrets.choice(_SIGNS) for _ in range(_GROUP)) for _ in range(2))


def require_own_code(code: str) -> None:
    """Refuse a code that a class cannot have: the demo's, or one that is no code.

    Raises
    ------
    ValueError
        One sentence.
    """
    require_class_code(code)
    if code.casefold() == DEMO_CODE.casefold():
        raise ValueError(
            f"class code is {code}; it must not be the demo's, whose job cards lie open beside "
            "their answers. Leave --code out and a new code is made, or name another."
        )


def ask_code(*, ask: Callable[[str], str], tell: Callable[[str], None]) -> str:
    """Ask for a code until there is one that a class can have; Enter takes a new one.

    Parameters
    ----------
    ask : callable
        Shows a question and returns what was typed, such as ``input``.
    tell : callable
        Shows the sentence that refuses a code.

    Returns
    -------
    str
        The code.

    Raises
    ------
    ValueError
        If nothing more can be typed.
    """
    made = make_code()
    while True:
        try:
            typed = ask(f"Class code: press Enter for {made}, or type one of your own: ").strip()
        except EOFError:
            raise ValueError(
                "class code was not typed; it must be there, since the job cards are drawn from "
                f"it. Start it again, or add --code {made}."
            ) from None
        code = typed or made
        try:
            require_own_code(code)
        except ValueError as refused:
            tell(str(refused))
        else:
            return code
