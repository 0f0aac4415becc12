"""The job card: one drive, drawn from class, exercise and apprentice number.

The same three always give the same card, on any machine, so an apprentice has
numbers of their own and a marker can draw the card again. What a card holds is
what a mechanic would have in hand: names, sizes and readings with honest
scatter, taken on the bench from a true slot. The true slot itself is not on it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from taperkey.bench.draws import Draws
from taperkey.bench.slot import KEYWAY_AT_BOTTOM_RAD, SlotParameters, TrueSlot, draw_slot
from taperkey.checks import require_range
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC
from taperkey.tables.keys import inch_key_size

__all__ = [
    "EXERCISES",
    "Drive",
    "JobCard",
    "OpeningReadings",
    "StationReadings",
    "draw_card",
    "require_class_code",
]

EXERCISES = ("01-measure", "02-taper")
SCATTER_IN = 0.0003  # of one reading by a steady hand; experience figure, from memory
HEIGHT_SD_IN = 0.0003  # of one height as the shop takes it: the mean of three readings

_MACHINES = (
    ("jaw crusher", "flywheel", "crusher house"),
    ("bucket elevator", "head sprocket", "screening tower"),
    ("main conveyor", "head pulley", "transfer station"),
    ("ball mill", "pinion", "mill hall"),
    ("haulage winch", "rope drum", "incline top"),
    ("apron feeder", "drive sprocket", "primary pocket"),
    ("log washer", "bull gear", "wash plant"),
    ("cone crusher", "countershaft pulley", "secondary house"),
)
_SHAFTS_IN = (1.9375, 2.4375, 2.9375, 3.4375, 3.9375, 4.9375, 5.9375)


@dataclass(frozen=True, kw_only=True)
class Drive:
    """The machine that the card is about.

    Attributes
    ----------
    machine, hub, place : str
        Such as "bucket elevator", "head sprocket", "screening tower".
    shaft_diameter_in : float
        Nominal shaft diameter [in].
    hub_length_in : float
        Length of the slot in the hub [in].
    """

    machine: str
    hub: str
    place: str
    shaft_diameter_in: float
    hub_length_in: float

    @property
    def title(self) -> str:
        """Machine and hub in words."""
        return f"{self.machine}, {self.hub}"


@dataclass(frozen=True, kw_only=True)
class OpeningReadings:
    """Readings of one opening, keyway at the bottom, and what another shift did.

    Attributes
    ----------
    mouth_in : tuple of float
        Five readings of the height at the mouth; one may be bad [in].
    inside_in : tuple of float
        Three readings at the inside station [in].
    inside_station_in : float
        Distance of that station from the mouth [in].
    hub_width_in, shaft_width_in : tuple of float
        Three readings each of the slot widths [in].
    bore_in, shaft_in : float
        Measured diameters of bore and shaft [in].
    off_bottom_deg : int
        How far from the bottom the keyway stood when another shift measured [deg].
    """

    mouth_in: tuple[float, ...]
    inside_in: tuple[float, ...]
    inside_station_in: float
    hub_width_in: tuple[float, ...]
    shaft_width_in: tuple[float, ...]
    bore_in: float
    shaft_in: float
    off_bottom_deg: int


@dataclass(frozen=True, kw_only=True)
class StationReadings:
    """Heights along one opening.

    Attributes
    ----------
    distances_in : tuple of float
        Stations from the mouth; the first is 0 [in].
    heights_in : tuple of float
        Height at each, the mean of three readings [in].
    height_sd_in : float
        Standard uncertainty of each height [in].
    parallel_height_in : float
        Large end of an adjustable parallel ground to 1:96, slid in from the
        larger end of another slot until tight [in].
    parallel_stand_out_in : float
        How far that large end stood out of the slot [in].
    """

    distances_in: tuple[float, ...]
    heights_in: tuple[float, ...]
    height_sd_in: float
    parallel_height_in: float
    parallel_stand_out_in: float

    @property
    def base_in(self) -> float:
        """Distance between the first and the last station [in]."""
        return self.distances_in[-1] - self.distances_in[0]


@dataclass(frozen=True, kw_only=True)
class JobCard:
    """One drive with everything that one exercise needs.

    Attributes
    ----------
    class_code : str
        The class, such as "QQ-26".
    exercise : str
        One of ``EXERCISES``.
    number : int
        The apprentice's number.
    attempt : int
        How often the numbers were drawn again because two answers lay too close.
    drive : Drive
        The machine.
    opening : OpeningReadings or None
        For exercise 01.
    stations : StationReadings or None
        For exercise 02.
    """

    class_code: str
    exercise: str
    number: int
    attempt: int
    drive: Drive
    opening: OpeningReadings | None = None
    stations: StationReadings | None = None


def require_class_code(class_code: str) -> None:
    """Refuse a class code that could not be a file name everywhere.

    Raises
    ------
    ValueError
        One sentence.
    """
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9-]{0,23}", class_code):
        shown = class_code if len(class_code) <= 24 else class_code[:24] + "…"
        raise ValueError(
            f"class code is “{shown}”; it must be 1 to 24 letters, digits and hyphens, such as "
            "QQ-26. Ask the instructor for the code of your class."
        )


def draw_card(*, class_code: str, exercise: str, number: int, attempt: int = 0) -> JobCard:
    """Draw the job card of one apprentice for one exercise.

    Parameters
    ----------
    class_code : str
        1 to 24 letters, digits and hyphens.
    exercise : str
        One of ``EXERCISES``.
    number : int
        The apprentice's number, 1 to 999999.
    attempt : int
        Draw the numbers again, 0 for the first time.

    Returns
    -------
    JobCard
        The same for the same arguments, on any machine.

    Raises
    ------
    ValueError
        One sentence, where an argument is outside its range.

    Examples
    --------
    >>> one = draw_card(class_code="QQ-26", exercise="02-taper", number=7)
    >>> one == draw_card(class_code="QQ-26", exercise="02-taper", number=7)
    True
    >>> one == draw_card(class_code="QQ-26", exercise="02-taper", number=8)
    False
    """
    require_class_code(class_code)
    require_range("apprentice number", number, 1, 999_999, "", "Look at your name tag.")
    if exercise not in EXERCISES:
        raise ValueError(
            f"exercise is “{exercise[:30]}”; it must be one of: {', '.join(EXERCISES)}."
        )
    seed = f"{class_code}/{exercise}/{number}/{attempt}"
    draws = Draws(seed)
    turn = Draws(f"{class_code}/turn").whole(low=0, high=len(_MACHINES) - 1)
    place = (number + turn + 3 * EXERCISES.index(exercise)) % len(_MACHINES)
    machine, hub, where = _MACHINES[place]
    shaft = _SHAFTS_IN[draws.whole(low=1, high=len(_SHAFTS_IN) - 1)]
    size = inch_key_size(shaft_diameter_in=shaft)
    width = size.width_in
    height = size.square_height_in or width
    length = float(draws.whole(low=max(4, round(1.2 * shaft)), high=max(6, round(2 * shaft))))
    drive = Drive(
        machine=machine, hub=hub, place=where, shaft_diameter_in=shaft, hub_length_in=length
    )
    if exercise == "01-measure":
        opening = _draw_opening(draws, shaft, width, height, length)
        return JobCard(
            class_code=class_code,
            exercise=exercise,
            number=number,
            attempt=attempt,
            drive=drive,
            opening=opening,
        )
    stations = _draw_stations(draws, number + turn, width, height, length)
    return JobCard(
        class_code=class_code,
        exercise=exercise,
        number=number,
        attempt=attempt,
        drive=drive,
        stations=stations,
    )


def _read(slot: TrueSlot, station_in: float, draws: Draws, *, excess_in: float = 0.0) -> float:
    """Return one height as a steady hand reads it; a gauge not rocked through reads high."""
    height = float(slot.height_in(station_in, 0.0, KEYWAY_AT_BOTTOM_RAD))
    return round(height + excess_in + draws.normal(deviation=SCATTER_IN), 4)


def _draw_opening(
    draws: Draws, shaft: float, width: float, height: float, length: float
) -> OpeningReadings:
    clearance = round(draws.uniform(low=0.006, high=0.016), 4)
    mouth = round(height + draws.uniform(low=0.004, high=0.030), 4)
    wide = draws.uniform(low=0.0, high=1.0) < 0.4  # a worn hub slot: a stepped key later
    hub_width = width + 0.0005 + (draws.uniform(low=0.008, high=0.030) if wide else 0.0035)
    shaft_width = width + draws.uniform(low=0.0, high=0.001)
    slot = draw_slot(
        parameters=SlotParameters(
            length_in=length,
            mouth_height_in=mouth,
            hub_width_in=hub_width,
            shaft_width_in=shaft_width,
            diametral_clearance_in=clearance,
        ),
        seed=int(draws.uniform(low=0, high=1e9)),
    )
    station = float(draws.whole(low=1, high=3))
    bad = draws.whole(low=0, high=6)  # 5 and 6: none is bad
    mouth_in = tuple(
        _read(
            slot,
            0.25,
            draws,
            excess_in=draws.uniform(low=0.006, high=0.011) if turn == bad else 0.0,
        )
        for turn in range(5)
    )
    inside_in = tuple(_read(slot, 0.25 + station, draws) for _ in range(3))

    def widths(middle: float) -> tuple[float, ...]:
        return tuple(round(middle + draws.normal(deviation=0.0003), 4) for _ in range(3))

    bore = round(shaft + draws.uniform(low=0.0005, high=0.003) + clearance, 4)
    return OpeningReadings(
        mouth_in=mouth_in,
        inside_in=inside_in,
        inside_station_in=station,
        hub_width_in=widths(hub_width),
        shaft_width_in=widths(shaft_width),
        bore_in=bore,
        shaft_in=round(bore - clearance, 4),
        off_bottom_deg=(45, 60, 75, 120, 135, 150)[draws.whole(low=0, high=5)],
    )


_Kind = Literal["inch", "metric", "short", "off", "reversed"]
_TURNS: tuple[_Kind, ...] = ("inch", "reversed", "off", "inch", "short", "metric")


def _draw_stations(
    draws: Draws, turn: int, width: float, height: float, length: float
) -> StationReadings:
    kind = _TURNS[turn % len(_TURNS)]
    taper = {
        "inch": STANDARD_INCH,
        "metric": STANDARD_METRIC,
        "short": STANDARD_INCH,
        "off": 1 / draws.uniform(low=72, high=82)
        if draws.uniform(low=0, high=1) < 0.5
        else 1 / draws.uniform(low=118, high=135),
        "reversed": -STANDARD_INCH,
    }[kind]
    if kind == "short":
        base, count = 1.5, 2
    else:
        # never 10 or 12 in: there a forgotten division would give the right figures
        count = 3 if kind == "metric" else draws.whole(low=3, high=4)
        base = {"metric": 11.0, "inch": 9.0}.get(kind, 7.5)
    slot = draw_slot(
        parameters=SlotParameters(
            length_in=base + 1.0,
            mouth_height_in=round(height + draws.uniform(low=0.004, high=0.030), 4),
            taper_in_per_in=taper,
            hub_width_in=width + 0.002,
            shaft_width_in=width,
            form_error_in=0.0004,
            waviness_in=0.0002,
            high_spot_count=0,
        ),
        seed=int(draws.uniform(low=0, high=1e9)),
    )
    distances = tuple(round(base * place / (count - 1), 2) for place in range(count))
    heights = tuple(
        round(sum(_read(slot, 0.25 + at, draws) for _ in range(3)) / 3, 4) for at in distances
    )
    stand_out = round(draws.uniform(low=0.5, high=2.5), 2)
    opening = round(height + draws.uniform(low=0.01, high=0.06), 4)
    return StationReadings(
        distances_in=distances,
        heights_in=heights,
        height_sd_in=HEIGHT_SD_IN,
        parallel_height_in=round(opening + stand_out * STANDARD_INCH, 4),
        parallel_stand_out_in=stand_out,
    )
