"""The rig of a whole job, each link by hand from the parts in the crib, and the load steps."""

import math
from dataclasses import replace

import pytest

from keycourse.pull.bench.cases import draw_case
from keycourse.pull.bench.rigs import reckoned_links
from keycourse.whole.job_inputs import (
    JobInputs,
    KeyInputs,
    OpeningInputs,
    PullInputs,
)
from keycourse.whole.whole_job import work_out
from taperkey.formulas.rig import rig_links
from taperkey.formulas.rod import nut_link, tapped_hole_link
from taperkey.tables.strengths import rod_grade
from taperkey.tables.threads import thread

# every part unlike the others and unlike what is taken where nothing is given
RIG = PullInputs(
    method="strongback",
    surface="dry",
    jack_tons=20,
    jacks=3,
    jack_share=0.5,
    thread_name="3/4-10 UNC",
    grade_name="SAE J429 grade 5",
    rod_condition=0.8,
    engagement_in=1.0,
    nut_height_in=0.625,
    steel_name="1020 cold-drawn",
    bar_width_in=5.0,
    bar_depth_in=2.0,
    bar_span_in=10.0,
    bar_hole_in=1.0,
    bar_steel_name="A572 grade 50 plate",
    seat_area_in2=4.0,
    seat_steel_name="1045 hot-rolled",
    weld_size_in=0.375,
    weld_length_in=2.5,
    electrode_name="E80",
)


def links(**changes):
    found = rig_links(
        rig=replace(RIG, **changes), width_in=1.25, end_height_in=1.0, taper_in_per_in=0.01
    )
    return {one.name: one.capacity_lbf for one in found}


def bar(width_in, hole_in):
    # P L/4 in the middle: 4 S Fy / (1.67 L), S = (width - hole) depth^2 / 6
    return 4 * (width_in - hole_in) * 2.0**2 / 6 * 50_000 / 1.67 / 10


def test_links_stand_in_the_order_of_the_rig():
    assert list(links()) == [
        *("jacks", "rod", "tapped hole", "key section", "nut", "strongback", "seat"),
    ]
    assert list(links(method="hollow-ram")) == [
        *("jacks", "rod", "tapped hole", "key section", "nut", "seat"),
    ]
    assert list(links(method="welded strongback")) == ["jacks", "strongback", "weld", "seat"]
    assert list(links(method="slide hammer")) == ["rod", "tapped hole", "key section", "nut"]


def test_jacks_give_their_rating_by_the_share_used():
    assert links()["jacks"] == 3 * 20 * 2000 * 0.5


def test_rod_gives_three_quarters_of_its_proof_by_its_condition():
    # 0.334 in2 by the thread chart; proof 85,000 psi, Shigley and Mischke, 5th ed., p. 341
    assert links()["rod"] == pytest.approx(0.334 * 85_000 * 0.8 * 0.75)


def test_key_section_is_taken_where_the_thread_ends():
    # 1 in down the taper of 0.01: 0.99 in high; 1020 cold-drawn, 57,000 psi over 1.5
    area = 1.25 * 0.99 - math.pi / 4 * 0.75**2
    assert links()["key section"] == pytest.approx(area * 57_000 / 1.5)
    # where no engagement is given, one and a half diameters
    area = 1.25 * (1 - 0.01 * 1.125) - math.pi / 4 * 0.75**2
    assert links(engagement_in=None)["key section"] == pytest.approx(area * 57_000 / 1.5)


@pytest.mark.parametrize(("given", "taken"), [(1.0, 1.0), (None, 1.125)])
def test_tapped_hole_is_as_deep_as_the_engagement(given, taken):
    alone = tapped_hole_link(
        thread_name="3/4-10 UNC",
        grade_name="SAE J429 grade 5",
        engagement_in=taken,
        key_yield_psi=57_000,
    )
    assert links(engagement_in=given)["tapped hole"] == pytest.approx(alone.capacity_lbf)


@pytest.mark.parametrize(("given", "taken"), [(0.625, 0.625), (None, 0.75)])
def test_nut_is_as_strong_as_a_grade_5_part(given, taken):
    alone = nut_link(
        thread_name="3/4-10 UNC",
        grade_name="SAE J429 grade 8",
        height_in=taken,
        nut_yield_psi=92_000,  # Shigley and Mischke, 5th ed., p. 341
    )
    found = links(nut_height_in=given, grade_name="SAE J429 grade 8")
    assert found["nut"] == pytest.approx(alone.capacity_lbf)


@pytest.mark.parametrize(
    ("changes", "hole"),
    [
        ({}, 1.0),
        ({"bar_hole_in": 0.0}, 0.8125),  # the rod and a sixteenth
        ({"bar_hole_in": 0.0, "thread_name": ""}, 0.0),
        ({"method": "welded strongback"}, 0.0),
    ],
)
def test_strongback_is_weakened_by_its_hole(changes, hole):
    assert links(**changes)["strongback"] == pytest.approx(bar(5.0, hole))


