"""Contact of elastic bodies against closed forms: a wavy face, a cylinder, a sphere, a flat punch.

Westergaard, Bearing pressures and cracks, Journal of Applied Mechanics 6, 1939: a wave of amplitude
D on a deep body bears on the share (2/pi) asin sqrt(p/p*) of its length under the mean pressure p,
with p* = pi E' D/wave; all of it from p* on. Hertz 1882, as in Johnson, Contact Mechanics, 1985,
sections 4.2 (line, sphere) and 3.4 with 5.5 (flat punches: load over depth 2 E' a for a round one,
about 1.15 E' sqrt(area) for a square one). All formulas from memory; E' = E/(1 - nu^2).

Floor and roof are alike here, so each is one such contact against a flat that cannot bend.
"""

import numpy as np
import pytest

from keycourse.fit.bench.contact import press_faces

from .contact_cases import deep, faces_of

E_PLANE = 30e6 / (1 - 0.3**2)
AMPLITUDE_IN = 0.0002
MEANS_PSI = (100.0, 500.0, 2_000.0, 4_000.0, 8_000.0)


def wavy(wave_in, mean_psi, *, count, length_in):
    x = (np.arange(count) + 0.5) * length_in / count
    gap = AMPLITUDE_IN * (1 - np.cos(2 * np.pi * x / wave_in))[:, None] * np.ones((count, 3))
    return press_faces(
        faces=faces_of(gap, length_in=length_in, width_in=1.0),
        bodies=deep(gap.shape, length_in=length_in, width_in=1.0),
        normal_force_lbf=mean_psi * length_in,
        hardness_psi=1e9,
        close_enough=1e-3,
    )


def westergaard_share(wave_in, mean_psi):
    full = np.pi * E_PLANE * AMPLITUDE_IN / wave_in
    return 2 / np.pi * np.arcsin(np.sqrt(min(1.0, mean_psi / full)))


@pytest.mark.parametrize("mean_psi", MEANS_PSI)
@pytest.mark.parametrize("wave_in", [0.5, 1.0, 1.5, 2.0, 3.0])
def test_westergaard_wave_on_256_places(wave_in, mean_psi):
    seat = wavy(wave_in, mean_psi, count=256, length_in=6.0)
    # a place is up to a twentieth of a wave, and the share is known to less than one of them
    assert seat.bearing_share == pytest.approx(westergaard_share(wave_in, mean_psi), abs=0.03)
    bears = seat.roof_pressure_psi > 0
    assert seat.roof_pressure_psi.sum() / bears.size == pytest.approx(mean_psi, rel=1e-6)


@pytest.mark.parametrize("mean_psi", MEANS_PSI)
@pytest.mark.parametrize("wave_in", [16 / 17, 16 / 15, 16 / 11, 16 / 7, 16 / 5])
def test_westergaard_wave_on_the_bench_s_own_grid(wave_in, mean_psi):
    # crests fall anywhere between the places; were all of them midway, the share of a wave of
    # 16 places could be even eighths only
    seat = wavy(wave_in, mean_psi, count=128, length_in=8.0)
    assert seat.bearing_share == pytest.approx(westergaard_share(wave_in, mean_psi), abs=0.03)


def test_westergaard_pressure_along_the_wave():
    wave, mean, count, length = 3.0, 2_000.0, 512, 6.0
    seat = wavy(wave, mean, count=count, length_in=length)
    half = wave / 2 * westergaard_share(wave, mean)
    x = (np.arange(count) + 0.5) * length / count
    place = np.abs((x + wave / 2) % wave - wave / 2)
    inside = place < 0.95 * half
    sine, edge = np.sin(np.pi * place / wave), np.sin(np.pi * half / wave)
    exact = 2 * mean * np.cos(np.pi * place / wave) / edge**2
    exact = exact[inside] * np.sqrt(edge**2 - sine[inside] ** 2)
    # 3 % of the highest: the grid cannot follow the steep edge
    assert seat.roof_pressure_psi[inside, 1] == pytest.approx(exact, abs=0.03 * exact.max())


