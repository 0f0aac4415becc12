"""Every number of a job can be followed back to readings and assumptions."""

import pytest

from taperkey.formulas.workings import Workings


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
    with pytest.raises(ValueError, match=r"^number 'gap' stands on 'bore', which is not there;"):
        two_heights().worked("gap", "gap", 0.1, formula="", inputs=["bore"], source="")


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
