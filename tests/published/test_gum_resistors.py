"""JCGM 100:2008, 5.2.2, example: ten resistors that were compared with one standard.

Each of 1,000 ohms nominal was compared, with negligible uncertainty, with the same standard of
u(Rs) = 100 milliohms. In series the uncertainty of the 10,000 ohms is the sum, 1 ohm; taken as
independent it would be .32 ohm, "which is incorrect". From memory of the document.
"""

import pytest

from taperkey.formulas.common_error import sd_with_common


def test_ten_resistors_in_series():
    shared = sd_with_common(weights=[1.0] * 10, own_sd=0.0, common_sd=0.100)
    assert shared == pytest.approx(1.0, rel=1e-12)


def test_ten_resistors_as_if_independent():
    apart = sd_with_common(weights=[1.0] * 10, own_sd=0.100, common_sd=0.0)
    assert apart == pytest.approx(0.32, abs=0.005)  # printed to two figures
