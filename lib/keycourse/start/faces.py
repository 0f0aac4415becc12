"""Live faces of the first lesson: a micrometer or a caliper to read, again and again."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import ipywidgets

from coursework.ink.drawing import Picture
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
from keycourse.start.caliper import draw_vernier_caliper
from keycourse.start.caliper_drill import CALIPER_DRILLS, judge_caliper, new_caliper
from keycourse.start.micrometer import draw_micrometer
from keycourse.start.reading_drill import (
    DRILL_KINDS,
    ReadingVerdict,
    judge_reading,
    new_reading,
)
from taperkey.checks import require_in

__all__ = ["ReadingTrainer", "caliper_trainer", "micrometer_trainer"]


@dataclass(frozen=True, kw_only=True)
class Tool:
    """What a trainer asks about: its name, the order of reading, and what is drawn and judged."""

    name: str
    key: str  # what the count is kept under
    order: str
    hint: str
    draw: Callable[[float], Picture]
    new: Callable[[int | str, int], float]
    judge: Callable[[float, str], ReadingVerdict]
    written: Callable[[float], str]


def _micrometer(kind: str) -> Tool:
    require_in("kind of micrometer", kind, DRILL_KINDS)
    last = ", then the vernier." if kind == "inch-vernier" else "."

    def draw(reading: float) -> Picture:
        if kind == "metric":
            return draw_micrometer(reading_mm=reading, kind=kind)
        return draw_micrometer(reading_in=reading, kind=kind)

    hints = {
        "inch": "such as 0.417 in",
        "inch-vernier": "such as 0.4173 in",
        "metric": "such as 7.43 mm",
    }
    return Tool(
        name="micrometer",
        key=f"micrometer {kind}",
        order=f"Sleeve first, then the thimble{last}",
        hint=hints[kind],
        draw=draw,
        new=lambda seed, number: new_reading(kind=kind, seed=seed, number=number),
        judge=lambda reading, text: judge_reading(kind=kind, reading=reading, text=text),
        written=lambda reading: f"{reading:.{DRILL_KINDS[kind].places}f} {DRILL_KINDS[kind].unit}",
    )


def _caliper(kind: str) -> Tool:
    require_in("kind of caliper", kind, CALIPER_DRILLS)

    def draw(reading: float) -> Picture:
        if kind == "metric":
            return draw_vernier_caliper(reading_mm=reading, kind=kind)
        return draw_vernier_caliper(reading_in=reading, kind=kind)

    return Tool(
        name="caliper",
        key=f"caliper {kind}",
        order="Beam first, at the vernier's 0. Then the one vernier line that meets a beam line.",
        hint="such as 41.86 mm" if kind == "metric" else "such as 1.436 in",
        draw=draw,
        new=lambda seed, number: new_caliper(kind=kind, seed=seed, number=number),
        judge=lambda reading, text: judge_caliper(kind=kind, reading=reading, text=text),
        written=lambda reading: (
            f"{reading:.{CALIPER_DRILLS[kind].places}f} {CALIPER_DRILLS[kind].unit}"
        ),
    )


class ReadingTrainer:
    """One drill: a drawn tool, a box to type in, and what was wrong."""

    def __init__(self, *, tool: Tool, seed: int | str, store: Store) -> None:
        self.tool, self._store = tool, store
        kept: dict[str, Any] = store.get(tool.key) or {}
        self.seed = kept.get("seed", seed)
        self.number = int(kept.get("number", 1))
        self.in_a_row = int(kept.get("in_a_row", 0))
        self.best = int(kept.get("best", 0))
        self._done = False
        self._judged = ""
        self._wrong = 0
        self.picture = picture_box()
        self.words = words_box()
        self.count = ipywidgets.HTML(layout={"width": FULL_WIDTH})
        self.entry = entry_box(
            label="Reading", hint=tool.hint, tip="Type the reading with its unit, then Enter."
        )
        self.check_button = press_button(
            label="Check", on_press=self.check, tip="Check the reading", strong=True
        )
        self.next_button = press_button(
            label="New reading", on_press=self.next_reading, tip=f"Set the {tool.name} anew"
        )
        self.show_button = press_button(
            label="Show the reading", on_press=self.show_reading, tip="Say what it reads, and why"
        )
        self._offer()
        self.entry.observe(lambda _: self.check(), names="value")
        self.widget = ipywidgets.VBox(
            [
                heading(f"Read the {tool.name}", tool.order),
                self.picture,
                ipywidgets.HBox(
                    [self.entry, self.check_button, self.next_button, self.show_button],
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
        return self.tool.new(self.seed, self.number)

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
        verdict = self.tool.judge(self.reading, text)
        if verdict.right:
            if not self._done:
                self.in_a_row += 1
                self.best = max(self.best, self.in_a_row)
            self._done = True
            say(self.words, "Right. Press “New reading” for the next one.", tone="right")
        else:
            if verdict.readable and not self._done:
                self.in_a_row = 0
                self._wrong += 1
            head = "Not right. " if verdict.readable else ""
            say(self.words, f"{head}{verdict.sentence}", tone="wrong")
        self._offer()
        self._keep()

    def show_reading(self) -> None:
        """Say what the tool reads; it does not count as read."""
        self._done, self._wrong = True, 0
        say(
            self.words,
            f"It reads {self.tool.written(self.reading)}. {self.tool.order} Find it on the tool, "
            "then press “New reading”.",
        )
        self._offer()
        self._keep()

    def _offer(self) -> None:
        offered = self._wrong >= MISSES_BEFORE_THE_LINES and not self._done
        self.show_button.layout.display = None if offered else "none"

    def next_reading(self) -> None:
        """Set the tool to the next reading."""
        self.number += 1
        self._done, self._judged, self._wrong = False, "", 0
        self._offer()
        self.entry.value = ""
        say(self.words, "")
        self._draw()
        self._keep()

    def _draw(self) -> None:
        show(self.picture, self.tool.draw(self.reading))
        self._count()

    def _count(self) -> None:
        self.count.value = (
            f'<p style="margin:0 0 0 16px">Right in a row: <b>{self.in_a_row}</b>, '
            f"best so far: {self.best}</p>"
        )

    def _keep(self) -> None:
        self._count()
        self._store.set(
            self.tool.key,
            {
                "seed": self.seed,
                "number": self.number + (1 if self._done else 0),
                "in_a_row": self.in_a_row,
                "best": self.best,
            },
        )


def _trainer(tool: Tool, seed: int | str | None, store: Store | None) -> ipywidgets.VBox:
    return ReadingTrainer(
        tool=tool,
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
    return _trainer(_micrometer(kind), seed, store)


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
    return _trainer(_caliper(kind), seed, store)
