"""Drills for taps: ISO 2306 in millimeters, the shop tables of inch threads in 64ths.

From memory: ISO 2306, coarse threads; Machinery's Handbook, table of tap drill sizes, 75 percent.
"""

import pytest

from taperkey.formulas.thread import tap_drill_in, thread_share
from taperkey.tables.threads import thread

METRIC = {"M8": 6.8, "M10": 8.5, "M12": 10.2, "M16": 14.0, "M20": 17.5, "M24": 21.0, "M30": 26.5,
          "M36": 32.0, "M42": 37.5, "M48": 43.0}  # fmt: skip
SIXTY_FOURTHS = {"3/8-16 UNC": 20, "1/2-13 UNC": 27, "5/8-11 UNC": 34, "3/4-10 UNC": 42,
                 "7/8-9 UNC": 49, "1-8 UNC": 56, "1-1/4-7 UNC": 71}  # fmt: skip


def drill(name):
    one = thread(name=name)
    return tap_drill_in(diameter_in=one.diameter_in, pitch_in=one.pitch_in)


@pytest.mark.parametrize(("name", "printed"), METRIC.items())
def test_metric(name, printed):
    # drills come in tenths and twentieths: M8 and M12 are half a tenth from the rule
    assert drill(name) * 25.4 == pytest.approx(printed, abs=0.051)


@pytest.mark.parametrize(("name", "printed"), SIXTY_FOURTHS.items())
def test_inch(name, printed):
    assert round(drill(name) * 64) == printed


# the same table's percentage of thread, from memory, as printed: whole percents
PERCENT = {"1/4-20 UNC": (13 / 64, 72), "3/8-16 UNC": (5 / 16, 77), "1/2-13 UNC": (27 / 64, 78),
           "5/8-11 UNC": (17 / 32, 79), "3/4-10 UNC": (21 / 32, 72), "7/8-9 UNC": (49 / 64, 76),
           "1-8 UNC": (7 / 8, 77)}  # fmt: skip


@pytest.mark.parametrize(("name", "drilled", "printed"), [(k, *v) for k, v in PERCENT.items()])
def test_percentage_of_thread(name, drilled, printed):
    one = thread(name=name)
    share = thread_share(diameter_in=one.diameter_in, pitch_in=one.pitch_in, drill_in=drilled)
    assert 100 * share == pytest.approx(printed, abs=1)  # printed whole, rounded or cut short


def test_a_hole_as_wide_as_the_thread_leaves_none():
    assert thread_share(diameter_in=0.75, pitch_in=0.1, drill_in=0.75) == 0
    with pytest.raises(ValueError, match="drill"):
        thread_share(diameter_in=0.75, pitch_in=0.1, drill_in=0.8)
