"""Live face of the first lesson: a micrometer to read, again and again."""

from __future__ import annotations

import secrets
from typing import Any

import ipywidgets

from taperkey.checks import require_in
from taperkey.figures.ink import Picture
from taperkey.figures.micrometer import draw_micrometer
from taperkey.worksheet.controls import (
    MemoryStore,
    Store,
    entry_box,
    heading,
    picture_box,
    press_button,
    say,
    show,
    words_box,
)
from taperkey.worksheet.reading_drill import DRILL_KINDS, judge_reading, new_reading

__all__ = ["MicrometerTrainer", "micrometer_trainer"]

_HINTS = {
    "inch": "such as 0.417 in",
    "inch-vernier": "such as 0.4173 in",
    "metric": "such as 7.43 mm",
}


def picture_of_reading(*, kind: str, reading: float) -> Picture:
    """Return the micrometer at a reading in its own unit."""
    if kind == "metric":
        return draw_micrometer(reading_mm=reading, kind=kind)
    return draw_micrometer(reading_in=reading, kind=kind)


class MicrometerTrainer:
    """One drill: a drawn micrometer, a box to type in, and what was wrong."""

    def __init__(self, *, kind: str, seed: int | str, store: Store) -> None:
        require_in("kind of micrometer", kind, DRILL_KINDS)
        self.kind, self._store = kind, store
        self._key = f"micrometer {kind}"
        kept: dict[str, Any] = store.get(self._key) or {}
        self.seed = kept.get("seed", seed)
        self.number = int(kept.get("number", 1))
        self.in_a_row = int(kept.get("in_a_row", 0))
        self.best = int(kept.get("best", 0))
        self._done = False
        self._judged = ""
        self.picture = picture_box()
        self.words = words_box()
        self.count = ipywidgets.HTML(layout={"width": "100%"})
        self.entry = entry_box(
            label="Reading", hint=_HINTS[kind], tip="Type the reading with its unit, then Enter."
        )
        self.check_button = press_button(
            label="Check", on_press=self.check, tip="Check the reading", strong=True
        )
        self.next_button = press_button(
            label="New reading", on_press=self.next_reading, tip="Set the micrometer anew"
        )
        self.entry.observe(lambda _: self.check(), names="value")
        self.widget = ipywidgets.VBox(
            [
                heading(
                    "Read the micrometer",
                    "Sleeve first, then the thimble"
                    + (", then the vernier." if kind == "inch-vernier" else "."),
                ),
                self.picture,
                ipywidgets.HBox(
                    [self.entry, self.check_button, self.next_button],
                    layout={"flex_flow": "row wrap", "align_items": "center"},
                ),
                self.words,
                self.count,
            ],
            layout={"max_width": "780px"},
        )
        self.widget.face = self
        self._draw()

    @property
    def reading(self) -> float:
        """The reading that is drawn, in the tool's own unit."""
        return new_reading(kind=self.kind, seed=self.seed, number=self.number)

    def check(self) -> None:
        """Judge what is typed, once for each text."""
        text = self.entry.value
        if not text.strip():
            if self._judged:
                return
            say(self.words, "Type a reading first, with its unit.", tone="plain")
            return
        if text == self._judged:
            return
        self._judged = text
        verdict = judge_reading(kind=self.kind, reading=self.reading, text=text)
        if verdict.right:
            if not self._done:
                self.in_a_row += 1
                self.best = max(self.best, self.in_a_row)
            self._done = True
            say(self.words, "Right. Press “New reading” for the next one.", tone="right")
        else:
            if verdict.readable and not self._done:
                self.in_a_row = 0
            head = "Not right. " if verdict.readable else ""
            say(self.words, f"{head}{verdict.sentence}", tone="wrong")
        self._keep()

    def next_reading(self) -> None:
        """Set the micrometer to the next reading."""
        self.number += 1
        self._done, self._judged = False, ""
        self.entry.value = ""
        say(self.words, "")
        self._draw()
        self._keep()

    def _draw(self) -> None:
        show(self.picture, picture_of_reading(kind=self.kind, reading=self.reading))
        self._count()

    def _count(self) -> None:
        self.count.value = (
            f'<p style="margin:0 0 0 16px">Right in a row: <b>{self.in_a_row}</b>, '
            f"best so far: {self.best}</p>"
        )

    def _keep(self) -> None:
        self._count()
        self._store.set(
            self._key,
            {
                "seed": self.seed,
                "number": self.number + (1 if self._done else 0),
                "in_a_row": self.in_a_row,
                "best": self.best,
            },
        )


def micrometer_trainer(
    kind: str = "inch", *, seed: int | str | None = None, store: Store | None = None
) -> ipywidgets.VBox:
    """Return a micrometer to read without end.

    Parameters
    ----------
    kind : str
        "inch" (0.001 in), "inch-vernier" (0.0001 in) or "metric" (0.01 mm).
    seed : int or str, optional
        Same seed, same readings; new ones each time when left out.
    store : Store, optional
        Keeps the count; for this sitting when left out.
    """
    return MicrometerTrainer(
        kind=kind,
        seed=secrets.randbelow(10**9) if seed is None else seed,
        store=store or MemoryStore(),
    ).widget
