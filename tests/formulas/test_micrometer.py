"""Micrometers at the ends of their scales."""

from __future__ import annotations

import pytest

from taperkey.formulas.micrometer import inch_micrometer_in, metric_micrometer_in


def test_an_inch_micrometer_closed_and_wide_open() -> None:
    closed = inch_micrometer_in(sleeve_number=0, sleeve_lines=0, thimble_line=0)
    assert closed == 0.0
    last = inch_micrometer_in(sleeve_number=9, sleeve_lines=3, thimble_line=24, vernier_line=9)
    assert last == pytest.approx(0.9999, abs=1e-12)
    wide = inch_micrometer_in(sleeve_number=10, sleeve_lines=0, thimble_line=0, range_low_in=3.0)
    assert wide == pytest.approx(4.0, abs=1e-12)  # the frame of 3 to 4 in


def test_each_line_of_an_inch_micrometer_counts_for_itself() -> None:
    # NAVEDTRA 14001: numbers are 0.1, lines 0.025, thimble 0.001; TM 9-243: vernier 0.0001
    zero = {"sleeve_number": 0, "sleeve_lines": 0, "thimble_line": 0, "vernier_line": 0}
    for name, worth in zip(zero, (0.1, 0.025, 0.001, 0.0001), strict=True):
        assert inch_micrometer_in(**(zero | {name: 1})) == pytest.approx(worth, abs=1e-12)


def test_a_metric_micrometer_closed_and_wide_open() -> None:
    closed = metric_micrometer_in(sleeve_millimetres=0, half_millimetre_shows=False, thimble_line=0)
    assert closed == 0.0
    last = metric_micrometer_in(sleeve_millimetres=24, half_millimetre_shows=True, thimble_line=49)
    assert last * 25.4 == pytest.approx(24.99, abs=1e-12)
    wide = metric_micrometer_in(
        sleeve_millimetres=25, half_millimetre_shows=False, thimble_line=0, range_low_mm=25.8
    )
    assert wide == pytest.approx(2.0, abs=1e-12)  # 50.8 mm
