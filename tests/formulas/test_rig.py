"""Links of the rig, the chain, go or stop."""

import pytest

from taperkey.formulas.chain import REQUIRED_LINKS, capacity_chain, pull_decision
from taperkey.formulas.link import Link
from taperkey.formulas.rig_parts import jacks_link, seat_link, strongback_link, weld_link
from taperkey.formulas.rod import key_section_link, nut_link, rod_link, tapped_hole_link


def strongback_rig():
    return [
        jacks_link(rated_tons=10, number=2),
        rod_link(thread_name="1-8 UNC", grade_name="ASTM A193 B7"),
        tapped_hole_link(
            thread_name="1-8 UNC",
            grade_name="ASTM A193 B7",
            engagement_in=1.5,
            key_yield_psi=54000,
        ),
        key_section_link(width_in=1.75, height_in=1.5, hole_in=1, key_yield_psi=54000),
        nut_link(
            thread_name="1-8 UNC", grade_name="ASTM A193 B7", height_in=1, nut_yield_psi=92000
        ),
        strongback_link(width_in=4, depth_in=3, span_in=12, hole_in=1.125, yield_psi=36000),
        seat_link(area_each_in2=3, number=2, yield_psi=36000),
    ]


def plain(name, capacity_lbf):
    return Link(
        name=name, capacity_lbf=capacity_lbf, basis="", source="", advice="take a larger one"
    )


def test_two_ten_ton_jacks():
    assert jacks_link(rated_tons=10, number=2, working_share=1).capacity_lbf == 40000
    assert jacks_link(rated_tons=10, number=2).basis == (
        "2 × 10 tons × 2,000 lbf, 80 % of the rating used"
    )


def test_rod_with_and_without_a_proof_strength():
    proof = rod_link(thread_name="1-8 UNC", grade_name="SAE J429 grade 5", working_share=1)
    assert proof.capacity_lbf == pytest.approx(0.606 * 85000)
    bare = rod_link(thread_name="1-8 UNC", grade_name="ASTM A193 B7", working_share=1)
    assert bare.capacity_lbf == pytest.approx(0.606 * 0.9 * 105000)
    worn = rod_link(
        thread_name="1-8 UNC", grade_name="ASTM A193 B7", working_share=1, condition_factor=0.8
    )
    assert worn.capacity_lbf == pytest.approx(0.8 * bare.capacity_lbf)


def test_an_unknown_rod_is_refused():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        rod_link(thread_name="1-8 UNC", grade_name="unknown")
    assert str(caught.value).startswith("rod grade is 'unknown'; it must be one of: ASTM A193 B7,")
    assert str(caught.value).endswith("A rod without a known grade does not pull a key.")


def test_a_soft_key_strips_before_a_hard_rod_and_a_hard_nut_does_not():
    in_key = tapped_hole_link(
        thread_name="1-8 UNC", grade_name="SAE J429 grade 8", engagement_in=1, key_yield_psi=54000
    )
    assert "hole in the key strips first" in in_key.basis
    in_nut = nut_link(
        thread_name="1-8 UNC", grade_name="SAE J429 grade 2", height_in=1, nut_yield_psi=130000
    )
    assert "rod strips first" in in_nut.basis


def test_stripping_of_the_key_by_hand():
    # 3/4-10 hole strips on 1.29 in2 for each diameter of engagement (published), here .75 in
    link = tapped_hole_link(
        thread_name="3/4-10 UNC",
        grade_name="ASTM A193 B7",
        engagement_in=0.75,
        key_yield_psi=54000,
        design_factor=2,
    )
    assert link.capacity_lbf == pytest.approx(1.29 * 0.577 * 54000 / 2, rel=0.003)
    full = tapped_hole_link(
        thread_name="3/4-10 UNC",
        grade_name="ASTM A193 B7",
        engagement_in=0.75,
        key_yield_psi=54000,
        design_factor=1,
    )
    assert full.capacity_lbf == pytest.approx(2 * link.capacity_lbf, rel=1e-12)


def test_a_hole_as_wide_as_the_key_is_refused():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        key_section_link(width_in=1, height_in=0.75, hole_in=0.75, key_yield_psi=54000)
    assert str(caught.value) == (
        "metal left beside the hole is 0 in; it must be above 0. Choose a smaller thread."
    )


def test_strongback_bends_when_long_and_shears_when_short():
    bar = {"width_in": 4, "depth_in": 3, "hole_in": 1, "yield_psi": 36000}
    long = strongback_link(**bar, span_in=20)
    short = strongback_link(**bar, span_in=2)
    assert "bending governs" in long.basis
    # 4 S Fy / (1.67 L) with S = 3 x 9 / 6
    assert long.capacity_lbf == pytest.approx(4 * 4.5 * 36000 / 1.67 / 20)
    assert "shear governs" in short.basis
    assert short.capacity_lbf == pytest.approx(2 * 3 * 3 * 0.6 * 36000 / 1.67 / 1.5)


