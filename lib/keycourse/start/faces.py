"""Live faces of the first lesson: a micrometer or a caliper to read, again and again."""

from __future__ import annotations

import secrets
from typing import Any

import ipywidgets

from coursework.page.controls import (
    FULL_WIDTH,
    MISSES_BEFORE_THE_LINES,
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
from coursework.page.forms import worked_lines
from keycourse.start.drill import new_reading
from keycourse.start.toolpicture import draw_tool
from keycourse.start.tools import TOOLS, judge_reading, tool_of, worked_reading
from taperkey.checks import require_in

__all__ = ["ReadingTrainer", "caliper_trainer", "micrometer_trainer"]


_HINTS = {
    "inch": "such as 0.417 in",
    "inch-vernier": "such as 0.4173 in",
    "metric": "such as 7.43 mm",
    "inch caliper": "such as 1.436 in",
    "metric caliper": "such as 41.86 mm",
}
_ORDERS = {
    "inch": "Where the range starts, the sleeve, then the thimble.",
    "inch-vernier": "Where the range starts, the sleeve, the thimble, then the vernier.",
    "metric": "Where the range starts, the sleeve, then the thimble.",
    **dict.fromkeys(
        ("inch caliper", "metric caliper"),
        "Beam first, at the vernier's 0. Then the one vernier line that meets a beam line.",
    ),
}
_MICROMETERS = [kind for kind, tool in TOOLS.items() if tool.name == "micrometer"]
_CALIPERS = [kind.removesuffix(" caliper") for kind in TOOLS if kind not in _MICROMETERS]
_LINES_SHOWN = (
    "How it is read stands below. Find each line on the tool, then press “New reading”: what was "
    "shown does not count."
)


class ReadingTrainer:
    """One drill: a drawn tool, a box to type in, and what was wrong."""

    def __init__(self, *, kind: str, seed: int | str, store: Store) -> None:
        self.kind, self.tool, self._store = kind, tool_of(kind), store
        self._key = (  # what the count is kept under
            f"caliper {kind.removesuffix(' caliper')}"
            if self.tool.name == "caliper"
            else f"micrometer {kind}"
        )
        kept: dict[str, Any] = store.get(self._key) or {}
        self.seed = kept.get("seed", seed)
        self.number = int(kept.get("number", 1))
        self.in_a_row = int(kept.get("in_a_row", 0))
        self.best = int(kept.get("best", 0))
        self._done = False
        self._judged = ""
        self._misses = 0
        self.picture = picture_box()
        self.words = words_box()
        self.count = ipywidgets.HTML(layout={"width": FULL_WIDTH})
        self.entry = entry_box(
            label="Reading", hint=_HINTS[kind], tip="Type the reading with its unit, then Enter."
        )
        self.check_button = press_button(
            label="Check", on_press=self.check, tip="Check the reading", strong=True
        )
        self.next_button = press_button(
            label="New reading",
            on_press=self.next_reading,
            tip=f"Set the {self.tool.name} to another reading",
        )
        self.help = ipywidgets.HTML(layout={"width": FULL_WIDTH})
        self.entry.observe(lambda _: self.check(), names="value")
        self.widget = ipywidgets.VBox(
            [
                heading(f"Read the {self.tool.name}", _ORDERS[kind]),
                self.picture,
                ipywidgets.HBox(
                    [self.entry, self.check_button, self.next_button],
                    layout={"flex_flow": "row wrap", "align_items": "center"},
                ),
                self.words,
                self.help,
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
            head = "Not right. " if verdict.readable else ""
            said = f"{head}{verdict.sentence}"
            if verdict.readable and not self._done:
                self.in_a_row = 0
                self._misses += 1
                if self._misses >= MISSES_BEFORE_THE_LINES:
                    self._done = True
                    self.help.value = worked_lines(worked_reading(self.kind, self.reading))
                    said = f"{said} {_LINES_SHOWN}"
            say(self.words, said, tone="wrong")
        self._keep()

    def next_reading(self) -> None:
        """Set the tool to the next reading."""
        self.number += 1
        self._done, self._judged, self._misses = False, "", 0
        self.help.value = ""
        self.entry.value = ""
        say(self.words, "")
        self._draw()
        self._keep()

    def _draw(self) -> None:
        show(self.picture, draw_tool(self.kind, self.reading))
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


def _trainer(kind: str, seed: int | str | None, store: Store | None) -> ipywidgets.VBox:
    return ReadingTrainer(
        kind=kind,
        seed=secrets.randbelow(10**9) if seed is None else seed,
        store=store or MemoryStore(),
    ).widget


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
    require_in("kind of micrometer", kind, _MICROMETERS)
    return _trainer(kind, seed, store)


def caliper_trainer(
    kind: str = "inch", *, seed: int | str | None = None, store: Store | None = None
) -> ipywidgets.VBox:
    """Return a vernier caliper to read without end.

    Parameters
    ----------
    kind : str
        "inch" (0.001 in) or "metric" (0.02 mm).
    seed : int or str, optional
        Same seed, same readings; new ones each time when left out.
    store : Store, optional
        Keeps the count; for this sitting when left out.
    """
    require_in("kind of caliper", kind, _CALIPERS)
    return _trainer(f"{kind} caliper", seed, store)