@pytest.mark.parametrize(
    ("changes", "psi"),
    [
        # 0.375 in leg, 2 x 2.5 in: .3 FEXX of the throat against .3 Fu of the leg
        ({}, min(80_000 * math.sqrt(0.5), 65_000)),
        ({"electrode_name": "E90"}, min(90_000 * math.sqrt(0.5), 65_000)),
        ({"electrode_name": "E90", "bar_steel_name": "A36 plate"}, 58_000),
        (
            {
                "electrode_name": "E90",
                "bar_steel_name": "1045 hot-rolled",
                "steel_name": "1018 cold-drawn",
            },
            90_000 * math.sqrt(0.5),
        ),
        # a groove weld carries by its throat; E90 is stronger than a 64,000 psi key
        (
            {
                "weld_kind": "groove",
                "electrode_name": "E90",
                "bar_steel_name": "1045 hot-rolled",
                "steel_name": "1018 cold-drawn",
            },
            64_000,
        ),
    ],
)
def test_weld_carries_by_the_weaker_of_weld_and_parts(changes, psi):
    found = links(method="welded strongback", **changes)["weld"]
    assert found == pytest.approx(2 * 2.5 * 0.375 * 0.30 * psi)


def test_weld_on_one_side_counts_nothing():
    assert links(method="welded strongback", weld_sides=1)["weld"] == 0.0


def test_seat_is_the_feet_of_all_jacks():
    # 1045 hot-rolled, 45,000 psi
    assert links()["seat"] == pytest.approx(3 * 4.0 * 45_000 / 1.67)


@pytest.mark.parametrize("changes", [{"thread_name": ""}, {"grade_name": ""}])
def test_an_unknown_rod_gives_no_link_of_the_rod(changes):
    assert list(links(**changes)) == ["jacks", "strongback", "seat"]


def test_an_unknown_rig_is_refused():
    with pytest.raises(ValueError, match="^") as refused:
        links(method="tongs")
    assert str(refused.value) == (
        "method is 'tongs'; it must be one of: hollow-ram, slide hammer, strongback, welded"
        " strongback. Choose the rig first."
    )


# the pull of a job by that rig

OPENING = OpeningInputs(
    distances_in=(0.0, 6.0),
    readings_in=((1.0625,), (1.0,)),
    hub_widths_in=(1.002,),
    shaft_widths_in=(1.001,),
    hub_length_in=8.0,
    shaft_diameter_in=4.0,
    keyway_at_bottom=True,
)
SMALL = replace(RIG, seat_pressure_psi=(300.0, 400.0), jacks=2)


def pulled(opening=OPENING, **changes):
    return work_out(
        job=JobInputs(
            standard="inch",
            opening=opening,
            key=KeyInputs(thread_name="5/8-11 UNC"),
            pull=replace(SMALL, **changes),
        )
    )


def capacity_of_section(figures):
    return next(one.capacity_lbf for one in figures.pull.links if one.name == "key section")


@pytest.mark.parametrize(
    ("readings", "distance", "height"),
    [
        # the large end shows: it gets lower by 1 in at 1 in 96 where the thread ends
        (((1.0625,), (1.0,)), 6.0, 1.0625 - 1 / 96),
        # reversed: it gets higher going in, and nothing of that is counted
        (((1.0,), (1.0625,)), 6.0, 1.0),
        # undecided
        (((1.0005,), (1.0,)), 0.05, 1.0005),
    ],
)
def test_section_of_the_key_in_the_slot_is_that_of_the_end_that_is_pulled(
    readings, distance, height
):
    opening = replace(OPENING, readings_in=readings, distances_in=(0.0, distance))
    area = 1.001 * height - math.pi / 4 * 0.75**2
    assert capacity_of_section(pulled(opening)) == pytest.approx(area * 57_000 / 1.5)


def test_every_link_of_the_rig_is_kept_with_its_basis_and_source():
    figures = pulled()
    for link in figures.pull.links:
        kept = figures.workings[f"link-{link.name.replace(' ', '-')}"]
        assert (kept.value, kept.formula, kept.source) == (
            *(link.capacity_lbf, link.basis, link.source),
        )
        verb = "allow" if link.name == "jacks" else "allows"
        assert kept.what == f"what the {link.name} {verb}"
        assert kept.inputs == ()
    assert figures.workings["capacity"].what == (
        f"pull that the rig allows: {figures.pull.chain.governing.name} governs"
    )


