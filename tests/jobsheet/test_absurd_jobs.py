"""Sixty jobs that cannot be, and more: none is permitted, and each is told in one sentence."""

import re
from datetime import date

import pytest

from coursework.course import issue_card
from keycourse.jobsheet.fields import example_entries
from keycourse.jobsheet.job import JobError, parse_job
from keycourse.jobsheet.sheet import make_sheet
from keycourse.whole.bounds import misfits
from keycourse.whole.whole_job import work_out

DAY = date(2026, 11, 25)
BAR = {
    "pull.method": "strongback",
    "pull.jacks": "2",
    "pull.jack-rating": "10 tons",
    "pull.bar-hole": "13/16 in",
    "pull.area": "2.24",
}
WELD = {**BAR, "pull.method": "welded strongback", "pull.weld-length": "1 in"}
SLIDE = {"pull.method": "slide hammer"}
HOLLOW = {}

# what is changed, and the words that the sentence begins with
ABSURD = [
    # the slot
    ({"opening.shaft-diameter": "0.1"}, "shaft diameter is 0.1 in"),
    ({"opening.shaft-diameter": "39.372"}, "width of the hub slot is 1.001"),
    ({"opening.shaft-diameter": "3937"}, "shaft diameter is 3,937 in"),
    ({"opening.hub-length": "400"}, "length of the hub is 400 in"),
    ({"opening.hub-length": "3"}, "length of the old key in the hub is 4 in"),
    ({"opening.hub-widths": "10.012"}, "width of the hub slot is 10.012 in"),
    ({"opening.hub-widths": "0.10012"}, "width of the hub slot is 0.10012 in"),
    ({"opening.hub-widths": "1.0012; 0.0012"}, "a reading of the width of the hub slot"),
    ({"opening.shaft-widths": "1.6"}, "difference of the slot widths"),
    ({"opening.heights-1": "1.0102; .0105; 1.0104"}, "a reading of the height at station 1"),
    ({"opening.heights-1": "1.0102; 1.0105; 1.1004"}, "a reading of the height at station 1"),
    ({"opening.heights-1": ".0104"}, "height at station 1 is 0.0104 in"),
    ({"opening.heights-1": "4.463"}, "height at station 1 is 4.463 in"),
    ({"opening.heights-1": "1.2104"}, "change of height between two stations"),
    ({"opening.heights-2": "0.739"}, "change of height between two stations"),
    ({"opening.station-2": "0.35"}, "change of height between two stations"),
    ({"opening.height-good-to": "0.3"}, "uncertainty of a height is 0.3 in"),
    ({"opening.height-common": "0.3"}, "common error of the heights is 0.3 in"),
    ({"opening.height-common": "-0.001"}, "common error of the heights is -0.001 in"),
    ({"opening.station-good-to": "2 in"}, "uncertainty of a distance is 2 in"),
    ({"opening.bore": "3.9"}, "bore is 3.9 in"),
    ({"opening.bore": "4.9462"}, "clearance between bore and shaft"),
    ({"opening.shaft-slot-depth": "4.84"}, "depth of the shaft slot is 4.84 in"),
    ({"opening.shaft-slot-depth": "1.3"}, "depth of the shaft slot is 1.3 in"),
    ({"opening.slot-radius": "1/2 in"}, "radius in the slot is 0.5 in"),
    ({"opening.hub-outside": "3.9 in"}, "outside diameter of the hub is 3.9 in"),
    ({"opening.hub-outside": "4.5 in"}, "outside diameter of the hub is 4.5 in"),
    ({"opening.hub-outside": "80 in"}, "outside diameter of the hub is 80 in"),
    ({"opening.hub-outside": "-8 in"}, "outside diameter of the hub is -8 in"),
    # the new key
    ({"key.length-outside": "25 in"}, "length left outside is 25 in"),
    ({"key.length-outside": "-1/4 in"}, "length left outside is -0.25 in"),
    ({"key.length-in-slot": "40 in"}, "length of the key in the slot is 40 in"),
    ({"key.allowance": "0.10"}, "fitting allowance is 0.1 in"),
    ({"key.left-to-drive": "12.5"}, "left to drive is 12.5 in"),
    ({"key.side-clearance": "0.2"}, "side clearance is 0.2 in"),
    ({"key.relief-cut": "0.5"}, "relief cut is 0.5 in"),
    ({"key.deepest-pass": "0.5"}, "deepest pass is 0.5 in"),
    ({"key.hole-depth": "0.1"}, "depth of the tapped hole is 0.1 in"),
    ({"key.hole-depth": "10"}, "depth of the tapped hole is 10 in"),
    ({"key.thread": "2-1/2-4 UNC"}, "depth of the tapped hole is"),
    ({"key.bar-width": "40", "key.bar-height": "40"}, "width of the bar at hand is 40 in"),
    ({"key.bar-width": "1/2", "key.bar-height": "1-1/4"}, "width of the bar is 0.5 in"),
    ({"key.service-factor": "17.5"}, "service factor is 17.5"),
    ({"key.design-factor": "20"}, "design factor is 20"),
    ({"key.torque": "5000 lbf in", "key.service-factor": "0.1", "key.design-factor": "2"},
     "service factor is 0.1"),
    ({"key.torque": "5000 lbf in", "key.service-factor": "1", "key.design-factor": "0.2"},
     "design factor is 0.2"),
    # the old key
    ({"pull.over-near": "44.63", "pull.over-far": "44.21"}, "difference of the readings over"),
    ({"pull.over-near": "44.63", "pull.over-far": "44.60"}, "over shaft and key, near face"),
    ({"pull.over-near": "1.0104", "pull.over-far": "0.9738"}, "over shaft and key, near face"),
    ({"pull.over-near": "4.63"}, "difference of the readings over shaft and key"),
    ({"pull.over-far": "4.463"}, "Over shaft and key the two faces differ by"),
    ({"pull.advance-low": "1/32"}, "advance of the last blow has one of its two numbers"),
    ({"pull.advance-low": "1/16", "pull.advance-high": "1/32"}, "advance of the last blow has its"),
    ({"pull.advance-low": "1/32", "pull.advance-high": "3"}, "advance of the last blow, high end"),
    ({"pull.advance-low": "0", "pull.advance-high": "1/32"}, "advance of the last blow, low end"),
    ({"pull.advance-low": "1/32", "pull.advance-high": "1/16", "pull.sledge": "120"},
     "weight of the sledge that drove it is 120 lbf"),
    ({"pull.key-width": "10"}, "width of the old key is 10 in"),
    ({"pull.key-width": "0.1"}, "height of the old key is 1 in"),
    ({"pull.key-height": "10"}, "height of the old key is 10 in"),
    ({"pull.key-length": "40"}, "length of the old key in the hub is 40 in"),
    ({"pull.key-outside": "25"}, "what the old key stands out is 25 in"),
    ({"pull.travel-low": "1", "pull.travel-high": "12"}, "travel after contact, high end"),
    ({"pull.pressure-low": "8000 psi", "pull.pressure-high": "120000 psi"},
     "pressure on the faces, high end is 120,000 psi"),
    ({"pull.pressure-low": "-8000 psi"}, "pressure on the faces, low end"),
    ({"pull.friction-low": "0.1", "pull.friction-high": "20"}, "friction, high end is 20"),
    ({"pull.friction-low": "0", "pull.friction-high": "0"}, "friction, low end is 0"),
    # the rod
    ({"pull.rod-condition": "100"}, "condition of the rod is 100"),
    ({"pull.rod-condition": "-1"}, "condition of the rod is -1"),
    ({"pull.engagement": "11.25"}, "thread engaged in the old key is 11.25 in"),
    ({"pull.engagement": "5"}, "thread engaged in the old key is 5 in"),
    ({"pull.rod-thread": "1"}, "thread engaged in the old key is 1.125 in"),
    ({"pull.engagement": "0"}, "thread engaged in the old key is 0 in"),
    ({"pull.nut-height": "7.5"}, "height of the nut is 7.5 in"),
    ({"pull.nut-height": "0.0075"}, "height of the nut is 0.0075 in"),
    ({"pull.thread": "1-1/4-7 UNC"}, "width of the old key is 1 in"),
    # jacks
    ({"pull.jack-rating": "30000 tons"}, "rating of each jack is 30,000 tons"),
    ({"pull.jack-rating": "0.03 tons"}, "rating of each jack is 0.03 tons"),
    ({"pull.jack-share": "8"}, "share of the jack rating is 8"),
    ({"pull.jacks": "9"}, "number of jacks is 9"),
    ({"pull.jack-hole": "1/2"}, "The rod does not go through the jack"),
    ({"pull.jack-hole": "125"}, "hole of the jack is 125 in"),
    ({"pull.jack-hole": "3-3/4"}, "hole of the jack is 3.75 in"),
    ({"pull.jack-hole": "5"}, "hole of the jack is 5 in"),
    ({"pull.foot": "40"}, "diameter of the jack's foot is"),
    ({"pull.foot": "0.04"}, "diameter of the jack's foot is"),
    ({**BAR, "pull.jacks": "1"}, "number of jacks is 1"),
    ({**BAR, "pull.area": "300"}, "pressure at the jack's rating, by its ram"),
    ({**BAR, "pull.area": "0.03"}, "pressure at the jack's rating, by its ram"),
    ({"pull.load-by": "nothing"}, "The load on this rig cannot be seen"),
    ({"pull.load-by": "strokes", "pull.pump-stroke": "0.15"}, "The load cannot be seen by strokes"),
    ({"pull.load-by": "gauge", "pull.area": ""}, "STOP: not given: effective area of each jack"),
    ({"pull.gauge-division": "10000"}, "division of the gauge is 10,000 psi"),
    ({"pull.gauge-division": "0"}, "division of the gauge is 0 psi"),
    ({"pull.load-by": "strokes", "pull.pump-stroke": ""}, "STOP: not given: oil of one stroke"),
    ({"pull.load-by": "strokes", "pull.pump-stroke": "150"}, "oil of one stroke is 150 in³"),
    ({"pull.load-by": "strokes", "pull.pump-stroke": "0"}, "oil of one stroke is 0 in³"),
    ({"pull.rod-free": "0.14"}, "rod under load is 0.14 in"),
    ({"pull.rod-free": "1400"}, "rod under load is 1,400 in"),
    ({"pull.reacts-on": "shaft"}, "The jacks stand on the shaft"),
    # the strongback
    ({**BAR, "pull.bar-span": "3"}, "distance between the jacks is 3 in"),
    ({**BAR, "pull.bar-span": "1200"}, "distance between the jacks is 1,200 in"),
    ({**BAR, "pull.bar-width": "0.1"}, "width of the strongback is 0.1 in"),
    ({**BAR, "pull.bar-depth": "30"}, "depth of the strongback is 30 in"),
    ({**BAR, "pull.bar-hole": "3.5"}, "hole in the strongback is 3.5 in"),
    ({**BAR, "pull.bar-hole": "1/2"}, "The rod does not go through the strongback"),
    # the weld
    ({**WELD, "pull.weld-size": "12"}, "size of the weld is 12 in"),
    ({**WELD, "pull.weld-length": "40"}, "length of the weld is 40 in"),
    ({**WELD, "pull.weld-sides": "4"}, "sides welded is 4"),
    # the slide hammer
    ({**SLIDE, "pull.weight": "3000 lbf"}, "weight of the slide hammer is 3,000 lbf"),
    ({**SLIDE, "pull.rod-length": "0.36"}, "length of the rod is 0.36 in"),
    ({**SLIDE, "pull.rod-length": "3600"}, "length of the rod is 3,600 in"),
]  # fmt: skip


