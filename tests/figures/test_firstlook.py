"""The first look: parts named, in words as well, and the large end where the key is driven."""

import re

from keycourse.firstlook import draw_first_look


def test_parts_are_named_on_the_drawing_and_in_its_words():
    for picture in draw_first_look():
        shown = re.sub(r'aria-label="[^"]*"', "", picture.svg)
        for part in ("hub", "shaft", "key"):
            assert f">{part}</text>" in shown
            assert part in picture.text
    assert "10 times too steep" in shown


def test_the_key_is_highest_at_the_end_that_is_driven():
    svg = draw_first_look()[1].svg
    outline = next(
        [tuple(map(float, point.split())) for point in re.split("[MLZ]", path) if point]
        for path in re.findall(r'd="(M58[^"]+)"', svg)
    )
    left, right = min(x for x, _ in outline), max(x for x, _ in outline)

    def height(at: float) -> float:
        ys = [y for x, y in outline if x == at]
        return max(ys) - min(ys)

    taper = (height(left) - height(right)) / (right - left)
    assert abs(taper - 10 / 96) < 0.001  # ten times 1:96, as the drawing says
