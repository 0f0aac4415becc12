"""Rig: more metal never means less capacity; the chain is its weakest link."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taperkey.formulas.chain import REQUIRED_LINKS, capacity_chain, pull_decision
from taperkey.formulas.link import Link
from taperkey.formulas.rig_parts import jacks_link, seat_link, strongback_link, weld_link
from taperkey.formulas.rod import key_section_link, nut_link, rod_link, tapped_hole_link
from taperkey.tables.strengths import rod_grade_names
from taperkey.tables.threads import thread_names

CAPACITIES = st.floats(1, 1e6)


def rig(method, capacities):
    return [
        Link(name=name, capacity_lbf=capacity, basis="", source="", advice="take a larger one")
        for name, capacity in zip(REQUIRED_LINKS[method], capacities, strict=True)
    ]


@st.composite
def rigs(draw):
    method = draw(st.sampled_from(sorted(REQUIRED_LINKS)))
    count = len(REQUIRED_LINKS[method])
    return method, draw(st.lists(CAPACITIES, min_size=count, max_size=count))


@given(one=rigs(), low=st.floats(0, 1e5), more=st.floats(0, 1e5), data=st.data())
def test_chain_is_its_weakest_link_in_any_order(one, low, more, data):
    method, capacities = one
    links = data.draw(st.permutations(rig(method, capacities)))
    chain = capacity_chain(
        method=method, links=links, demand_low_lbf=low, demand_high_lbf=low + more
    )
    assert chain.capacity_lbf == min(capacities)
    assert chain.governing.utilisation == max(link.utilisation for link in chain.links)
    assert chain.within is (low + more <= min(capacities))
    assert chain.margin_lbf == pytest.approx(min(capacities) - (low + more))
    assert chain.change_first.startswith(chain.governing.name)


@given(one=rigs(), place=st.integers(0, 6), growth=st.floats(1, 10))
def test_a_stronger_link_never_weakens_the_chain(one, place, growth):
    method, capacities = one
    stronger = list(capacities)
    stronger[place % len(capacities)] *= growth
    before, after = (
        capacity_chain(
            method=method, links=rig(method, some), demand_low_lbf=1, demand_high_lbf=2
        ).capacity_lbf
        for some in (capacities, stronger)
    )
    assert after >= before


@given(one=rigs(), low=st.floats(0, 1e6), more=st.floats(0, 1e6))
def test_go_never_with_the_high_end_above_the_capacity(one, low, more):
    method, capacities = one
    chain = capacity_chain(
        method=method, links=rig(method, capacities), demand_low_lbf=low, demand_high_lbf=low + more
    )
    decision = pull_decision(
        chain=chain, showing_end="large", rod_grade_known=True, key_tapped=True
    )
    assert decision.go is (low + more <= min(capacities))
    assert decision.reasons
    assert not any("safe" in reason.lower() for reason in decision.reasons)
    for end in ("small", "unknown"):
        assert not pull_decision(
            chain=chain, showing_end=end, rod_grade_known=True, key_tapped=True
        ).go


@given(size=st.floats(0.2, 2), more=st.floats(1.01, 3))
def test_every_link_grows_with_its_metal(size, more):
    def grows(make):
        return make(size * more).capacity_lbf > make(size).capacity_lbf

    assert grows(lambda x: jacks_link(rated_tons=10 * x, number=2))
    assert grows(lambda x: seat_link(area_each_in2=x, number=2, yield_psi=36000))
    assert grows(
        lambda x: strongback_link(width_in=4, depth_in=x, span_in=12, hole_in=1, yield_psi=36000)
    )
    assert grows(
        lambda x: strongback_link(
            width_in=1 + x, depth_in=3, span_in=12, hole_in=1, yield_psi=36000
        )
    )
    for kind in ("fillet", "groove"):
        assert grows(
            lambda x, kind=kind: weld_link(
                kind=kind,
                size_in=x,
                length_each_side_in=2,
                sides=2,
                electrode_psi=70000,
                key_tensile_psi=64000,
            )
        )
    assert grows(
        lambda x: key_section_link(width_in=1 + x, height_in=1.5, hole_in=0.75, key_yield_psi=54000)
    )
    rod = {"thread_name": "1-8 UNC", "grade_name": "ASTM A193 B7"}
    assert grows(lambda x: tapped_hole_link(**rod, engagement_in=x, key_yield_psi=54000))
    assert grows(lambda x: nut_link(**rod, height_in=x, nut_yield_psi=92000))


@given(span=st.floats(2, 40), more=st.floats(1, 3))
def test_a_longer_span_never_carries_more(span, more):
    bar = {"width_in": 4, "depth_in": 3, "hole_in": 1, "yield_psi": 36000}
    near, far = (strongback_link(**bar, span_in=one).capacity_lbf for one in (span, span * more))
    assert far <= near


@pytest.mark.parametrize("grade", rod_grade_names())
def test_a_larger_thread_of_one_series_never_carries_less(grade):
    # "over ... to" steps lower the strength of large rods, but never the rod as a whole here
    for series in ("UNC", " UN", "M"):
        names = [
            name
            for name in thread_names()
            if (name.startswith("M") if series == "M" else name.endswith(series))
        ]
        forces = []
        for name in names:
            try:
                forces.append(rod_link(thread_name=name, grade_name=grade).capacity_lbf)
            except ValueError as refused:
                assert "to and including" in str(refused)  # noqa: PT017
        assert forces
        if grade != "SAE J429 grade 2":  # its step at 3/4 in is the exception
            assert forces == sorted(forces)


@pytest.mark.parametrize("name", thread_names())
def test_stripping_works_for_every_thread_in_the_table(name):
    link = tapped_hole_link(
        thread_name=name, grade_name="ASTM A193 B7", engagement_in=1, key_yield_psi=54000
    )
    assert link.capacity_lbf > 0
