"""The code on a job card, and the seal that a hand-in gets with it.

The class draws each card's code from a key that stays in the class folder; nobody works it out from
a number. The apprentice types it from the printed card. A hand-in is sealed with a key derived from
it, so the class can tell a file that was changed, and one that came under another's number. It
cannot tell who sat at the keyboard: whoever has the card can seal with it.
"""

from __future__ import annotations

import functools
import hashlib
import hmac
import json
from collections.abc import Mapping
from typing import Any

__all__ = ["HIGHEST_ATTEMPT", "attempt_of", "card_code", "seal_of", "shown_code", "tidy_code"]

HIGHEST_ATTEMPT = 9
_SIGNS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"[:31]  # none that is taken for another
_LENGTH = 6
_ROUNDS = 20_000  # what a guess costs; the code itself is short, so that it can be typed


def card_code(*, key: bytes, exercise: str, number: int, attempt: int) -> str:
    """Return the code of one job card: attempt, six signs and one that checks them.

    Parameters
    ----------
    key : bytes
        The class's own, kept in its folder.
    exercise : str
        Such as "02-taper".
    number, attempt : int
        Whose card, and which.

    Examples
    --------
    >>> code = card_code(key=b"a key", exercise="02-taper", number=7, attempt=2)
    >>> attempt_of(code), tidy_code(shown_code(code).lower()) == code
    (2, True)
    """
    row = f"{exercise}/{number}/{attempt}".encode()
    left = int.from_bytes(hmac.new(key, row, hashlib.sha256).digest(), "big")
    signs = str(attempt)
    for _ in range(_LENGTH):
        left, place = divmod(left, len(_SIGNS))
        signs += _SIGNS[place]
    return signs + _check(signs)


def _check(signs: str) -> str:
    """Return the sign that shows a mistyped sign, or two that changed places."""
    total = sum((place + 2) * _value(sign) for place, sign in enumerate(signs))
    return _SIGNS[total % len(_SIGNS)]


def _value(sign: str) -> int:
    return _SIGNS.index(sign) if sign in _SIGNS else int(sign)


def shown_code(code: str) -> str:
    """Return a code as it is printed, such as "1-K7QM-4XR"."""
    return f"{code[0]}-{code[1:5]}-{code[5:]}"


def attempt_of(code: str) -> int:
    """Return which attempt a card is for."""
    return int(code[0])


def tidy_code(text: str) -> str:
    """Return a code as it was typed, without spaces and hyphens.

    Raises
    ------
    ValueError
        One sentence: it is none, or a sign of it is another one.
    """
    plain = "".join(sign for sign in text.upper() if not sign.isspace() and sign not in "-–")
    usable = (
        len(plain) == _LENGTH + 2
        and plain[0] in "123456789"
        and all(sign in _SIGNS for sign in plain[1:])
    )
    if not usable or _check(plain[:-1]) != plain[-1]:
        raise ValueError(
            f"card code is “{text.strip()[:20]}”; it must be the code on your job card, such as "
            "1-K7QM-4XR. Look at the card, sign by sign."
        )
    return plain


@functools.lru_cache(maxsize=4096)
def _key(code: str) -> bytes:
    return hashlib.pbkdf2_hmac("sha256", code.encode("ascii"), b"hand-in seal", _ROUNDS)


def seal_of(content: Mapping[str, Any], code: str) -> str:
    """Return the seal of a hand-in: HMAC-SHA256 over all that it says, 64 hexadecimal digits."""
    plain = {name: value for name, value in content.items() if name not in ("seal", "sha256")}
    text = json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hmac.new(_key(code), text.encode("utf-8"), hashlib.sha256).hexdigest()
