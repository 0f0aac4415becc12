"""The apprentice's fitting of one key, without any form around it.

Holds the session on the hidden slot, says what each step showed and what the
drive came to, and keeps the steps so that the bench can be left and taken up.
"""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from coursework.bench import Changing
from coursework.draws import Draws
from coursework.ink.shop import INCH, ShopUnits
from keycourse.fit.bench.blueing import marked_spots
from keycourse.fit.bench.fitting import (
    FEELER_LEAF_IN,
    LEAST_TAP_BEARING,
    LOOSE_PSI,
    MODEL,
    RUSTED_FRICTION,
    FittingSession,
    FittingSummary,
    start_fitting,
)
from keycourse.fit.bench.fitting_steps import LEFT_TO_DRIVE
from keycourse.fit.bench.keyblank import KeyParameters
from keycourse.fit.bench.routes import seat_routes
from keycourse.measure.bench.slot import SlotParameters, draw_slot
from taperkey import practice
from taperkey.counts import counted
from taperkey.formulas.key import FITTING_ALLOWANCE_IN

__all__ = [
    "BOTH",
    "BRIGHT_ONLY",
    "HAZARDS",
    "OLDER_BENCH",
    "FittingBook",
    "HistoryRow",
    "fault_sentences",
    "made_on_older_bench",
    "practice_fit",
]

BOTH = "both"
BRIGHT_ONLY = "bright spots only"

OLDER_BENCH = (
    "This fitting was made on the older bench, where steel gave way otherwise, so it is not "
    "replayed step by step."
)
"""What is said of a record of an earlier model."""

HAZARDS = ("starts", "hammer", "creep", "stored", "lead")
"""What is gone through before the drive, by names of keycourse/hazards.toml."""

#: Where the stand-out may lie when filing stops [in].
RIGHT_TO_DRIVE_IN = practice.span("file_to")

_COUNTS = 0.1  # bright share of a field from which it is a spot, against the brightest one

Spot = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class HistoryRow:
    """One line of the record: what was done and what it showed."""

    step: str
    stand_out: str
    gained: str
    still_off: str
    share: str
    length_share: str
    filed: str

    def cells(self) -> tuple[str, ...]:
        """Return the texts in the order of the table's heads."""
        return (
            self.step,
            self.filed,
            self.stand_out,
            self.gained,
            self.still_off,
            self.share,
            self.length_share,
        )


@lru_cache(maxsize=8)
def practice_fit(*, seed: int) -> FittingSession:
    """Return a used slot and a new blank for it, 0.010 in over size, with nothing done yet."""
    draws = Draws(f"{seed}:practice fit")
    slot = draw_slot(
        parameters=SlotParameters(
            length_in=8.0,
            mouth_height_in=round(draws.uniform(low=1.02, high=1.09), 4),
            form_error_in=draws.uniform(low=0.0006, high=0.0012),
            waviness_in=draws.uniform(low=0.0002, high=0.0004),
            cross_tilt_in=draws.uniform(low=-0.0004, high=0.0004),
        ),
        seed=seed,
    )
    key = KeyParameters(
        width_in=slot.bearing_width_in() - 0.006,
        taper_error_in=draws.uniform(low=-0.0008, high=0.0008),
    )
    return start_fitting(slot=slot, seed=seed, key_parameters=key)


def _percent(share: float) -> str:
    return "under 1 %" if 0 < share < 0.01 else f"{100 * share:.0f} %"


def fault_sentences(summary: FittingSummary, *, units: ShopUnits = INCH) -> list[str]:
    """Return a sentence for each fault of a driven key, or one that says there is none."""
    s = summary
    said = {
        "proud": (
            f"The large end stands {units.travel(s.projection_in)} proud, so the key is not home."
        ),
        "early": (
            f"It was driven with {units.travel(s.draw_in)} left to drive; about "
            f"{units.about(LEFT_TO_DRIVE.value)} is right ({LEFT_TO_DRIVE.kind_said}). There was "
            "still metal to file off."
            if s.fittings
            else "It was driven without a single round of fitting. Nobody knows where it bears."
        ),
        "loose": (
            "It is loose: the mean pressure on its faces is "
            f"{units.pressure(s.mean_pressure_psi)}, and this bench asks for "
            f"{units.pressure(LOOSE_PSI)} or more. Too much was filed off, or there "
            "were too few blows."
        ),
        "bearing": (
            f"It bears too little: {_percent(s.share)} of the faces was bright at the last push, "
            f"and {_percent(s.bearing_share)} bears after the drive."
        ),
        "gaps": (
            f"There is a gap of {units.small(s.drive_gap_in)} above or below it, room for the "
            f"{units.leaf(FEELER_LEAF_IN)} leaf of a feeler gauge."
        ),
        "unmarked": (
            f"{s.unmarked_strokes:,} of {counted(s.strokes, 'stroke')} fell where nothing was "
            "bright."
        ),
        "not cleaned": (
            f"It was pushed or driven {counted(s.pushes_not_cleaned, 'time')} "
            f"with old blue or filings on it."
        ),
        "dry": "It was driven dry. A dry key can gall and may never come out whole.",
    }
    found = [said[fault] for fault in s.faults if fault in said]
    return found or [
        "Home, bearing on both faces along its length, within what this bench asks for."
    ]


