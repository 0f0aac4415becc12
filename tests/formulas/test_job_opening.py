"""What a whole job says of the opening: each stop, caution and refusal as its whole sentence.

The numbers in the sentences come from the formulas written out here, not from the job.
"""

import math
from dataclasses import replace

import pytest

from keycourse.whole.job_inputs import (
    JobInputs,
    KeyInputs,
    OpeningInputs,
    PullInputs,
)
from keycourse.whole.whole_job import work_out

OPENING = OpeningInputs(
    distances_in=(0.0, 6.0),
    readings_in=((1.0625,), (1.0,)),
    hub_widths_in=(1.002,),
    shaft_widths_in=(1.001,),
    hub_length_in=8.0,
    shaft_diameter_in=4.0,
    keyway_at_bottom=True,
)
KEY = KeyInputs(thread_name="5/8-11 UNC", outside_in=0.25)
PULL = PullInputs(
    method="hollow-ram",
    surface="lubricated",
    jack_tons=30,
    jacks=1,
    thread_name="3/4-10 UNC",
    grade_name="ASTM A193 B7",
    seat_pressure_psi=(3000.0, 4000.0),
    seat_area_in2=12.0,
)


def work(*, opening=None, key=None, pull=None, standard="inch"):
    return work_out(
        job=JobInputs(
            standard=standard,
            opening=replace(OPENING, **(opening or {})),
            key=replace(KEY, **(key or {})),
            pull=None if pull == "none" else replace(PULL, **(pull or {})),
        )
    )


def found(figures):
    return [(one.level, one.stage, one.sentence) for one in figures.findings]


def two_sd(distance_in, height_sd_in=0.0005):
    return 2 * height_sd_in * math.sqrt(2) / distance_in


def test_an_ordinary_job_says_nothing():
    assert found(work()) == []


def test_a_reading_apart_is_named_and_stays_in():
    # four readings alike and one 0.010 in off: G = 1.789, the greatest that five can have
    figures = work(
        opening={
            "readings_in": ((1.0625, 1.0625, 1.0625, 1.0725, 1.0625), (1.0,)),
            "height_sd_in": 0.005,
        }
    )
    assert found(figures)[0] == (
        "look",
        "measure",
        "Apart from the others by Grubbs test, two-sided: height at the mouth, reading 4. Find the"
        " reason and take it again; it is still in the mean.",
    )
    assert figures.opening.heights_in[0] == pytest.approx(1.0645)


def test_two_readings_apart_are_one_sentence():
    odd = (1.0625, 1.0625, 1.0625, 1.0625, 1.0725)
    figures = work(opening={"readings_in": (odd, (1.01, *[1.0] * 4)), "height_sd_in": 0.005})
    assert found(figures)[0][2] == (
        "Apart from the others by Grubbs test, two-sided: height at the mouth, reading 5; height"
        " at station 2, reading 1. Find the reason and take it again; it is still in the mean."
    )


def test_four_readings_are_too_few_to_call_one_odd():
    figures = work(
        opening={"readings_in": ((1.0625, 1.0625, 1.0625, 1.0725), (1.0,)), "height_sd_in": 0.005}
    )
    assert not any("Apart from the others" in one for _, _, one in found(figures))


D = 2.0**-9
PAIRS = {
    # two readings at each of three stations, d above and d below their mean: s = d * root 2, and
    # a mean of two has s over root 2, that is d
    "distances_in": (0.0, 3.0, 6.0),
    "readings_in": ((1.0625 - D, 1.0625 + D), (1.03125 - D, 1.03125 + D), (1.0 - D, 1.0 + D)),
}


def test_scatter_above_twice_the_stated_is_said():
    figures = work(opening={**PAIRS, "height_sd_in": D / 2.5})
    assert figures.opening.height_sd_in == D
    assert (
        "look",
        "measure",
        f"The readings scatter more than stated: {D:.4f} in against {D / 2.5:.4f} in for a mean"
        " height. Look at the gauge, the burrs and the feel, and measure again.",
    ) in found(figures)


def test_scatter_of_twice_the_stated_is_used_and_not_said():
    figures = work(opening={**PAIRS, "height_sd_in": D / 2})
    assert figures.opening.height_sd_in == D
    assert not any("scatter" in one for _, _, one in found(figures))


def test_scatter_below_the_stated_leaves_the_stated():
    assert work(opening={**PAIRS, "height_sd_in": 2 * D}).opening.height_sd_in == 2 * D


def test_three_spare_readings_are_enough_and_the_shorter_row_decides():
    # squares 2 d^2 and 2 d^2 over 2 + 1 spare; a mean of two readings scatters most
    figures = work(opening={"readings_in": ((1.0625 - D, 1.0625, 1.0625 + D), (1.0 - D, 1.0 + D))})
    assert figures.opening.height_sd_in == pytest.approx(math.sqrt(4 * D**2 / 3 / 2))


