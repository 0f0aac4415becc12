"""What a link of the rig says of itself, and what the chain hands on."""

from __future__ import annotations

import math

import pytest

from taperkey.formulas.chain import capacity_chain, pull_decision
from taperkey.formulas.link import Link
from taperkey.formulas.rig_parts import jacks_link, seat_link, strongback_link, weld_link

WELD = {
    "kind": "fillet", "size_in": 0.375, "length_each_side_in": 3.0, "sides": 2,
    "electrode_psi": 70_000.0, "key_tensile_psi": 64_000.0,
}  # fmt: skip


def words(link: Link) -> tuple[str, str, str]:
    return link.name, link.source, link.advice


def test_links_name_their_source_and_what_to_do() -> None:
    assert words(jacks_link(rated_tons=10, number=2)) == (
        "jacks",
        "rating on the jack; share: common practice",
        "take larger jacks, after checking every other link against them",
    )
    back = strongback_link(width_in=4, depth_in=3, span_in=12, hole_in=1.125, yield_psi=36_000)
    assert words(back) == (
        "strongback",
        "beam formulas P L/4 and 1.5 V/A; factor as AISC 360",
        "take a deeper bar (depth counts twice), or set the jacks closer together",
    )
    assert back.basis == (
        "4 × 3 in bar, 12 in between the jacks, hole 1.125 in: bending governs, 36,000 psi yield, "
        "design factor 1.67"
    )
    assert words(seat_link(area_each_in2=3, number=2, yield_psi=36_000)) == (
        "seat",
        "force over area; factor: common practice",
        "put a thick steel plate under the feet of the jacks",
    )
    assert words(weld_link(**WELD)) == (
        "weld",
        "AISC 360, Table J2.5 and equation J4-4, allowable",
        "weld more length or a larger size, into both parts",
    )


def test_a_short_deep_bar_shears() -> None:
    back = strongback_link(width_in=4, depth_in=3, span_in=2, hole_in=1.125, yield_psi=36_000)
    assert "shear governs" in back.basis


def test_a_seat_is_two_feet_of_yield_over_the_factor() -> None:
    seat = seat_link(area_each_in2=3, number=2, yield_psi=36_000)
    assert seat.capacity_lbf == pytest.approx(2 * 3 * 36_000 / 1.67)
    assert seat.basis == "2 × 3 in² under the feet × 36,000 psi yield, design factor 1.67"


def test_the_weaker_metal_of_a_weld_is_named() -> None:
    # AISC 360: a fillet leg of 3/8 in of 70 ksi metal takes 0.707 x 3/8 x 0.6 x 70,000 / 2 =
    # 5,568 lbf/in; the base metal beside it 3/8 x 0.6 x 64,000 / 2 = 7,200.
    plain = weld_link(**WELD)
    assert plain.basis == (
        "0.375 in fillet, 3 in on both sides of the joint, 5,568 lbf/in by the weld metal"
    )
    soft = weld_link(**(WELD | {"key_tensile_psi": 40_000.0}))
    assert soft.basis == (
        "0.375 in fillet, 3 in on both sides of the joint, 4,500 lbf/in by the base metal"
    )
    one_side = weld_link(**(WELD | {"sides": 1}))
    assert one_side.capacity_lbf == 0.0
    assert one_side.basis == "welded on one side only, so it peels open: nothing is counted"
    assert one_side.advice != plain.advice


def chain_links(weld: float) -> list[Link]:
    capacities = {"jacks": 32_000.0, "strongback": 30_000.0, "weld": weld, "seat": 90_000.0}
    return [
        Link(name=name, capacity_lbf=value, basis=f"basis of {name}", source=f"source of {name}",
             advice="take a larger one")
        for name, value in capacities.items()
    ]  # fmt: skip


def chain_of(weld: float, low: float, high: float):
    return capacity_chain(
        method="welded strongback",
        links=chain_links(weld),
        demand_low_lbf=low,
        demand_high_lbf=high,
    )


def test_the_chain_hands_on_what_each_link_said() -> None:
    chain = chain_of(16_000.0, 10_000.0, 20_000.0)
    weld = chain.governing
    assert (weld.name, weld.capacity_lbf, weld.demand_lbf) == ("weld", 16_000.0, 20_000.0)
    assert weld.utilisation == pytest.approx(1.25)
    assert (weld.basis, weld.source) == ("basis of weld", "source of weld")
    assert [link.name for link in chain.links] == ["weld", "strongback", "jacks", "seat"]
    assert chain.change_first == (
        "weld governs at 16,000 lbf: take a larger one; then strongback governs at 30,000 lbf."
    )


