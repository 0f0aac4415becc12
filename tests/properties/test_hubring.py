"""The hub's ring held against plane elasticity: four-cornered elements, half of hub and keyway."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

from taperkey.formulas.hubring import (
    CLOSE,
    LOOSE,
    _bent,
    hoop_stress_psi,
    ring_closing_in_per_lbf,
    ring_opening_in_per_lbf,
)

MODULUS, POISSON, LOAD = 30e6, 0.3, 10_000.0
AROUND, THROUGH = 90, 12
_G = 1 / math.sqrt(3)
_ELASTIC = (
    MODULUS
    / (1 - POISSON**2)
    * np.array([[1, POISSON, 0], [POISSON, 1, 0], [0, 0, (1 - POISSON) / 2]])
)


def _slopes(xi, eta):
    return (
        np.array(
            [
                [-(1 - eta), (1 - eta), (1 + eta), -(1 + eta)],
                [-(1 - xi), -(1 + xi), (1 + xi), (1 - xi)],
            ]
        )
        / 4
    )


def _stiffness(corners):
    """Of one element with the two bending shapes added that plain ones lack."""
    middle = _slopes(0, 0) @ corners
    turned, whole = np.linalg.inv(middle), np.zeros((12, 12))
    for xi in (-_G, _G):
        for eta in (-_G, _G):
            slopes = _slopes(xi, eta)
            jacobian = slopes @ corners
            area = np.linalg.det(jacobian)
            d = np.linalg.inv(jacobian) @ slopes
            extra = turned @ np.diag([-2 * xi, -2 * eta]) * np.linalg.det(middle) / area
            d = np.hstack([d, extra])
            strain = np.zeros((3, 12))
            strain[0, 0::2], strain[1, 1::2] = d[0], d[1]
            strain[2, 0::2], strain[2, 1::2] = d[1], d[0]
            whole += strain.T @ _ELASTIC @ strain * area
    return whole[:8, :8] - whole[:8, 8:] @ np.linalg.solve(whole[8:, 8:], whole[8:, :8])


def plane_hub(outside, bore, width, depth, *, tight):
    """Return opening [in], tension at the bore beside and outside over the keyway [psi]."""
    inner, outer = bore / 2, outside / 2
    angles = np.linspace(0, math.pi, AROUND + 1)
    radii = inner * (outer / inner) ** np.linspace(0, 1, THROUGH + 1)
    cut = int(np.argmin(abs(radii - inner - depth)))
    wide = max(1, round(math.asin(width / bore) / math.pi * AROUND))
    place = np.array([[r * math.sin(t), r * math.cos(t)] for t in angles for r in radii])

    def node(i, j):
        return j * (THROUGH + 1) + i

    triples, used = [], set()
    for j in range(AROUND):
        for i in range(cut if j < wide else 0, THROUGH):
            nodes = [node(i, j), node(i, j + 1), node(i + 1, j + 1), node(i + 1, j)]
            freedoms = [2 * one + k for one in nodes for k in (0, 1)]
            block = _stiffness(place[nodes])
            triples.extend(
                (a, b, block[m, n]) for m, a in enumerate(freedoms) for n, b in enumerate(freedoms)
            )
            used.update(nodes)
    size = 2 * len(place)
    push = np.zeros(size)
    shares = np.ones(wide + 1)
    shares[[0, -1]] = 0.5
    for j, share in enumerate(shares / shares.sum()):
        push[2 * node(cut, j) + 1] = LOAD / 2 * share
    held = {2 * node(i, j) for j in (0, AROUND) for i in range(THROUGH + 1)}
    held |= {2 * one + k for one in range(len(place)) if one not in used for k in (0, 1)}
    free = np.array(sorted(set(range(size)) - held))
    touching = {AROUND}
    for _ in range(40):  # the shaft is a round that does not give; it can only push
        springs = []
        for j in touching:
            into = (-math.sin(angles[j]), -math.cos(angles[j]))
            for k in (0, 1):
                for m in (0, 1):
                    at = 2 * node(0, j)
                    springs.append((at + k, at + m, MODULUS * 1e3 * into[k] * into[m]))
        rows, columns, values = zip(*triples, *springs, strict=True)
        matrix = coo_matrix((values, (rows, columns)), shape=(size, size)).tocsc()
        moved = np.zeros(size)
        moved[free] = spsolve(matrix[free][:, free], push[free])
        into_shaft = {
            j
            for j in range(wide + 1, AROUND + 1)
            if -moved[2 * node(0, j)] * math.sin(angles[j])
            - moved[2 * node(0, j) + 1] * math.cos(angles[j])
            > 0
        }
        if not tight or into_shaft == touching:
            break
        touching = into_shaft

    def tension(i, j):
        before, after = node(i, max(j - 1, 0)), node(i, min(j + 1, AROUND))
        apart = place[after] - place[before]
        stretched = apart + moved[2 * after : 2 * after + 2] - moved[2 * before : 2 * before + 2]
        return MODULUS * (np.linalg.norm(stretched) / np.linalg.norm(apart) - 1)

    bore_side = max(tension(0, j) for j in range(AROUND // 4, 3 * AROUND // 4) if j not in touching)
    return moved[2 * node(cut, 0) + 1], bore_side, tension(THROUGH, 0), radii[cut] - inner


HUBS = [(7.5, 4.0, 1.0, 0.45), (8.0, 4.0, 1.0, 0.0), (6.0, 4.0, 1.0, 0.4), (12.0, 6.0, 1.5, 0.6)]


def ours(hub, depth, shaft):
    sizes = {"outside_in": hub[0], "bore_in": hub[1], "length_in": 1.0, "shaft": shaft}
    sizes |= {"keyway_depth_in": depth, "key_width_in": hub[2]}
    opening = LOAD * ring_opening_in_per_lbf(**sizes)
    return opening, hoop_stress_psi(force_lbf=LOAD, **sizes)


@pytest.mark.parametrize("hub", HUBS)
def test_a_loose_shaft_is_as_elasticity_has_it(hub):
    opening, beside, over, depth = plane_hub(*hub, tight=False)
    found, stress = ours(hub, depth, LOOSE)
    # a point of contact sinks in besides, which a ring of curved bar does not know: up to a fifth
    assert 0.78 < found / opening < 1.02
    # a curved bar: an eighth either way for walls from a quarter of the bore to half of it
    assert stress.beside_psi == pytest.approx(beside, rel=0.13)
    assert stress.over_keyway_psi == pytest.approx(over, rel=0.16)
    assert stress.greatest_psi > 0.9 * max(beside, over)


@pytest.mark.parametrize("hub", HUBS)
def test_a_close_shaft_is_no_more_favorable_than_one_without_clearance(hub):
    opening, beside, over, depth = plane_hub(*hub, tight=True)
    found, stress = ours(hub, depth, CLOSE)
    assert found > opening
    assert stress.greatest_psi > max(beside, over)


WALLS = st.floats(1.3, 3.0)


@given(WALLS, st.floats(0, 0.3), st.floats(0, 0.4), st.sampled_from([LOOSE, CLOSE]))
def test_a_thicker_wall_opens_less_and_is_stressed_less(ratio, depth, width, shaft):
    wall = (ratio - 1) / 2 * 4.0
    sizes = {"bore_in": 4.0, "length_in": 3.0, "shaft": shaft, "key_width_in": width * 4}
    sizes["keyway_depth_in"] = depth * wall
    thin, thick = ({"outside_in": ratio * 4.0 * more, **sizes} for more in (1.0, 1.1))
    assert ring_opening_in_per_lbf(**thick) < ring_opening_in_per_lbf(**thin)
    stress = [hoop_stress_psi(force_lbf=1000, **one) for one in (thin, thick)]
    assert stress[1].greatest_psi < stress[0].greatest_psi


@given(WALLS, st.floats(0.5, 20), st.floats(0.05, 20))
def test_stress_goes_with_the_force_and_scales_with_the_size(ratio, force, scale):
    sizes = {"outside_in": 4 * ratio, "bore_in": 4.0, "keyway_depth_in": 0.1, "key_width_in": 1.0,
             "length_in": 2.0}  # fmt: skip
    one = hoop_stress_psi(force_lbf=1.0, **sizes).greatest_psi
    assert hoop_stress_psi(force_lbf=force, **sizes).greatest_psi == pytest.approx(force * one)
    larger = {name: scale * value for name, value in sizes.items()}
    grown = hoop_stress_psi(force_lbf=scale**2, **larger).greatest_psi
    assert grown == pytest.approx(one, rel=1e-9)


@given(WALLS)
def test_a_close_shaft_opens_the_hub_less_than_a_loose_one(ratio):
    sizes = {"outside_in": 4 * ratio, "bore_in": 4.0, "length_in": 2.0}
    close = ring_opening_in_per_lbf(shaft=CLOSE, **sizes)
    assert 0 < close < ring_opening_in_per_lbf(shaft=LOOSE, **sizes)
    assert ring_closing_in_per_lbf(**sizes) > 0


def test_a_thin_ring_on_a_close_shaft_opens_by_the_work_of_its_bending():
    """The moment is summed here from the pressure itself; what bends least is how a ring lies.

    The pressure falls as the cosine from the far side, 2/(pi R) there, and holds the key's push.
    The work of bending over half the push is the opening (Castigliano; any book on strength).
    """
    turn, step = np.linspace(0, math.pi, 721, retstep=True)
    push = np.where(turn > math.pi / 2, -2 / math.pi * np.cos(turn), 0.0)
    weights = np.full_like(turn, step)
    weights[[0, -1]] /= 2
    assert np.sum(weights * push * -np.cos(turn)) == pytest.approx(0.5)  # of the half ring
    behind = np.tril(np.sin(turn[:, None] - turn[None, :]))  # lever of each push for each section
    loads = -np.sin(turn) / 2 - behind @ push * step
    free = np.stack([np.ones_like(turn), 1 - np.cos(turn)], axis=1)  # moment and pull at the key
    ways = free.T * weights
    moment = loads - free @ np.linalg.solve(ways @ free, ways @ loads)
    ring = {"outside_in": 100.1, "bore_in": 99.9, "length_in": 2.0}
    unit = 50**3 / (MODULUS * 2 * 0.1**3 / 12)
    expected = 2 * float(np.sum(weights * moment**2))
    # half degrees there, quarter degrees here
    found = ring_opening_in_per_lbf(shaft=CLOSE, **ring) / unit
    assert found == pytest.approx(expected, rel=0.005)


def half_ring(hub, depth, shaft, width):
    return _bent(
        outside_in=hub[0],
        bore_in=hub[1],
        length_in=1.0,
        modulus_psi=MODULUS,
        poisson=POISSON,
        keyway_depth_in=depth,
        key_width_in=width,
        shaft=shaft,
    )


@pytest.mark.parametrize("shaft", [LOOSE, CLOSE])
@pytest.mark.parametrize("hub", HUBS)
def test_each_piece_of_the_ring_is_in_equilibrium(hub, shaft):
    """The shaft's pressure is square to the bore: along the ring and about it nothing is left over.

    So dN/dt = V and dM/dt = -R V, which hold for any pressure; between middles half a degree apart
    a mean and a slope differ by a few parts in 100,000.
    """
    ring = half_ring(hub, hub[3], shaft, 0.0)
    step, between = np.diff(ring.angle), (ring.shear[1:] + ring.shear[:-1]) / 2
    assert np.diff(ring.normal) / step == pytest.approx(between, abs=1e-4)
    assert np.diff(ring.moment) / step / ring.ring.centroid == pytest.approx(-between, abs=1e-4)
    # the key's half pound is held: by a point at the far side, or by the pressure before it
    assert ring.shear[0] == pytest.approx(0.5, abs=0.01)
    assert ring.shear[-1] == pytest.approx(-0.5 if shaft == LOOSE else 0.0, abs=0.01)


@pytest.mark.parametrize("shaft", [LOOSE, CLOSE])
@pytest.mark.parametrize("hub", HUBS)
def test_what_the_ring_does_to_itself_costs_the_least_work(hub, shaft):
    """Menabrea's theorem: no other moment or pull under the key is held with less work."""
    ring = half_ring(hub, hub[3], shaft, hub[2])
    radius, cosine, sine = ring.ring.centroid, np.cos(ring.angle), np.sin(ring.angle)
    least = ring.opening(POISSON)
    for more, pull in ((0.1, 0), (-0.1, 0), (0, 0.1), (0, -0.1), (0.1, 0.1), (0.1, -0.1)):
        other = replace(
            ring,
            moment=ring.moment + radius * (more + pull * (1 - cosine)),
            normal=ring.normal + pull * cosine,
            shear=ring.shear - pull * sine,
        )
        cost = other.opening(POISSON) - least
        back = replace(
            ring,
            moment=2 * ring.moment - other.moment,
            normal=2 * ring.normal - other.normal,
            shear=2 * ring.shear - other.shear,
        )
        assert cost > 0
        assert back.opening(POISSON) - least == pytest.approx(cost, rel=1e-6)
