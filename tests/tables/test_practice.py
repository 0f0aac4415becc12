"""The rules of thumb: the file, how it is read, and what a wrong line is told."""

import subprocess
import sys

import pytest

from taperkey import practice
from taperkey.said import Said

HEAD = "# rules\nname,value,unit,metric,kind,words\n"


def test_every_rule_has_a_number_a_kind_and_one_sentence():
    assert len(practice.rules()) >= 10
    for name, one in practice.rules().items():
        assert one.name == name
        assert one.values
        assert one.kind in practice.KINDS
        assert one.words[0].isupper()
        assert one.words.count(". ") == 0, f"{name}: one sentence"
        assert one.basis().startswith(f"{one.number} ({one.kind_said}): ")


def test_a_range_goes_up_and_steps_go_up_to_the_whole():
    for one in practice.rules().values():
        assert list(one.values) == sorted(one.values), one.name
    assert practice.values("load_steps")[-1] == 1.0


def test_a_metric_size_is_near_its_inch_size():
    """A shop's round size is another size, but never by more than a third."""
    sizes = [one for one in practice.rules().values() if one.metric]
    assert sizes
    for one in sizes:
        for inch, mm in zip(one.values, one.metric, strict=True):
            assert mm / 25.4 == pytest.approx(inch, rel=1 / 3), one.name


def test_numbers_as_a_shop_writes_them():
    read = practice.read_rules(
        HEAD
        + 'one,1-3/8,in,35 mm,common practice,"One, and a comma."\n'
        + "two,0.5 0.9,,,own model,A range.\n"
        + "three,0.1 0.5 1,,,from memory,Steps.\n"
        + "four,6 10,in,150 250 mm,common practice,A reach.\n"
        + "five,999.5 1000,lbf,,own model,Thousands have a comma.\n"
    )
    assert read["one"].value == 1.375
    assert read["one"].metric == (35.0,)
    assert read["one"].basis() == "1-3/8 in (common practice): One, and a comma."
    assert read["two"].span == (0.5, 0.9)
    assert read["two"].basis() == "0.5 to 0.9 (the course's own model): A range."
    assert read["three"].values == (0.1, 0.5, 1.0)
    assert read["five"].shown == ("999.5", "1,000")
    assert read["four"].both == "6 to 10 in (150 to 250 mm), common practice"
    assert read["three"].basis() == "0.1, 0.5, 1 (from memory): Steps."


def test_a_sentence_keeps_the_number_for_another_shop():
    said = Said("Leave {draw}.", draw=practice.rule("left_to_drive").number)
    assert said == "Leave 1/8 in."
    assert said.told(lambda one: f"{one.values[0] * 25.4:.1f} mm") == "Leave 3.2 mm."


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("a,1,in,,guess,A.", "kind is 'guess'; it must be published, common practice, own model,"
         " from memory."),
        ("a,about 1,in,,published,A.", "value is 'about 1'; it must be a number such as 0.010 or"
         " 1/8, or several with spaces between."),
        ("a,,in,,published,A.", "value is missing; it must be a number such as 0.010 or 1/8."),
        ("a,1,in,,published", "it has 5 fields; it must have 6: name, value, unit, metric, kind,"
         " words. Words with a comma in them go between quotation marks."),
        ("a,1,in,,published,Bare, comma.", "it has 7 fields; it must have 6: name, value, unit,"
         " metric, kind, words. Words with a comma in them go between quotation marks."),
        ("a b,1,in,,published,A.", "name is 'a b'; it must be words joined by underscores, such as"
         " step_relief."),
        ("a,1,in,25,published,A.", "metric is '25'; it must be empty or, for a rule in inches, as"
         " many sizes in mm as value has, such as 0.05 mm."),
        ("a,1 2,in,25 mm,published,A.", "metric is '25 mm'; it must be empty or, for a rule in"
         " inches, as many sizes in mm as value has, such as 0.05 mm."),
        ("a,1,in,,published,A", "words are 'A'; they must be one sentence with a full stop."),
        ("a,1,in,,published,A.\na,2,in,,published,A.", "name is 'a' again; each rule must stand"
         " once."),
    ],
)  # fmt: skip
def test_a_wrong_line_is_told_with_its_number(line, said):
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        practice.read_rules(HEAD + line + "\n")
    number = 4 if "again" in said else 3
    assert str(caught.value) == f"practice.csv line {number}: {said}"


def test_a_wrong_unit_is_told():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        practice.read_rules(HEAD + "a,1,furlong,,published,A.\n")
    units = ", ".join(practice.UNITS[1:])
    assert str(caught.value) == (
        f"practice.csv line 3: unit is 'furlong'; it must be empty or {units}."
    )


def test_wrong_columns_are_told():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        practice.read_rules("name,value\n")
    assert str(caught.value) == (
        "practice.csv line 1: columns are 'name,value'; they must be"
        " name,value,unit,metric,kind,words."
    )


def test_a_rule_that_is_not_there_is_told():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        practice.value("left_over")
    assert str(caught.value) == (
        f"practice.csv: rule is 'left_over'; it must be one of {', '.join(practice.rules())}."
    )


def test_one_number_is_not_asked_of_a_range_nor_a_range_of_one_number():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        practice.value("seat_pressure")
    assert str(caught.value) == (
        "practice.csv: rule 'seat_pressure' has 2 numbers; it must have one here."
        " Ask for its span or its values."
    )
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        practice.span("jack_share")
    assert str(caught.value) == (
        "practice.csv: rule 'jack_share' has 1 numbers; it must have two here, low and high."
    )
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        practice.metric("jack_share")
    assert str(caught.value) == (
        "practice.csv: rule 'jack_share' has 0 metric sizes; it must have one here."
        " Write it in the column metric, such as 0.05 mm."
    )


def test_reading_a_rule_brings_in_nothing_heavy():
    code = (
        "import sys; from taperkey import practice; practice.value('left_to_drive');"
        "heavy = {'numpy', 'scipy', 'matplotlib', 'pint'} & set(sys.modules);"
        "sys.exit(', '.join(sorted(heavy)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_rules_that_hang_together():
    """A mean of three is known better by the root of three (JCGM 100:2008, 4.2.3)."""
    mean = practice.value("transfer_scatter") / 3**0.5
    assert practice.value("mean_height_doubt") == pytest.approx(mean, abs=0.00005)
    # what is counted on in a hole is never more than the hole is deep
    assert practice.value("full_thread") < practice.value("hole_depth")
    # no step of a load is larger than what may go on in one go
    steps = (0.0, *practice.values("load_steps"))
    rises = [after - before for before, after in zip(steps, steps[1:], strict=False)]
    assert max(rises) <= practice.value("largest_rise")
