"""An exception that leaks into a sentence, told from what was typed and is shown again.

A refusal quotes what was typed, so “Error” in quotation marks is an echo where it was typed, and a
leak where it was not.
"""

from __future__ import annotations

import re

from taperkey.units import _shown

#: What a sentence for a reader never holds of its own.
MACHINE_WORDS = ("Traceback", "Error", "Exception", "<class ", " object at 0x", "NoneType")


def leaks(words: str, typed: str) -> list[str]:
    """Return the machine's own words in a sentence, but for those quoted from what was typed."""
    ours = re.sub("“[^“”]*”", "“”", words.replace(f"“{_shown(typed)}”", "“”"))
    return [word for word in MACHINE_WORDS if word in ours or (word in words and word not in typed)]
