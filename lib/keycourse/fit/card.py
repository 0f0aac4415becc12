"""What exercise 04 has in hand: spots on a blued key, stand-outs, and how the drive ended."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from coursework.draws import Draws
from keycourse.drive import Drive, rounded
from taperkey import practice
from taperkey.formulas.key import height_for_travel_in
from taperkey.tables.stock import feeler_leaves_in
from taperkey.units import MM_PER_IN, System

__all__ = [
    "BLUE",
    "BLUES",
    "BRIGHT",
    "CANS",
    "CREEP_IN",
    "KINDS",
    "ROUND",
    "THINNED",
    "ZONES",
    "DriveEnd",
    "FacePattern",
    "FitCase",
    "Marks",
    "draw",
    "draw_pattern",
    "traps_of",
]

BLUE, THINNED, BRIGHT = 0, 1, 2
ZONES = 6
"""Zones along each face, the large end first."""


Marks = tuple[int, ...]
DriveEnd = Literal["fits", "gap", "proud", "loose"]
AfterDrive = Literal["stayed", "crept", "untrue", "not told"]
_Way = Literal["reversed", "ordinary", "cannot tell"]
_Kind = Literal["ordinary", "large end", "sides", "smeared", "one end filed", "ready"]
_STAGES: tuple[_Kind, ...] = (
    "ordinary",
    "ready",
    "smeared",
    "large end",
    "sides",
    "smeared",
    "one end filed",
    "sides",
)
_WAYS: tuple[_Way, ...] = ("ordinary", "reversed", "ordinary", "reversed", "cannot tell")
KINDS: tuple[tuple[_Kind, _Way], ...] = tuple(
    (_STAGES[number % len(_STAGES)], _WAYS[number % len(_WAYS)])
    for number in range(len(_STAGES) * len(_WAYS))
)
"""What the blue of the last push tells, and which end of the slot is high: each pair once."""
_ENDS: tuple[DriveEnd, ...] = ("fits", "gap", "proud", "loose")
_AFTER: tuple[AfterDrive, ...] = ("stayed", "crept", "untrue", "not told")
CREEP_IN = 0.02
"""From so much on this course calls it creep [in]; 0.5 mm on a metric card."""
# what a distance is good to, by depth gauge and by tape, and what a dial is good to; own choice
_PLACE_GOOD_IN: dict[System, tuple[float, float]] = {
    "inch": (0.003, 0.03),
    "metric": (0.1 / MM_PER_IN, 0.8 / MM_PER_IN),
}
_DIAL_GOOD_IN: dict[System, float] = {"inch": 0.001, "metric": 0.02 / MM_PER_IN}
BLUES = ("high-spot", "layout", "chalk", "pen")  # the right one first
CANS = ("listed", "white lead", "unlisted", "grease")
ROUND = "CEBFAD"
"""The steps of one round in order, by their letters in the question."""


def traps_of(kind: tuple[_Kind, _Way]) -> frozenset[str]:
    """Return which traps a card of this kind holds, for whoever deals the cards of a class."""
    stage, way = kind
    short = {"short base"} if way == "cannot tell" else set()
    return frozenset({way, *short, f"blue: {stage}"})


@dataclass(frozen=True, kw_only=True)
class FacePattern:
    """The marks after one push: 0 blue untouched, 1 thinned, 2 bright, the large end first.

    Attributes
    ----------
    top, bottom : tuple of int
        One level a zone; top bears in the hub, bottom on the shaft.
    """

    top: Marks
    bottom: Marks

    @property
    def both(self) -> Marks:
        """Top, then bottom."""
        return (*self.top, *self.bottom)


@dataclass(frozen=True, kw_only=True)
class FitCase:
    """A key on the bench, between two fittings, and a second one after its drive.

    Attributes
    ----------
    taper_ratio : int
        The n of the key's taper 1:n.
    key_width_in, slot_width_in : float
        Readings [in].
    sides_rubbed : bool
        Whether the sides of the key came out rubbed bright.
    blue_over_blue : bool
        Whether the last blue was put over the old one.
    filed_at : str
        What was filed in the last rounds: "both faces" or "large end".
    stand_outs_in : tuple of float
        Stand-out at three pushes, the same push each time; the last is now [in].
    left_to_drive_in : float
        What this shop leaves to drive [in].
    next_cut_in : float
        Height that the next filing is to take, both faces together [in].
    first, following, now : FacePattern
        Marks at the first push, at the one after it, and now.
    leaf_in : float
        Thinnest leaf of the feeler set [in].
    end : str
        How the second key's drive ended: "fits", "gap", "proud" or "loose".
    gap_above : bool
        Where the leaf goes in, if it does: above the key, or below it.
    leaf_depth_in : float
        How far it goes in there; 0 where it does not [in].
    proud_in : float
        How far the second key stands out after the drive [in].
    blues, cans : tuple of str
        What lies in the blue drawer and on the shelf, A first; of :data:`BLUES`, :data:`CANS`.
    done_last : str
        Letter of the step of the round that was done last.
    ends_in : tuple of float
        Height of the slot at the near end and at the other place [in].
    apart_in, height_doubt_in : float
        How far the two places are apart, and how well each height is known [in].
    before_blows_in : float
        How far the second key stood out before the first blow [in].
    after : str
        What the drive did to the hub: it "stayed", "crept", stayed but runs "untrue", or the
        readings do not say ("not told").
    place_good_in, dial_good_in : float
        What a distance, and a runout, is good to [in].
    hub_from_end_in : tuple of float
        End of the shaft to the hub's face, before the drive of the first key and after it [in].
    hub_runout_in : tuple of float
        Runout of the hub's face, before that drive and after it [in].
    """

    taper_ratio: int
    key_width_in: float
    slot_width_in: float
    sides_rubbed: bool
    blue_over_blue: bool
    filed_at: str
    stand_outs_in: tuple[float, ...]
    left_to_drive_in: float
    next_cut_in: float
    first: FacePattern
    following: FacePattern
    now: FacePattern
    leaf_in: float
    end: DriveEnd
    gap_above: bool
    leaf_depth_in: float
    proud_in: float
    before_blows_in: float
    place_good_in: float
    dial_good_in: float
    blues: tuple[str, ...]
    cans: tuple[str, ...]
    done_last: str
    ends_in: tuple[float, float]
    apart_in: float
    height_doubt_in: float
    after: AfterDrive
    hub_from_end_in: tuple[float, float]
    hub_runout_in: tuple[float, float]

    @property
    def taper_in_per_in(self) -> float:
        """Taper of the key [in/in]."""
        return 1 / self.taper_ratio


def draw(*, draws: Draws, turn: int, drive: Drive) -> FitCase:
    """Draw the case: the ordinary fitting and each trap in turn."""
    kind, way = KINDS[turn % len(KINDS)]
    end = _ENDS[draws.whole(low=0, high=len(_ENDS) - 1)]
    system = drive.system
    standard = 96 if system == "inch" else 100
    # the standard taper on every sixth card
    ratio = standard if draws.whole(low=0, high=5) == 0 else draws.whole(low=84, high=112)
    taper = 1 / ratio
    left = practice.value("left_to_drive")
    if system != "inch":
        left = practice.metric("left_to_drive") / MM_PER_IN
    now = left + (
        draws.uniform(low=0.036, high=0.055)
        if kind == "ready"
        else draws.uniform(low=0.20, high=0.45)
    )
    steps = (draws.uniform(low=0.10, high=0.18), draws.uniform(low=0.19, high=0.30))
    if kind in ("sides", "one end filed"):
        steps = (draws.uniform(low=0.04, high=0.06), draws.uniform(low=0.07, high=0.12))
    before = now + steps[0]
    stand_outs = tuple(_by_rule(at, system) for at in (before + steps[1], before, now))
    # what the next filing takes leaves something standing out
    most = float(height_for_travel_in(travel_in=0.7 * now, taper_in_per_in=taper))
    cut = min(most, draws.uniform(low=0.0010, high=0.0024))
    proud = _by_rule(draws.uniform(low=0.15, high=0.60), system) if end == "proud" else 0.0
    width = drive.key_width_in
    slot = rounded(width + draws.uniform(low=0.001, high=0.003), system)
    tight = kind == "sides"
    key_width = rounded(slot - (0.0002 if tight else draws.uniform(low=0.003, high=0.006)), system)
    return FitCase(
        taper_ratio=ratio,
        key_width_in=key_width,
        slot_width_in=slot,
        sides_rubbed=tight,
        blue_over_blue=kind == "smeared",
        filed_at="large end" if kind == "one end filed" else "both faces",
        stand_outs_in=stand_outs,
        left_to_drive_in=left,
        next_cut_in=_cut(cut, system),
        first=draw_pattern(draws=draws, stage="first"),
        following=draw_pattern(draws=draws, stage="following"),
        now=draw_pattern(draws=draws, stage=kind),
        leaf_in=feeler_leaves_in()[0] if system == "inch" else 0.04 / MM_PER_IN,
        end=end,
        gap_above=draws.uniform(low=0.0, high=1.0) < 0.6,
        leaf_depth_in=_by_rule(draws.uniform(low=0.5, high=2.0), system) if end == "gap" else 0.0,
        proud_in=proud,
        before_blows_in=proud + _by_rule(draws.uniform(low=0.06, high=0.24), system),
        blues=_shelf(draws, BLUES),
        cans=_shelf(draws, CANS),
        done_last=ROUND[draws.whole(low=0, high=len(ROUND) - 1)],
        **_ends(draws=draws, way=way, drive=drive, taper=taper),
        **_hub(draws=draws, after=_AFTER[draws.whole(low=0, high=3)], system=system),
    )


def _shelf(draws: Draws, kinds: tuple[str, ...]) -> tuple[str, ...]:
    """Draw which three stand where; on every fourth card the right one is not there."""
    first, *others = kinds
    if draws.uniform(low=0.0, high=1.0) < 0.75:
        others[draws.whole(low=0, high=len(others) - 1)] = first
    return tuple(others.pop(draws.whole(low=0, high=len(others) - 1)) for _ in range(3))


def _ends(*, draws: Draws, way: _Way, drive: Drive, taper: float) -> dict[str, Any]:
    """Draw two heights of the slot: far apart and well known, or close together and doubtful."""
    system = drive.system
    near = drive.key_height_in * draws.uniform(low=0.97, high=1.03)
    whole = drive.hub_length_in * draws.uniform(low=0.85, high=0.95)
    short = draws.uniform(low=0.2, high=0.4)
    apart = _by_rule(short if way == "cannot tell" else whole, system)
    doubt = draws.uniform(low=0.008, high=0.012) if way == "cannot tell" else 0.0005
    lower = apart * taper * (-1 if way == "reversed" else 1)
    if way == "cannot tell" and draws.uniform(low=0.0, high=1.0) < 0.5:
        lower = -lower
    return {
        "ends_in": (rounded(near, system), rounded(near - lower, system)),
        "apart_in": apart,
        "height_doubt_in": rounded(doubt, system),
    }


def _hub(*, draws: Draws, after: AfterDrive, system: System) -> dict[str, Any]:
    """Draw where the hub sits and how it runs before the drive and after it."""
    fine, coarse = _PLACE_GOOD_IN[system]
    good, dial = coarse if after == "not told" else fine, _DIAL_GOOD_IN[system]
    step = 0.001 if system == "inch" else 0.05 / MM_PER_IN
    moved = {
        "crept": draws.uniform(low=0.04, high=0.12),
        "not told": draws.uniform(low=-0.01, high=0.05),
    }.get(after, draws.uniform(low=-1.5 * fine, high=1.5 * fine))
    place = step * round(draws.uniform(low=1.5, high=5.0) / step)
    runout = draws.uniform(low=0.001, high=0.004)
    worse = draws.uniform(low=0.004, high=0.009)
    return {
        "after": after,
        "hub_from_end_in": (place, place + step * round(moved / step)),
        "hub_runout_in": (
            _runout(runout, system),
            _runout(runout + (worse if after in ("crept", "untrue") else 0.0), system),
        ),
        "place_good_in": good,
        "dial_good_in": dial,
    }


def draw_pattern(*, draws: Draws, stage: str) -> FacePattern:
    """Draw the marks of a push, as they came out on the fitting bench at that stage.

    Parameters
    ----------
    draws : Draws
        Decides which zones.
    stage : str
        "first", "following", or the kind of case now.

    Source
    ------
    Share and length of the marks by stage: trials on the fitting bench (first
    .07 of the face and a quarter of its length, then a tenth and a half, late
    the whole length); which zones is drawn here.
    """
    if stage == "ready":
        return FacePattern(top=_late(draws), bottom=_late(draws))
    if stage == "large end":
        return FacePattern(top=_one_end(draws), bottom=_one_end(draws))
    if stage == "one end filed":
        return FacePattern(top=_one_end(draws)[::-1], bottom=_one_end(draws)[::-1])
    counts = {"first": (1, 2), "sides": (1, 1), "following": (2, 2)}.get(stage, (2, 3))
    spread = stage in ("ordinary", "smeared")
    return FacePattern(
        top=_spots(draws, counts[0], spread=spread),
        bottom=_spots(draws, counts[1], spread=spread),
    )


def _spots(draws: Draws, count: int, *, spread: bool) -> Marks:
    """Return a face with some bright zones, thinned ones beside them; spread: at both ends."""
    levels = [BLUE] * ZONES
    bright: set[int] = {draws.whole(low=0, high=1), draws.whole(low=4, high=5)} if spread else set()
    while len(bright) < count:
        bright.add(draws.whole(low=0, high=ZONES - 1))
    for zone in bright:
        levels[zone] = BRIGHT
    for zone in range(ZONES):
        beside = any(abs(zone - other) == 1 for other in bright)
        chance = 0.6 if beside else 0.2
        if levels[zone] == BLUE and draws.uniform(low=0.0, high=1.0) < chance:
            levels[zone] = THINNED
    if BLUE not in levels:  # some blue is always left before the last fittings
        levels[next(zone for zone in range(ZONES) if levels[zone] == THINNED)] = BLUE
    return tuple(levels)


def _one_end(draws: Draws) -> Marks:
    """Return a face that bears at its large end only."""
    second = (THINNED, BRIGHT)[draws.whole(low=0, high=1)]
    return (BRIGHT, second, THINNED if second == BRIGHT else BLUE, BLUE, BLUE, BLUE)


def _late(draws: Draws) -> Marks:
    """Return a face that bears along its whole length, one zone inside it still thinned."""
    thin = draws.whole(low=1, high=ZONES - 1)
    return tuple(THINNED if zone == thin < ZONES - 1 else BRIGHT for zone in range(ZONES))


def _by_rule(value_in: float, system: System) -> float:
    """Round a stand-out as it is read: to 0.01 in, or to 0.2 mm [in]."""
    if system == "inch":
        return round(value_in, 2)
    return round(value_in * MM_PER_IN * 5) / 5 / MM_PER_IN


def _runout(value_in: float, system: System) -> float:
    """Round a runout as the dial shows it: to 0.001 in, or to 0.01 mm [in]."""
    if system == "inch":
        return round(value_in, 3)
    return round(value_in * MM_PER_IN, 2) / MM_PER_IN


def _cut(value_in: float, system: System) -> float:
    """Round a cut as one speaks of it: to 0.0002 in, or to 0.005 mm [in]."""
    if system == "inch":
        return round(max(0.0004, round(value_in / 0.0002) * 0.0002), 4)
    return max(0.010, round(value_in * MM_PER_IN / 0.005) * 0.005) / MM_PER_IN
