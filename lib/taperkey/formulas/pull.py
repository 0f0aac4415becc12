"""The pull to expect: a range from the seat force and the friction, and the slide hammer.

Book symbols in the bodies: N normal force, mu friction, k stiffness of the rod,
E modulus, A area.
"""

from __future__ import annotations

from dataclasses import dataclass

from taperkey.checks import require_at_least, require_non_negative, require_positive, require_range
from taperkey.formulas.seat import blow_energy_lbf_in
from taperkey.formulas.squeeze import STEEL_MODULUS_PSI
from taperkey.formulas.wedge import MAX_FRICTION, withdraw_ratio
from taperkey.said import Said, number, numbers

__all__ = ["PullRange", "SlidingWeight", "pull_range", "rod_stiffness_lbf_per_in", "sliding_weight"]


@dataclass(frozen=True, kw_only=True)
class PullRange:
    """The pull on the large end that starts the key: two ends, never one number.

    Attributes
    ----------
    low_lbf : float
        Low end; 0 where the key may not hold at all [lbf].
    high_lbf : float
        High end: the one to choose a rig by [lbf].
    seat_spread : float
        High over low of the seat force [-].
    friction_spread : float
        High over low of the pull for one pound of seat force; infinity at a low end of 0 [-].
    driver : str
        "friction" or "seat force": which range makes the answer wide.
    reason : str
        One sentence with the numbers.
    """

    low_lbf: float
    high_lbf: float
    seat_spread: float
    friction_spread: float
    driver: str
    reason: str


def pull_range(
    *,
    seat_low_lbf: float,
    seat_high_lbf: float,
    friction_low: float,
    friction_high: float,
    taper_in_per_in: float,
) -> PullRange:
    """Return the range of the pull on the large end.

    P low = N low (mu low + tan(phi low - alpha)), P high likewise

    Parameters
    ----------
    seat_low_lbf : float
        Low end of the normal force on the faces, above 0 [lbf].
    seat_high_lbf : float
        High end of the normal force, not below the low end [lbf].
    friction_low : float
        Low end of the friction on the day of pulling, both faces, 0 or more [-].
    friction_high : float
        High end of that friction, not below the low end, to 1.5 [-].
    taper_in_per_in : float
        Taper, 0 to 0.6 [in/in].

    Returns
    -------
    PullRange
        Range in [lbf], and whether friction or seat force makes it wide.

    Raises
    ------
    ValueError
        If an argument is outside its range or an end is the wrong way round.

    Assumptions
    -----------
    Pull in line with the key, at the large end. Rust that has grown across the
    joint can hold beyond this range.

    Examples
    --------
    >>> pull = pull_range(seat_low_lbf=100000, seat_high_lbf=150000, friction_low=0.1,
    ...                   friction_high=0.27, taper_in_per_in=1 / 96)
    >>> round(pull.low_lbf, -2), round(pull.high_lbf, -2), pull.driver
    (18900.0, 79300.0, 'friction')

    Source
    ------
    Derived here from the wedge of `withdraw_ratio`.
    """
    require_positive("seat force, low end", seat_low_lbf, "lbf")
    require_at_least("seat force, high end", seat_high_lbf, seat_low_lbf, "lbf")
    require_non_negative("friction, low end", friction_low)
    require_range("friction, high end", friction_high, friction_low, MAX_FRICTION)
    slick, rough = (
        max(0.0, withdraw_ratio(taper_in_per_in=taper_in_per_in, floor_friction=mu,
                                roof_friction=mu))
        for mu in (friction_low, friction_high)
    )  # fmt: skip
    low, high = seat_low_lbf * slick, seat_high_lbf * rough
    seat_spread = seat_high_lbf / seat_low_lbf
    friction_spread = rough / slick if slick > 0 else float("inf") if rough > 0 else 1.0
    driver = "friction" if friction_spread >= seat_spread else "seat force"
    reason = (
        f"{low:,.0f} to {high:,.0f} lbf: the seat force is known to"
        f" {seat_low_lbf:,.0f} to {seat_high_lbf:,.0f} lbf and the friction to {friction_low:g} to"
        f" {friction_high:g}; the {driver} makes the range."
    )
    return PullRange(
        low_lbf=low,
        high_lbf=high,
        seat_spread=seat_spread,
        friction_spread=friction_spread,
        driver=driver,
        reason=reason,
    )


def rod_stiffness_lbf_per_in(
    *, stress_area_in2: float, length_in: float, modulus_psi: float = STEEL_MODULUS_PSI
) -> float:
    """Return the force that stretches a rod by an inch.

    k = E A / L

    Parameters
    ----------
    stress_area_in2 : float
        Tensile stress area, above 0 [in2].
    length_in : float
        Length under load, above 0 [in].
    modulus_psi : float
        Modulus of elasticity, above 0 [psi].

    Returns
    -------
    float
        Stiffness [lbf/in].

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Assumptions
    -----------
    Elastic; threaded over its whole length.

    Examples
    --------
    >>> rod_stiffness_lbf_per_in(stress_area_in2=1, length_in=30)
    1000000.0

    Source
    ------
    Hooke's law.
    """
    require_positive("stress area", stress_area_in2, "in2")
    require_positive("rod length", length_in, "in")
    require_positive("modulus", modulus_psi, "psi")
    return modulus_psi * stress_area_in2 / length_in


