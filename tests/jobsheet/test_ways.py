"""Other ways out on the sheet: their order, their numbers by hand, none where a pull is the way."""

import math
import re
from datetime import date

import pytest
from bs4 import BeautifulSoup

from keycourse.jobsheet.fields import example_entries
from keycourse.jobsheet.html import sheet_html
from keycourse.jobsheet.job import parse_job
from keycourse.jobsheet.sheet import make_sheet
from keycourse.whole.whole_job import work_out
from taperkey.formulas.hubring import ring_opening_in_per_lbf
from taperkey.formulas.rod import rod_link
from taperkey.tables.threads import thread

DAY = date(2026, 11, 25)
RUSTED = {"pull.surface": "rusted"}
REVERSED = {
    "pull.over-near": "4.421 in",
    "pull.over-far": "4.463 in",
    "opening.heights-1": "0.9739",
    "opening.heights-2": "1.0104",
}
METRIC = {
    "job.units": "metric", "pull.method": "welded strongback", "pull.surface": "rusted",
    "pull.over-near": "106.32", "pull.over-far": "104.82", "pull.key-width": "28",
    "pull.key-height": "16", "pull.key-length": "160", "pull.key-outside": "5",
    "pull.pressure-low": "60", "pull.pressure-high": "90", "pull.steel": "1045 hot-rolled",
    "pull.jacks": "2", "pull.jack-rating": "10 tons", "pull.piston": "42", "pull.foot": "50",
    "pull.reacts-on": "hub", "pull.load-by": "gauge", "pull.gauge-division": "5 bar",
    "pull.foot-on": "A36 plate", "pull.bar-width": "100", "pull.bar-depth": "80",
    "pull.bar-span": "300", "pull.bar-steel": "A36 plate", "pull.weld": "fillet",
    "pull.weld-size": "12", "pull.weld-length": "28", "pull.weld-sides": "2",
    "pull.electrode": "E70",
}  # fmt: skip


def entries_with(changes):
    if changes.get("job.units") == "metric":
        whole = {key: text for key, text in example_entries("none").items()
                 if key.startswith("job.")}  # fmt: skip
        return {**whole, **changes}
    return {**example_entries("hollow-ram"), **changes}


def pull_of(changes):
    return work_out(job=parse_job(entries_with(changes)).inputs).pull


def text_of(changes):
    sheet = make_sheet(job=parse_job(entries_with(changes)), today=DAY)
    words = BeautifulSoup(sheet_html(sheet=sheet), "html.parser").get_text(" ", strip=True)
    return " ".join(words.split()).partition("7 Pulling plan")[2].partition("8 Who signs")[0]


def places(text, *starts):
    found = [text.find(one) for one in starts]
    assert -1 not in found, starts[found.index(-1)]
    return found


def test_a_key_that_the_rig_draws_has_no_other_way():
    assert pull_of({}).ways is None
    assert "Hub off" not in text_of({})


def test_nobody_is_shown_a_way_out_before_the_large_end_is_known():
    unknown = {"pull.over-far": "4.463"}
    assert pull_of(unknown).ways is None


def test_rust_is_soaked_pushed_heated_and_drilled_last():
    text = text_of(RUSTED)
    order = places(text, "Soak:", "Push it out from its small end", "Heat the hub, not the key",
                   "Hub off, away from you", "Last, drill it out")  # fmt: skip
    assert order == sorted(order)
    assert "a night (8 h or more)" in text
    assert "Penetrant burns" in text
    assert "Cast or hardened parts can crack" in text


