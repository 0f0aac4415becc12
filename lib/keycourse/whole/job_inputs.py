"""What a mechanic has in hand for a whole job: readings, the key wanted, the rig at hand.

The forms and the job file fill these; `whole_job` works the job out from them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from taperkey import practice
from taperkey.formulas.key import FITTING_ALLOWANCE_IN
from taperkey.formulas.rig import Rig

__all__ = [
    "COMMON_HEIGHT_IN",
    "DEEPEST_PASS_IN",
    "HEIGHT_SD_IN",
    "HUB_STEEL",
    "OVER_SD_IN",
    "RELIEF_CUT_IN",
    "SEAT_PRESSURE_PSI",
    "SHAFT_STEEL",
    "SIDE_CLEARANCE_IN",
    "STEP_RELIEF_IN",
    "Finding",
    "JobInputs",
    "KeyInputs",
    "OpeningInputs",
    "PullInputs",
]

OVER_SD_IN = practice.value("caliper")  # held over shaft and key
HEIGHT_SD_IN = practice.value("transfer_scatter")
COMMON_HEIGHT_IN = practice.value("common_height")
SIDE_CLEARANCE_IN = practice.value("side_clearance")
STEP_RELIEF_IN = practice.value("step_relief")
RELIEF_CUT_IN = practice.value("relief_cut")
# Softest that is usual in a drive, taken where nothing is said: a choice of this course.
SHAFT_STEEL = "1020 hot-rolled"
HUB_STEEL = "A27 65-35 cast steel"
DEEPEST_PASS_IN = practice.value("deepest_pass")
SEAT_PRESSURE_PSI = practice.span("seat_pressure")


def _in_inches(value: float, dimension: str) -> str:
    kind = dimension.partition("-")[0]
    places = {"length": ".4f", "force": ",.0f", "taper": ".5f"}.get(kind, "g")
    unit = {"length": "in", "force": "lbf", "taper": "in/in"}.get(kind, "")
    return f"{value:{places}} {unit}".rstrip()


@dataclass(frozen=True, kw_only=True)
class Finding:
    """Something the numbers say: a stop, or a place to look.

    Attributes
    ----------
    level : str
        "stop" (do not go on) or "look".
    stage : str
        "measure", "make", "fit" or "pull".
    words : str
        What was found and what to do, with {} where a number stands.
    numbers : tuple of (float, str)
        Those numbers in the course's own units, each with its dimension; a load that is rounded
        up is "force-up", a capacity that is rounded down "force-down".
    """

    level: Literal["stop", "look"]
    stage: Literal["measure", "make", "fit", "pull"]
    words: str
    numbers: tuple[tuple[float, str], ...] = ()

    @property
    def sentence(self) -> str:
        """The words with their numbers in inches and pounds."""
        return self.told(_in_inches)

    def told(self, write: Callable[[float, str], str]) -> str:
        """Return the words with the numbers as `write` puts them: value and dimension to text."""
        return self.words.format(*(write(value, dimension) for value, dimension in self.numbers))


@dataclass(frozen=True, kw_only=True)
class OpeningInputs:
    """The opening as it was measured.

    Attributes
    ----------
    distances_in : tuple of float
        Stations inward from the mouth, 0 or more, each once [in].
    readings_in : tuple of tuple of float
        Readings of the height at each station [in].
    hub_widths_in, shaft_widths_in : tuple of float
        Readings of the slot widths [in].
    hub_length_in : float
        Length of the slot in the hub [in].
    shaft_diameter_in : float
        Shaft diameter [in].
    keyway_at_bottom : bool
        Whether the keyway was turned to the bottom for the heights.
    height_sd_in : float
        Standard uncertainty of one height as the shop takes it [in].
    height_common_in : float
        What all heights may be off together, as a standard uncertainty [in].
    station_sd_in : float or None
        Standard uncertainty of a station's distance, where it counts [in].
    bore_in : float or None
        Bore, for the clearance [in].
    shaft_slot_depth_in : float or None
        Depth of the shaft slot along its side wall [in].
    slot_radius_in : float or None
        Radius in the corner of the slot [in].
    hub_outside_in : float or None
        Outside diameter of the hub over the slot; None where its ring is not asked about [in].
    hub_metal_name : str
        What the hub is made of, from the tables.
    hub_metal_known : bool
        False where it is taken for the weakest of the tables.
    """

    distances_in: tuple[float, ...]
    readings_in: tuple[tuple[float, ...], ...]
    hub_widths_in: tuple[float, ...]
    shaft_widths_in: tuple[float, ...]
    hub_length_in: float
    shaft_diameter_in: float
    keyway_at_bottom: bool
    height_sd_in: float = HEIGHT_SD_IN
    height_common_in: float = COMMON_HEIGHT_IN
    station_sd_in: float | None = None
    bore_in: float | None = None
    shaft_slot_depth_in: float | None = None
    slot_radius_in: float | None = None
    hub_outside_in: float | None = None
    hub_metal_name: str = HUB_STEEL
    hub_metal_known: bool = True


@dataclass(frozen=True, kw_only=True)
class KeyInputs:
    """The key wanted, and how it is cut.

    Attributes
    ----------
    engaged_length_in : float or None
        Length of the fitted key in the slot; None for the whole hub [in].
    outside_in : float
        Length of the fitted key that stays outside the mouth [in].
    left_to_drive_in : float or None
        Travel to home at which filing stops; None for the rule of the shop's units [in].
    allowance_in : float
        Over size in height for fitting and drive [in].
    side_clearance_in : float
        Key less than its slot, both sides together [in].
    steel_name, shaft_steel_name : str
        Steels of the key and the shaft, from the table.
    bar_width_in, bar_height_in : float or None
        Bar at hand; None to choose one from the list [in].
    relief_cut_in, deepest_pass_in : float
        Relief cut opposite the taper; deepest pass of the taper cut [in].
    thread_name : str
        Thread in the large end, from the table; empty for an untapped key.
    hole_depth_in : float or None
        Depth of the tapped hole; None for the usual one (`practice`: hole_depth) [in].
    torque_lbf_in : float or None
        Steady torque of the drive; None when nobody said it [lbf_in].
    service_factor, design_factor : float or None
        Peak over steady torque; yield over allowable stress; None for the shop's rule [-].
    """

    engaged_length_in: float | None = None
    outside_in: float = 0.0
    left_to_drive_in: float | None = None
    allowance_in: float = FITTING_ALLOWANCE_IN
    side_clearance_in: float = SIDE_CLEARANCE_IN
    steel_name: str = "1018 cold-drawn"
    shaft_steel_name: str = SHAFT_STEEL
    bar_width_in: float | None = None
    bar_height_in: float | None = None
    relief_cut_in: float = RELIEF_CUT_IN
    deepest_pass_in: float = DEEPEST_PASS_IN
    thread_name: str = ""
    hole_depth_in: float | None = None
    torque_lbf_in: float | None = None
    service_factor: float | None = None
    design_factor: float | None = None


@dataclass(frozen=True, kw_only=True)
class PullInputs(Rig):
    """The pull of the key that is in the slot, and the rig at hand with its parts.

    Attributes
    ----------
    surface : str
        State of the faces: "lubricated", "dry" or "rusted".
    friction : tuple of float or None
        Low and high end of the friction; None for the range of the friction table [-].
    seat_pressure_psi : tuple of float or None
        Low and high end of the mean pressure on the faces, where it is known [psi].
    travel_after_contact_in : tuple of float or None
        Low and high end of the travel after full contact, where it was noted [in].
    last_advance_in : tuple of float or None
        Low and high end of how far the last blow moved the key, where it was noted [in].
    sledge_lb : float
        Weight of the sledge that drove it [lb].
    over_near_in, over_far_in, over_sd_in : float or None
        From the underside of the shaft to the top of the old key, at the hub face that shows and
        at the far one, and the standard uncertainty of each [in].
    key_width_in, key_height_in, key_length_in, key_outside_in : float or None
        The old key: width, height at the end that shows, length in the hub, and what stands
        outside at that end [in]. None where the slot tells it.
    jack_hole_in, jack_piston_in2 : float or None
        Center hole of a hollow-ram jack [in]; effective area of a jack's ram [in2].
    load_by : str
        How the load is seen: "gauge", "load cell", "strokes" or "nothing"; empty where not asked.
    gauge_division_psi, pump_stroke_in3 : float or None
        One division of the gauge [psi]; oil of one stroke of the pump [in3].
    reacts_on : str
        What the jacks stand on: "hub" or "shaft"; empty where not asked.
    rod_free_in : float or None
        Length of rod under load, from the key to the nut [in].
    rod_thread_in : float or None
        Length of thread on the rod beyond the key's end [in].
    weight_lbf, blow_speed_in_per_s, rod_length_in : float
        Slide hammer [lbf], its speed at the stop [in/s], rod under load [in].
    """

    surface: str
    friction: tuple[float, float] | None = None
    seat_pressure_psi: tuple[float, float] | None = None
    travel_after_contact_in: tuple[float, float] | None = None
    last_advance_in: tuple[float, float] | None = None
    sledge_lb: float = practice.value("drive_hammer")
    over_near_in: float | None = None
    over_far_in: float | None = None
    over_sd_in: float = OVER_SD_IN
    key_width_in: float | None = None
    key_height_in: float | None = None
    key_length_in: float | None = None
    key_outside_in: float | None = None
    jack_hole_in: float | None = None
    jack_piston_in2: float | None = None
    load_by: str = ""
    gauge_division_psi: float | None = None
    pump_stroke_in3: float | None = None
    reacts_on: str = ""
    rod_free_in: float | None = None
    rod_thread_in: float | None = None
    weight_lbf: float = practice.value("slide_hammer")
    blow_speed_in_per_s: float = 12 * practice.value("slide_hammer_speed")
    rod_length_in: float = practice.value("slide_hammer_rod")

    @property
    def planned_pressure_psi(self) -> tuple[float, float] | None:
        """Pressure that the pull is planned with [psi].

        The one that was stated; that of an unknown hand where nobody knows the travel either; none
        where the travel is known, which the force then goes by.
        """
        if self.seat_pressure_psi is not None or self.travel_after_contact_in is not None:
            return self.seat_pressure_psi
        return SEAT_PRESSURE_PSI


@dataclass(frozen=True, kw_only=True)
class JobInputs:
    """A whole job.

    Attributes
    ----------
    standard : str
        "inch" for 1:96 and the inch key table, "metric" for 1:100 and the metric one.
    opening : OpeningInputs or None
        Readings of the empty slot; None while the old key is in.
    key : KeyInputs or None
        Key to be made; None while the slot was not measured.
    pull : PullInputs or None
        Key to be pulled, or None where none is.
    """

    standard: Literal["inch", "metric"]
    opening: OpeningInputs | None
    key: KeyInputs | None
    pull: PullInputs | None = None
