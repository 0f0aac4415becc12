"""Live face for the instructor: a kept bench session, stepped through."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

import ipywidgets

from coursework.ink.shop import shop_units
from coursework.page.classdrop import given_by_class
from coursework.page.controls import (
    FULL_WIDTH,
    Store,
    heading,
    press_button,
    say,
    words_box,
)
from keycourse.replay import Replay, replay_of
from keycourse.sessions import BENCHES, read_session
from taperkey.checks import require_in
from taperkey.counts import counted
from taperkey.units import System

__all__ = ["ReplayFace", "replay_face"]

_ROW = {"flex_flow": "row wrap", "align_items": "center"}
_CELL = "text-align:left;vertical-align:top;padding:2px 14px 2px 0"


class ReplayFace:
    """First, Back, Next, Last and a step number over one session; `widget` is what is shown."""

    def __init__(self, *, bench: str, store: Store, folder: Path, system: System = "inch") -> None:
        require_in("bench", bench, BENCHES)
        self._units = shop_units(system)
        self.bench, self._store, self._folder = bench, store, folder
        self.replay: Replay | None = None
        self.open = False
        self._build()

    def _build(self) -> None:
        self.words, self.step_words, self.end_words = (words_box() for _ in range(3))
        self.pictures, self.numbers, self.end_numbers = (
            ipywidgets.HTML(layout={"width": FULL_WIDTH}) for _ in range(3)
        )
        self.fold_button = press_button(
            label="",
            on_press=self.fold,
            tip="Step through a kept session of this bench, for the instructor",
        )
        self.place = ipywidgets.Text(
            description="Apprentice's folder",
            placeholder="folder of the apprentice's course",
            tooltip="Path of an apprentice's course folder, copied into this one",
            continuous_update=False,
            style={"description_width": "200px"},
            layout={"width": "540px", "max_width": FULL_WIDTH},
        )
        self.here_button = press_button(
            label="Replay the session of this page",
            on_press=self.open_here,
            tip="Step through what was done on the bench of this page",
            strong=True,
        )
        self.there_button = press_button(
            label="Replay that session",
            on_press=self.open_there,
            tip="Step through the session kept in the folder typed here",
        )
        self.number = ipywidgets.BoundedIntText(
            description="Step",
            value=1,
            min=1,
            max=1,
            tooltip="Number of the step, from 1",
            style={"description_width": "50px"},
            layout={"width": "150px"},
        )
        self.first, self.back, self.next, self.last = (
            press_button(label=label, on_press=act, tip=tip)
            for label, act, tip in (
                ("First", lambda: self.go(1), "Go to the first step"),
                ("Back", lambda: self.go(self.number.value - 1), "Go one step back"),
                ("Next", lambda: self.go(self.number.value + 1), "Go one step on"),
                ("Last", lambda: self.go(self._count), "Go to the last step, and the summing-up"),
            )
        )
        for button in (self.first, self.back, self.next, self.last):
            button.layout.min_width = "90px"
        self.of = ipywidgets.HTML(layout={"margin": "2px 12px 2px 2px"})
        self.number.observe(lambda _: self._show(), names="value")
        steps = ipywidgets.HBox(
            [self.first, self.back, self.number, self.of, self.next, self.last], layout=_ROW
        )
        self.stage = ipywidgets.VBox(
            [
                steps,
                self.step_words,
                self.numbers,
                self.pictures,
                self.end_words,
                self.end_numbers,
            ],
            layout={"display": "none"},
        )
        self.inside = ipywidgets.VBox(
            [
                heading(
                    f"Replay of the {self.bench} bench",
                    "Step through a kept session with an apprentice, or look where it went wrong. "
                    "Nothing is changed by it.",
                ),
                ipywidgets.HBox([self.here_button], layout=_ROW),
                ipywidgets.HBox(
                    [self.place, self.there_button],
                    layout={**_ROW, "display": "none" if given_by_class() else "flex"},
                ),
                self.words,
                self.stage,
            ]
        )
        self.widget = ipywidgets.VBox(
            [ipywidgets.HBox([self.fold_button]), self.inside], layout={"max_width": "780px"}
        )
        self.widget.face = self
        self._name_fold()

    def fold(self) -> None:
        """Open the replay when it is folded, and the other way round."""
        self.open = not self.open
        self._name_fold()

    def _name_fold(self) -> None:
        self.inside.layout.display = None if self.open else "none"
        self.fold_button.description = (
            f"For the instructor: replay of the {self.bench} bench"
            f" ({'hide' if self.open else 'show'})"
        )

    # which session

    def open_here(self) -> None:
        """Take the session that this page kept."""
        try:
            record: Any = self._store.get(BENCHES[self.bench])
        except OSError as broken:
            self._refuse(f"{broken}.")
            return
        if not record:
            self._refuse(f"No session of the {self.bench} bench is kept on this page yet.")
            return
        self._take(record, "The session of this page")

    def open_there(self) -> None:
        """Take the session kept in the folder that was typed."""
        if given_by_class():  # an apprentice's page on a hub: only its own session
            self._refuse("On a class's network only the instructor replays another's session.")
            return
        try:
            record = read_session(place=self.place.value, bench=self.bench, beside=self._folder)
        except ValueError as refused:
            self._refuse(str(refused))
            return
        self._take(record, f"The session kept in {self.place.value.strip()}")

    def _take(self, record: Any, whose: str) -> None:
        try:
            replay = replay_of(bench=self.bench, record=record, units=self._units)
        except ValueError as refused:
            nothing = str(refused).startswith("Nothing was done")
            why = str(refused) if nothing else f"{whose} is damaged: it cannot be played again."
            self._refuse(why)
            return
        self.replay = replay
        self.number.max = replay.count
        self.of.value = f'<span style="white-space:nowrap">of {replay.count}</span>'
        self.stage.layout.display = None
        say(self.words, f"{whose}: {counted(replay.count, 'step')}.")
        self.number.value = 1
        self._show()

    def _refuse(self, words: str) -> None:
        self.replay = None
        self.stage.layout.display = "none"
        say(self.words, words, tone="wrong")

    # stepping

    @property
    def _count(self) -> int:
        return self.replay.count if self.replay is not None else 1

    def go(self, number: int) -> None:
        """Go to a step; beyond the ends it stays, and says so."""
        inside = min(max(number, 1), self._count)
        if inside == self.number.value and number != inside:
            self._show(more="This is the first step." if number < 1 else "This is the last step.")
        else:
            self.number.value = inside

    def _show(self, *, more: str = "") -> None:
        if self.replay is None:
            return
        number = self.number.value
        frame = self.replay.frame(number)
        say(self.step_words, [self.replay.title(number) + ".", *frame.seen, more])
        self.numbers.value = _table("Numbers at this step", frame.numbers)
        self.pictures.value = "".join(picture.html() for picture in frame.pictures)
        end = self.replay.summing_up(number)
        if end is None:
            say(self.end_words, "")
            self.end_numbers.value = ""
            return
        title, rows, words = end
        say(self.end_words, words)
        self.end_numbers.value = _table(f"Summing-up: {title[:1].lower()}{title[1:]}", rows)


def _table(caption: str, rows: tuple[tuple[str, str], ...]) -> str:
    body = "".join(
        f'<tr><th scope="row" style="{_CELL};font-weight:normal">{escape(name)}</th>'
        f'<td style="{_CELL}">{escape(value)}</td></tr>'
        for name, value in rows
    )
    return (
        '<table style="border-collapse:collapse;font-size:15px;line-height:1.35;margin:6px 0">'
        f'<caption style="text-align:left;font-weight:bold">{escape(caption)}</caption>{body}'
        "</table>"
    )


def replay_face(
    *, bench: str, store: Store, folder: Path, system: System = "inch"
) -> ipywidgets.VBox:
    """Return the replay of a bench's sessions, folded.

    Parameters
    ----------
    bench : str
        "measuring", "fitting" or "pulling".
    store : Store
        Where this page keeps its sessions.
    folder : Path
        Folder that a typed path is counted from.
    system : {"inch", "metric"}
        Which units come first here, whichever came first where the session was done.
    """
    return ReplayFace(bench=bench, store=store, folder=folder, system=system).widget