def test_an_undecided_opening_is_a_stop_with_its_base():
    # base 0.05 in from the first station to the last
    figures = work(
        opening={"distances_in": (1.0, 1.05), "readings_in": ((1.0005,), (1.0,))}, pull="none"
    )
    assert found(figures) == [
        (
            "stop",
            "measure",
            "The readings do not tell which end is large: 0.0005 in of difference over 0.0500 in,"
            f" against {two_sd(0.05) * 0.05:.4f} in that the gauge leaves open. Measure at both"
            " ends of the hub before anything is cut or pulled.",
        )
    ]


def test_a_level_opening_is_undecided_and_held_against_no_standard():
    # 0 in 1 in, known to two times 0.0007: neither 1:96 nor 1:100, and no end is the large one
    figures = work(
        opening={"distances_in": (0.0, 1.0), "readings_in": ((1.0,), (1.0,))}, pull="none"
    )
    assert figures.opening.standard == "neither"
    assert len(found(figures)) == 1
    assert found(figures)[0][2].startswith("The readings do not tell which end is large: 0.0000 in")


def test_a_reversed_hub_is_reckoned_from_its_last_station():
    figures = work(
        opening={
            "distances_in": (1.0, 4.0, 7.0),
            "readings_in": ((1.0,), (1.03125,), (1.0625,)),
        },
        pull="none",
    )
    assert found(figures)[0][2].startswith(
        "The hub is reversed: the opening is 1.0625 in high inside against 1.0000 in near the mouth"
    )
    # 1 in on to the far end of the 8 in hub
    assert figures.opening.entry_height_in == pytest.approx(1.0625 + 1 / 96)


def test_base_is_that_of_the_first_and_the_last_station():
    figures = work(
        opening={
            "distances_in": (2.0, 2.5, 3.0),
            "readings_in": ((1.0104,), (1.0052,), (1.0,)),
        },
        pull="none",
    )
    assert found(figures)[0][2].startswith("A base of 1.0000 in does not tell 1:96 from 1:100.")


@pytest.mark.parametrize(
    ("times", "end"),
    [(1.98, "undecided"), (2.02, "mouth"), (-1.98, "undecided"), (-2.02, "inside")],
)
def test_the_large_end_is_told_from_two_standard_uncertainties_on(times, end):
    # two heights of 0.0005 in each: their difference is known to root 2 of that
    higher = 1.0 + times * math.sqrt(2) * 0.0005
    figures = work(
        opening={"distances_in": (0.0, 0.5), "readings_in": ((higher,), (1.0,))}, pull="none"
    )
    assert figures.opening.end == end


@pytest.mark.parametrize(
    ("taper", "times", "standard"),
    [
        (1 / 96, 1.98, "1:96"),
        (1 / 96, 2.02, "neither"),
        (1 / 100, -1.98, "1:100"),
        (1 / 100, -2.02, "neither"),
    ],
)
def test_a_standard_taper_agrees_within_two_standard_uncertainties(taper, times, standard):
    # base of 8 in: the two standards are 4.7 standard uncertainties apart
    doubt = math.sqrt(2) * 0.0005 / 8
    higher = 1.0 + (taper + times * doubt) * 8
    figures = work(
        opening={"distances_in": (0.0, 8.0), "readings_in": ((higher,), (1.0,))}, pull="none"
    )
    assert figures.opening.standard == standard


def test_a_reversed_undecided_difference_is_said_without_its_sign():
    figures = work(
        opening={"distances_in": (0.0, 0.05), "readings_in": ((1.0,), (1.0005,))}, pull="none"
    )
    assert figures.opening.end == "undecided"
    assert "which end is large: 0.0005 in of difference" in found(figures)[0][2]
    assert math.isnan(figures.opening.entry_height_in)


@pytest.mark.parametrize(
    ("bore", "left"),
    [
        (None, ""),
        (4.0, ""),
        (4.008, " Up to 0.0080 in of clearance is left out."),
    ],
)
def test_keyway_away_from_the_bottom_is_a_stop(bore, left):
    assert found(work(opening={"keyway_at_bottom": False, "bore_in": bore})) == [
        (
            "stop",
            "measure",
            "The heights were taken with the keyway away from the bottom: the clearance between"
            f" bore and shaft is not all in them, and the key comes out too thin.{left} Turn the"
            " keyway to the bottom and measure again.",
        )
    ]