@dataclass(frozen=True, kw_only=True)
class SlidingWeight:
    """One blow of a slide hammer on its rod, against the pull the key needs.

    Attributes
    ----------
    energy_lbf_in : float
        Energy of one blow [lbf_in].
    peak_low_lbf : float
        Low end of the peak force in the rod [lbf].
    peak_high_lbf : float
        High end of the peak force: what the rod and its threads must take [lbf].
    moves : str
        "yes" if the low peak is above the high pull, "no" if the high peak is below
        the low pull, otherwise "perhaps".
    advance_low_in : float
        Least movement of one blow; 0 if it may not move [in].
    advance_high_in : float
        Greatest movement of one blow [in].
    reason : str
        One sentence with the numbers compared.
    """

    energy_lbf_in: float
    peak_low_lbf: float
    peak_high_lbf: float
    moves: str
    advance_low_in: float
    advance_high_in: float
    reason: str


def _advance_in(energy: float, pull: float, stiffness: float) -> float:
    # energy left after the rod is stretched to the pull, spent at that pull
    stored = pull**2 / (2 * stiffness)
    return max(0.0, (energy - stored) / pull)


def sliding_weight(
    *,
    weight_lbf: float,
    speed_in_per_s: float,
    useful_share_low: float,
    useful_share_high: float,
    stress_area_in2: float,
    length_in: float,
    pull_low_lbf: float,
    pull_high_lbf: float,
    modulus_psi: float = STEEL_MODULUS_PSI,
) -> SlidingWeight:
    """Return the peak force and the advance of one blow of a slide hammer.

    peak = sqrt(2 share energy k);  advance = (share energy - P^2/(2k)) / P

    Parameters
    ----------
    weight_lbf : float
        Weight of the slide hammer, above 0 [lbf].
    speed_in_per_s : float
        Speed as it meets the stop, above 0 [in/s].
    useful_share_low : float
        Low end of the part of the energy that reaches the key, above 0 [-].
    useful_share_high : float
        High end of that part, at most 1 [-].
    stress_area_in2 : float
        Tensile stress area of the rod, above 0 [in2].
    length_in : float
        Length of rod under load, above 0 [in].
    pull_low_lbf : float
        Low end of the pull that the key needs, above 0 [lbf].
    pull_high_lbf : float
        High end of that pull, not below the low end [lbf].
    modulus_psi : float
        Modulus of elasticity of the rod, above 0 [psi].

    Returns
    -------
    SlidingWeight
        Energy [lbf_in], forces [lbf], advance [in], and a reason.

    Raises
    ------
    ValueError
        If an argument is outside its range or an end is the wrong way round.

    Assumptions
    -----------
    The rod is the only spring; the key moves at a steady pull once that is reached.
    Bending of the rod and waves in it are left out, so real peaks differ.

    Examples
    --------
    >>> blow = sliding_weight(weight_lbf=30, speed_in_per_s=120, useful_share_low=0.5,
    ...     useful_share_high=0.9, stress_area_in2=0.606, length_in=36, pull_low_lbf=60000,
    ...     pull_high_lbf=80000)
    >>> round(blow.energy_lbf_in), round(blow.peak_high_lbf, -2), blow.moves
    (559, 22600.0, 'no')

    Source
    ------
    Derived here: work and energy with an elastic rod.
    """
    require_positive("useful share, low end", useful_share_low)
    require_range("useful share, high end", useful_share_high, useful_share_low, 1)
    require_positive("pull, low end", pull_low_lbf, "lbf")
    require_at_least("pull, high end", pull_high_lbf, pull_low_lbf, "lbf")
    energy = blow_energy_lbf_in(weight_lbf=weight_lbf, speed_in_per_s=speed_in_per_s)
    k = rod_stiffness_lbf_per_in(
        stress_area_in2=stress_area_in2, length_in=length_in, modulus_psi=modulus_psi
    )
    peak_low = float((2 * useful_share_low * energy * k) ** 0.5)
    peak_high = float((2 * useful_share_high * energy * k) ** 0.5)
    moves = "yes" if peak_low > pull_high_lbf else "no" if peak_high < pull_low_lbf else "perhaps"
    verdict = {
        "yes": "so each blow moves it",
        "no": "so blows only shake it: another rig is needed",
        "perhaps": "so it may move or not: watch a mark on the key, and stop if it stands still",
    }[moves]
    reason = Said(
        "a blow of {energy} brings a peak of {peak} in the rod against {pull} that the key needs,"
        " {verdict}.",
        energy=number(energy, "lbf in"),
        peak=numbers(peak_low, peak_high, unit="lbf"),
        pull=numbers(pull_low_lbf, pull_high_lbf, unit="lbf"),
        verdict=verdict,
    )
    return SlidingWeight(
        energy_lbf_in=energy,
        peak_low_lbf=peak_low,
        peak_high_lbf=peak_high,
        moves=moves,
        advance_low_in=_advance_in(useful_share_low * energy, pull_high_lbf, k),
        advance_high_in=_advance_in(useful_share_high * energy, pull_low_lbf, k),
        reason=reason,
    )
