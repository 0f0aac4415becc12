"""Job cards: the same again, sizes from the table, refused arguments in one sentence."""

import json
import subprocess
import sys
from dataclasses import asdict

import pytest

from coursework.course import PAGES, draw_card
from taperkey.tables.keys import inch_key_size, metric_key_size


def test_another_process_draws_the_same_cards() -> None:
    script = (
        "import json; from dataclasses import asdict; "
        "from coursework.course import PAGES, draw_card; "
        "print(json.dumps([asdict(draw_card(class_code='QQ-26', exercise=e, number=n)) "
        "for e in PAGES for n in range(1, 9)]))"
    )
    out = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    ).stdout
    here = [
        asdict(draw_card(class_code="QQ-26", exercise=exercise, number=number))
        for exercise in PAGES
        for number in range(1, 9)
    ]
    assert json.loads(out) == json.loads(json.dumps(here))


def test_widths_are_near_the_table_for_the_shaft() -> None:
    for number in range(1, 60):
        card = draw_card(class_code="QQ-26", exercise="01-measure", number=number)
        look_up = metric_key_size if card.metric else inch_key_size
        size = look_up(shaft_diameter_in=card.drive.shaft_diameter_in)
        for width in card.readings.shaft_width_in:
            assert abs(width - size.width_in) < 0.003
        assert card.readings.bore_in > card.readings.shaft_in


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (
            {"class_code": "../x", "exercise": "01-measure", "number": 1},
            "class code is “../x”; it must be 1 to 24 letters, digits and hyphens, such as QQ-26. "
            "Ask the instructor for the code of your class.",
        ),
        (
            {"class_code": "QQ-26", "exercise": "09-other", "number": 1},
            f"exercise is “09-other”; it must be one of: {', '.join(PAGES)}.",
        ),
        (
            {"class_code": "QQ-26", "exercise": "01-measure", "number": 0},
            "apprentice number is 0; it must be from 1 to 999999. Look at your name tag.",
        ),
        (
            {"class_code": "QQ-26", "exercise": "01-measure", "number": 1_000_000},
            "apprentice number is 1000000; it must be from 1 to 999999. Look at your name tag.",
        ),
    ],
)
def test_refused_in_one_sentence(arguments: dict, sentence: str) -> None:
    with pytest.raises(ValueError, match="must be") as caught:
        draw_card(**arguments)
    assert str(caught.value) == sentence


def test_the_first_and_the_last_number_have_cards() -> None:
    for number in (1, 999_999):
        assert draw_card(class_code="QQ-26", exercise="01-measure", number=number).number == number
