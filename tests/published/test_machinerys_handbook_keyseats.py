"""Depth control values S and T for shaft and hub.

Machinery's Handbook Pocket Companion, "Keys and Keyseats", Table 1 (extract on GlobalSpec), and
Machinery's Handbook, 31st ed., p. 2552, Table 2 (columns compared as far as both were seen).
Both after ASME B17.1. Found. Rows from 1/2 to 2-5/16 in by 1/16; columns: shaft S square,
rectangular; hub T parallel square, rectangular; hub T taper square, rectangular.
"""

import pytest

from taperkey.formulas.key import keyseat_depths
from taperkey.tables.keys import inch_key_size

TABLE = """
0.430 0.445 0.560 0.544 0.535 0.519
0.493 0.509 0.623 0.607 0.598 0.582
0.517 0.548 0.709 0.678 0.684 0.653
0.581 0.612 0.773 0.742 0.748 0.717
0.644 0.676 0.837 0.806 0.812 0.781
0.708 0.739 0.900 0.869 0.875 0.844
0.771 0.802 0.964 0.932 0.939 0.907
0.796 0.827 1.051 1.019 1.026 0.994
0.859 0.890 1.114 1.083 1.089 1.058
0.923 0.954 1.178 1.146 1.153 1.121
0.986 1.017 1.241 1.210 1.216 1.185
1.049 1.080 1.304 1.273 1.279 1.248
1.112 1.144 1.367 1.336 1.342 1.311
1.137 1.169 1.455 1.424 1.430 1.399
1.201 1.232 1.518 1.487 1.493 1.462
1.225 1.288 1.605 1.543 1.580 1.518
1.289 1.351 1.669 1.606 1.644 1.581
1.352 1.415 1.732 1.670 1.707 1.645
1.416 1.478 1.796 1.733 1.771 1.708
1.479 1.541 1.859 1.796 1.834 1.771
1.542 1.605 1.922 1.860 1.897 1.835
1.527 1.590 2.032 1.970 2.007 1.945
1.591 1.654 2.096 2.034 2.071 2.009
1.655 1.717 2.160 2.097 2.135 2.072
1.718 1.781 2.223 2.161 2.198 2.136
1.782 1.844 2.287 2.224 2.262 2.199
1.845 1.908 2.350 2.288 2.325 2.263
1.909 1.971 2.414 2.351 2.389 2.326
1.972 2.034 2.477 2.414 2.452 2.389
1.957 2.051 2.587 2.493 2.562 2.468
"""

ROWS = {
    0.5 + place / 16: [float(number) for number in line.split()]
    for place, line in enumerate(TABLE.strip().splitlines())
}


def test_the_table_ends_at_2_5_16():
    assert max(ROWS) == 2.3125


@pytest.mark.parametrize("shaft_diameter_in", ROWS)
def test_depths(shaft_diameter_in):
    size = inch_key_size(shaft_diameter_in=shaft_diameter_in)
    found = {}
    for form, height in (("sq", size.square_height_in), ("rect", size.rectangular_height_in)):
        for kind in ("parallel", "taper"):
            depths = keyseat_depths(
                shaft_diameter_in=shaft_diameter_in,
                width_in=size.width_in,
                height_in=height,
                kind=kind,
            )
            found["S", form] = depths.shaft_depth_in
            found["T", kind, form] = depths.hub_depth_in
    order = [("S", "sq"), ("S", "rect"), ("T", "parallel", "sq"), ("T", "parallel", "rect"),
             ("T", "taper", "sq"), ("T", "taper", "rect")]  # fmt: skip
    # printed to 0.001; a thousandth of that more for sums that end on the half
    assert [found[name] for name in order] == pytest.approx(ROWS[shaft_diameter_in], abs=0.000501)