def test_where_the_key_itself_yields_first_it_is_said():
    """The section beside a 3/4 in hole, where the thread ends: 1018 cold-drawn yields at 54,000."""
    low_at_end = 1.0 - (0.0365 / 3.5) * 1.125  # the slot's taper over the thread engaged
    area = 1.0 * low_at_end - math.pi / 4 * 0.75**2
    ways = pull_of(RUSTED).ways
    assert ways.key_yields_lbf == pytest.approx(54_000 * area, rel=0.001)
    assert "No rig at this end is sure to draw it: the key's own section yields at 29,500" in (
        text_of(RUSTED)
    )
    hard = {**RUSTED, "pull.pressure-low": "25000 psi", "pull.pressure-high": "30000 psi"}
    assert pull_of(hard).pull.low_lbf > 54_000 * area
    assert "No pull at this end draws it" in text_of(hard)
    thin = {"pull.thread": "1/2-13 UNC", "pull.nut-height": "1/2", "pull.pressure-low": "10000 psi",
            "pull.pressure-high": "14000 psi", "pull.engagement": "3/4"}  # fmt: skip
    assert pull_of(thin).pull.high_lbf < pull_of(thin).ways.key_yields_lbf
    assert "A stronger rig may draw it" in text_of(thin)
    assert "Soak:" not in text_of(thin)


def test_the_small_end_is_pushed_and_no_rig_is_set_up_to_pull_it():
    pull, text = pull_of(REVERSED), text_of(REVERSED)
    assert not pull.decision.go
    assert pull.steps == ()
    push, off = places(text, "Push it out from its small end, at the end that shows", "Hub off, toward you")  # fmt: skip  # noqa: E501
    assert push < off
    assert "GOVERNS" not in text
    assert "Load step" not in text
    assert "A key that is pushed out flies" in text
    # friction .1 and .2 on 1 x 4 in, 8,000 x .7 to 12,000 psi; phi - alpha by the angles
    for mu, seat, force in ((0.1, 22_400, pull.ways.force_lbf[0]), (0.2, 48_000, pull.ways.force_lbf[1])):  # fmt: skip  # noqa: E501
        by_hand = seat * (mu + math.tan(math.atan(mu) - math.atan(1 / 96)))
        assert force == pytest.approx(by_hand, rel=0.002)


@pytest.mark.parametrize("changes", [RUSTED, REVERSED, METRIC])
def test_the_puller_carries_the_high_end_and_the_next_smaller_rod_does_not(changes):
    ways = pull_of(changes).ways
    one = ways.puller
    high = ways.hub_off_lbf[1]
    allowed = rod_link(thread_name=one.thread_name, grade_name=one.grade_name).capacity_lbf
    assert one.rods * allowed >= high
    assert one.jack_tons * 2000 * 0.8 >= high
    smaller = {"1-8 UNC": "7/8-9 UNC", "M24": "M20", "M20": "M16", "M30": "M24", "M36": "M30"}
    if one.thread_name in smaller:
        below = smaller[one.thread_name]
        assert thread(name=below).diameter_in < thread(name=one.thread_name).diameter_in
        assert one.rods * rod_link(thread_name=below, grade_name=one.grade_name).capacity_lbf < high


def test_heat_is_said_at_the_key_and_at_the_torch():
    """Give of 1 in and 2 x .5 to 2 x 1.7 in of metal over 30e6 psi; 11.5e-6 for each degC."""
    alone = {key: text for key, text in {**entries_with({}), **RUSTED}.items()
             if key.startswith(("job.", "pull."))}  # fmt: skip
    heat = work_out(job=parse_job(alone).inputs).pull.ways  # nothing is known of the hub's ring
    bore = 4.463 - 1 / 2  # over shaft and key, less half a key
    grows = 11.5e-6 / 1.8 * (bore + 1.0)
    low, high = 8_000 * 2.0 / 30e6 / grows, 12_000 * 4.4 / 30e6 / grows
    assert heat.heat.difference_low_degF == pytest.approx(low, rel=0.001)
    assert heat.heat.difference_high_degF == pytest.approx(high, rel=0.001)
    assert heat.torch_degF == pytest.approx((5 * low, 5 * high), rel=0.001)  # a fifth gets there
    assert "Steel no warmer than 400 °F" in text_of(RUSTED)


