"""Live face of the measuring lesson: the measuring bench."""

from __future__ import annotations

import math
from typing import Any

import ipywidgets

from coursework.ink.shop import shop_units
from coursework.page.bench import Bench, button, group, hands, open_bench, row
from coursework.page.controls import (
    FULL_WIDTH,
    UNSET,
    Store,
    choice,
    entry_box,
    picture_box,
    say,
    show,
    words_box,
)
from coursework.page.keeping import bench_act
from keycourse.benches import BENCHES
from keycourse.common import narrow, standard_of
from keycourse.measure.bench.book import (
    PARALLEL,
    SLOT_SIZES,
    MeasuringBook,
    size_words,
)
from keycourse.measure.bench.gauge import Reading
from keycourse.measure.bench.pages import MeasuringPages
from keycourse.measure.bench.pictures import (
    in_slot_picture,
    micrometer_picture,
    readings_picture,
    rocked_picture,
)
from keycourse.measure.bench.reading import OF, why_not
from keycourse.measure.bench.rocking import largest_across_rad
from keycourse.measure.bench.slot import TrueSlot
from keycourse.measure.bench.tools import TELESCOPING, tool_named
from keycourse.measure.faces_conditions import (
    OF_WORDS,
    TOOL_WORDS,
    Conditions,
    ToolWords,
    readings_table,
    tool_sliders,
)
from keycourse.measure.faces_rocking import Rocking
from keycourse.measure.slotwidth import draw_way_out
from keycourse.measure.telescoping import largest_lean_rad
from taperkey.units import System

__all__ = ["STORE_KEY", "MeasuringBench", "measuring_bench"]

STORE_KEY = BENCHES["measuring"]