def test_a_short_base_does_not_tell_the_standards_apart():
    figures = work(
        opening={"distances_in": (2.0, 3.0), "readings_in": ((1.0104,), (1.0,))}, pull="none"
    )
    assert found(figures) == [
        (
            "look",
            "measure",
            "A base of 1.0000 in does not tell 1:96 from 1:100. Measure on a longer base before a"
            " master key is chosen.",
        )
    ]


def test_a_taper_of_neither_standard_is_said_with_what_is_known():
    # 0.090 in over 6 in is 1 in 66.7
    figures = work(
        opening={"distances_in": (1.0, 7.0), "readings_in": ((1.0900,), (1.0,))}, pull="none"
    )
    assert found(figures) == [
        (
            "look",
            "measure",
            "The taper is 1:66.7, and the readings agree with neither 1:96 nor 1:100: over the"
            f" base of 6.0000 in the height changes by 0.0900 in, known to ± {two_sd(6) * 6:.4f}"
            " in. The key is cut to the measured taper, on a master key of that taper. Measure at"
            " more stations first.",
        )
    ]


def test_a_reversed_taper_of_neither_standard_is_said_without_its_sign():
    figures = work(opening={"readings_in": ((1.0,), (1.09,))}, pull="none")
    assert found(figures)[1][2].startswith("The taper is 1:66.7, and the readings agree with nei")
    assert "the height changes by 0.0900 in," in found(figures)[1][2]
    assert figures.opening.cut_taper_in_per_in == pytest.approx(0.015)


def bent(off_in):
    return work(
        opening={
            "distances_in": (0.0, 3.0, 6.0),
            "readings_in": ((1.0625,), (1.03125 + off_in,), (1.0,)),
        },
        pull="none",
    )


def test_stations_off_a_straight_line_are_said():
    # the middle of three off by d leaves -d/3, 2d/3, -d/3 about the line; one degree of freedom:
    # scatter d * root(2/3). Three times 0.0005 in is reached at d = 0.00184 in. The misfit widens
    # u(taper) by that scatter over 0.0005 in: with three times as much, 6 in is too short a base.
    short = ("look", "measure", "A base of 6.0000 in does not tell 1:96 from 1:100. Measure on a"
             " longer base before a master key is chosen.")  # fmt: skip
    assert found(bent(0.002)) == [
        short,
        (
            "look",
            "measure",
            f"The stations lie {0.002 * math.sqrt(2 / 3):.4f} in off a straight line, against"
            " 0.0005 in for a height: the slot is worn or bent, or one height is wrong.",
        ),
    ]
    assert found(bent(0.0018)) == [short]
    assert found(bent(0.0005)) == []


def test_stations_that_miss_their_line_widen_the_taper_s_uncertainty():
    # residuals -d/3, 2d/3, -d/3: s = d root(2/3). Without misfit u = 0.0005 / root(18), JCGM H.3.
    plain = 0.0005 / math.sqrt(18)
    for off in (0.0, 0.0005, 0.002):
        ratio = max(1.0, off * math.sqrt(2 / 3) / 0.0005)
        assert bent(off).opening.taper_sd_in_per_in == pytest.approx(plain * ratio, rel=1e-9)


def four(first, *others):
    return work(
        opening={
            "distances_in": (0.0, 2.0, 4.0, 6.0),
            "readings_in": tuple((one,) for one in (first, *others)),
        },
        pull="none",
    )


def test_a_worn_mouth_is_found_and_said():
    line = [1.0625 - x / 96 for x in (0.0, 2.0, 4.0, 6.0)]
    worn = four(line[0] + 0.004, *line[1:])
    assert (
        "The mouth is worn: it is 0.0040 in higher than the line through the other stations has it."
        " The key bears further in; measure on from sound metal."
    ) in [words for _, _, words in found(worn)]
    burred = four(line[0], line[1], line[2] - 0.004, line[3])
    assert any("Station 3 lies 0.0040 in below the line" in words for _, _, words in found(burred))
    assert not any("worn: it" in words for _, _, words in found(four(*line)))


def test_the_blank_comes_from_the_highest_station_and_not_from_the_first():
    line = [1.0625 - x / 96 for x in (0.0, 2.0, 4.0, 6.0)]
    assert four(*line).opening.entry_height_in == pytest.approx(1.0625, abs=1e-12)
    high = four(line[0], line[1], line[2] + 0.0004, line[3])
    cut = high.opening.cut_taper_in_per_in
    assert high.opening.entry_height_in == pytest.approx(line[2] + 0.0004 + 4 * cut, abs=1e-12)


def test_two_stations_have_no_line_to_be_off():
    assert not any("straight line" in one for _, _, one in found(work()))


