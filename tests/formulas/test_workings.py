"""Every number of a job can be followed back to readings and assumptions."""

import pytest

from keycourse.whole.workings import Working, Workings


def two_heights() -> Workings:
    workings = Workings()
    workings.reading("mouth", "height at the mouth", 1.0104)
    workings.reading("inside", "height inside", 1.0)
    workings.reading("base", "distance", 1.0)
    workings.worked(
        "fall",
        "difference",
        0.0104,
        formula="mouth − inside",
        inputs=["mouth", "inside"],
        source="",
    )
    workings.worked(
        "taper", "taper", 0.0104, "taper", formula="fall ÷ base", inputs=["fall", "base"], source=""
    )
    return workings


def test_origins_reach_the_readings_in_order():
    assert [one.key for one in two_heights().origins("taper")] == [
        *("mouth", "inside", "base", "fall"),
    ]


def test_a_reading_stands_on_nothing():
    workings = two_heights()
    assert workings.origins("mouth") == ()
    assert workings["mouth"].kind == "reading"


def test_a_number_cannot_stand_on_one_that_is_not_there():
    workings = two_heights()
    with pytest.raises(ValueError, match="^") as refused:
        workings.worked("gap", "gap", 0.1, formula="", inputs=["base", "bore", "x"], source="")
    assert str(refused.value) == (
        "number 'gap' stands on 'bore', which is not there; it must stand on numbers found before"
        " it."
    )
    assert "gap" not in workings


def test_a_number_has_one_origin():
    with pytest.raises(
        ValueError, match=r"^number 'mouth' is there twice; it must have one origin\.$"
    ):
        two_heights().reading("mouth", "height again", 1.0)


def test_kept_numbers_are_returned_counted_and_listed():
    workings = Workings()
    assert workings.assumed("allowance", "allowance", 0.01, source="common practice") == 0.01
    assert len(workings) == 1
    assert [one.source for one in workings] == ["common practice"]
    assert "allowance" in workings
    assert "height" not in workings


def test_each_kind_keeps_what_it_was_told():
    workings = Workings()
    workings.reading("weight", "slide hammer", 30.0, "force")
    workings.assumed("share", "share that bears", 0.7, "number", source="estimate")
    workings.worked(
        "pull",
        "pull",
        21.0,
        "force",
        formula="weight × share",
        inputs=["weight", "share"],
        source="wedge",
    )
    assert list(workings) == [
        Working(
            key="weight",
            what="slide hammer",
            value=30.0,
            dimension="force",
            kind="reading",
            source="measured or read off",
        ),
        Working(
            key="share",
            what="share that bears",
            value=0.7,
            dimension="number",
            kind="assumed",
            source="estimate",
        ),
        Working(
            key="pull",
            what="pull",
            value=21.0,
            dimension="force",
            kind="worked",
            formula="weight × share",
            inputs=("weight", "share"),
            source="wedge",
        ),
    ]


def test_a_number_of_no_named_dimension_is_a_length():
    workings = two_heights()
    workings.assumed("allowance", "allowance", 0.01, source="common practice")
    assert {workings[key].dimension for key in ("mouth", "fall", "allowance")} == {"length"}


def test_a_number_reached_by_two_ways_is_an_origin_once():
    workings = two_heights()
    workings.worked(
        "rise", "rise", 0.0208, formula="fall + fall", inputs=["fall", "taper"], source=""
    )
    assert [one.key for one in workings.origins("rise")] == [
        *("mouth", "inside", "base", "fall", "taper"),
    ]
