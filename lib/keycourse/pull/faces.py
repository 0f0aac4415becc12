"""Live face of the pulling lesson: the pulling bench."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import ipywidgets

from coursework.ink.shop import ShopUnits, shop_units
from coursework.page.bench import (
    Bench,
    button,
    darken,
    group,
    hands,
    hazard,
    open_bench,
    part,
    row,
    table,
    ways,
)
from coursework.page.controls import (
    FULL_WIDTH,
    UNSET,
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
from keycourse.hazards import gravest, sentences
from keycourse.pull.bench.book import PullingBook
from keycourse.pull.bench.cases import (
    KINDS,
    RIGS,
    hold_words,
    rig_words,
)
from keycourse.pull.bench.pictures import (
    chain_picture,
    needle_picture,
    path_picture,
    rig_picture,
)
from keycourse.pull.bench.rigs import ReckonedLink, one_blow
from keycourse.pull.bench.state import (
    HAZARDS,
    PUMPED,
    WELDS,
    PullObservation,
)
from keycourse.pull.faces_words import (
    FEET_WORDS,
    HAND_WORDS,
    HOLD_WORDS,
    NO_JACKS,
    OF_THE_RIG,
    PUMP_WORDS,
    SLUNG_WORDS,
    STAND_WORDS,
    TONES,
    WELD_WORDS,
)
from keycourse.pull.forces_picture import ACTIONS, draw_force_diagram
from taperkey.units import System

__all__ = ["PullingBench", "pulling_bench"]

STORE_KEY = BENCHES["pulling"]
_FIVE, _HOLD_MIN = 5, 2.0


class PullingBench(Bench):
    """A hidden seat, the rigs at hand, and everything that can be done about a key."""

    store_key = STORE_KEY

    def __init__(self, *, seed: int, store: Store, system: System = "inch") -> None:
        self.units = shop_units(system)
        self.book = PullingBook(seed=seed, units=self.units)
        told = self._take_up(
            store, back=lambda: "Your earlier pull is back." if self.book.session.steps else ""
        )
        self._build()
        self._new_case()
        say(self.job_words, told)
        if self.book.revealed:
            self._show_hidden()

    def _build(self) -> None:
        units = self.units
        metric = units.metric
        self.job_words, self.look_words, self.rig_words = (words_box() for _ in range(3))
        self.words, self.help_words, self.end_words = (words_box() for _ in range(3))
        self.chain, self.picture, self.path, self.forces = (picture_box() for _ in range(4))
        self.gauge = picture_box()
        self.facts, self.table, self.reasons = (
            ipywidgets.HTML(layout={"width": FULL_WIDTH}) for _ in range(3)
        )
        self.kind = choice(
            label="Next key",
            options=[(words, kind) for kind, words in KINDS.items()],
            value=self.book.kind,
            tip="Which kind of key to draw next",
        )
        self.rig = choice(
            label="Rig at hand", options=[(rig_words(rig, units=units), rig) for rig in RIGS]
        )
        self.hold = choice(label="What holds the key", options=[])
        self.weld = _listed("How it is welded", WELD_WORDS)
        self.feet = _listed("Where the jacks stand", FEET_WORDS)
        self.pumped = _listed("How two jacks are pumped", PUMP_WORDS)
        self.stand = _listed("Where you stand", STAND_WORDS)
        self.held = _listed("Hold at each load", HOLD_WORDS)
        self.hand = _listed("Hand at the rig", HAND_WORDS)
        self.slung = _listed("Weight of the hub", SLUNG_WORDS)
        for listed in (self.kind, self.rig, self.hold, self.weld, self.feet, self.pumped,
                       self.stand, self.held, self.hand, self.slung):  # fmt: skip
            listed.layout.width = "640px"
        self.hand.layout.width = "560px"  # its button stays beside it on a tablet
        self.load = labelled_slider(
            label="Load",
            value=22.0 if metric else 5000.0,
            low=2.0 if metric else 500.0,
            high=670.0 if metric else 150_000.0,
            step=2.0 if metric else 500.0,
            unit=units.force_unit,
            tip="Pull on the key, or push from behind, in "
            + ("kilonewtons" if metric else "pounds"),
        )
        self.hours = labelled_slider(
            label="Penetrant soaks", value=12.0, low=1.0, high=72.0, step=1.0, unit="h"
        )
        self.heat = labelled_slider(
            label="Hub hotter than shaft",
            value=65.0 if metric else 120.0,
            low=10.0,
            high=220.0 if metric else 400.0,
            step=5.0 if metric else 10.0,
            unit=units.degree,
        )
        self.measure_button = button("Measure the key at both ends", self.measure)
        self.set_up_button = button("Set up this rig", self.set_up)
        self.step_button = button(
            "One step more",
            self.one_step,
            tip="Pump up by a tenth of the weakest working load, or strike the next blow",
        )
        self.pump_row = row(
            button("One stroke", lambda: self._strokes(1), tip="One full stroke of the pump"),
            button("Five strokes", lambda: self._strokes(_FIVE)),
            button(
                "Hold 2 minutes and look",
                self.hold_load,
                tip="Hold the load, and look at gauge and mark",
            ),
        )
        self.pump_row.layout.margin = "8px 0"
        self.frame(
            "Pulling bench",
            "A key is to come out. How hard it sits is hidden. Look, rig, load in steps, "
            "and stop when it is not as thought.",
            [
                part("1. The job"),
                row(self.kind, button("Start a new pull", self.start)),
                self.facts,
                self.job_words,
                part("2. Look first"),
                row(self.measure_button),
                self.look_words,
                part("3. The rig"),
                _hazards("rig"),
                ipywidgets.HTML(f"<p>{OF_THE_RIG}</p>"),
                hands(
                    group(
                        "Rig",
                        *(self.rig, self.hold, self.weld, self.feet),
                        row(self.set_up_button),
                        wide=True,
                    )
                ),
                self.rig_words,
                self.chain,
                self.reasons,
                part("4. The pull"),
                _hazards("load"),
                self.picture,
                self.gauge,
                self.words,
                hands(
                    group(
                        "Pump",
                        self.pump_row,
                        row(self.stand, self.pumped),
                        row(self.held),
                        self.load.widget,
                        row(
                            self.step_button,
                            button(
                                "Raise to this load",
                                self.raise_load,
                                tip="Pump till the gauge shows it, or strike so hard",
                            ),
                            button(
                                "Ease off",
                                self.ease,
                                tip="Open the release valve of the pump",
                            ),
                        ),
                        wide=True,
                    ),
                    group("See and feel", row(self.hand, button("Do it", self.lend_a_hand))),
                    group(
                        "Stop",
                        row(
                            button(
                                "Stop and call someone",
                                self.stop,
                                tip="Ease off, rope off, hand over; always right when in doubt",
                            ),
                            button("Show what was hidden", self.reveal),
                        ),
                    ),
                ),
                self.path,
                part("5. If it does not come"),
                ways(
                    "If it does not come",
                    {
                        "Penetrant": [
                            _hazards("penetrant"),
                            self.hours.widget,
                            row(
                                button("Soak with penetrant", self.soak),
                                button("Wipe it off", lambda: self._act(self.help_words, "wipe")),
                            ),
                        ],
                        "Heat": [
                            _hazards("heat"),
                            self.heat.widget,
                            row(button("Heat the hub", self.heat_up)),
                        ],
                        "Larger jacks": [
                            _hazards("jacks"),
                            row(button("Put in larger jacks", self.add_jacks)),
                        ],
                        "Push": [
                            _hazards("push"),
                            row(
                                button(
                                    "Push it out from this end",
                                    self.push,
                                    tip="Push with the load set under 4, toward the other end",
                                )
                            ),
                        ],
                        "Hub off": [
                            _hazards("remove hub"),
                            self.slung,
                            row(button("Take the hub off", self.hub_off)),
                        ],
                    },
                ),
                self.help_words,
                self.end_words,
                self.forces,
                self.table,
            ],
        )

    # the acts

    @bench_act
    def start(self) -> None:
        """Put the next key on the bench."""
        self.book.start(kind=self.kind.value, seed=self.book.seed + 1)
        self._new_case()
        say(self.job_words, "A new key is on the bench.")
        self.keep(self.job_words)

    @bench_act
    def measure(self) -> None:
        """Measure the key at both ends."""
        seen = self.attempt(self.look_words, lambda: self.book.do("measure ends"))
        if seen and seen.outcome == "refused":
            self._tell(self.look_words, seen, self.book.measured())
        elif seen:
            say(self.look_words, self.book.measured())
            self._after(self.look_words)

    @bench_act
    def set_up(self) -> None:
        """Set up the chosen rig."""
        if UNSET in (self.rig.value, self.hold.value):
            missing = "a rig" if self.rig.value == UNSET else "what holds the key"
            say(self.rig_words, f"Choose {missing} first.", tone="wrong")
            return
        act = self.attempt(
            self.rig_words,
            lambda: self.book.set_up(
                rig=self.rig.value,
                hold=self.hold.value,
                weld=WELDS[0] if self.book.case.end == "tapped" else self.weld.value,
                feet=self.feet.value,
            ),
        )
        if act and (act.outcome == "refused" or act.breaches):
            self._tell(self.rig_words, act, [])
        elif act:
            lines = self.book.told(act)
            if self.book.rig == "slide hammer":
                reason = self.book.said(one_blow(case=self.book.case).reason)
                lines.append(reason[:1].upper() + reason[1:])
                lines.append(NO_JACKS)
            say(self.rig_words, lines)
            say(self.words, ["The rig stands; no load is on.", *self.book.chalked()])
            self._after(self.rig_words)

    @bench_act
    def one_step(self) -> None:
        """Raise the load by a step, or strike the next blow."""
        self._pull(self.book.next_load_lbf())

    @bench_act
    def raise_load(self) -> None:
        """Raise the load to what is set."""
        self._pull(self.units.to_lbf(self.load.value))

    def _pull(self, load_lbf: float) -> None:
        seen = self.attempt(
            self.words,
            lambda: self.book.load(
                load_lbf,
                stand=self.stand.value,
                held_min=self.held.value,
                **self._pumped(),
            ),
        )
        if seen:
            if not self.book.over and seen.outcome != "refused":
                self.load.slider.value = self.units.set_load(load_lbf)
            self._tell(self.words, seen, self.book.after_load())

    def _pumped(self) -> dict[str, str]:
        """Return how two jacks are pumped, where it is not as it should be."""
        return {} if self.pumped.value == PUMPED[0] else {"pumped": self.pumped.value}

    @bench_act
    def _strokes(self, strokes: int) -> None:
        seen = self.attempt(
            self.words,
            lambda: self.book.strokes(strokes, stand=self.stand.value, **self._pumped()),
        )
        if seen:
            self._tell(self.words, seen, self.book.after_load())

    @bench_act
    def hold_load(self) -> None:
        """Hold the load and look."""
        seen = self.attempt(self.words, lambda: self.book.hold_load(_HOLD_MIN))
        if seen:
            self._tell(self.words, seen, self.book.after_load())

    @bench_act
    def ease(self) -> None:
        """Take the load off; what was refused because of it is no longer said."""
        say(self.help_words, "")
        self._act(self.words, "ease")

    @bench_act
    def soak(self) -> None:
        """Let penetrant soak in."""
        seen = self.attempt(self.help_words, lambda: self.book.soak(self.hours.value))
        if seen:
            self._tell(self.help_words, seen, [])

    @bench_act
    def heat_up(self) -> None:
        """Heat the hub."""
        seen = self.attempt(
            self.help_words, lambda: self.book.heat(self.units.warmer_f(self.heat.value))
        )
        if seen:
            self._tell(self.help_words, seen, [])

    @bench_act
    def push(self) -> None:
        """Push from the end that shows."""
        load_lbf = self.units.to_lbf(self.load.value)
        self._act(self.help_words, "push", load_lbf=load_lbf, stand=self.stand.value)

    @bench_act
    def lend_a_hand(self) -> None:
        """Do what is chosen at the rig, with eye or hand."""
        self._act(self.words, self.hand.value)

    @bench_act
    def hub_off(self) -> None:
        """Take the hub off, its weight as chosen."""
        self._act(self.help_words, "remove hub", slung=self.slung.value)

    @bench_act
    def add_jacks(self) -> None:
        """Put larger jacks in."""
        seen = self.attempt(self.help_words, self.book.add_jacks)
        if seen:
            self._tell(self.help_words, seen, [])

    @bench_act
    def _act(self, box: ipywidgets.HTML, step: str, **choices: Any) -> None:
        seen = self.attempt(box, lambda: self.book.do(step, **choices))
        if seen:
            self._tell(box, seen, [])

    def _tell(self, box: ipywidgets.HTML, seen: PullObservation, more: Sequence[str]) -> None:
        lines = self.book.told(seen)
        tone = "wrong" if len(lines) > 1 else TONES.get(seen.outcome, "plain")
        say(box, [*lines, *more], tone=tone)
        self._after(box)

    @bench_act
    def stop(self) -> None:
        """Stop and call someone."""
        said = self.attempt(self.end_words, self.book.stop)
        if said:
            say(self.end_words, said)
            self._after(self.end_words)

    @bench_act
    def reveal(self) -> None:
        """Show the hidden seat against what was done."""
        if self.book.over:
            self.book.revealed = True
            self.keep(self.end_words)
        self._show_hidden()

    def _show_hidden(self) -> None:
        say(self.end_words, self.book.hidden_in_words())
        if not self.book.over:
            return
        key = self.book.case.key
        show(
            self.forces,
            draw_force_diagram(
                normal_force_lbf=key.normal_force_lbf,
                taper_in_per_in=key.taper_in_per_in,
                floor_friction=key.floor_friction,
                roof_friction=key.roof_friction,
                action=ACTIONS[2] if key.small_end_shows else ACTIONS[1],
                units=self.units,
            ),
        )

    # showing

    def _new_case(self) -> None:
        case = self.book.case
        self.facts.value = table(case.facts(units=self.units), caption="Work order", named=True)
        self.hold.options = [
            ("choose …", UNSET),
            *((hold_words(h, units=self.units), h) for h in case.holds),
        ]
        self.weld.layout.display = "none" if case.end == "tapped" else ""
        self.rig.value = self.book.rig or UNSET
        self.hold.value = self.book.hold or UNSET
        for box in (self.rig_words, self.words, self.help_words, self.end_words):
            say(box, "")
        say(self.look_words, self.book.measured())
        self.forces.value = ""
        seen = self.book.session.observations
        if seen:
            first, *more = self.book.told(seen[-1])
            say(self.words, [f"Last: {first}", *more, *self.book.after_load()])
        self._refresh()

    def _after(self, box: ipywidgets.HTML) -> None:
        self._refresh()
        self.keep(box)

    def _refresh(self) -> None:
        book = self.book
        show(self.picture, rig_picture(book))
        chain = chain_picture(book)
        if chain is not None:
            show(self.chain, chain)
        else:
            self.chain.value = ""
        gauge = needle_picture(book)
        if gauge is not None:
            show(self.gauge, gauge)
        else:
            self.gauge.value = ""
        self.pump_row.layout.display = "none" if book.rig == "slide hammer" else ""
        path = path_picture(book)
        if path is not None:
            show(self.path, path)
        else:
            self.path.value = ""
        self.reasons.value = _reasons_table(book.reckoned(), self.units)
        self._mark_next()
        self.table.value = _history_table(book.history())

    def _mark_next(self) -> None:
        """Darken what comes next: the ends, the rig, the load."""
        done = {step["do"] for step in self.book.session.steps}
        among = (self.measure_button, self.set_up_button, self.step_button)
        turn = 0 if "measure ends" not in done else 2 if "rig" in done else 1
        darken(among[turn], among)

    # keeping

    def _show_all(self, *, other: bool) -> None:
        if other:
            self._new_case()
        else:
            self._refresh()


def _listed(label: str, words: Mapping[Any, str]) -> ipywidgets.Dropdown:
    """Return a list that starts with its first line."""
    return choice(label=label, options=[(w, v) for v, w in words.items()], value=next(iter(words)))


def _hazards(step: str) -> ipywidgets.HTML:
    return hazard(gravest(HAZARDS[step]), sentences(HAZARDS[step]))


def _reasons_table(links: Sequence[ReckonedLink], units: ShopUnits) -> str:
    rows = [
        (
            one.link.name,
            units.load(one.link.working_lbf, "down"),
            units.say(one.basis),
            one.hurt,
        )
        for one in links
    ]
    if not rows:
        return ""
    heads = ("Link", "Works to", "Why", "If it goes")
    return (
        '<details style="max-width:740px;margin:4px 0"><summary style="cursor:pointer;'
        'font-size:15px;padding:4px 0"><b>Why each link carries that, and what it hurts when it'
        f" goes</b></summary>{table(rows, heads=heads, named=True, whole=(1,))}"
        "</details>"
    )


def _history_table(rows: Sequence[tuple[str, str, str]]) -> str:
    numbered = [(str(number), *one) for number, one in enumerate(rows, start=1)]
    return table(numbered, caption="What was done", heads=("", "Done", "Came", "Seen"))


def pulling_bench(
    *, store: Store | None = None, seed: int | None = None, system: System = "inch"
) -> ipywidgets.VBox:
    """Return the pulling bench.

    Parameters
    ----------
    store : Store, optional
        Keeps the pull; for this sitting when left out.
    seed : int, optional
        Decides the hidden key; new when left out. A kept pull comes first.
    system : {"inch", "metric"}
        Which units come first. What is kept stays in pounds and inches.
    """
    return open_bench(PullingBench, store=store, seed=seed, system=system)
