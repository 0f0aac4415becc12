"""A key in lettered zones: each mark inside its own zone, nothing said about what it means."""

import re

import pytest

from keycourse.fit.marked_zones import draw_marked_zones, zone_letters

LEVELS = ((2, 1, 0, 2, 0, 2), (0, 2, 1, 0, 1, 2))


def shapes(svg: str, name: str) -> list[list[tuple[float, float]]]:
    """Return the points of each shape with this name."""
    found = []
    for tag in re.findall(r"<path[^>]*>", svg):
        if f'data-name="{name}"' in tag:
            path = re.search(r' d="([^"]+)"', tag)[1]
            numbers = [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", path)]
            found.append(list(zip(numbers[::2], numbers[1::2], strict=True)))
    return found


@pytest.mark.parametrize("seed", [f"seed {number}" for number in range(25)])
def test_each_bright_mark_stays_inside_its_zone(seed: str) -> None:
    picture = draw_marked_zones(top=LEVELS[0], bottom=LEVELS[1], seed=seed)
    zones = []
    for points in shapes(picture.svg, "bright")[:-1]:  # the last one is in the legend
        places = {int((x - 58.0) // 100.0) for x, _ in points}
        assert len(places) == 1
        zones.append(places.pop())
    assert zones == [0, 3, 5, 1, 5]


def test_words_name_every_zone_and_what_is_seen() -> None:
    text = draw_marked_zones(top=LEVELS[0], bottom=LEVELS[1], seed="a", title="Marks now").text
    assert text.startswith("Marks now. Top face, bears in the hub, zones from the large end: ")
    assert (
        "A, metal shines through; B, the blue is thin, no metal shows; C, the blue is untouched"
        in (text)
    )
    for letter in zone_letters(count=12):
        assert f"{letter}, " in text
    assert "I, " not in text


def test_the_same_seed_draws_the_same_picture() -> None:
    one = draw_marked_zones(top=LEVELS[0], bottom=LEVELS[1], seed="a")
    assert one.svg == draw_marked_zones(top=LEVELS[0], bottom=LEVELS[1], seed="a").svg
    assert one.svg != draw_marked_zones(top=LEVELS[0], bottom=LEVELS[1], seed="b").svg
