"""What a person types, read by the grammar at the border."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperkey.units import (
    DIMENSIONS,
    EntryError,
    force_text,
    from_internal,
    length_text,
    parse_quantity,
    to_internal,
)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1.0104", 1.0104),
        ("1-3/8 in", 1.375),
        ('1 3/8"', 1.375),
        ("1 - 3/8 in", 1.375),
        ("1½ in", 1.5),
        ("⅜”", 0.375),
        ("35 mm", 35 / 25.4),
        ("0,5 mm", 0.5 / 25.4),
        ("0,500", 0.5),
        (",5", 0.5),
        ("5.", 5.0),
        ("10.4 thou", 0.0104),
        ("10.4 thousandths", 0.0104),
        ("5'", 60.0),
        ("−0.25 in", -0.25),
        ("  1.0104\u00a0in ", 1.0104),
        ("1,234.5 mm", 1234.5 / 25.4),
        ("25.4 MM", 1.0),
    ],
)
def test_lengths_as_people_type_them(text: str, inches: float) -> None:
    assert parse_quantity(text).value == pytest.approx(inches, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "unit", "value"),
    [
        ("28,400", "force", "lbf", 28_400.0),
        ("14.2 tons", "force", "lbf", 28_400.0),  # short tons-force of 2000 lbf
        ("1:96", "taper", "in/ft", 1 / 96),
        ("1/8 in/ft", "taper", "in/ft", 1 / 96),
        ("0.125", "taper", "in/ft", 1 / 96),
        ("1 %", "taper", "in/ft", 0.01),
        ("10 mm/m", "taper", "in/ft", 0.01),
        ("0° 35' 48\"", "angle", "deg", math.radians(35.8 / 60)),
        ("20 °C", "temperature", "degF", 68.0),
        ("350 lbf ft", "torque", "lbf in", 4200.0),
        ("13 ksi", "pressure", "psi", 13_000.0),
    ],
)
def test_other_dimensions(text: str, dimension: str, unit: str, value: float) -> None:
    read = parse_quantity(text, dimension=dimension, default_unit=unit)
    assert read.value == pytest.approx(value, rel=1e-12)
    assert read.text == text


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "1,010",
            "mouth height is “1,010”, which can be read two ways; write 1.010 or 1010.",
        ),
        (
            "__import__('os')",
            "mouth height is “__import__('os')”; it must start with a number. "
            "Write the number first, then the unit.",
        ),
        (
            "9**9**9 in",
            "mouth height is “9**9**9 in”; the part “**9**9 in” is not a unit used here. "
            "The unit must be one of: in, thou, mm, cm, m, um, ft.",
        ),
        (
            "x" * 10_000,
            "mouth height has 10000 characters; it must be 60 or fewer. "
            "Write a length, such as 1.0104 in, 1-3/8 in or 0.5 mm.",
        ),
        (
            "",
            "mouth height is empty; it must be a length, such as 1.0104 in, 1-3/8 in or 0.5 mm.",
        ),
        (
            "3/0 in",
            "mouth height is “3/0 in”; the lower number of a fraction must be above 0.",
        ),
        (
            "1.2.3",
            "mouth height is “1.2.3”; that is not a number. "
            "Write it with one decimal point, such as 1.0104.",
        ),
        (
            "1.0lО4",  # a Cyrillic letter that looks like an O
            "mouth height is “1.0lО4”; the sign “О” is not one the course reads. "
            "Write a length, such as 1.0104 in, 1-3/8 in or 0.5 mm.",
        ),
        (
            "28 lbf",
            "mouth height is “28 lbf”; the part “lbf” is not a unit used here. "
            "The unit must be one of: in, thou, mm, cm, m, um, ft.",
        ),
    ],
)
def test_what_cannot_be_read_gets_one_sentence(text: str, sentence: str) -> None:
    with pytest.raises(EntryError) as caught:
        parse_quantity(text, label="mouth height")
    assert str(caught.value) == sentence


@settings(max_examples=1500, deadline=None)
@given(
    st.text(max_size=80)
    | st.text(alphabet="0123456789.,/-+ '\"inm:%°eE_()*", max_size=70)
    | st.from_regex(r"[0-9]{1,60}([.,/][0-9]{0,20}){0,4} ?[a-z]{0,3}", fullmatch=True),
    st.sampled_from(sorted(DIMENSIONS)),
)
def test_any_text_is_a_finite_number_or_one_sentence(text: str, dimension: str) -> None:
    unit = DIMENSIONS[dimension].units[0].name
    try:
        read = parse_quantity(text, dimension=dimension, default_unit=unit)
    except EntryError as error:
        sentence = str(error)
        assert sentence.startswith("entry ")
        assert "\n" not in sentence
        assert len(sentence) < 400
    else:
        assert math.isfinite(read.value)


@given(
    st.sampled_from([(name, unit.name) for name, one in DIMENSIONS.items() for unit in one.units]),
    st.floats(min_value=-1e6, max_value=1e6),
)
def test_there_and_back(pair: tuple[str, str], number: float) -> None:
    dimension, unit = pair
    inside = to_internal(number, dimension=dimension, unit=unit)
    back = from_internal(inside, dimension=dimension, unit=unit)
    assert back == pytest.approx(number, rel=1e-9, abs=1e-9)


@given(st.integers(min_value=1, max_value=99_999))
def test_what_is_written_reads_back(tenths: int) -> None:
    value = tenths / 10_000
    assert parse_quantity(length_text(value)).value == pytest.approx(value, abs=1e-12)


def test_force_is_written_to_three_figures() -> None:
    assert [force_text(value) for value in (0.0, 951.4, 75_432.0)] == [
        "0 lbf",
        "951 lbf",
        "75,400 lbf",
    ]


@pytest.mark.parametrize(
    ("text", "taper"),
    [
        ("1 mm in 100 mm", 0.01),
        ("1 mm per 100 mm", 0.01),
        ("10 thou in 1 in", 0.01),
        ("10.4 thou/in", 0.0104),
        ("5 µm/mm", 0.005),
        ("1 in in 96 in", 1 / 96),
        ("1 in per 2438.4 mm", None),  # a run is a whole number of four digits at most
        ("1 thou/mm", 0.0254),
        ("1 in in 10 mm", 2.54),
    ],
)
def test_a_taper_is_also_a_rise_in_a_run(text: str, taper: float | None) -> None:
    if taper is None:
        with pytest.raises(EntryError, match="is not a unit used here"):
            parse_quantity(text, dimension="taper", default_unit="in/in", label="taper")
        return
    found = parse_quantity(text, dimension="taper", default_unit="in/in", label="taper")
    assert found.value == pytest.approx(taper, rel=1e-12)


@pytest.mark.parametrize("text", ["3 mm in 0 mm", "3 foo in 10 mm", "3 mm in 10 foo", "3 s/mm"])
def test_a_rise_in_no_run_is_no_taper(text: str) -> None:
    with pytest.raises(
        EntryError, match=r"is not a unit used here\. The unit must be one of: in/in"
    ):
        parse_quantity(text, dimension="taper", default_unit="in/in", label="taper")


def test_a_length_is_written_to_the_places_of_its_unit() -> None:
    assert length_text(1.0, unit="mm") == "25.400 mm"
    assert length_text(0.0104, unit="thou") == "10.4 thou"
    assert length_text(1.0) == "1.0000 in"


@pytest.mark.parametrize(
    ("text", "within", "inches"),
    [
        ("4,000", (0.0, 4.0), 4.0),  # the highest asked for is asked for
        ("1,000", (1.0, 4.0), 1.0),  # and so is the lowest
        ("1,375", (1000.0, 1375.0), 1375.0),
        ("1,375", (1375.0, 2000.0), 1375.0),
        ("-2,500", (-2.5, 4.0), -2.5),  # with its sign: 2.5 above 0 does not count
        ("-2,500", (-3000.0, -2500.0), -2500.0),
    ],
)
def test_a_comma_is_read_by_the_range_that_is_asked_for(
    text: str, within: tuple[float, float], inches: float
) -> None:
    assert parse_quantity(text, within=within).value == inches


@pytest.mark.parametrize("within", [(0.0, 3.999), (4.001, 3999.0), (4.0, 4000.0), (-4.0, -4.0)])
def test_a_comma_that_the_range_does_not_settle_is_refused(within: tuple[float, float]) -> None:
    with pytest.raises(EntryError, match="which can be read two ways; write 4.000 or 4000"):
        parse_quantity("4,000", within=within)
