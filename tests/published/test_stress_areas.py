"""Tensile stress areas: ASME B1.1 (UNC), ASME PCC-1 Table H-1 (8UN), ISO 898-1.

The tables are from memory. 1/2-13 above 100 ksi is the formula of ASME B1.1, worked by hand. M36
was not seen and is not here.
"""

import pytest

from taperkey.formulas.thread import (
    METRIC_PITCH_SHARE,
    stress_area_in2,
    strong_rod_stress_area_in2,
)
from taperkey.tables.threads import thread
from taperkey.units import MM_PER_IN

UNC = {
    "1/2-13": (0.1419, 4), "9/16-12": (0.182, 3), "5/8-11": (0.226, 3), "3/4-10": (0.334, 3),
    "7/8-9": (0.462, 3), "1-8": (0.606, 3), "1-1/8-7": (0.763, 3), "1-1/4-7": (0.969, 3),
    "1-3/8-6": (1.155, 3), "1-1/2-6": (1.405, 3), "1-3/4-5": (1.90, 2), "2-4.5": (2.50, 2),
    "2-1/4-4.5": (3.25, 2), "2-1/2-4": (4.00, 2),
}  # fmt: skip

EIGHT_UN = {
    "1-1/8-8": (0.7905, 4), "1-1/4-8": (0.9997, 4), "1-3/8-8": (1.234, 3),
    "1-1/2-8": (1.492, 3), "1-5/8-8": (1.775, 3), "1-3/4-8": (2.082, 3), "1-7/8-8": (2.414, 3),
    "2-8": (2.771, 3), "2-1/4-8": (3.557, 3), "2-1/2-8": (4.442, 3), "3-8": (6.506, 3),
}  # fmt: skip

ISO = {"M12": 84.3, "M16": 157, "M20": 245, "M24": 353, "M30": 561}

INCH = [(f"{name} UNC", *row) for name, row in UNC.items()]
INCH += [(f"{name} UN", *row) for name, row in EIGHT_UN.items()]


@pytest.mark.parametrize(("name", "printed", "decimals"), INCH)
def test_inch_areas(name, printed, decimals):
    one = thread(name=name)
    assert one.stress_area_in2 == printed
    computed = stress_area_in2(diameter_in=one.diameter_in, pitch_in=one.pitch_in)
    assert computed == pytest.approx(printed, abs=0.51 * 10**-decimals)  # half the last figure


@pytest.mark.parametrize(("name", "printed"), ISO.items())
def test_metric_areas(name, printed):
    one = thread(name=name)
    assert one.stress_area_in2 * MM_PER_IN**2 == pytest.approx(printed, rel=1e-12)
    computed = stress_area_in2(
        diameter_in=one.diameter_in, pitch_in=one.pitch_in, pitch_share=METRIC_PITCH_SHARE
    )
    # three figures printed, some cut off rather than rounded
    assert computed * MM_PER_IN**2 == pytest.approx(printed, rel=0.004)


def test_half_inch_above_100_ksi():
    area = strong_rod_stress_area_in2(least_pitch_diameter_in=0.4435, pitch_in=1 / 13)
    assert area == pytest.approx(0.13757, abs=0.000005)