@pytest.mark.parametrize(("hub", "shaft", "wider"), [(1.03, 1.001, "hub"), (1.002, 1.031, "shaft")])
def test_slots_of_unequal_width_ask_for_a_stepped_key(hub, shaft, wider):
    figures = work(
        opening={
            "hub_widths_in": (hub,),
            "shaft_widths_in": (shaft,),
            "shaft_slot_depth_in": 0.48,
        }
    )
    assert figures.opening.step_asked
    assert found(figures) == [
        (
            "look",
            "measure",
            f"The slots differ in width: hub {hub:.4f} in, shaft {shaft:.4f} in. A stepped key is"
            f" made, wide in the {wider}.",
        )
    ]


def test_slots_within_four_thousandths_need_no_step():
    assert not work(opening={"hub_widths_in": (1.0045,)}).opening.step_asked
    wide = work(opening={"hub_widths_in": (1.0055,), "shaft_slot_depth_in": 0.48})
    assert wide.opening.step_asked


def test_all_that_the_readings_say_is_in_the_figures():
    opening = work(opening={"bore_in": 4.008}).opening
    assert opening.heights_in == (1.0625, 1.0)
    assert opening.entry_height_in == 1.0625
    assert (opening.hub_width_in, opening.shaft_width_in) == (1.002, 1.001)
    assert opening.clearance_in == pytest.approx(0.008)
    assert work().opening.clearance_in is None


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"opening": {"distances_in": (0.0, 6.0, 7.0)}},
            "stations are 3 and rows of readings 2; there must be one row for each station.",
        ),
        (
            {"opening": {"hub_length_in": 0.0}},
            "length of the hub is 0 in; it must be above 0. Measure the hub.",
        ),
        (
            {"opening": {"shaft_diameter_in": 0.0}},
            "shaft diameter is 0 in; it must be above 0.",
        ),
        (
            {"opening": {"height_sd_in": 0.0}},
            "uncertainty of a height is 0 in; it must be above 0.",
        ),
        (
            {"opening": {"distances_in": (-1.0, 6.0)}},
            "distance of a station is -1 in; it must be 0 or more. Measure it inward.",
        ),
        (
            {"opening": {"distances_in": (0.0, 8.5)}},
            "distance of a station is 8.5 in; it must be 8 in or less, the length of the hub."
            " Measure both again.",
        ),
        (
            {"opening": {"readings_in": ((1.0625,), (0.0,))}},
            "height is 0 in; it must be above 0. Enter the reading at this station.",
        ),
        (
            {"opening": {"hub_widths_in": ()}},
            "width of the hub slot has no reading; it must have at least one. Measure it.",
        ),
        (
            {"opening": {"shaft_widths_in": ()}},
            "width of the shaft slot has no reading; it must have at least one. Measure it.",
        ),
        (
            {"opening": {"hub_widths_in": (1.0, 0.0)}},
            "width of the hub slot is 0 in; it must be above 0. Measure it again.",
        ),
        (
            {"opening": {"shaft_widths_in": (0.0,)}},
            "width of the shaft slot is 0 in; it must be above 0. Measure it again.",
        ),
        (
            {"opening": {"shaft_widths_in": (1.0, 4.0)}},
            "width of the shaft slot is 4 in; it must be below 4 in, the shaft's diameter. Measure"
            " both again.",
        ),
        ({"standard": "yards"}, "standard is 'yards'; it must be one of: inch, metric."),
    ],
)
def test_an_entry_that_cannot_be_is_one_sentence(changes, sentence):
    with pytest.raises(ValueError, match="^") as refused:
        work(**changes)
    assert str(refused.value) == sentence


@pytest.mark.parametrize(
    "changes",
    [
        {"opening": {"distances_in": (2.0, 8.0)}},
        {"opening": {"bore_in": 4.0}},
        {"opening": {"hub_widths_in": (1.002, 1.002)}},
    ],
)
def test_an_entry_at_its_limit_is_taken(changes):
    assert found(work(**changes)) == []


def test_uncertain_distances_widen_the_taper_by_the_taper_times_themselves():
    """Stations alike: u(height) and taper × u(distance) add up in squares, by York's weights."""
    x = (0.0, 3.0, 6.0)
    rows = tuple((1.0625 - at / 96,) for at in x)
    plain = work(opening={"distances_in": x, "readings_in": rows}, pull="none")
    wide = work(
        opening={"distances_in": x, "readings_in": rows, "station_sd_in": 0.06}, pull="none"
    )
    both = math.hypot(0.0005, 0.06 / 96)
    assert wide.opening.taper_sd_in_per_in == pytest.approx(both / math.sqrt(18), rel=1e-6)
    assert wide.opening.taper_in_per_in == pytest.approx(plain.opening.taper_in_per_in, rel=1e-9)
    assert wide.workings["taper-york"].value == pytest.approx(1 / 96, rel=1e-9)
