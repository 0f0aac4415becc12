"""Live faces of the measuring lesson: section with clearance, and the measuring bench."""

from __future__ import annotations

import math
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import ipywidgets

from taperkey.bench.gauge import TOOLS, Reading
from taperkey.bench.slot import TrueSlot
from taperkey.figures.ink import Picture
from taperkey.figures.micrometer import draw_micrometer
from taperkey.figures.profile import draw_profile
from taperkey.figures.section import draw_section
from taperkey.figures.telescoping import draw_telescoping, largest_lean_rad
from taperkey.formulas.measure import (
    gap_at_angle_in,
    height_left_out_in,
    travel_from_height_left_out_in,
)
from taperkey.worksheet.controls import (
    UNSET,
    Face,
    MemoryStore,
    Store,
    choice,
    entry_box,
    heading,
    labelled_slider,
    picture_box,
    press_button,
    say,
    show,
    words_box,
)
from taperkey.worksheet.faces_conditions import (
    TOOL_WORDS,
    Conditions,
    ToolWords,
    readings_table,
)
from taperkey.worksheet.measuring_book import PARALLEL, MeasuringBook, mouth_of, practice_slot

__all__ = ["MeasuringBench", "SectionResult", "measuring_bench", "section_explorer", "section_of"]

STORE_KEY = "measuring bench"
OPENING_IN = 1.0


@dataclass(frozen=True, kw_only=True)
class SectionResult:
    """What clearance and angle do to a reading; lengths in inches."""

    clearance_in: float
    angle_rad: float
    gap_in: float
    left_out_in: float
    travel_in: float


def section_of(*, clearance_thou: float, angle_deg: float) -> SectionResult:
    """Return the clearance's share of the opening, and what a key would be short by.

    Parameters
    ----------
    clearance_thou : float
        Bore less shaft [0.001 in].
    angle_deg : float
        Keyway from the top [deg].
    """
    clearance, angle = clearance_thou / 1000, math.radians(angle_deg)
    return SectionResult(
        clearance_in=clearance,
        angle_rad=angle,
        gap_in=float(gap_at_angle_in(diametral_clearance_in=clearance, angle_rad=angle)),
        left_out_in=float(height_left_out_in(diametral_clearance_in=clearance, angle_rad=angle)),
        travel_in=float(
            travel_from_height_left_out_in(
                diametral_clearance_in=clearance, angle_rad=angle, taper_in_per_in=1 / 96
            )
        ),
    )


def _tell_section(result: SectionResult) -> Sequence[str]:
    clearance, gap, out = (
        1000 * v for v in (result.clearance_in, result.gap_in, result.left_out_in)
    )
    degrees = math.degrees(result.angle_rad)
    first = (
        f"Keyway {degrees:.0f}° from the top: {gap:.1f} thousandths of the opening are clearance, "
        f"of {clearance:.1f} in all."
    )
    if out < 0.05:
        return [first, "All of the clearance is in the reading: the key comes out right."]
    return [
        first,
        f"A key made to this reading is {out:.1f} thousandths too thin. At 1:96 it goes in "
        f"{result.travel_in:.2f} in further before it is tight.",
    ]


def section_explorer() -> ipywidgets.VBox:
    """Return hub on shaft, with clearance and keyway angle to change."""
    return Face(
        title="Where does the clearance go?",
        under="The hub hangs on the top of the shaft. Turn the keyway and watch the opening.",
        inputs={
            "clearance_thou": labelled_slider(
                label="Clearance",
                value=8.0,
                low=0.0,
                high=20.0,
                step=0.5,
                unit="thousandths",
                tip="Bore less shaft diameter, in thousandths of an inch",
            ),
            "angle_deg": labelled_slider(
                label="Keyway from the top",
                value=90.0,
                low=0.0,
                high=180.0,
                step=5.0,
                unit="°",
                tip="0 is the top, 180 the bottom",
            ),
        },
        compute=section_of,
        draw=lambda r: draw_section(
            diametral_clearance_in=r.clearance_in,
            angle_rad=r.angle_rad,
            opening_height_in=OPENING_IN,
        ),
        tell=_tell_section,
    ).widget


