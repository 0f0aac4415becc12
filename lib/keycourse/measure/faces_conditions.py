"""Parts of the measuring bench: tools in words, their sliders, the conditions, the table."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from html import escape

import ipywidgets

from coursework.ink.shop import INCH, ShopUnits
from coursework.page.bench import Struck, table
from coursework.page.controls import (
    LabelledSlider,
    choice,
    labelled_slider,
    press_button,
)
from keycourse.hazards import box
from keycourse.measure.bench.book import PARALLEL, MeasuringBook, instrument_kind, mouth_of
from keycourse.measure.bench.tools import (
    CALIPER,
    JAW_MICROMETER,
    ROD_MICROMETER,
    SMALL_HOLE,
    TAPER_BAR,
    TELESCOPING,
)
from keycourse.start.tools import tool_of
from taperkey.formulas.measure import REFERENCE_TEMPERATURE_DEGF

__all__ = [
    "OF_WORDS",
    "TOOL_WORDS",
    "Conditions",
    "ToolWords",
    "readings_table",
    "tool_sliders",
]

_HANDS = (("first day", 0.0), ("some practice", 0.5), ("steady", 1.0))
_USUAL_HAND = 0.5


@dataclass(frozen=True, kw_only=True)
class ToolWords:
    """What the bench says of one tool."""

    name: str
    put_in: str
    lock: str = ""
    lock_tip: str = ""
    take: str
    standard: str = "gauge block"


_DRAG_TIP = "0 is loose, 100 is tight"

TOOL_WORDS: Mapping[str, ToolWords] = {
    TELESCOPING: ToolWords(
        name="gauge",
        put_in="The gauge is in, leaning along the slot and across it. Set the lock, roll it "
        "square, then rock it through square.",
        lock="Lock of the gauge",
        lock_tip="0 is loose, 100 is tight; lock it before it is rocked",
        take="Draw out and measure",
    ),
    ROD_MICROMETER: ToolWords(
        name="inside micrometer",
        put_in="The inside micrometer goes in leaning both ways. Set the drag, roll it square, "
        "then rock it through square. It is read in place.",
        lock="Drag of its ends",
        lock_tip=_DRAG_TIP,
        take="Read in place",
        standard="setting ring",
    ),
    JAW_MICROMETER: ToolWords(
        name="inside micrometer",
        put_in="Its round jaws go in a short way and lie along the slot. Set the drag and roll it "
        "square. It is read in place.",
        lock="Drag of its jaws",
        lock_tip=_DRAG_TIP,
        take="Read in place",
        standard="setting ring",
    ),
    SMALL_HOLE: ToolWords(
        name="gauge",
        put_in="The split ball goes in loose. Set it until it just drags; being round, it hardly "
        "minds a lean. Draw it out and measure it.",
        lock="Drag of the ball",
        lock_tip=_DRAG_TIP,
        take="Draw out and measure",
    ),
    CALIPER: ToolWords(
        name="caliper",
        put_in="The inside jaws lie along both faces, as far in as they reach. Roll the caliper "
        "square; do not force it.",
        lock="Hand on the jaws",
        lock_tip="0 barely touches, 100 is forced",
        take="Read in place",
        standard="setting ring",
    ),
    TAPER_BAR: ToolWords(
        name="taper bar",
        put_in="The bar is ground to {standard}. Slide it in until it is tight, and measure it "
        "over its large end. Take the stand-out from the mouth to where you measure.",
        take="Slide in and measure",
    ),
}

OF_WORDS: Mapping[str, str] = {
    "height": "height",
    "keyway": "width of the keyway",
    "keyseat": "width of the keyseat",
}


def tool_sliders(*, units: ShopUnits, length_in: float) -> tuple[LabelledSlider, ...]:
    """Return the sliders of the tools: station, keyway, both leans, lock and stand-out."""
    metric = units.metric
    station = labelled_slider(
        label="Station from mouth",
        value=0.0,
        low=0.0,
        high=length_in * units.per_in,
        step=5.0 if metric else 0.25,
        unit=units.unit,
    )
    angle = labelled_slider(
        label="Keyway from the top",
        value=90.0,
        low=0.0,
        high=180.0,
        step=5.0,
        unit="°",
        tip="0 is the top, 180 the bottom",
    )
    lean, roll = (
        labelled_slider(
            label=label,
            value=0.0,
            low=-8.6,
            high=8.6,
            step=0.2,
            unit="°",
            tip=f"{tip}; 0 is square to the slot",
        )
        for label, tip in (
            ("Leans along slot", "Above 0 the handle is up, below 0 it is down"),
            ("Leans across", "Above 0 the handle is rolled right, below 0 left"),
        )
    )
    tightness = labelled_slider(
        label="Lock of the gauge",
        value=20.0,
        low=0.0,
        high=100.0,
        step=5.0,
        unit="of 100",
    )
    stand_out = labelled_slider(
        label="Large end stands out",
        value=15.0 if metric else 0.5,
        low=5.0 if metric else 0.25,
        high=80.0 if metric else 3.0,
        step=2.5 if metric else 0.125,
        unit=units.unit,
        tip="From the mouth to where the large end is measured, "
        + ("5 to 80 mm" if metric else "0.25 to 3 in"),
    )
    return station, angle, lean, roll, tightness, stand_out


class Conditions:
    """Hand, zero error and temperatures, folded away until they are asked for."""

    def __init__(self, *, units: ShopUnits = INCH) -> None:
        self._units = units
        metric = units.metric
        self.hand = choice(
            label="Your hand",
            options=_HANDS,
            value=_USUAL_HAND,
            tip="How steady the hand is: first day, some practice, or steady",
        )
        self.zero_error = labelled_slider(
            label="Micrometer zero error",
            value=0.0,
            low=-0.13 if metric else -5.0,
            high=0.13 if metric else 5.0,
            step=0.005 if metric else 0.1,
            unit=units.fine,
            tip="By how much the micrometer reads high on its standard, in "
            + ("millimeters" if metric else "thousandths of an inch"),
        )
        self.part, self.tool = (
            labelled_slider(
                label=f"{what} temperature",
                value=units.degrees(REFERENCE_TEMPERATURE_DEGF),
                low=-18.0 if metric else 0.0,
                high=122.0 if metric else 250.0,
                step=1.0,
                unit=units.degree,
                tip=f"Temperature of the {whole}, "
                + ("-18 to 122 degrees Celsius" if metric else "0 to 250 degrees Fahrenheit"),
            )
            for what, whole in (("Part", "hub and shaft"), ("Tool", "tool and micrometer"))
        )
        for one in (self.part, self.tool):
            one.observe(lambda _: self._other_degrees(), names="value")
        for changed in (self.hand, self.zero_error, self.part, self.tool):
            changed.observe(lambda _: self._name_button(), names="value")
        self._other_degrees()
        self.button = press_button(label="Conditions", on_press=self.fold)
        hot = ipywidgets.HTML(box("hot-hub"))
        self.inside = ipywidgets.VBox(
            [self.hand, self.zero_error.widget, self.part.widget, self.tool.widget, hot]
        )
        self.widget = ipywidgets.VBox([ipywidgets.HBox([self.button]), self.inside])
        self.open = True
        self.fold()

    def fold(self) -> None:
        """Open the part when it is folded, and the other way round."""
        self.open = not self.open
        self.inside.layout.display = None if self.open else "none"
        self._name_button()

    def _name_button(self) -> None:
        """Say on the button what differs from the usual, so that it is seen when folded."""
        said = ", ".join(self.unusual()) or "as usual"
        self.button.description = f"Conditions: {said} ({'hide' if self.open else 'show'})"
        self.button.tooltip = (
            f"{'Hide' if self.open else 'Show'} hand, zero error of the micrometer, temperatures"
        )

    def unusual(self) -> list[str]:
        """Return in words each condition that differs from the usual; none when all are usual."""
        words, units = [], self._units
        part, tool = self.part.value, self.tool.value
        if part != tool:
            way = "warmer" if part > tool else "colder"
            words.append(f"hub {abs(part - tool):g} {units.degree} {way}")
        elif part != units.degrees(REFERENCE_TEMPERATURE_DEGF):
            words.append(f"all at {part:g} {units.degree}")
        if zero := self.zero_error.value:
            way = "high" if zero > 0 else "low"
            words.append(f"micrometer {abs(zero):g} {units.fine} {way}")
        if self.hand.value != _USUAL_HAND:
            words.append({0.0: "first day's hand", 1.0: "steady hand"}[float(self.hand.value)])
        return words

    def _other_degrees(self) -> None:
        units = self._units
        for one in (self.part, self.tool):
            both = units.both_temperatures(units.to_f(one.value))
            _say_unit(one, both[both.index(units.degree) :])

    def values(self) -> dict[str, float]:
        """Return the conditions as a reading needs them [-, in, F, F]."""
        return {
            "experience": float(self.hand.value),
            "zero_error_in": self._units.fine_to_in(self.zero_error.value),
            "part_temperature_f": self._units.to_f(self.part.value),
            "tool_temperature_f": self._units.to_f(self.tool.value),
        }

    def take_up(self, kept: Mapping[str, float]) -> None:
        """Set the controls as they were for an earlier reading."""
        if kept["experience"] in [value for _, value in _HANDS]:
            self.hand.value = kept["experience"]
        units = self._units
        self.zero_error.slider.value = round(units.fine_per_in * kept["zero_error_in"], 6)
        self.part.slider.value = units.degrees(kept["part_temperature_f"])
        self.tool.slider.value = units.degrees(kept["tool_temperature_f"])


def _say_unit(slider: LabelledSlider, unit: str) -> None:
    slider.widget.children[1].value = f'<span style="white-space:nowrap">{escape(unit)}</span>'


def readings_table(book: MeasuringBook) -> str:
    """Return the page of readings, struck-out ones crossed; nothing when it is empty."""
    struck, readings, units = book.session.struck_out(), book.session.readings(), book.units
    rows = []
    for note in book.notes:
        reading = readings[note.number - 1]
        size, at = units.height(note.value_in), units.place(reading.station_in)
        if reading.tool == CALIPER:  # it is read in coarser steps
            places = tool_of(instrument_kind(units, CALIPER)).places
            size = f"{note.value_in * units.per_in:.{places}f} {units.unit}"
        turned = f"keyway {math.degrees(reading.keyway_angle_rad):.0f}°"
        what = f"height at {at}, {turned}"
        if reading.of == "zero":
            what = f"on {units.height(reading.standard_in)}"
        elif reading.of != "height":
            what = f"width of the {reading.of} at {at}"
        elif reading.tool == PARALLEL:
            what = f"stands out {units.place(reading.stand_out_in)}, {turned}"
            size += f" (mouth {units.height(mouth_of(note=note, reading=reading))})"
        cells = (str(note.number), reading.tool, what, size)
        out = note.number in struck
        rows.append([*(map(Struck, cells) if out else cells), "struck out" if out else ""])
    heads = ("Reading", "Tool", "What and where", "Size", "")
    return table(rows, caption="Your readings", heads=heads, align="right")
