"""How a pull is spread: seat force by its routes and friction as distributions, not as two ends.

`pull_range` tells what the pull may be at the worst and at the best, `pull_spread` how often.
Book symbols in the bodies: N normal force, P pull, mu friction.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from taperkey.arrays import np
from taperkey.checks import require_positive, require_range
from taperkey.formulas.montecarlo import (
    Array,
    Distribution,
    OneOf,
    Rectangular,
    propagate,
    share_of_scatter,
)
from taperkey.formulas.seat import SEAT_DEPTH_HIGH, SEAT_DEPTH_LOW, blow_energy_lbf_in
from taperkey.formulas.seat_routes import (
    seat_by_blow_lbf,
    seat_by_pressure_lbf,
    seat_by_travel_lbf,
)
from taperkey.formulas.wedge import require_wedge, withdraw_ratio

__all__ = ["LastBlow", "PullSpread", "pull_spread"]

_ratio: Callable[..., Any] = withdraw_ratio  # takes arrays as well as floats
_energy: Callable[..., Any] = blow_energy_lbf_in
Ends = tuple[float, float]
Draws: TypeAlias = "Mapping[str, Array]"
WHICH = "which of the routes is right"


@dataclass(frozen=True, kw_only=True)
class LastBlow:
    """What is known of the blow that drove the key last: low and high end each.

    Attributes
    ----------
    weight_lbf : float
        Weight of the sledge [lbf].
    speed_in_per_s, useful_share, advance_in, friction : tuple of float
        Speed as it struck [in/s], part of its energy that moved the key [-], how far it moved it
        [in], friction while driving [-].
    """

    weight_lbf: float
    speed_in_per_s: Ends
    useful_share: Ends
    advance_in: Ends
    friction: Ends


@dataclass(frozen=True, kw_only=True)
class PullSpread:
    """Force on the faces and pull, as often as they come.

    Attributes
    ----------
    seat_lbf, pull_lbf : tuple of float
        What 5, 50 and 95 of a hundred trials stay under [lbf].
    chance : float or None
        Share of the trials whose pull stays at or under the limit; None without one [-].
    shares : tuple of (str, float)
        Inputs, and how much of the pull's scatter each explains by itself; the greatest first.
    trials, seed : int
        Trials drawn, and from which seed.
    settled : bool
        Whether two figures stand still.
    """

    seat_lbf: tuple[float, float, float]
    pull_lbf: tuple[float, float, float]
    chance: float | None
    shares: tuple[tuple[str, float], ...]
    trials: int
    seed: int
    settled: bool


def pull_spread(
    *,
    width_in: float,
    contact_length_in: float,
    height_in: float,
    taper_in_per_in: float,
    friction: Ends,
    pressure_psi: Ends | None,
    bearing_share: Ends,
    travel_in: Ends | None = None,
    seat_depth: Ends = (SEAT_DEPTH_LOW, SEAT_DEPTH_HIGH),
    ring_in_per_psi: Ends = (0.0, 0.0),
    last_blow: LastBlow | None = None,
    limit_lbf: float | None = None,
    seed: int = 1,
) -> PullSpread:
    """Return force on the faces and pull at the large end as distributions.

    each trial: one of the routes gives N, P = max(0, N (mu + tan(phi - alpha)))

    Parameters
    ----------
    width_in : float
        Key width, above 0 [in].
    contact_length_in : float
        Length of the key inside the hub, above 0 [in].
    height_in : float
        Mean key height, above 0 [in].
    taper_in_per_in : float
        Taper, above 0 to 0.6 [in/in].
    friction : tuple of float
        Low and high end at the pull, the same on both faces, 0 to 1.5 [-].
    pressure_psi : tuple of float or None
        Low and high end of the pressure where the key bears, above 0; None where the force goes by
        another route [psi].
    bearing_share : tuple of float
        Low and high end of the part that bears, above 0 to 1 [-].
    travel_in : tuple of float or None
        Low and high end of the travel after contact; None where it was not noted [in].
    seat_depth : tuple of float
        Depth of giving metal behind each slot, in key widths, 0 to 5 [-].
    ring_in_per_psi : tuple of float
        Low and high end of the opening of the hub's ring for each psi on the faces [in/psi].
    last_blow : LastBlow or None
        The last blow; None where it was not noted.
    limit_lbf : float or None
        What the weakest link of the rig allows [lbf].
    seed : int
        Of the trials [-].

    Returns
    -------
    PullSpread
        Forces in [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range, an end is the wrong way round, or no route is known.

    Assumptions
    -----------
    Each range is as likely anywhere between its ends (JCGM 101:2008, 6.4.2) and independent of the
    others. No route is better than another: each trial takes one of those that are known, each as
    often. Both faces rub alike. The chance is one of these ranges, not of rust grown across.

    Examples
    --------
    With everything known exactly each trial is the closed form:

    >>> exact = pull_spread(width_in=1, contact_length_in=4, height_in=1, taper_in_per_in=1 / 96,
    ...                     friction=(0.1, 0.1), pressure_psi=(10_000, 10_000),
    ...                     bearing_share=(1, 1), limit_lbf=8_000)
    >>> [round(one) for one in exact.pull_lbf], exact.chance
    ([7580, 7580, 7580], 1.0)

    Source
    ------
    JCGM 101:2008 by `propagate`; the routes of `seat_routes`, the wedge of `withdraw_ratio`; one
    route a trial: the linear opinion pool of Stone, Annals of Mathematical Statistics 32 (1961).
    """
    require_positive("taper", taper_in_per_in, "in/in", "A straight key does not wedge.")
    for mu in friction:
        require_wedge(taper_in_per_in=taper_in_per_in, floor_friction=mu, roof_friction=mu)
    for share in bearing_share:
        require_range("bearing share", share, 0, 1)
    routes: list[Callable[[Draws], Array]] = []
    known: dict[str, Distribution] = {"friction": Rectangular(*friction)}

    def by_pressure(x: Draws) -> Any:
        return seat_by_pressure_lbf(
            pressure_psi=x["pressure on the faces"],
            width_in=width_in,
            contact_length_in=contact_length_in,
            bearing_share=x["part of the faces that bears"],
        )

    if pressure_psi is not None:
        known["pressure on the faces"] = Rectangular(*pressure_psi)
        known["part of the faces that bears"] = Rectangular(*bearing_share)
        routes.append(by_pressure)
    if travel_in is not None:

        def by_travel(x: Draws) -> Any:
            return seat_by_travel_lbf(
                travel_in=x["travel after contact"],
                taper_in_per_in=taper_in_per_in,
                height_in=height_in,
                width_in=width_in,
                contact_length_in=contact_length_in,
                seat_depth=x["depth of metal that gives"],
                ring_in_per_psi=x["opening of the hub's ring"],
            )

        known["travel after contact"] = Rectangular(*travel_in)
        known["depth of metal that gives"] = Rectangular(*seat_depth)
        known["opening of the hub's ring"] = Rectangular(*ring_in_per_psi)
        routes.append(by_travel)
    if last_blow is not None:
        weight = last_blow.weight_lbf

        def by_blow(x: Draws) -> Any:
            return seat_by_blow_lbf(
                energy_lbf_in=_energy(
                    weight_lbf=weight, speed_in_per_s=x["speed of the last blow"]
                ),
                useful_share=x["useful part of the last blow"],
                advance_in=x["advance of the last blow"],
                taper_in_per_in=taper_in_per_in,
                friction=x["friction while driving"],
            )

        known["speed of the last blow"] = Rectangular(*last_blow.speed_in_per_s)
        known["useful part of the last blow"] = Rectangular(*last_blow.useful_share)
        known["advance of the last blow"] = Rectangular(*last_blow.advance_in)
        known["friction while driving"] = Rectangular(*last_blow.friction)
        routes.append(by_blow)
    if not routes:
        raise ValueError(
            "nothing is known of the drive; enter a pressure, a travel or a last blow."
        )
    if len(routes) > 1:
        known[WHICH] = OneOf(len(routes))

    def seat(x: Draws) -> Array:
        forces = [np.broadcast_to(route(x), x["friction"].shape) for route in routes]
        return np.choose(x[WHICH].astype(int), forces) if len(forces) > 1 else np.array(forces[0])

    def pull(x: Draws) -> Array:
        ratio = _ratio(
            taper_in_per_in=taper_in_per_in,
            floor_friction=x["friction"],
            roof_friction=x["friction"],
        )
        return np.asarray(np.maximum(0.0, seat(x) * ratio), dtype=np.float64)

    done = propagate(model=pull, inputs=known, seed=seed)
    low, median, high = np.quantile(seat(done.inputs), (0.05, 0.5, 0.95))
    shares = [
        (name, share_of_scatter(values=done.values, drawn=drawn))
        for name, drawn in done.inputs.items()
    ]
    return PullSpread(
        seat_lbf=(float(low), float(median), float(high)),
        pull_lbf=(done.low, done.median, done.high),
        chance=None if limit_lbf is None else float(np.mean(done.values <= limit_lbf)),
        shares=tuple(sorted(shares, key=lambda one: -one[1])),
        trials=done.trials,
        seed=seed,
        settled=done.settled,
    )
