"""JCGM 101:2008 (GUM, Supplement 1): examples 9.2, the additive model, and 9.3, mass calibration.

The printed figures are written from memory; the document was not opened for them. The closed forms
beside them are reckoned here.
"""

import math

import numpy as np
import pytest

from taperkey.formulas.montecarlo import (
    Normal,
    Rectangular,
    propagate,
    share_of_scatter,
    shortest_interval,
)

MILLION = {
    "figures": 4,
    "most": 1_000_000,
}  # a fixed number: four figures never settle
FOUR = ("a", "b", "c", "d")
UNIT = math.sqrt(3)  # half width of a rectangle of unit standard uncertainty


def summed(x):
    return x["a"] + x["b"] + x["c"] + x["d"]


def test_9_2_2_four_normal_inputs():
    """Table 2: estimate 0.00, standard uncertainty 2.00, 95 % interval -3.92 to 3.92."""
    done = propagate(model=summed, inputs=dict.fromkeys(FOUR, Normal(0, 1)), seed=1,
                     coverage=0.95, **MILLION)  # fmt: skip
    assert done.trials == 1_000_000
    assert done.mean == pytest.approx(0.0, abs=0.006)  # three of 2/sqrt(10^6)
    assert done.sd == pytest.approx(2.00, abs=0.005)
    # a 97.5 % point of a million trials wanders by 0.0053 (density there 0.029): three of it
    assert (done.low, done.high) == pytest.approx((-3.92, 3.92), abs=0.016)


def test_9_2_3_four_rectangular_inputs():
    """Table 3: standard uncertainty 2.00, 95 % interval -3.88 to 3.88, where the GUM says 3.92."""
    done = propagate(model=summed, inputs=dict.fromkeys(FOUR, Rectangular(-UNIT, UNIT)), seed=1,
                     coverage=0.95, **MILLION)  # fmt: skip
    assert done.sd == pytest.approx(2.00, abs=0.005)
    assert (done.low, done.high) == pytest.approx((-3.88, 3.88), abs=0.015)
    assert shortest_interval(values=done.values, coverage=0.95) == pytest.approx(
        (-3.88, 3.88), abs=0.05  # the shortest wanders more: its length is what is fixed
    )  # fmt: skip


def test_9_2_3_the_closed_form():
    """Annex E: the interval's end is 2 sqrt 3 (2 - (3/5)^(1/4)), about 3.88."""
    end = 2 * math.sqrt(3) * (2 - (3 / 5) ** 0.25)
    assert end == pytest.approx(3.88, abs=0.005)
    done = propagate(model=summed, inputs=dict.fromkeys(FOUR, Rectangular(-UNIT, UNIT)), seed=2,
                     coverage=0.95, **MILLION)  # fmt: skip
    assert not done.settled
    # a 97.5 % point of a million trials wanders by 0.005 (density there 0.033): three of it
    assert done.high == pytest.approx(end, abs=0.015)
    assert done.low == pytest.approx(-end, abs=0.015)


def test_9_2_4_one_rectangle_ten_times_as_wide():
    """Table 4: standard uncertainty 10.1, 95 % interval -17.0 to 17.0, where the GUM says 19.9."""
    known = dict.fromkeys(FOUR, Rectangular(-UNIT, UNIT))
    known["d"] = Rectangular(-10 * UNIT, 10 * UNIT)
    done = propagate(model=summed, inputs=known, seed=1, coverage=0.95, figures=3)
    assert done.sd == pytest.approx(10.1, abs=0.1)  # printed to three figures
    assert (done.low, done.high) == pytest.approx((-17.0, 17.0), abs=0.1)


def test_7_9_4_trials_go_on_until_the_figures_stand():
    """Two figures of 2.0 stand at 0.05; ten times as many trials or more for a third."""
    known = dict.fromkeys(FOUR, Normal(0, 1))
    two, three = (
        propagate(model=summed, inputs=known, seed=1, coverage=0.95, figures=figures, most=400_000)
        for figures in (2, 3)
    )
    assert (two.settled, two.tolerance, two.trials) == (True, pytest.approx(0.05), 100_000)
    assert (three.settled, three.tolerance, three.trials) == (
        False, pytest.approx(0.005), 400_000,
    )  # fmt: skip
    assert (two.low, two.high) == pytest.approx((-3.92, 3.92), abs=0.05)


def test_9_3_mass_calibration():
    """9.3.2.3: 1.2341 mg, u 0.0754 mg, shortest 95 % interval 1.0834 to 1.3825 mg."""
    known = {
        "reference": Normal(100_000.000, 0.050),  # mg
        "balance": Normal(1.234, 0.020),  # mg
        "air": Rectangular(1.10, 1.30),  # kg/m3
        "weight": Rectangular(7000, 9000),
        "brass": Rectangular(7950, 8050),
    }

    def over_nominal(x):
        buoyancy = 1 + (x["air"] - 1.2) * (1 / x["weight"] - 1 / x["brass"])
        return (x["reference"] + x["balance"]) * buoyancy - 100_000

    done = propagate(model=over_nominal, inputs=known, seed=1, coverage=0.95, figures=3)
    assert done.mean == pytest.approx(1.2341, abs=0.0005)
    assert done.sd == pytest.approx(0.0754, abs=0.0005)
    # 10^5 trials and some leave the ends of a shortest interval uncertain by some 0.003
    assert shortest_interval(values=done.values, coverage=0.95) == pytest.approx(
        (1.0834, 1.3825), abs=0.006
    )


def test_share_of_scatter_on_the_function_of_ishigami_and_homma():
    """First-order indices 0.314, 0.442, 0 with a = 7, b = 0.1: Saltelli and others, 2008 (memory).

    Closed form: V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V = V1 + V2 + b^2 pi^8 (1/18 - 1/50).
    """
    rng = np.random.default_rng(1)
    x = rng.uniform(-math.pi, math.pi, (3, 200_000))
    y = np.sin(x[0]) + 7 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])
    shares = [share_of_scatter(values=y, drawn=one) for one in x]
    one, two = (1 + 0.1 * math.pi**4 / 5) ** 2 / 2, 49 / 8
    whole = one + two + 0.1**2 * math.pi**8 * (1 / 18 - 1 / 50)
    assert [one / whole, two / whole] == pytest.approx([0.314, 0.442], abs=0.0005)
    # 50 classes lose a little of a curve inside each class, and gain 50/200,000
    assert shares == pytest.approx([0.314, 0.442, 0.0], abs=0.005)