class MeasuringBench(Bench):
    """Six tools, a micrometer and a page of readings on a hidden slot."""

    store_key = STORE_KEY

    def __init__(
        self,
        *,
        seed: int,
        store: Store,
        slot: TrueSlot | None = None,
        system: System = "inch",
    ) -> None:
        self.units = units = shop_units(system)
        self.pages = MeasuringPages(seed=seed, slot=slot, units=units)
        self._refused = ""
        self._just_written = False
        told = self._take_up(
            store, back=lambda: "Your earlier readings are back." if self._begun else ""
        )
        self.size = choice(
            label="Opening of the slot",
            options=[(f"{size_words(size, units=units)} high", size) for size in SLOT_SIZES],
            value=self.pages.size,
            tip="Which slot is measured; not every tool goes into each",
        )
        self.of = choice(
            label="Measure the",
            options=[(words, of) for of, words in OF_WORDS.items()],
            value=OF[0],
            tip="Height of the opening, or the width of the slot in hub or shaft",
        )
        self.tool = choice(
            label="Tool",
            options=[(name, name) for name in TOOL_WORDS],
            value=TELESCOPING,
            tip="What it is measured with",
        )
        self.conditions = Conditions(units=units)
        self.station, self.angle, self.lean, self.roll, self.tightness, self.stand_out = (
            tool_sliders(units=units, length_in=self._length)
        )
        self.rocking = Rocking(along=self.lean, across=self.roll, changed=self._rocked)
        self._build(told)
        self._resume_choices()
        for part in (self.tool, self.of):
            part.observe(lambda _: self._tool_changed(), names="value")
        self.size.observe(lambda _: self._size_changed(), names="value")
        for part in (self.station, self.angle):
            part.observe(lambda _: self.put_in(), names="value")
        self._tool_changed()
        self._refresh_page()

    @property
    def book(self) -> MeasuringBook:
        """The page of readings that lies open."""
        return self.pages.book

    @property
    def _length(self) -> float:
        return self.book.session.slot.parameters.length_in

    def _build(self, told: list[str]) -> None:
        self.gauge_picture, self.rocked_picture, self.way_out, self.micrometer, self.profile = (
            picture_box() for _ in range(5)
        )
        self.rocked_picture.layout.max_width = "440px"
        self.gauge_words, self.words, self.hidden_words, self.slot_words = (
            words_box() for _ in range(4)
        )
        self.table = ipywidgets.HTML(layout={"width": FULL_WIDTH})
        self.entry = entry_box(
            label="You read", hint="such as 25.66 mm" if self.units.metric else "such as 1.0104 in"
        )
        self.entry.observe(lambda _: self._write(), names="value")
        self.as_it_is = button(
            "Write it as it is",
            lambda: self._write(pressed=True, as_it_is=True),
            "Write down what you typed, although it does not agree with the micrometer",
        )
        self.as_it_is.disabled = True
        self.strike = choice(label="Strike out reading", options=[], tip="Number of the reading")
        self.another = button(
            "Another slot of this size",
            self.start_over,
            "Take an empty page for another hub and shaft; the old one can be brought back",
        )
        self.back = button(
            "Bring the earlier page back",
            self.take_back,
            "Go back to the slot and the readings that were there before",
        )
        slots = row(self.another, self.back)
        if self.pages.one_only:
            self.size.layout.display = slots.layout.display = "none"
        self.anew = button("Put it in again", self.put_in)
        self.take = button("Measure", self.measure, strong=True)
        self.zero = button("Try its zero", self.try_zero)
        self.stone = button(
            "Stone the burr off", self.stone_burr, "Stone the burr off the edges of the mouth"
        )
        buttons = row(self.anew, self.take)
        writing = row(
            self.entry,
            button(
                "Write it down",
                lambda: self._write(pressed=True),
                "Write the reading into the table",
            ),
            self.as_it_is,
        )
        striking = row(
            self.strike,
            button(
                "Strike out",
                self._strike_out,
                "Cross the reading out; it can still be read",
            ),
        )
        end = button(
            "Show what was hidden",
            self.reveal,
            "Compare your readings with the true slot",
        )
        self.frame(
            "Measuring bench",
            "Choose what, the tool and where. Read each place more than once: that shows your "
            "scatter. The tool's own error only a standard shows.",
            [
                self.of,
                self.tool,
                self.gauge_picture,
                hands(
                    group("Before you read", row(self.zero, self.stone), wide=True),
                    group(
                        "Put it in",
                        self.angle.widget,
                        self.station.widget,
                        self.tightness.widget,
                        wide=True,
                    ),
                    group(
                        "Rock and read",
                        self.rocked_picture,
                        self.gauge_words,
                        self.lean.widget,
                        self.roll.widget,
                        self.stand_out.widget,
                        buttons,
                        wide=True,
                    ),
                    group("Shop", self.conditions.widget, wide=True),
                ),
                self.way_out,
                self.micrometer,
                hands(group("Write", writing, wide=True)),
                self.words,
                self.table,
                hands(
                    group("Cross out", striking),
                    group("Look back", row(end)),
                    group("Another slot", self.size, slots, wide=True),
                ),
                self.slot_words,
                self.hidden_words,
                self.profile,
            ],
        )
        say(self.words, told)

    # the slot

    @bench_act
    def _size_changed(self) -> None:
        if self.size.value == self.pages.size:
            return
        begun = self.pages.choose(self.size.value)
        where = "Your earlier readings of it are back." if begun else "Its page is still empty."
        self._page_changed(
            f"The slot is {size_words(self.pages.size, units=self.units)} high now. {where}"
        )

    @bench_act
    def start_over(self) -> None:
        """Lay an empty page open, for another slot of the same size."""
        self.pages.start_over()
        words = "Another slot lies before you, with an empty page."
        if self.pages.can_take_back:
            words += " You can bring the earlier page back."
        self._page_changed(words)

    @bench_act
    def take_back(self) -> None:
        """Bring the earlier page back."""
        if self.attempt(self.slot_words, self.pages.take_back):
            self.size.value = self.pages.size
            self._page_changed("The earlier slot and its readings are back.")

    def _page_changed(self, words: str) -> None:
        self.entry.value = self._refused = ""
        self._just_written = False
        self.as_it_is.disabled = True
        say(self.words, "")
        say(self.slot_words, words)
        self.way_out.value = ""
        self.station.limit(low=0.0, high=self._length * self.units.per_in)
        self._refresh_page()
        self._tool_changed()
        self.keep(self.words)

    def _refresh_page(self) -> None:
        self._refresh_table()
        self._refresh_micrometer()
        self.back.disabled = not self.pages.can_take_back
        if self.book.revealed:
            self._show_hidden()
        else:
            say(self.hidden_words, "")
            self.profile.value = ""

    # the tool

    @property
    def _tool_words(self) -> ToolWords:
        return TOOL_WORDS[self.tool.value]

    def _resume_choices(self) -> None:
        readings = self.book.session.readings()
        if readings:
            self.tool.value = readings[-1].tool
            if readings[-1].of in OF:
                self.of.value = readings[-1].of
            self.conditions.take_up(self.book.session.conditions(number=len(readings)))

    def _tool_changed(self) -> None:
        tool, said = self.tool.value, self._tool_words
        rocked, width = tool != PARALLEL, self.of.value != "height"
        for part in (self.station.widget, self.tightness.widget, self.anew):
            part.layout.display = None if rocked else "none"
        self.angle.widget.layout.display = "none" if width else None
        self.stand_out.widget.layout.display = "none" if rocked else None
        self.stone.layout.display = None if width and not self.book.session.stoned else "none"
        if rocked:
            self.tightness.box.description = said.lock
            self.tightness.box.tooltip = self.tightness.slider.tooltip = said.lock_tip
        self.anew.description = f"Put the {said.name} in again"
        self.anew.tooltip = f"Take the {said.name} out and put it in leaning"
        self.take.description = self.take.tooltip = said.take
        size = self.units.height(self.book.standard_in(self.of.value))
        tried = tool if tool_named(tool).in_place else "micrometer"
        self.zero.tooltip = f"Try the {tried} on the {said.standard} of {size}"
        self.put_in()

    @property
    def _station_in(self) -> float:
        return min(self.units.to_in(self.station.value), self._length)

    def _most(self) -> tuple[float, float]:
        """How far the tool can lean along and across before it touches mouth or wall [rad]."""
        slot, high = self.book.session.slot.parameters, self.book.opening_in
        wide = min(slot.hub_width_in, slot.shaft_width_in)
        if self.of.value != "height":
            high, wide = wide, high
        radius = min(tool_named(self.tool.value).end_radius_in(high), high / 2)
        return (
            largest_lean_rad(station_in=self._station_in, height_in=high),
            largest_across_rad(height_in=high, width_in=wide, end_radius_in=radius),
        )

    def put_in(self) -> None:
        """Put the tool in afresh, leaning in each plane as far as it goes, or 5 and 3 degrees."""
        self.rocking.put_in(planes=tool_named(self.tool.value).planes, most=self._most())
        self._draw_gauge(self._tool_words.put_in.format(standard=standard_of(self.units)[1]))

    def _rocked(self) -> None:
        self._draw_gauge(self.rocking.said(self._tool_words.name))

    def _draw_gauge(self, words: str) -> None:
        say(self.gauge_words, words)
        tool, of, now = self.tool.value, self.of.value, self.rocking.now
        slot = in_slot_picture(
            self.book,
            tool=tool,
            of=of,
            station_in=self._station_in,
            keyway_angle_rad=math.radians(self.angle.value),
            now=now,
        )
        rocked = rocked_picture(self.book, tool=tool, of=of, way=self.rocking.way, now=now)
        for box, picture in ((self.gauge_picture, slot), (self.rocked_picture, rocked)):
            box.layout.display = "none" if picture is None else None
        if slot is not None:
            show(self.gauge_picture, slot)
        if rocked is not None and self.rocked_picture.value != narrow(rocked):
            self.rocked_picture.value = narrow(rocked)

    def _take(self) -> Reading:
        turned, under = math.radians(self.angle.value), self.conditions.values()
        if self.tool.value == PARALLEL and self.of.value == "height":
            return self.book.slide(
                stand_out_in=self.units.to_in(self.stand_out.value),
                keyway_angle_rad=turned,
                **under,
            )
        return self.book.take(
            tool=self.tool.value,
            of=self.of.value,
            station_in=self._station_in,
            keyway_angle_rad=turned if self.of.value == "height" else math.pi,
            way=self.rocking.way,
            tightness=self.tightness.value / 100,
            **under,
        )

    def _others(self) -> str:
        """Return which tools do measure there, in one sentence."""
        slot, of = self.book.session.slot.parameters, self.of.value
        rough = {"keyway": slot.hub_width_in, "keyseat": slot.shaft_width_in}
        opening = rough.get(of, self.book.opening_in)
        fits = [
            name
            for name in TOOL_WORDS
            if not why_not(tool=name, of=of, opening_in=opening, station_in=self._station_in)
        ]
        return f"What goes in here: {', '.join(fits)}." if fits else ""

    def _standing(self) -> bool:
        """Say that a reading waits to be written down, if one does."""
        if self.book.waiting is None:
            return False
        tool = tool_named(self.book.session.readings()[-1].tool)
        say(
            self.words,
            f"Reading {self.book.waiting} is still on the {tool.instrument}. Write it down first.",
            tone="wrong",
        )
        return True

    @bench_act
    def try_zero(self) -> None:
        """Try the tool, or the micrometer of a gauge, on its standard."""
        if self._standing():
            return
        under = self.conditions.values()
        reading = self.attempt(
            self.words,
            lambda: self.book.try_zero(
                tool=self.tool.value,
                of=self.of.value,
                experience=under["experience"],
                zero_error_in=under["zero_error_in"],
            ),
        )
        if reading is None:
            return
        self._refused, self._just_written = "", False
        one = tool_named(self.tool.value)
        where = f"in the {self._tool_words.standard}" if one.in_place else "on the gauge block"
        say(
            self.words,
            f"The {one.instrument} is {where} of {self.units.height(reading.standard_in)}. Type "
            f"what you read, as reading {self.book.waiting}.",
        )
        self.way_out.value = ""
        self._refresh_micrometer()
        self.keep(self.words)

    @bench_act
    def stone_burr(self) -> None:
        """Stone the burr off the edges of the mouth."""
        self.book.stone()
        say(self.words, "The edges of the mouth are stoned. Wipe the grit out before you measure.")
        self.keep(self.words)
        self._tool_changed()

    @bench_act
    def measure(self) -> None:
        """Take a reading with the tool in hand, and put it on the micrometer."""
        if self._standing():
            return
        reading = self.attempt(self.words, self._take)
        if reading is None:
            return
        if not reading.taken:
            say(self.words, [self.book.felt(reading), self._others()], tone="wrong")
            return
        self._refused, self._just_written = "", False  # what was typed before is not its reading
        number = self.book.waiting
        tight = (
            f"The bar is tight; its large end stands {self.units.place(reading.stand_out_in)} "
            "out of the mouth. The micrometer is over the large end."
        )
        say(
            self.words,
            [
                tight if reading.tool == PARALLEL else "",
                f"Reading {number} is on the {tool_named(reading.tool).instrument}. Type what you "
                "read.",
                reading.note and f"In the hand: {self.book.felt(reading)}",
            ],
        )
        self.way_out.value = ""
        if reading.way_out and reading.tool == TELESCOPING:
            show(self.way_out, draw_way_out(reading.way_out))
        self._refresh_micrometer()
        self.keep(self.words)
        self.put_in()

    def _refresh_micrometer(self) -> None:
        number = self.book.waiting
        if number is None:
            self.micrometer.value = ""
        else:
            show(self.micrometer, micrometer_picture(self.book, number))

    # the page

    @bench_act
    def _write(self, *, pressed: bool = False, as_it_is: bool = False) -> None:
        # leaving the box and pressing the button are one act: what is said once is not said again
        text = self.entry.value
        if not text.strip():
            if pressed and not self._just_written:
                say(self.words, "Type what you read first.")
            return
        if text == self._refused and not as_it_is:
            return
        written, words = self.book.write_down(text, as_it_is=as_it_is)
        say(self.words, words, tone="right" if written else "wrong")
        if written:
            self.way_out.value = ""
        self._refused = "" if written else text
        self._just_written = written
        self.as_it_is.disabled = written or self.book.waiting is None
        if written:
            self.entry.value = ""
            self._refresh_micrometer()
            self._refresh_table()
            self.keep(self.words)

    @bench_act
    def _strike_out(self) -> None:
        number = self.strike.value
        if number == UNSET:
            say(self.words, "Choose the reading to strike out first.")
            return
        self.book.strike_out(number)
        say(self.words, f"Reading {number} is struck out. It can still be read.")
        self._refresh_table()
        self.keep(self.words)

    def _refresh_table(self) -> None:
        self.table.value = readings_table(self.book)
        struck = self.book.session.struck_out()
        left = [n.number for n in self.book.notes if n.number not in struck]
        self.strike.options = [("choose …", UNSET), *((str(n), n) for n in left)]

    @bench_act
    def reveal(self) -> None:
        """Show the hidden slot against the readings."""
        if not self.book.standing():
            say(self.hidden_words, self.book.hidden_in_words())
            return
        self.book.revealed = True
        self.keep(self.words)
        self._show_hidden()

    def _show_hidden(self) -> None:
        say(self.hidden_words, self.book.hidden_in_words())
        show(self.profile, readings_picture(self.book, true=True))

    # keeping

    @property
    def _begun(self) -> bool:
        return bool(self.book.session.steps)

    def _record(self) -> Any:
        return self.pages.record()

    def _restore(self, record: Any) -> None:
        self.pages.restore(record)

    def _show_all(self, *, other: bool) -> None:
        self.size.value = self.pages.size
        self._refused, self._just_written = "", False
        self.as_it_is.disabled = True
        self._refresh_page()


def measuring_bench(
    *,
    seed: int | None = None,
    slot: TrueSlot | None = None,
    store: Store | None = None,
    system: System = "inch",
) -> ipywidgets.VBox:
    """Return the measuring bench.

    Parameters
    ----------
    seed : int, optional
        Decides the hidden slot and the scatter; new when left out. Readings
        that the store keeps come first, with their slot.
    slot : TrueSlot, optional
        A given slot instead of the practice one.
    store : Store, optional
        Keeps the readings; for this sitting when left out.
    system : {"inch", "metric"}
        Which micrometer lies on the bench, and which units come first. What is
        kept stays in inches.
    """
    return open_bench(MeasuringBench, store=store, seed=seed, system=system, slot=slot)