def test_weld_needs_both_sides():
    joint = {"size_in": 0.375, "length_each_side_in": 2, "electrode_psi": 70000}
    both = weld_link(kind="fillet", **joint, sides=2, key_tensile_psi=64000)
    assert both.capacity_lbf == pytest.approx(2 * 2 * 6 * 928, rel=0.001)  # six sixteenths
    one = weld_link(kind="fillet", **joint, sides=1, key_tensile_psi=64000)
    assert one.capacity_lbf == 0
    assert one.advice == "weld the other side of the joint as well"
    weak_base = weld_link(kind="groove", **joint, sides=2, key_tensile_psi=50000)
    assert weak_base.capacity_lbf == pytest.approx(4 * 0.375 * 0.3 * 50000)
    assert "by the base metal" in weak_base.basis


def test_a_whole_chain():
    chain = capacity_chain(
        method="strongback", links=strongback_rig(), demand_low_lbf=20000, demand_high_lbf=26000
    )
    smallest = min(strongback_rig(), key=lambda link: link.capacity_lbf)
    assert chain.governing.name == smallest.name == "strongback"
    assert chain.capacity_lbf == smallest.capacity_lbf
    assert chain.within
    assert chain.change_first.startswith("strongback governs at 30,988 lbf: take a deeper bar")
    assert chain.change_first.endswith("then jacks governs at 32,000 lbf.")


@pytest.mark.parametrize("method", REQUIRED_LINKS)
def test_every_missing_link_is_refused(method):
    needed = REQUIRED_LINKS[method]
    for lacking in needed:
        links = [plain(name, 1000) for name in needed if name != lacking]
        with pytest.raises(ValueError) as caught:  # noqa: PT011
            capacity_chain(method=method, links=links, demand_low_lbf=1, demand_high_lbf=2)
        assert str(caught.value) == (
            f"rig by {method} has no {lacking}; it must have every link: {', '.join(needed)}."
            " Work out what is missing first."
        )


def test_strange_and_double_links_are_refused():
    links = [plain(name, 1000) for name in REQUIRED_LINKS["slide hammer"]]
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        capacity_chain(
            method="slide hammer",
            links=[*links, plain("weld", 5)],
            demand_low_lbf=1,
            demand_high_lbf=2,
        )
    assert str(caught.value) == (
        "rig by slide hammer has weld; it must have only: rod, tapped hole, key section, nut."
        " Leave it out or choose another method."
    )
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        capacity_chain(
            method="slide hammer",
            links=[*links, plain("rod", 5)],
            demand_low_lbf=1,
            demand_high_lbf=2,
        )
    assert str(caught.value) == (
        "rig by slide hammer has rod 2 times; it must have it once. Give the weaker one."
    )


def weld_chain(low, high):
    links = [plain(name, 50000) for name in ("jacks", "strongback", "seat")]
    return capacity_chain(
        method="welded strongback",
        links=[*links, plain("weld", 30000)],
        demand_low_lbf=low,
        demand_high_lbf=high,
    )


YES = {"showing_end": "large", "rod_grade_known": True, "key_tapped": True}


def test_go_when_the_high_end_is_within():
    decision = pull_decision(chain=weld_chain(10000, 30000), **YES)
    assert decision.go
    assert decision.stop_at_lbf == 30000
    assert decision.reasons[0] == (
        "The pull of 10,000 to 30,000 lbf is within the 30,000 lbf that the weld allows (100 % at"
        " the high end)."
    )


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(10000, 30001, "has its high end above"), (30001, 40000, "is above the 30,000 lbf")],
)
def test_stop_when_the_high_end_is_above(low, high, words):
    decision = pull_decision(chain=weld_chain(low, high), **YES)
    assert not decision.go
    assert decision.stop_at_lbf is None
    assert words in decision.reasons[0]


def test_the_reversed_hub_stops_any_rig():
    decision = pull_decision(chain=weld_chain(1, 2), **(YES | {"showing_end": "small"}))
    assert not decision.go
    assert decision.reasons == (
        "The small end shows: a pull here tightens the key, whatever the force. The hub comes off"
        " first, or the key is pushed out from this end.",
    )


def test_unknown_end_stops():
    decision = pull_decision(chain=weld_chain(1, 2), **(YES | {"showing_end": "unknown"}))
    assert not decision.go
    assert decision.reasons[0].endswith("measure the height of the opening at both ends first.")


def test_rod_questions_are_asked_only_of_a_rig_with_a_rod():
    unknown = YES | {"rod_grade_known": False, "key_tapped": False}
    assert pull_decision(chain=weld_chain(1, 2), **unknown).go
    rig = capacity_chain(
        method="strongback", links=strongback_rig(), demand_low_lbf=1, demand_high_lbf=2
    )
    stop = pull_decision(chain=rig, **unknown)
    assert not stop.go
    assert stop.reasons == (
        "The grade of the rod is not known, so its strength is not known.",
        "The key is not tapped: the rod has nothing to hold in.",
    )


def test_no_chain_no_pull():
    decision = pull_decision(chain=None, **YES)
    assert not decision.go
    assert decision.reasons == ("The rig has not been worked out link by link.",)


def test_no_text_ever_says_safe():
    texts = []
    for link in strongback_rig():
        texts += [link.basis, link.advice, link.source]
    for chain in (weld_chain(1, 2), weld_chain(1, 40000), weld_chain(35000, 40000), None):
        for end in ("large", "small", "unknown"):
            decision = pull_decision(
                chain=chain, showing_end=end, rod_grade_known=False, key_tapped=False
            )
            texts += decision.reasons
    assert texts
    assert not [text for text in texts if "safe" in text.lower()]
