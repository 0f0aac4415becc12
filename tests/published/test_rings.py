"""A ring under two opposite loads: Roark's Formulas for Stress and Strain, circular rings.

Moments of case 2 as the table of its 7th edition, section 9, has them (section at the foot of the
ring, two loads W at the angle theta from it):
MA = -W R/pi [(pi - theta)(1 - cos theta) - sin theta (k2 - cos theta)],
NA = -W/pi [pi - theta + sin theta cos theta], with k2 = 1 - e/R for thick rings. At theta = 90
degrees the loads are opposite, and A lies a quarter turn from them.
Deflections of case 1, thin ring, .149 and .137 W R3/(E I): from memory.
"""

import math

import pytest

from taperkey.formulas.hubring import (
    hoop_stress_psi,
    ring_closing_in_per_lbf,
    ring_opening_in_per_lbf,
)

LOAD, MODULUS = 1000.0, 30e6
THICK = [(8.0, 4.0), (7.0, 4.0), (6.0, 4.0), (10.0, 4.0)]


def sizes(outside, bore):
    wall, radius = (outside - bore) / 2, (outside + bore) / 4
    e = radius - wall / math.log(outside / bore)
    return wall, radius, e


def case_2(radius, e, theta):
    k2 = 1 - e / radius
    s, c = math.sin(theta), math.cos(theta)
    moment = -LOAD * radius / math.pi * ((math.pi - theta) * (1 - c) - s * (k2 - c))
    pull = -LOAD / math.pi * (math.pi - theta + s * c)
    return moment, pull


@pytest.mark.parametrize(("outside", "bore"), THICK)
def test_tension_beside_the_key_is_that_of_the_moment_and_the_pull_of_case_2(outside, bore):
    wall, radius, e = sizes(outside, bore)
    moment, pull = case_2(radius, e, math.pi / 2)
    inner = bore / 2
    # case 2 pushes the ring together, the key pulls it apart: both turn round
    bending = -moment * (radius - e - inner) / (wall * e * inner)
    stress = hoop_stress_psi(
        force_lbf=LOAD, outside_in=outside, bore_in=bore, keyway_depth_in=0, key_width_in=0,
        length_in=1,
    )  # fmt: skip
    # .3 %: the half ring is reckoned in half degrees
    assert stress.beside_psi == pytest.approx(-pull / wall + bending, rel=0.003)


@pytest.mark.parametrize(("outside", "bore"), THICK)
def test_tension_over_the_key_is_that_of_w_r_k2_over_pi(outside, bore):
    wall, radius, e = sizes(outside, bore)
    moment = LOAD * radius * (1 - e / radius) / math.pi
    outer = outside / 2
    stress = hoop_stress_psi(
        force_lbf=LOAD, outside_in=outside, bore_in=bore, keyway_depth_in=0, key_width_in=0,
        length_in=1,
    )  # fmt: skip
    expected = moment * (outer - radius + e) / (wall * e * outer)
    assert stress.over_keyway_psi == pytest.approx(expected, rel=0.003)


def test_thin_ring_opens_and_closes_by_the_figures_of_case_1():
    ring = {"outside_in": 100.1, "bore_in": 99.9, "length_in": 2.0}
    unit = 50**3 / (MODULUS * 2 * 0.1**3 / 12)
    # printed to three places
    assert ring_opening_in_per_lbf(**ring) / unit == pytest.approx(0.149, abs=0.0005)
    assert ring_closing_in_per_lbf(**ring) / unit == pytest.approx(0.137, abs=0.0005)


@pytest.mark.parametrize(("outside", "bore"), THICK)
def test_thick_ring_opens_by_the_factors_k1_and_k2(outside, bore):
    wall, radius, e = sizes(outside, bore)
    alpha = e / radius
    k1, k2 = 1 - alpha + 2 * 1.2 * 1.3 * alpha, 1 - alpha
    expected = radius**2 / (MODULUS * wall * e) * (k1 * math.pi / 4 - 2 * k2**2 / math.pi)
    found = ring_opening_in_per_lbf(outside_in=outside, bore_in=bore, length_in=1)
    assert found == pytest.approx(expected, rel=0.001)
