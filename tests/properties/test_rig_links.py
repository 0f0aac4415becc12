"""The rig as one: links come as its method needs them, and a rig's parts are reckoned alone."""

import pytest

from taperkey.formulas.chain import REQUIRED_LINKS
from taperkey.formulas.rig import Rig, rig_links
from taperkey.tables.strengths import steel


@pytest.mark.parametrize("method", sorted(REQUIRED_LINKS))
def test_a_rig_has_every_link_of_its_method_and_no_other(method: str) -> None:
    rig = Rig(method=method, thread_name="3/4-10 UNC", grade_name="ASTM A193 B7")
    links = rig_links(rig=rig, width_in=1.5, end_height_in=1.5)
    assert {link.name for link in links} == set(REQUIRED_LINKS[method])


def test_a_rod_of_unknown_grade_gives_no_link() -> None:
    rig = Rig(method="strongback", thread_name="3/4-10 UNC")
    names = {link.name for link in rig_links(rig=rig, width_in=1.5, end_height_in=1.5)}
    assert names == {"jacks", "strongback", "seat"}


def test_a_gib_head_is_one_more_link_and_shears_below_its_yield() -> None:
    plain = Rig(method="welded strongback")
    gib = Rig(method="welded strongback", gib_head=True)
    before = {o.name: o.capacity_lbf for o in rig_links(rig=plain, width_in=1.0, end_height_in=1)}
    after = {o.name: o.capacity_lbf for o in rig_links(rig=gib, width_in=1.0, end_height_in=1)}
    assert after.pop("head") < steel(name=gib.steel_name).yield_psi  # on 1 in²
    assert after == before
