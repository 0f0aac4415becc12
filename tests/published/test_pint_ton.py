"""The ton by which jacks are rated, against pint's definitions (pint 0.25, run here).

``ton`` alone is a mass in pint; the force is ``ton_force``, 2000 pounds-force.
"""

import pint
import pytest

from taperkey.tables.rigging import LBF_PER_US_TON, jack, jack_names

REGISTRY = pint.get_application_registry()


def test_us_ton_of_force():
    assert REGISTRY.Quantity(1, "ton_force").to("lbf").magnitude == pytest.approx(LBF_PER_US_TON)


def test_ton_alone_is_not_a_force():
    assert not REGISTRY.Quantity(1, "ton").check("[force]")


@pytest.mark.parametrize("name", jack_names())
def test_jacks_are_rated_in_us_tons(name):
    one = jack(name=name)
    rated = REGISTRY.Quantity(one.rated_tons, "ton_force").to("lbf").magnitude
    assert one.rated_lbf == pytest.approx(rated, rel=1e-12)