def test_a_hub_that_opens_as_a_ring_needs_more_heat_and_is_loose_later():
    """The ring's opening by hubring (tests/published/test_rings.py), an 8 in hub on 3.9462 in."""
    known = pull_of(RUSTED)
    ways, old = known.ways, known.old
    ring = {"outside_in": 8.0, "bore_in": 3.9462, "length_in": 4.0, "key_width_in": old.width_in,
            "keyway_depth_in": 1.0104 - 0.484, "modulus_psi": 30e6}  # fmt: skip
    grows = 11.5e-6 / 1.8 * (3.9372 + 1.0)
    for shaft, psi, give, found in (
        ("close", 8_000, 2.0 / 30e6, ways.heat.difference_low_degF),
        ("loose", 12_000, 4.4 / 30e6, ways.heat.difference_high_degF),
    ):
        opens = ring_opening_in_per_lbf(shaft=shaft, **ring) * old.width_in * old.length_in
        assert found == pytest.approx(psi * (give + opens) / grows, rel=0.01)
    assert ways.loose_after_in == pytest.approx(
        ways.heat.squeeze_high_in / old.taper_in_per_in, rel=1e-9
    )
    assert "°F or more where the torch is" in text_of(RUSTED)  # beyond what a hub may have


@pytest.mark.parametrize("metal", ["gray iron class 30", "unknown"])
def test_cast_iron_is_never_heated_nor_what_may_be(metal):
    text = text_of({**RUSTED, "opening.hub-metal": metal})
    assert "No heat: the hub is cast iron, or may be" in text
    assert "°F" not in text


def test_a_metric_sheet_names_no_inch():
    text = text_of(METRIC)
    assert pull_of(METRIC).ways is not None
    assert "6 mm, 9 mm" in text  # 16 mm less 1.6 of taper, less 3
    assert "°C" in text
    assert not re.search(r"\d in\b|lbf|°F|tons|UNC|\d psi", text)


def test_a_sheet_without_a_pull_says_nothing_of_pressure_let_off():
    unknown = text_of({"pull.over-far": "4.463"})
    assert "NO PULL" in unknown
    assert "let the pressure off" not in unknown
    assert "Never set up a pull before both ends are known" in unknown


def test_rust_on_a_key_without_a_thread_has_its_ways_too():
    bare = {**RUSTED, "pull.thread": "none"}
    assert pull_of(bare).chain is None
    assert "the key's own section yields at 54,000 lbf" in text_of(bare)
    light = {**bare, "pull.pressure-low": "4000 psi", "pull.pressure-high": "6000 psi"}
    assert "A rig that can be reckoned may draw it" in text_of(light)
    assert pull_of(bare).ways.key_yields_lbf == pytest.approx(1.0 * 1.0 * 54_000)


def test_a_slide_hammer_is_stopped_by_its_own_signs():
    text = text_of({"pull.method": "slide hammer", "pull.weight": "30 lbf", "pull.rod-length": "36 in"})  # fmt: skip  # noqa: E501
    assert "Stop striking when: 10 blows have moved nothing" in text
    assert "Fingers between weight and stop are lost" in text
    assert "pressure" not in text.replace("psi on the faces", "").partition("Stop striking")[2]


def test_a_metric_pull_that_goes_is_metric_from_end_to_end():
    """Newtons, bar and M threads; psi stands only in the brackets behind a mark in bar."""
    rod = {**METRIC, "pull.method": "strongback", "pull.surface": "lubricated",
           "pull.pressure-low": "10", "pull.pressure-high": "12", "pull.thread": "M12",
           "pull.rod-grade": "ISO 898-1 class 8.8", "pull.rod-condition": "1",
           "pull.engagement": "20", "pull.nut-height": "12", "pull.rod-free": "300",
           "pull.bar-hole": "14"}  # fmt: skip
    pull, text = pull_of(rod), text_of(rod)
    assert pull.decision.go
    assert not re.search(r"\d in\b|lbf|°F|tons|UNC|\d ft\b", text)
    assert "M12 ISO 898-1 class 8.8: stress area 84 mm²" in text
    assert re.search(r"\d+ bar \([\d,]+ psi\)", text)
    assert not re.search(r"\d psi(?!\))", text)
    assert re.search(r"Greased, \d+ N m brings the stop load", text)