def entries_with(changes):
    method = changes.get("pull.method", "hollow-ram")
    return {**example_entries(method), "pull.method": method, **changes}


@pytest.mark.parametrize("rig", [HOLLOW, BAR, WELD, SLIDE])
def test_before_it_is_made_absurd_each_job_is_one_that_can_be(rig):
    job = parse_job(entries_with(rig))
    assert misfits(job=job.inputs) == ()
    make_sheet(job=job, today=DAY)


def test_there_are_sixty_of_them_at_least():
    assert len(ABSURD) >= 60
    assert len({str(sorted(changes.items())) for changes, _ in ABSURD}) == len(ABSURD)


@pytest.mark.parametrize(("changes", "words"), ABSURD, ids=lambda one: str(one)[:60])
def test_none_is_permitted_and_each_is_told(changes, words):
    try:
        job = parse_job(entries_with(changes))
        make_sheet(job=job, today=DAY)
    except JobError as refused:
        told = refused.problems
    else:
        figures = work_out(job=job.inputs)
        assert figures.stops
        of_the_new_key = {one.stage for one in figures.stops} == {"make"}
        assert not figures.pull.decision.go or of_the_new_key
        told = tuple(one.sentence for one in figures.stops)
    assert any(one.startswith(words) for one in told), told
    assert all(one.endswith(".") for one in told), told


def test_a_metric_sheet_is_refused_in_millimeters():
    changes = {"job.units": "metric", "opening.shaft-diameter": "20000"}
    with pytest.raises(JobError) as refused:
        make_sheet(job=parse_job(entries_with(changes)), today=DAY)
    said = next(one for one in refused.value.problems if one.startswith("shaft diameter"))
    assert "20000.00 mm" in said
    assert not re.search(r"\d in\b", said)


@pytest.mark.parametrize("number", range(1, 97))
def test_no_card_of_the_exercise_is_called_absurd(number):
    card = issue_card(exercise="06-whole-job", class_code="QQ-26", number=number)
    assert misfits(job=card.readings.inputs(card.drive)) == ()