class MeasuringBench:
    """Three tools, a micrometer and a page of readings on a hidden slot."""

    def __init__(self, *, slot: TrueSlot, seed: int, store: Store) -> None:
        self.book = MeasuringBook(slot=slot, seed=seed)
        self._store = store
        self._quiet = False
        self._refused = ""
        notice = self._take_up()
        length = slot.parameters.length_in
        self.tool = choice(
            label="Tool",
            options=[(name, name) for name in TOOLS],
            value=TOOLS[0],
            tip="What the opening is measured with",
        )
        self.conditions = Conditions()
        self.station = labelled_slider(
            label="Station from mouth",
            value=0.0,
            low=0.0,
            high=length,
            step=0.25,
            unit="in",
        )
        self.angle = labelled_slider(
            label="Keyway from the top",
            value=90.0,
            low=0.0,
            high=180.0,
            step=5.0,
            unit="°",
            tip="0 is the top, 180 the bottom",
        )
        self.lean = labelled_slider(
            label="Gauge leans",
            value=0.0,
            low=-8.6,
            high=8.6,
            step=0.2,
            unit="°",
            tip="0 is square to the slot; rock it through to both sides",
        )
        self.tightness = labelled_slider(
            label="Lock of the gauge",
            value=20.0,
            low=0.0,
            high=100.0,
            step=5.0,
            unit="of 100",
        )
        self.stand_out = labelled_slider(
            label="Large end stands out",
            value=0.5,
            low=0.25,
            high=3.0,
            step=0.125,
            unit="in",
            tip="From the mouth to where the large end is measured, 0.25 to 3 in",
        )
        self._build(notice)
        self._resume_choices()
        self.tool.observe(lambda _: self._tool_changed(), names="value")
        for part in (self.station, self.angle):
            part.observe(lambda _: self.put_in(), names="value")
        self.lean.observe(lambda _: self._rocked(), names="value")
        self._tool_changed()
        self._refresh_table()
        self._refresh_micrometer()
        if self.book.revealed:
            self._show_hidden()

    def _build(self, notice: str) -> None:
        self.gauge_picture, self.micrometer, self.profile = (picture_box() for _ in range(3))
        self.gauge_words, self.words, self.hidden_words = (words_box() for _ in range(3))
        self.table = ipywidgets.HTML(layout={"width": "100%"})
        self.entry = entry_box(label="You read", hint="such as 1.0104 in")
        self.entry.observe(lambda _: self._write(), names="value")
        self.as_it_is = press_button(
            label="Write it as it is",
            on_press=lambda: self._write(pressed=True, as_it_is=True),
            tip="Write down what you typed although it does not agree with the micrometer",
        )
        self.as_it_is.disabled = True
        self.strike = choice(label="Strike out reading", options=[], tip="Number of the reading")
        row = {"flex_flow": "row wrap", "align_items": "center"}
        self.anew = press_button(label="Put it in anew", on_press=self.put_in)
        self.take = press_button(label="Measure", on_press=self.measure, strong=True)
        buttons = ipywidgets.HBox([self.anew, self.take], layout=row)
        writing = ipywidgets.HBox(
            [
                self.entry,
                press_button(
                    label="Write it down",
                    on_press=lambda: self._write(pressed=True),
                    tip="Write the reading into the table",
                ),
                self.as_it_is,
            ],
            layout=row,
        )
        striking = ipywidgets.HBox(
            [
                self.strike,
                press_button(
                    label="Strike out",
                    on_press=self._strike_out,
                    tip="Cross the reading out; it stays readable",
                ),
            ],
            layout=row,
        )
        end = press_button(
            label="Show what was hidden",
            on_press=self.reveal,
            tip="Compare your readings with the true slot",
        )
        self.widget = ipywidgets.VBox(
            [
                heading(
                    "Measuring bench",
                    "Choose the tool and where, follow the words under the sliders, and read the "
                    "micrometer. Read each place more than once.",
                ),
                self.tool,
                self.angle.widget,
                self.station.widget,
                self.tightness.widget,
                self.lean.widget,
                self.stand_out.widget,
                self.conditions.widget,
                self.gauge_words,
                self.gauge_picture,
                buttons,
                self.micrometer,
                writing,
                self.words,
                self.table,
                striking,
                ipywidgets.HBox([end]),
                self.hidden_words,
                self.profile,
            ],
            layout={"max_width": "780px"},
        )
        self.widget.face = self
        say(self.words, notice)

    # the tool

    @property
    def _tool_words(self) -> ToolWords:
        return TOOL_WORDS[self.tool.value]

    def _resume_choices(self) -> None:
        readings = self.book.session.readings()
        if readings:
            self.tool.value = readings[-1].tool
            self.conditions.take_up(self.book.session.conditions(number=len(readings)))

    def _tool_changed(self) -> None:
        tool, said = self.tool.value, self._tool_words
        rocked = tool != PARALLEL
        for part in (self.station.widget, self.tightness.widget, self.lean.widget, self.anew):
            part.layout.display = None if rocked else "none"
        self.stand_out.widget.layout.display = "none" if rocked else None
        self.gauge_picture.layout.display = None if tool == TOOLS[0] else "none"
        if rocked:
            self.lean.box.description = said.lean
            self.tightness.box.description = said.lock
            self.tightness.box.tooltip = self.tightness.slider.tooltip = said.lock_tip
        self.anew.description = f"Put the {said.name} in anew"
        self.anew.tooltip = f"Take the {said.name} out and put it in leaning"
        self.take.description = self.take.tooltip = said.take
        self.put_in()

    def _largest(self) -> float:
        return largest_lean_rad(station_in=self.station.value, height_in=OPENING_IN)

    def put_in(self) -> None:
        """Put the tool in afresh, leaning as far as the mouth lets it, or 5 degrees."""
        start = min(self._largest(), math.radians(5.0))
        self._quiet = True
        self.lean.slider.value = round(math.degrees(start), 1)
        self._quiet = False
        lean = min(math.radians(self.lean.value), self._largest())
        self._low = self._high = lean
        self._draw_gauge(self._tool_words.put_in)

    def _rocked(self) -> None:
        if self._quiet:
            return
        largest, lean = self._largest(), math.radians(self.lean.value)
        self._low = min(self._low, max(lean, -largest))
        self._high = max(self._high, min(lean, largest))
        if abs(lean) > largest + 1e-9:
            words = (
                f"The handle touches the edge of the mouth at {math.degrees(largest):.1f}°. "
                "It cannot lean further here."
            )
        elif self._low <= 0 <= self._high:
            words = f"The {self._tool_words.name} has passed through square."
        else:
            words = f"The {self._tool_words.name} has not passed through square yet."
        self._draw_gauge(words)

    def _draw_gauge(self, words: str) -> None:
        say(self.gauge_words, words)
        if self.tool.value != TOOLS[0]:
            return  # the picture is of the telescoping gauge
        largest = self._largest()
        slot = self.book.session.slot.parameters
        show(
            self.gauge_picture,
            draw_telescoping(
                station_in=self.station.value,
                tilt_rad=max(-largest, min(largest, math.radians(self.lean.value))),
                keyway_angle_rad=math.radians(self.angle.value),
                slot_length_in=slot.length_in,
                leaned_from_rad=self._low,
                leaned_to_rad=self._high,
            ),
        )

    def _take(self) -> Reading:
        turned, under = math.radians(self.angle.value), self.conditions.values()
        if self.tool.value == PARALLEL:
            return self.book.slide(
                stand_out_in=self.stand_out.value, keyway_angle_rad=turned, **under
            )
        return self.book.take(
            tool=self.tool.value,
            station_in=self.station.value,
            keyway_angle_rad=turned,
            leaned_from_rad=self._low,
            leaned_to_rad=self._high,
            tightness=self.tightness.value / 100,
            **under,
        )

    def measure(self) -> None:
        """Take a reading with the tool in hand, and put it on the micrometer."""
        if self.book.waiting is not None:
            say(
                self.words,
                f"Reading {self.book.waiting} is still on the micrometer. Write it down first.",
                tone="wrong",
            )
            return
        try:
            reading = self._take()
        except ValueError as refused:
            say(self.words, str(refused), tone="wrong")
            return
        if not reading.taken:
            say(self.words, reading.note, tone="wrong")
            return
        number = self.book.waiting
        tight = (
            f"The parallel is tight; its large end stands {reading.stand_out_in:g} in out of the "
            "mouth. The micrometer is over the large end."
        )
        say(
            self.words,
            [
                tight if reading.tool == PARALLEL else "",
                f"Reading {number} is on the micrometer. Type what you read.",
                reading.note and f"In the hand: {reading.note}",
            ],
        )
        self._refresh_micrometer()
        self._keep()
        self.put_in()

    def _refresh_micrometer(self) -> None:
        number = self.book.waiting
        if number is None:
            self.micrometer.value = ""
        else:
            show(
                self.micrometer,
                draw_micrometer(reading_in=self.book.shown_in(number), kind="inch-vernier"),
            )

    # the page

    def _write(self, *, pressed: bool = False, as_it_is: bool = False) -> None:
        text = self.entry.value
        if not text.strip():
            if pressed:
                say(self.words, "Type what you read first.")
            return
        if text == self._refused and not as_it_is:
            return  # said already: leaving the box and pressing the button are one act
        written, words = self.book.write_down(text, as_it_is=as_it_is)
        say(self.words, words, tone="right" if written else "wrong")
        self._refused = "" if written else text
        self.as_it_is.disabled = written or self.book.waiting is None
        if written:
            self.entry.value = ""
            self._refresh_micrometer()
            self._refresh_table()
            self._keep()

    def _strike_out(self) -> None:
        number = self.strike.value
        if number == UNSET:
            say(self.words, "Choose the reading that is to be struck out.")
            return
        self.book.strike_out(number)
        say(self.words, f"Reading {number} is struck out. It stays readable.")
        self._refresh_table()
        self._keep()

    def _refresh_table(self) -> None:
        self.table.value = readings_table(self.book)
        struck = self.book.session.struck_out()
        left = [n.number for n in self.book.notes if n.number not in struck]
        self.strike.options = [("choose …", UNSET), *((str(n), n) for n in left)]

    def reveal(self) -> None:
        """Show the hidden slot against the readings."""
        if not self.book.standing():
            say(self.hidden_words, self.book.hidden_in_words())
            return
        self.book.revealed = True
        self._keep()
        self._show_hidden()

    def _show_hidden(self) -> None:
        say(self.hidden_words, self.book.hidden_in_words())
        show(self.profile, self._hidden_picture())

    def _hidden_picture(self) -> Picture:
        points = [
            (0.0, mouth_of(note=n, reading=r)) if r.tool == PARALLEL else (r.station_in, n.value_in)
            for n, r in self.book.standing()
        ]
        slot = self.book.session.slot
        mouth, taper = slot.line()
        return draw_profile(
            stations_in=[x for x, _ in points],
            heights_in=[height for _, height in points],
            length_in=slot.parameters.length_in,
            true_mouth_in=mouth,
            true_taper_in_per_in=taper,
        )

    # keeping

    def _take_up(self) -> str:
        kept: Any = self._store.get(STORE_KEY)
        if not kept:
            return ""
        try:
            self.book.restore(kept)
        except ValueError as refused:
            return str(refused)
        return "Your earlier readings are back."

    def _keep(self) -> None:
        trouble = self._store.set(STORE_KEY, self.book.record())
        if isinstance(trouble, str) and trouble:
            say(self.words, trouble, tone="wrong")


def measuring_bench(
    *,
    seed: int | None = None,
    slot: TrueSlot | None = None,
    store: Store | None = None,
) -> ipywidgets.VBox:
    """Return the measuring bench.

    Parameters
    ----------
    seed : int, optional
        Decides the hidden slot and the scatter. Taken from the store when
        readings are kept there; new when left out.
    slot : TrueSlot, optional
        A given slot instead of the practice one.
    store : Store, optional
        Keeps the readings; for this sitting when left out.
    """
    where = store or MemoryStore()
    kept = where.get(STORE_KEY) or {}
    if seed is None:
        session = kept.get("session") if isinstance(kept, dict) else None
        seed = int(session["seed"]) if session and "seed" in session else secrets.randbelow(10**6)
    return MeasuringBench(slot=slot or practice_slot(seed=seed), seed=seed, store=where).widget