@pytest.mark.parametrize(("radius_in", "line_lbf_per_in"), [(30.0, 2_000.0), (200.0, 2_000.0)])
def test_hertz_cylinder(radius_in, line_lbf_per_in):
    length, count = 4.0, 512
    x = (np.arange(count) + 0.5) * length / count  # its own mirror at 0: half of the cylinder
    gap = (x**2 / (2 * radius_in))[:, None] * np.ones((count, 3))
    seat = press_faces(
        faces=faces_of(gap, length_in=length, width_in=1.0),
        bodies=deep(gap.shape, length_in=length, width_in=1.0),
        normal_force_lbf=line_lbf_per_in / 2,
        hardness_psi=1e9,
        close_enough=1e-3,
    )
    half_width = 2 * np.sqrt(line_lbf_per_in * radius_in / (np.pi * E_PLANE))
    peak = 2 * line_lbf_per_in / (np.pi * half_width)
    step = length / count
    bears = (seat.roof_pressure_psi[:, 1] > 0).sum() * step
    assert bears == pytest.approx(half_width, abs=1.5 * step)
    # the box is 8 in, the contact a twentieth of it at the most: 2 %
    assert seat.roof_pressure_psi.max() == pytest.approx(peak, rel=0.02)


def test_hertz_sphere():
    size, count, radius, force = 2.0, 128, 100.0, 3_000.0
    x = (np.arange(count) + 0.5) * size / count  # a quarter of the sphere, with its mirrors
    gap = (x[:, None] ** 2 + x[None, :] ** 2) / (2 * radius)
    seat = press_faces(
        faces=faces_of(gap, length_in=size, width_in=size),
        bodies=deep(gap.shape, length_in=size, width_in=size),
        normal_force_lbf=force / 4,
        hardness_psi=1e9,
        close_enough=1e-3,
    )
    a = (3 * force * radius / (4 * E_PLANE)) ** (1 / 3)
    peak = 3 * force / (2 * np.pi * a**2)
    area = (seat.roof_pressure_psi > 0).sum() * (size / count) ** 2
    assert np.sqrt(4 * area / np.pi) == pytest.approx(a, rel=0.05)  # 12 places a radius
    assert seat.roof_pressure_psi.max() == pytest.approx(peak, rel=0.03)


@pytest.mark.parametrize(("shape", "factor"), [("square", 1.15), ("round", 2 / np.sqrt(np.pi))])
def test_flat_punch_sinks_as_its_load_over_the_root_of_its_area(shape, factor):
    """Depth from the difference of two boxes, so that what the mirrors add falls out.

    The mean of an even pressure has no answer on a deep body; measured against the mean of the far
    face, a box of side L adds a constant over L. Two sizes of box take that constant out.
    """
    depths = []
    side, count = 0.5, 32
    for boxes in (2, 4):
        size, many = side * boxes, count * boxes
        x = (np.arange(many) + 0.5) * size / many
        if shape == "square":
            inside = np.maximum(x[:, None], x[None, :]) < side / 2 + 1e-12
        else:
            inside = np.hypot(x[:, None], x[None, :]) < side / 2
        gap = np.where(inside, 0.0, 0.5)
        seat = press_faces(
            faces=faces_of(gap, length_in=size, width_in=size),
            bodies=deep(gap.shape, length_in=size, width_in=size),
            normal_force_lbf=1_000.0,
            hardness_psi=1e12,
            close_enough=1e-4,
        )
        area = 4 * inside.sum() * (size / many) ** 2
        depths.append((seat.squeeze_in / 2, size, area))
    (first, small, area), (second, large, _) = depths
    depth = (second * large - first * small) / (large - small)
    found = 4_000.0 / (E_PLANE * depth * np.sqrt(area))
    # a step of 1/16 of the half side: the singular edge is 2 % stiffer than the true one
    assert found == pytest.approx(factor, rel=0.025)
