"""Distributions carried through a formula by trials: the Monte Carlo method of JCGM 101.

What goes in is known as a distribution, not as a number; so is what comes out. Book symbols in the
bodies: M trials of a block, h blocks, y mean, u standard uncertainty, p coverage.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol, TypeAlias

from taperkey.arrays import np
from taperkey.checks import (
    require_above,
    require_at_least,
    require_finite,
    require_positive,
    require_range,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "Array",
    "Distribution",
    "Normal",
    "OneOf",
    "Propagated",
    "Rectangular",
    "propagate",
    "share_of_scatter",
    "shortest_interval",
]

Array: TypeAlias = "NDArray[np.float64]"
Model: TypeAlias = "Callable[[Mapping[str, Array]], Array]"
_BLOCK = 10_000  # JCGM 101:2008, 7.9.4 b
_LEAST_BLOCKS = 10  # the document says 2; so few may agree by luck


class Distribution(Protocol):
    """How an input is known."""

    def draw(self, rng: np.random.Generator, count: int) -> Array:
        """Return so many values of it."""
        ...


@dataclass(frozen=True, slots=True)
class Rectangular:
    """Only the two limits are known (JCGM 101:2008, 6.4.2); both the same is an exact number."""

    low: float
    high: float

    def __post_init__(self) -> None:
        """Refuse what is no such distribution."""
        require_finite("low end of a range", self.low)
        require_at_least("high end of a range", self.high, self.low)

    def draw(self, rng: np.random.Generator, count: int) -> Array:
        """Return so many values of it."""
        return rng.uniform(self.low, self.high, count)


@dataclass(frozen=True, slots=True)
class Normal:
    """An estimate and its standard uncertainty are known (JCGM 101:2008, 6.4.7)."""

    mean: float
    sd: float

    def __post_init__(self) -> None:
        """Refuse what is no such distribution."""
        require_finite("estimate", self.mean)
        require_positive("standard uncertainty", self.sd)

    def draw(self, rng: np.random.Generator, count: int) -> Array:
        """Return so many values of it."""
        return rng.normal(self.mean, self.sd, count)


@dataclass(frozen=True, slots=True)
class OneOf:
    """Nobody knows which of so many holds: 0, 1, 2 ..., each as likely as the other."""

    number: int

    def __post_init__(self) -> None:
        """Refuse what is no such distribution."""
        require_at_least("number of possibilities", self.number, 1)

    def draw(self, rng: np.random.Generator, count: int) -> Array:
        """Return so many values of it."""
        return rng.integers(0, self.number, count).astype(np.float64)


@dataclass(frozen=True, kw_only=True)
class Propagated:
    """What came out of the trials.

    Attributes
    ----------
    mean, sd : float
        Estimate and standard uncertainty.
    low, median, high : float
        Ends of the interval that leaves as much out below as above, and the middle value.
    trials : int
        How many there were.
    settled : bool
        Whether the figures asked for stand still; False where the most trials were not enough.
    tolerance : float
        Half of the last figure asked for.
    values : array
        Every trial's value, in the order drawn.
    inputs : mapping of str to array
        Every trial's inputs.
    """

    mean: float
    sd: float
    low: float
    median: float
    high: float
    trials: int
    settled: bool
    tolerance: float
    values: Array
    inputs: Mapping[str, Array]


def propagate(
    *,
    model: Model,
    inputs: Mapping[str, Distribution],
    seed: int,
    coverage: float = 0.90,
    figures: int = 2,
    most: int = 1_000_000,
) -> Propagated:
    """Return the distribution of a model's result by as many trials as it takes.

    blocks of 10,000 trials, larger above a coverage of 0.99, ten at least, until 2 s of mean, sd
    and both ends are within half the last figure

    Parameters
    ----------
    model : callable
        Takes a mapping of arrays, returns an array of results.
    inputs : mapping of str to Distribution
        Each independent of the others, drawn in this order.
    seed : int
        Of numpy's default generator: the same seed draws the same trials, 0 or more [-].
    coverage : float
        Share of the values between low and high, above 0, below 1 [-].
    figures : int
        Figures of the standard uncertainty that are to stand still, 1 to 4 [-].
    most : int
        Trials at most, 100,000 or more; ten blocks where these are larger [-].

    Returns
    -------
    Propagated
        In the unit of the model's result.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    The inputs are independent. Three figures take about a hundred times the trials of two.

    Examples
    --------
    The sum of two equal ranges is a triangle: half of it within 0.293 of its middle.

    >>> from math import sqrt
    >>> done = propagate(model=lambda x: x["a"] + x["b"], seed=1, coverage=0.5, figures=3,
    ...                  inputs={"a": Rectangular(0, 0.5), "b": Rectangular(0, 0.5)})
    >>> round(done.low, 2), round(done.median, 2), round(done.high, 2), round(sqrt(1 / 8), 2)
    (0.35, 0.5, 0.65, 0.35)

    Source
    ------
    JCGM 101:2008, 7.9.4, the adaptive procedure; interval as 7.7.2. More blocks at least, since
    few agree by luck: Wuebbeler, Harris, Cox and Elster, Metrologia 47 (2010) 317 (memory).
    """
    require_above("coverage", coverage, 0)
    require_range("coverage", coverage, 0, 0.9999)
    require_range("figures", figures, 1, 4)
    block = max(_BLOCK, math.ceil(100 / (1 - coverage)))
    require_at_least("most trials", most, _LEAST_BLOCKS * block)
    rng = np.random.default_rng(seed)
    ends = (1 - coverage) / 2, (1 + coverage) / 2
    drawn: dict[str, list[Array]] = {name: [] for name in inputs}
    results: list[Array] = []
    summaries: list[tuple[float, float, float, float]] = []
    settled, tolerance = False, 0.0
    while len(results) < _LEAST_BLOCKS or (not settled and (len(results) + 1) * block <= most):
        one = {name: known.draw(rng, block) for name, known in inputs.items()}
        values = np.asarray(model(one), dtype=np.float64)
        for name, part in one.items():
            drawn[name].append(part)
        results.append(values)
        low, high = np.quantile(values, ends)
        summaries.append((float(values.mean()), float(values.std(ddof=1)), float(low), float(high)))
        if len(results) >= _LEAST_BLOCKS:
            tolerance = _tolerance(float(np.std(np.concatenate(results), ddof=1)), figures)
            wander = np.std(summaries, axis=0, ddof=1) / math.sqrt(len(summaries))
            settled = bool(np.all(2 * wander <= tolerance))
    everything = np.concatenate(results)
    low, median, high = np.quantile(everything, (ends[0], 0.5, ends[1]))
    return Propagated(
        mean=float(everything.mean()),
        sd=float(everything.std(ddof=1)),
        low=float(low),
        median=float(median),
        high=float(high),
        trials=everything.size,
        settled=settled,
        tolerance=tolerance,
        values=everything,
        inputs={name: np.concatenate(parts) for name, parts in drawn.items()},
    )


def _tolerance(sd: float, figures: int) -> float:
    """Return half of the last figure of a standard uncertainty (JCGM 101:2008, 7.9.2)."""
    if sd <= 0:
        return 0.0
    return 0.5 * 10.0 ** (math.floor(math.log10(sd)) - figures + 1)


def shortest_interval(*, values: Array, coverage: float) -> tuple[float, float]:
    """Return the shortest interval that holds a share of the values.

    the least of y(r + q) - y(r), values in rising order, q = coverage M

    Parameters
    ----------
    values : array
        Results of trials, two or more.
    coverage : float
        Share of the values between the ends, above 0, below 1 [-].

    Returns
    -------
    tuple of float
        Low and high end.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Examples
    --------
    >>> shortest_interval(values=np.array([0.0, 6.0, 7.0, 8.0]), coverage=0.5)
    (6.0, 8.0)

    Source
    ------
    JCGM 101:2008, 7.7.4.
    """
    require_above("coverage", coverage, 0)
    require_range("coverage", coverage, 0, 0.9999)
    require_at_least("number of values", len(values), 2)
    ordered = np.sort(values)
    span = min(math.floor(coverage * ordered.size + 0.5), ordered.size - 1)
    at = int(np.argmin(ordered[span:] - ordered[:-span]))
    return float(ordered[at]), float(ordered[at + span])


def share_of_scatter(*, values: Array, drawn: Array, classes: int = 50) -> float:
    """Return how much of the scatter of a result one input explains by itself.

    share = variance of the result's mean in classes of the input, over its variance

    Parameters
    ----------
    values : array
        Results of the trials.
    drawn : array
        What was drawn for the input in the same trials.
    classes : int
        Classes with as many trials each; an input with fewer values has a class for each, 2 to
        1,000 [-].

    Returns
    -------
    float
        From 0, explains nothing, to 1, explains all [-].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Inputs that are independent: what two do only together counts for neither.

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> a, b = rng.uniform(0, 2, 20_000), rng.uniform(0, 1, 20_000)
    >>> round(share_of_scatter(values=a + b, drawn=a), 1)
    0.8

    Source
    ------
    Correlation ratio of K. Pearson; the same as the first-order index of Saltelli and others,
    Global Sensitivity Analysis (2008), 1.2.
    """
    require_range("classes", classes, 2, 1000)
    variance = float(values.var())
    if variance == 0:
        return 0.0
    kinds = np.unique(drawn)
    if kinds.size <= classes:
        groups = [values[drawn == one] for one in kinds]
    else:
        groups = np.array_split(values[np.argsort(drawn, kind="stable")], classes)
    middle = values.mean()
    between = sum(one.size * (one.mean() - middle) ** 2 for one in groups) / values.size
    return float(between) / variance
