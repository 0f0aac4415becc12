"""Whose hand-in it is: the class's key, and what a seal says of a file that comes in.

The key is made once and stays in the class folder, in ``card-key.txt``; whoever reads it can work
out every card's code. A hand-in without a seal is taken in as before: no code was typed.
"""

from __future__ import annotations

import hmac
import re
import secrets
from collections.abc import Mapping
from pathlib import Path

from coursework.check import sealed_with
from coursework.page.handin import HandIn
from coursework.page.seal import HIGHEST_ATTEMPT, card_code, seal_of
from taperkey.files import write_whole

__all__ = ["card_key", "seal_fault"]

FILE = "card-key.txt"


def card_key(folder: Path) -> bytes:
    """Return the class's key; made where there is none yet."""
    path = folder / FILE
    try:
        found = re.fullmatch(r"[0-9a-f]{64}", path.read_text("ascii").strip())
    except (FileNotFoundError, UnicodeDecodeError):
        found = None
    if found is None:
        write_whole(path, f"{secrets.token_hex(32)}\n".encode())
        path.chmod(0o600)
        return card_key(folder)
    return bytes.fromhex(found[0])


def seal_fault(folder: Path, hand_in: HandIn, names: Mapping[int, str]) -> str:
    """Return in a sentence what is wrong with a hand-in's seal; empty where nothing is.

    Parameters
    ----------
    folder : Path
        The class folder.
    hand_in : HandIn
        As it was read.
    names : mapping of int to str
        Names by number, of the class.
    """
    if not hand_in.seal:
        return ""
    key = card_key(folder)
    exercise = sealed_with(hand_in.page)

    def fits(number: int, attempt: int) -> bool:
        code = card_code(key=key, exercise=exercise, number=number, attempt=attempt)
        return hmac.compare_digest(seal_of(hand_in.content(), code), hand_in.seal)

    if fits(hand_in.number, hand_in.attempt):
        return ""
    for number in names:
        if number != hand_in.number and fits(number, hand_in.attempt):
            return (
                f"It says number {hand_in.number}, and it is sealed with the job card of number "
                f"{number}: the number on the name tag is mistyped, or the card is another's. Hand "
                "in again with your own number and your own card."
            )
    for page_attempt in range(1, HIGHEST_ATTEMPT + 1):
        if page_attempt != hand_in.attempt and fits(hand_in.number, page_attempt):
            return (
                f"It says attempt {hand_in.attempt}, and it is sealed with the card of attempt "
                f"{page_attempt}. Hand in again from the page."
            )
    return (
        f"Its seal fits no job card of {exercise} in this class: the file was changed after "
        "it was handed in, or the code is of another exercise. Hand in again from the exercise "
        "page, with the code on the card."
    )