def made_on_older_bench(record: Any) -> bool:
    """Return whether a record is of an earlier model: its steps would come out otherwise."""
    return isinstance(record, dict) and bool(record.get("steps")) and record.get("model") != MODEL


class FittingBook(Changing):
    """One key, fitted step by step.

    Parameters
    ----------
    seed : int
        Decides the hidden slot, the blank and where filings lie.
    units : ShopUnits
        How lengths and loads are written.
    """

    nothing_before = "There is no earlier key to fetch back."

    def __init__(self, *, seed: int, units: ShopUnits = INCH) -> None:
        self.seed, self.units = seed, units
        self.session: FittingSession = practice_fit(seed=seed)

    # steps

    def do(self, step: str, **choices: Any) -> list[str]:
        """Do one step and return what it showed; ``ValueError`` if the bench refuses it."""
        self.session = self.session.do(step, **choices)
        return self.told()

    def file(
        self, *, face: str, where: str, strokes: int, u_in: float = 0.0, y_in: float = 0.0
    ) -> list[str]:
        """File one face or both, on the bright spots or at one place.

        Parameters
        ----------
        face : {"top", "bottom", "both"}
            Which face.
        where : str
            `BRIGHT_ONLY`, or anything else for the one place.
        strokes : int
            On each spot.
        u_in, y_in : float
            The one place: from the large end, and from the middle of the width [in].

        Raises
        ------
        ValueError
            One sentence, where no chosen face bears a mark.
        """
        faces = ("top", "bottom") if face == BOTH else (face,)
        spots = {one: self.marked(one) if where == BRIGHT_ONLY else [(u_in, y_in)] for one in faces}
        chosen = [one for one in faces if spots[one]]
        if not chosen and not self.session.finished:
            raise ValueError(self._nothing_to_file(face))
        chosen = chosen or list(faces[:1])  # a driven key: the bench says why not
        session, lines = self.session, []
        for one in chosen:
            listed = [[round(u, 3), round(y, 3)] for u, y in spots[one]]
            session = session.do("file", face=one, spots=listed, strokes=strokes)
            lines.append(self.said(session.observations[-1].note))
        self.session = session
        missing = [one for one in faces if one not in chosen]
        lines += [
            f"There is no bright spot on the {one} face, so it was left alone." for one in missing
        ]
        return [*lines, "There are filings on the key. Clean it before you blue it again."]

    def _nothing_to_file(self, face: str) -> str:
        if self.session.state.marks is None:
            return (
                "There is no bright spot to file yet. Blue the key, push it in, draw it and read "
                "it first."
            )
        where = "either face" if face == BOTH else f"the {face} face"
        return (
            f"There is no bright spot on {where}. Choose a face that has one, or one place, or "
            "push the key in again."
        )

    def marked(self, face: str) -> list[Spot]:
        """Return the spots that came out bright at the last push."""
        state = self.session.state
        if state.marks is None:
            return []
        return marked_spots(key=state.key, marks=state.marks, face=face, least=_COUNTS)

    def filed_since(self, face: str) -> list[Spot]:
        """Return the spots filed on a face since the last push or blueing."""
        spots: list[Spot] = []
        for step in reversed(self.session.steps):
            if step["do"] in ("push", "blue", "drive"):
                break
            if step["do"] == "file" and step["face"] == face:
                spots += [(u, y) for u, y in step["spots"]]
        return spots

    # what it showed

    @property
    def in_slot(self) -> bool:
        """Whether the key has been in the slot at all."""
        return self.session.state.seat is not None

    def said(self, note: str) -> str:
        """Return what the bench says of a step, in the shop's units."""
        return self.units.say(note)

    def told(self) -> list[str]:
        """Return what the last step showed, in words and numbers."""
        seen, units = self.session.observations, self.units
        if not seen:
            return [
                f"A new key lies on the bench, {units.travel(FITTING_ALLOWANCE_IN)} over size in"
                " height. Blue it first."
            ]
        last, values = seen[-1], seen[-1].values
        note = self.said(last.note)
        if last.step == "push" and "share" not in values:
            return [note, f"Stand-out {units.travel(values['projection_in'])}."]
        if last.step == "drive":
            return [note, self._blow_by_blow(values)]
        if last.step != "push":
            return [note]
        draw, gained = values["projection_in"], values["travel_in"]
        first = len(self.session.state.pushes) == 1
        return [
            note,
            f"Stand-out {units.travel(draw)}. "
            + ("" if first else f"Travel since the last round {units.travel(gained)}. ")
            + f"Still to come off: {units.small(values['still_off_in'])}.",
            f"Bright spots: {_percent(values['share'])} of the faces in the slot, over "
            f"{_percent(values['length_share'])} of the length on both.",
            self._judged(draw, gained, values["share"], first),
        ]

    def _blow_by_blow(self, values: dict[str, Any]) -> str:
        """Say how far each blow went and how it sounded; like sounds once."""
        moved = ", ".join(
            self.units.travel(one).removesuffix(f" {self.units.unit}")
            for one in values["advances_in"]
        )
        heard: list[str] = []
        for sound in values["sounds"]:
            if not heard or heard[-1] != sound:
                heard.append(sound)
        return f"Travel blow by blow: {moved} {self.units.unit}. Sound: {', then '.join(heard)}."

    def _judged(self, draw: float, gained: float, share: float, first: bool) -> str:
        low, high = RIGHT_TO_DRIVE_IN
        right = f"about {self.units.about(LEFT_TO_DRIVE.value)} left to drive is right"
        kind = LEFT_TO_DRIVE.kind_said
        if draw <= 0.0005:
            return (
                "Too much metal is off: the key goes flush without a blow, and it will not hold. "
                "Metal cannot be put back. Start over with a new key."
            )
        if draw < low:
            return (
                f"Over-filed: {self.units.travel(draw)} is less than the drive needs; {right} "
                f"({kind}). File no more."
            )
        if draw <= high:
            if share < LEAST_TAP_BEARING:
                return (
                    f"{right.capitalize()} ({kind}), but the bright spots are few: it bears on "
                    "part of its faces only."
                )
            return f"{right.capitalize()} ({kind}). File no more: clean it, lubricate it, drive it."
        pushes = self.session.state.pushes
        if not first and pushes[-1].load_lbf != pushes[-2].load_lbf:
            return "The push was not the same as the one before: compare like with like."
        if not first and gained < 0.005:
            return (
                "It hardly went further. Did you file the bright spots, on both faces, and clean "
                "the filings off?"
            )
        return "Clean it, file only the bright spots, on both faces, clean it, and go again."

    def outcome(self) -> list[str]:
        """Return what the drive came to; nothing before it."""
        if not self.session.finished:
            return []
        s, units = self.session.summary(), self.units
        return [
            *fault_sentences(s, units=units),
            f"{counted(s.fittings, 'round')} and {counted(s.strokes, 'stroke')}: before the drive "
            f"the stand-out went from {units.travel(s.first_projection_in)} to "
            f"{units.travel(s.draw_in)}.",
            f"By this bench's model the drive ended with a push of {units.load(s.seat_force_lbf)}. "
            f"Each face carries {units.load(s.normal_force_lbf)}, a mean pressure of "
            f"{units.pressure(s.mean_pressure_psi)}. To draw the key would take about "
            f"{units.load(s.pull_clean_lbf)} now, and about {units.load(s.pull_rusted_lbf)} once "
            f"it has rusted (friction {RUSTED_FRICTION:g}).",
            self._routes(),
        ]

    def _routes(self) -> str:
        """Say what the routes of lesson 05 make of this drive: travel known, and not known."""
        units = self.units
        told = {
            one.route: f"{units.load(one.low_lbf, 'down')} to {units.load(one.high_lbf, 'up')}"
            for one in seat_routes(self.session)
        }
        known = [
            f"by the {name} each face carries {told[name]}"
            # a key that came to its line before the blow was used up tells nothing by it
            for name in ("travel", *(() if self.session.summary().home else ("last blow",)))
            if name in told
        ]
        lines = f"Reckoned as in lesson 05, {', '.join(known)}. " if known else ""
        return (
            f"{lines}Who finds this key and does not know its travel has to plan for an unknown "
            f"hand, {told['pressure']}: write the travel on the job card."
        )

    def history(self) -> list[HistoryRow]:
        """Return a line for each push with blue, and for the drive."""
        rows: list[HistoryRow] = []
        units = self.units
        strokes = {"top": 0, "bottom": 0}
        number, draw = 0, None
        for step, seen in zip(self.session.steps, self.session.observations, strict=True):
            if step["do"] == "file":
                strokes[step["face"]] += int(step["strokes"]) * len(step["spots"])
            values = seen.values
            filed = " / ".join(str(count) for count in strokes.values())
            if step["do"] == "push" and "share" in values:
                number, draw = number + 1, values["projection_in"]
                rows.append(
                    HistoryRow(
                        step=f"{number}: {'push' if step['load_lbf'] < 200 else 'tap'}",
                        stand_out=units.travel(values["projection_in"]),
                        gained=units.travel(values["travel_in"]) if number > 1 else "–",
                        still_off=units.small(values["still_off_in"]).removesuffix(
                            f" {units.fine}"
                        ),
                        share=_percent(values["share"]),
                        length_share=_percent(values["length_share"]),
                        filed=filed if number > 1 else "–",
                    )
                )
                strokes = dict.fromkeys(strokes, 0)
            elif step["do"] == "drive":
                end = values["projection_in"]
                blows = f"drive, {counted(values['blows'], 'blow')}"
                rows.append(
                    HistoryRow(
                        step=blows,
                        stand_out=units.travel(end),
                        gained="–" if draw is None else units.travel(draw - end),
                        still_off="",
                        share="",
                        length_share="",
                        filed=filed,
                    )
                )
        return rows

    def numbers(self) -> dict[str, Any]:
        """Return the summing-up in plain numbers, as an exercise can mark it.

        Keys: `driven`, `home`, `fittings`, `strokes`, `unmarked_strokes`,
        `pushes_not_cleaned`, `first_stand_out_in`, `draw_in` (left at the last push),
        `stand_out_in` (at the end), `travel_in`, `filed_off_in`,
        `travel_per_thousandth_in`, `over_filed_in`, `bright_share`, `bearing_share`,
        `feeler_top_in`, `feeler_bottom_in`, `feeler_sides`, `seat_force_lbf`,
        `mean_pressure_psi`, `faults`; each as in :class:`FittingSummary`.
        """
        s = self.session.summary()
        return {
            "driven": s.driven,
            "home": s.home,
            "fittings": s.fittings,
            "strokes": s.strokes,
            "unmarked_strokes": s.unmarked_strokes,
            "pushes_not_cleaned": s.pushes_not_cleaned,
            "first_stand_out_in": round(s.first_projection_in, 6),
            "draw_in": round(s.draw_in, 6),
            "stand_out_in": round(s.projection_in, 6),
            "travel_in": round(s.travel_in, 6),
            "filed_off_in": round(s.filed_off_in, 5),
            "travel_per_thousandth_in": round(s.travel_per_thousandth_in, 4),
            "over_filed_in": round(s.over_filed_in, 5),
            "bright_share": round(s.share, 3),
            "bearing_share": round(s.bearing_share, 3),
            "feeler_top_in": round(s.feeler_top_in, 3),
            "feeler_bottom_in": round(s.feeler_bottom_in, 3),
            "feeler_sides": s.feeler_sides,
            "seat_force_lbf": round(s.seat_force_lbf),
            "mean_pressure_psi": round(s.mean_pressure_psi),
            "faults": list(s.faults),
        }

    # starting over, keeping

    @property
    def _begun(self) -> bool:
        return bool(self.session.steps)

    def _own_record(self) -> dict[str, Any]:
        return self.session.record()

    def _put_back(self, record: dict[str, Any]) -> None:
        self.session = _again(record)
        self.seed = self.session.seed

    def start_over(self, *, seed: int | None = None) -> None:
        """Put a new blank on the bench: for the same slot, or for another."""
        self.lay_aside()
        self.seed = self.seed if seed is None else seed
        self.session = practice_fit(seed=self.seed)

    def restore(self, record: Any) -> None:
        """Take up a saved record; raises ``ValueError`` when it does not fit."""
        if made_on_older_bench(record):
            raise ValueError(f"{OLDER_BENCH} A new key lies on the bench.")
        try:
            session = _again(record)
            before = record.get("before")
        except (ValueError, KeyError, TypeError, AttributeError) as broken:
            raise ValueError(
                "The saved fitting cannot be read; the bench starts with a new key."
            ) from broken
        self.session, self.seed, self._before = session, session.seed, None
        with contextlib.suppress(ValueError, KeyError, TypeError, AttributeError):
            if before is not None and not made_on_older_bench(before):
                _again(before)
                self._before = before


def _again(record: dict[str, Any]) -> FittingSession:
    return practice_fit(seed=int(record["seed"])).resumed(record)