def decide(chain, end: str = "large"):
    return pull_decision(chain=chain, showing_end=end, rod_grade_known=True, key_tapped=True)


def test_reasons_to_go_and_to_stop_are_whole_sentences() -> None:
    go = decide(chain_of(25_000.0, 10_000.0, 20_000.0))
    assert go.go
    assert go.reasons == (
        "The pull of 10,000 to 20,000 lbf is within the 25,000 lbf that the weld allows (80 % at "
        "the high end).",
        "Stop pumping at 25,000 lbf: if the key has not moved by then, the seat force or the "
        "friction is more than was reckoned.",
    )
    high = decide(chain_of(16_000.0, 16_000.0, 20_000.0))
    assert not high.go
    assert high.reasons == (
        "The pull of 16,000 to 20,000 lbf has its high end above the 16,000 lbf that the weld "
        "allows: a stronger rig is needed, or better knowledge of the friction. weld governs at "
        "16,000 lbf: take a larger one; then strongback governs at 30,000 lbf.",
    )
    above = decide(chain_of(16_000.0, 17_000.0, 20_000.0))
    assert above.reasons == (
        "The pull of 17,000 to 20,000 lbf is above the 16,000 lbf that the weld allows from end "
        "to end: this rig cannot draw the key. weld governs at 16,000 lbf: take a larger one; "
        "then strongback governs at 30,000 lbf.",
    )
    exact = decide(chain_of(20_000.0, 10_000.0, 20_000.0))
    assert exact.go
    assert exact.stop_at_lbf == 20_000.0


def test_every_reason_to_stop_is_told() -> None:
    stop = pull_decision(chain=None, showing_end="unknown", rod_grade_known=False, key_tapped=False)
    assert stop.reasons == (
        "It is not known which end shows: measure the height of the opening at both ends first.",
        "The grade of the rod is not known, so its strength is not known.",
        "The key is not tapped: the rod has nothing to hold in.",
        "The rig has not been worked out link by link.",
    )
    assert stop.stop_at_lbf is None
    small = decide(chain_of(25_000.0, 10_000.0, 20_000.0), "small")
    assert small.reasons == (
        "The small end shows: a pull here tightens the key, whatever the force. The hub comes off "
        "first, or the key is pushed out from this end.",
    )


def refused(act, **arguments) -> str:
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole sentence is compared
        act(**arguments)
    return str(caught.value)


def test_what_the_chain_refuses_is_said_in_whole_sentences() -> None:
    links = chain_links(16_000.0)
    ordinary = {
        "method": "welded strongback", "links": links, "demand_low_lbf": 1e4,
        "demand_high_lbf": 2e4,
    }  # fmt: skip
    assert refused(capacity_chain, **(ordinary | {"method": "winch"})) == (
        "method is 'winch'; it must be one of: hollow-ram, slide hammer, strongback, welded "
        "strongback. Choose the rig first."
    )
    assert refused(capacity_chain, **(ordinary | {"demand_low_lbf": -1.0})) == (
        "pull, low end is -1 lbf; it must be 0 or more."
    )
    assert refused(capacity_chain, **(ordinary | {"demand_high_lbf": 9_000.0})) == (
        "pull, high end is 9,000 lbf; it must be 10,000 lbf or more."
    )
    lacking = refused(capacity_chain, **(ordinary | {"links": links[:2]}))
    assert lacking.startswith("rig by welded strongback has no weld and no seat; it must have ")
    chain = chain_of(16_000.0, 1.0, 2.0)
    assert refused(
        pull_decision, chain=chain, showing_end="left", rod_grade_known=True, key_tapped=True
    ) == (
        "showing end is 'left'; it must be one of: large, small, unknown. Measure the height at "
        "both ends."
    )


def test_a_link_that_holds_nothing_is_used_beyond_all_measure() -> None:
    chain = chain_of(0.0, 1.0, 2.0)
    assert chain.governing.name == "weld"
    assert chain.governing.utilisation == math.inf
    small = chain_of(0.5, 1.0, 2.0)
    assert small.governing.utilisation == pytest.approx(4.0)