def test_load_goes_up_in_six_steps_shared_by_the_jacks():
    figures = pulled(jack_piston_in2=2.5)
    stop = figures.pull.chain.capacity_lbf
    assert figures.pull.decision.stop_at_lbf == stop
    assert [one.share for one in figures.pull.steps] == [0.1, 0.25, 0.5, 0.75, 0.9, 1.0]
    for one in figures.pull.steps:
        assert one.load_lbf == pytest.approx(one.share * stop)
        assert one.each_lbf == pytest.approx(one.share * stop / 2)
        assert one.gauge_psi == pytest.approx(one.share * stop / 2 / 2.5)


def test_a_jack_of_unknown_piston_has_no_gauge_pressure():
    assert [one.gauge_psi for one in pulled().pull.steps] == [None] * 6


def test_friction_is_that_of_the_faces_unless_stated():
    assert pulled().pull.friction == (0.15, 0.60)  # dry faces, friction table of the course
    assert pulled(friction=(0.2, 0.3)).pull.friction == (0.2, 0.3)


def test_seat_of_a_shorter_key_is_that_of_its_length():
    job = JobInputs(
        standard="inch",
        opening=OPENING,
        key=KeyInputs(thread_name="5/8-11 UNC", engaged_length_in=6.0),
        pull=SMALL,
    )
    seat = work_out(job=job).pull.seat
    assert seat.low_lbf == pytest.approx(300 * 0.7 * 1.001 * 6)
    assert seat.high_lbf == pytest.approx(400 * 1.001 * 6)


def test_travel_after_contact_widens_the_seat_by_the_give_of_the_parts():
    figures = pulled(travel_after_contact_in=(0.01, 0.10))
    # give: mean height 1.03125 and 2 x 1.7 or 2 x 0.5 widths of metal, over 30,000,000 psi
    squeeze = 0.0625 / 6 * 1.001 * 8 * 30e6
    soft, stiff = 1.03125 + 3.4 * 1.001, 1.03125 + 1.001
    travel = squeeze * 0.01 / soft, squeeze * 0.10 / stiff
    pressure = 300 * 0.7 * 1.001 * 8, 400 * 1.001 * 8
    assert figures.pull.seat.low_lbf == pytest.approx(min(travel[0], pressure[0]))
    assert figures.pull.seat.high_lbf == pytest.approx(max(travel[1], pressure[1]))
    workings = figures.workings
    assert workings["contact-travel-low"].value == 0.01
    assert workings["contact-travel-high"].value == 0.10
    for end in ("low", "high"):
        assert {f"contact-travel-{end}", "old-height", "taper"} <= set(
            workings[f"seat-{end}"].inputs
        )


def test_seat_by_pressure_stands_on_what_it_was_reckoned_from():
    workings = pulled().workings
    for end in ("low", "high"):
        assert set(workings[f"seat-{end}"].inputs) == {
            *(f"seat-pressure-{end}", f"bearing-share-{end}", "old-width", "old-length"),
        }
        assert set(workings[f"pull-{end}"].inputs) == {f"seat-{end}", f"friction-{end}", "taper"}


@pytest.mark.parametrize(("hub", "shaft"), [(1.002, 1.031), (1.031, 1.002)])
def test_key_in_the_slot_is_as_wide_as_the_narrower_slot(hub, shaft):
    opening = replace(
        OPENING, hub_widths_in=(hub,), shaft_widths_in=(shaft,), shaft_slot_depth_in=0.48
    )
    figures = pulled(opening)
    assert figures.workings["old-width"].value == 1.002
    assert figures.pull.seat.high_lbf == pytest.approx(400 * 1.002 * 8)


def test_a_job_without_a_pull_has_no_number_of_one():
    job = JobInputs(standard="inch", opening=OPENING, key=KeyInputs(), pull=None)
    figures = work_out(job=job)
    assert figures.pull is None
    assert not any(
        one.key.startswith(("pull", "seat", "link", "friction")) for one in figures.workings
    )


@pytest.mark.parametrize("seed", range(6))
def test_the_nut_of_bench_and_sheet_is_one(seed):
    """A rod of a stronger grade makes no stronger nut, wherever a rig is reckoned."""
    case = next(
        one
        for one in (draw_case(kind="serviced", seed=seed + 6 * more) for more in range(40))
        if one.end == "tapped"
    )
    bench = {
        one.link.name: one.link.working_lbf
        for one in reckoned_links(case=case, rig="two jacks", hold="marked rod")
    }
    size = thread(name=case.thread_name)
    sheet = nut_link(
        thread_name=size.name,
        grade_name="ASTM A193 B7",
        height_in=size.diameter_in,
        nut_yield_psi=rod_grade(name="SAE J429 grade 5", diameter_in=1.0).yield_psi,
    )
    assert bench["nut"] == 100 * (sheet.capacity_lbf // 100)
