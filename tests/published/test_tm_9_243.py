"""US Army TM 9-243, Use and Care of Hand Tools and Measuring Tools: micrometer readings.

Page 7-5 (vernier) and 7-6 (metric). The text of p. 7-6 gives the pitch of the metric screw as
"0.05 mm", a misprint for 0.5 mm.
"""

import pytest

from taperkey.formulas.micrometer import inch_micrometer_in, metric_micrometer_in


def test_vernier_micrometer_page_7_5():
    reading = inch_micrometer_in(sleeve_number=2, sleeve_lines=3, thimble_line=11, vernier_line=2)
    assert reading == pytest.approx(0.2862, abs=1e-12)  # exact sum


def test_metric_micrometer_page_7_6():
    reading = metric_micrometer_in(
        sleeve_millimetres=22, half_millimetre_shows=False, thimble_line=36
    )
    assert reading * 25.4 == pytest.approx(22.36, abs=1e-12)  # exact sum
