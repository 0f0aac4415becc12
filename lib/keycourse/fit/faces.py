"""Live face of the fitting bench: blue, push, read, clean, file, again; then drive and feel."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import ipywidgets

from coursework.ink.shop import shop_units
from coursework.page.bench import (
    Bench,
    beside,
    button,
    darken,
    group,
    hands,
    hazard,
    new_seed,
    open_bench,
    part,
    readouts,
    row,
    table,
)
from coursework.page.controls import (
    FULL_WIDTH,
    Store,
    choice,
    labelled_slider,
    picture_box,
    say,
    show,
    words_box,
)
from coursework.page.keeping import bench_act
from keycourse.benches import BENCHES
from keycourse.fit.bench.book import (
    BOTH,
    BRIGHT_ONLY,
    HAZARDS,
    FittingBook,
)
from keycourse.fit.bench.driving import SLEDGE_BLOW_IN_LBF
from keycourse.fit.bench.pictures import feeler_picture, marks_picture, stand_out_picture
from keycourse.fit.marks import lane_place_in
from keycourse.hazards import gravest, sentences
from taperkey import practice
from taperkey.units import MM_PER_IN, System

__all__ = ["STORE_KEY", "FittingBench", "fitting_bench"]

STORE_KEY = BENCHES["fitting"]

ONE_SPOT = "one place"
PUSH_LBF, TAP_LBF = 50.0, 1000.0

_HEADS = (
    "Round",
    "Strokes before it, top / bottom",
    "Stand-out",
    *("Travel", "Still to come off, {}", "Bright share", "Bright length"),
)
_SWINGS = (("light", 0.4), ("medium", 0.7), ("full", 1.0))  # speed, of a full swing
_SLEDGE_LB, _SLEDGE_FT_PER_S = practice.value("drive_hammer"), practice.value("drive_hammer_speed")
_LEAVES_IN = (0.0015, 0.002, 0.003, 0.004)
_LEAVES_MM = (0.04, 0.05, 0.08, 0.10)
_STROKES, _CUT_IN = 5, 0.0005  # so much off a spot some 1-1/2 in wide


def _narrow(box: Any, *, width: str, words: str) -> Any:
    box.layout.width = width
    box.style.description_width = words
    return box


class FittingBench(Bench):
    """A key, its slot, blue, files, hammer and feeler gauge; `widget` is what is shown."""

    store_key = STORE_KEY

    def __init__(self, *, seed: int, store: Store, system: System = "inch") -> None:
        self.units = shop_units(system)
        self.book = FittingBook(seed=seed, units=self.units)
        told = self._take_up(store, back=lambda: "Your key is back on the bench, as you left it.")
        self._make_controls()
        self._build()
        self._refresh()
        say(self.words, [*told, *self.book.told()])
        say(self.drive_words, self.book.outcome())

    # controls

    def _make_controls(self) -> None:
        units = self.units
        self.marks, self.side, self.feeler = (picture_box() for _ in range(3))
        self.words, self.drive_words, self.feel_words, self.over_words = (
            words_box() for _ in range(4)
        )
        self.table = ipywidgets.HTML(layout={"width": FULL_WIDTH, "overflow": "auto"})
        self.figures = ipywidgets.HTML()
        self.face = _narrow(
            choice(
                label="File on",
                options=[("both faces", BOTH), ("top face", "top"), ("bottom face", "bottom")],
                value=BOTH,
                tip="Face of the key that is filed",
            ),
            width="210px",
            words="60px",
        )
        self.where = _narrow(
            choice(
                label="Where",
                options=[("bright spots only", BRIGHT_ONLY), ("one place", ONE_SPOT)],
                value=BRIGHT_ONLY,
                tip="On every bright spot of the last push, or on one place that you choose",
            ),
            width="290px",
            words="60px",
        )
        self.strokes = ipywidgets.BoundedIntText(
            description="Strokes",
            value=_STROKES,
            min=1,
            max=200,
            tooltip=f"File strokes on each spot, 1 to 200; {_STROKES} strokes take about "
            + units.height(_CUT_IN)
            + " off a wide one, more off a narrow one",
            style={"description_width": "75px"},
            layout={"width": "160px"},
        )
        length = self.book.session.slot.parameters.length_in
        self.station = labelled_slider(
            label="From the large end",
            value=5.0 * round(length * units.per_in / 10) if units.metric else length / 2,
            low=0.0,
            high=length * units.per_in,
            step=5.0 if units.metric else 0.25,
            unit=units.unit,
        )
        self.lane = _narrow(
            choice(
                label="Lane",
                options=[("A, side", "A"), ("B, middle", "B"), ("C, other side", "C")],
                value="B",
                tip="Lane across the key, as lettered in the picture",
            ),
            width="240px",
            words="60px",
        )
        self.spot = ipywidgets.VBox([self.station.widget, self.lane], layout={"display": "none"})
        for control in (self.where, self.face, self.lane, self.station):
            control.observe(lambda _: self._aimed(), names="value")
        self.lubricant = _narrow(
            choice(
                label="Lubricant",
                options=[
                    ("lead-free anti-seize", "anti-seize"),
                    ("oil", "oil"),
                    ("none, dry", "none"),
                ],
                tip="What goes on both faces before the drive",
            ),
            width="300px",
            words="90px",
        )
        self.blows = ipywidgets.BoundedIntText(
            description="Blows",
            value=6,
            min=1,
            max=12,
            tooltip="Number of blows, 1 to 12",
            style={"description_width": "90px"},
            layout={"width": "170px"},
        )
        self.blow = _narrow(
            choice(
                label="Each blow",
                options=[
                    (f"{name}, {units.energy(share**2 * SLEDGE_BLOW_IN_LBF)}", name)
                    for name, share in _SWINGS
                ],
                value="light",
                tip=f"Swing of a {units.mass(_SLEDGE_LB)} sledge; a full one is "
                f"{units.speed(_SLEDGE_FT_PER_S)} as it strikes",
            ),
            width="330px",
            words="95px",
        )
        self.heeded = ipywidgets.Checkbox(
            value=False,
            indent=False,
            description="I have gone through these points",
            tooltip="Tick when you have gone through the points above",
            layout={"width": FULL_WIDTH},
        )
        leaves = [mm / MM_PER_IN for mm in _LEAVES_MM] if units.metric else _LEAVES_IN
        self.leaf = _narrow(
            choice(
                label="Leaf",
                options=[(units.leaf(leaf), leaf) for leaf in leaves],
                value=leaves[0],
                tip="Thickness of the feeler leaf",
            ),
            width="200px",
            words="60px",
        )

    def _build(self) -> None:
        self.blue_button = button(
            "Blue both faces",
            lambda: self.step("blue"),
            "Rub a thin, even film of blue on both faces of the key",
        )
        self.push_button = button(
            "Push in, draw, read",
            lambda: self.step("push", load_lbf=PUSH_LBF),
            f"Push the key in by hand, about {self.units.load(PUSH_LBF)}, draw it and read it",
        )
        self.tap_button = button(
            "Tap in, draw, read",
            lambda: self.step("push", load_lbf=TAP_LBF),
            f"Tap the key in lightly, about {self.units.load(TAP_LBF)}, draw it and read it",
        )
        self.clean_button = button(
            "Clean key and slot",
            lambda: self.step("clean"),
            "Wipe the blue and the filings off the key and the slot",
        )
        self.file_button = button("File", self.file, "File the chosen face where chosen")
        self.brush_button = button(
            "Brush the file",
            lambda: self.step("clean file"),
            "Brush the chips out of the teeth of the file",
        )
        self.lubricate_button = button(
            "Put it on", self.lubricate, "Put the lubricant on both faces"
        )
        self.drive_button = button(
            "Drive the key", self.drive, "Drive the key home; this ends the fitting"
        )
        self.feel_button = button(
            "Try the leaf", self.feel, "Try the leaf at top, bottom and sides"
        )
        self.over_button = button(
            "Start over, same slot",
            lambda: self.start_over(other=False),
            "Put a new blank on the bench for the same slot; can be taken back",
        )
        self.other_button = button(
            "Start over, another slot",
            lambda: self.start_over(other=True),
            "Put a new blank on the bench for another hub and shaft; can be taken back",
        )
        self.back_button = button(
            "Fetch the earlier key back",
            self.take_back,
            "Go back to the key that was there before the start over",
        )
        self.frame(
            "Fitting bench",
            "Blue the key, push it in, draw it, read the bright spots. Clean it, file only "
            "those, clean it, and go again. Every step is kept, so you can stop at any "
            "time.",
            [
                beside([self.marks, self.side], self.figures),
                self.words,
                hands(
                    group("Blue", self.blue_button),
                    group("Try", row(self.push_button, self.tap_button)),
                    group("Clean", row(self.clean_button, self.brush_button)),
                    group(
                        "File",
                        row(self.face, self.where, self.strokes, self.file_button),
                        self.spot,
                        wide=True,
                    ),
                ),
                self.table,
                part("Drive"),
                hazard(gravest(HAZARDS), sentences(HAZARDS)),
                self.heeded,
                hands(
                    group("Lubricate", row(self.lubricant, self.lubricate_button)),
                    group("Drive it home", row(self.blows, self.blow, self.drive_button)),
                ),
                self.drive_words,
                hands(
                    group("Feel the gap", row(self.leaf, self.feel_button)),
                    group(
                        "Another key", row(self.over_button, self.other_button, self.back_button)
                    ),
                ),
                self.feel_words,
                self.feeler,
                self.over_words,
            ],
        )

    # steps

    def _try(self, act: Callable[[], Sequence[str]], box: ipywidgets.HTML) -> bool:
        """Do one step, say what it showed or the bench's refusal, and keep it."""
        lines = self.attempt(box, act)
        if lines is None:
            return False
        say(box, lines)
        if box is not self.drive_words:
            say(self.drive_words, self.book.outcome())
        self._refresh()
        self.keep(box, lines)
        return True

    @bench_act
    def step(self, name: str, **choices: Any) -> None:
        """Do one of the plain steps."""
        self._try(lambda: self.book.do(name, **choices), self.words)

    @bench_act
    def file(self) -> None:
        """File where the controls say."""
        self._try(
            lambda: self.book.file(
                face=self.face.value,
                where=self.where.value,
                strokes=int(self.strokes.value),
                u_in=self._place_in(),
                y_in=self._across(),
            ),
            self.words,
        )

    @bench_act
    def lubricate(self) -> None:
        """Put the chosen lubricant on."""
        if not self.lubricant.value:
            say(self.drive_words, "Choose the lubricant first.", tone="wrong")
            return
        self._try(
            lambda: self.book.do("lubricate", lubricant=self.lubricant.value), self.drive_words
        )

    @bench_act
    def drive(self) -> None:
        """Drive the key, once the cautions are ticked."""
        if not self.heeded.value and not self.book.session.finished:
            say(
                self.drive_words,
                "Go through the points above first, and tick the box under them.",
                tone="wrong",
            )
            self.heeded.focus()
            return

        def act() -> list[str]:
            share = dict(_SWINGS)[self.blow.value]
            energy = round(share**2 * SLEDGE_BLOW_IN_LBF, 1)
            self.book.do("drive", blows=int(self.blows.value), energy_in_lbf=energy)
            return [*self.book.told(), *self.book.outcome()]

        if self._try(act, self.drive_words):
            say(self.words, self.book.told())

    @bench_act
    def feel(self) -> None:
        """Try the feeler leaf."""
        self._try(lambda: self.book.do("feel", leaf_in=float(self.leaf.value)), self.feel_words)

    @bench_act
    def start_over(self, *, other: bool) -> None:
        """Put a new blank on the bench."""
        self.book.start_over(seed=new_seed() if other else None)
        self._changed_key("A new key lies on the bench. You can fetch the earlier one back.")

    @bench_act
    def take_back(self) -> None:
        """Fetch the earlier key back."""
        if self.attempt(self.over_words, self.book.take_back):
            self._changed_key("The earlier key is back, as you left it.")

    def _changed_key(self, words: str) -> None:
        self.heeded.value = False
        say(self.words, [words, *self.book.told()])
        say(self.drive_words, self.book.outcome())
        say(self.over_words, words)
        self._refresh()
        self.keep(self.over_words, [words])

    # what is shown

    def _place_in(self) -> float:
        length = self.book.session.slot.parameters.length_in
        return float(min(self.units.to_in(self.station.value), length))

    def _across(self) -> float:
        width = self.book.session.key_parameters.width_in
        return lane_place_in(lane=self.lane.value, width_in=width)

    def _aimed(self) -> None:
        one = self.where.value == ONE_SPOT
        display = None if one else "none"
        if self.spot.layout.display != display:
            self.spot.layout.display = display
        self._draw_marks()

    def _draw_marks(self) -> None:
        aim = None
        if self.where.value == ONE_SPOT and not self.book.session.finished:
            faces = ("top", "bottom") if self.face.value == BOTH else (self.face.value,)
            aim = (faces, self._place_in(), self._across())
        show(self.marks, marks_picture(self.book, aim=aim))

    def _refresh(self) -> None:
        self._draw_marks()
        show(self.side, stand_out_picture(self.book))
        self._refresh_feeler()
        self._refresh_table()
        self._refresh_figures()
        self._mark_next()
        self.back_button.disabled = not self.book.can_take_back

    def _refresh_feeler(self) -> None:
        felt = [one for one in self.book.session.observations if one.step == "feel"]
        say(self.feel_words, self.book.said(felt[-1].note) if felt else "")
        picture = feeler_picture(self.book)
        if picture is not None:
            show(self.feeler, picture)
        elif self.feeler.value:
            self.feeler.value = ""

    def _refresh_figures(self) -> None:
        rows = [one.cells() for one in self.book.history()]
        now, before = (rows[-1] if rows else None), (rows[-2] if len(rows) > 1 else None)
        still = _HEADS[4].format(self.units.fine_head)
        named = {2: "Stand-out", 4: still, 5: "Bright, of what is in"}
        self.figures.value = readouts(
            (label, now[at] if now else "–", before[at] if before else "")
            for at, label in named.items()
        )

    def _mark_next(self) -> None:
        """Darken the step that a round goes on with; what is left out is the fitter's affair."""
        done = [step["do"] for step in self.book.session.steps]
        last = done[-1] if done else ""
        follows = {
            "": self.blue_button,
            "blue": self.push_button,
            "push": self.clean_button,
            "clean": self.file_button if "file" not in done[-2:] else self.blue_button,
            "file": self.clean_button,
            "clean file": self.file_button,
            "lubricate": self.drive_button,
        }
        among = {*follows.values(), self.tap_button}
        darken(None if self.book.session.finished else follows.get(last), among)

    def _refresh_table(self) -> None:
        html = table(
            [one.cells() for one in self.book.history()],
            caption="Your rounds",
            heads=[one.format(self.units.fine_head) for one in _HEADS],
            align="right",
            whole=range(len(_HEADS)),
        )
        if self.table.value != html:
            self.table.value = html

    # keeping

    def _show_all(self, *, other: bool) -> None:
        self._refresh()
        say(self.words, self.book.told())
        say(self.drive_words, self.book.outcome())


def fitting_bench(
    *, store: Store | None = None, seed: int | None = None, system: System = "inch"
) -> ipywidgets.VBox:
    """Return the fitting bench.

    Parameters
    ----------
    store : Store, optional
        Keeps the steps; for this sitting when left out.
    seed : int, optional
        Decides the hidden slot and the blank. What the store keeps comes
        first; new when both are left out.
    system : {"inch", "metric"}
        Which units come first. What is kept stays in inches.
    """
    return open_bench(FittingBench, store=store, seed=seed, system=system)
