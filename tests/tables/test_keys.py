"""Look-ups: boundaries exactly, whole range covered, out of range in one sentence."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taperkey.tables import keys, stock
from taperkey.tables.reader import read_table, row_between


@pytest.mark.parametrize(
    ("table", "unit", "where"),
    [
        ("inch_key_sizes", "in", {}),
        ("inch_keyseat_fillets", "in", {}),
        ("metric_key_sizes", "mm", {}),
        ("inch_key_tolerances", "in", {"kind": "taper key", "form": "any"}),
        ("inch_key_tolerances", "in", {"kind": "keystock", "form": "square"}),
        ("inch_key_tolerances", "in", {"kind": "keystock", "form": "rectangular"}),
        ("inch_key_tolerances", "in", {"kind": "bar", "form": "square"}),
        ("inch_key_tolerances", "in", {"kind": "bar", "form": "rectangular"}),
    ],
)
def test_rows_join_without_gap_or_overlap(table, unit, where):
    rows = [row for row in read_table(table) if all(row[k] == v for k, v in where.items())]
    assert len(rows) > 2
    for before, after in zip(rows, rows[1:], strict=False):
        assert before[f"to_{unit}"] == after[f"over_{unit}"]
    for row in rows:
        assert row[f"over_{unit}"] < row[f"to_{unit}"]
        found = row_between(table=table, value=row[f"to_{unit}"], what="it", unit=unit, **where)
        assert found == row


def test_sizes_grow_with_the_shaft():
    for table, width in (("inch_key_sizes", "width_in"), ("metric_key_sizes", "width_mm")):
        widths = [row[width] for row in read_table(table)]
        assert widths == sorted(set(widths))


@given(st.floats(min_value=0.3125, max_value=30.0, exclude_min=True))
def test_every_inch_shaft_has_a_key(shaft):
    if round(shaft, 9) == 0.3125:
        return
    size = keys.inch_key_size(shaft_diameter_in=shaft)
    assert size.over_in < round(shaft, 9) <= size.to_in
    assert 0.1 < size.width_in / shaft < 0.34  # a quarter of the shaft, about


@given(st.floats(min_value=6.001, max_value=260.0))
def test_every_metric_shaft_has_a_key(shaft_mm):
    size = keys.metric_key_size(shaft_diameter_in=shaft_mm / 25.4)
    assert size.over_mm < round(shaft_mm, 6) <= size.to_mm or math.isclose(
        shaft_mm, size.to_mm, abs_tol=1e-6
    )


@given(st.integers(min_value=7, max_value=260))
def test_whole_millimetres_stay_on_their_boundary(shaft_mm):
    size = keys.metric_key_size(shaft_diameter_in=shaft_mm / 25.4)
    assert size.over_mm < shaft_mm <= size.to_mm


@given(
    st.one_of(
        st.floats(max_value=0.3125),
        st.floats(min_value=30.0001),
        st.just(math.nan),
    )
)
def test_no_other_shaft_has_one_and_the_refusal_is_a_sentence(shaft):
    with pytest.raises(ValueError, match=r"^shaft diameter is .+; it must be .+\.") as caught:
        keys.inch_key_size(shaft_diameter_in=shaft)
    assert "Enter the shaft's diameter" in str(caught.value)


def test_metric_refusal_speaks_millimetres():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        keys.metric_key_size(shaft_diameter_in=600 / 25.4)
    assert str(caught.value) == (
        "shaft diameter is 600 mm; it must be over 6 mm, up to and including 500 mm. "
        "Enter the shaft's diameter, or look further in the standard."
    )


def test_metric_hub_of_a_taper_key_is_shallower_than_of_a_parallel_one():
    for row in read_table("metric_key_sizes"):
        assert row["hub_depth_taper_mm"] < row["hub_depth_parallel_mm"]
        left = row["height_mm"] - row["shaft_depth_mm"] - row["hub_depth_taper_mm"]
        assert left > 0.05  # the key is taller than both depths: it is driven tight


def test_every_chamfer_clears_its_fillet():
    for row in read_table("inch_keyseat_fillets"):
        assert row["chamfer_in"] > row["fillet_radius_in"]


@pytest.mark.parametrize(
    ("call", "arguments", "message"),
    [
        (
            keys.depth_constant_in,
            {"kind": "woodruff"},
            "kind of key is 'woodruff'; it must be one of: parallel, taper.",
        ),
        (
            stock.key_tolerance,
            {"kind": "bar", "form": "square", "width_in": 4.0},
            "key width is 4 in; it must be over 0 in, up to and including 3.5 in. "
            "Enter the nominal width.",
        ),
    ],
)
def test_refusals(call, arguments, message):
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        call(**arguments)
    assert str(caught.value) == message


def test_stock_bars_are_sorted_by_section_and_every_bar_has_a_tolerance():
    bars = stock.stock_bars()
    areas = [bar.width_in * bar.height_in for bar in bars]
    assert areas == sorted(areas)
    assert len(set(bars)) == len(bars)
    for bar in bars:
        assert bar.width_in >= bar.height_in
        for kind in ("bar", "keystock"):
            found = stock.key_tolerance(kind=kind, form=bar.form, width_in=bar.width_in)
            assert found.width_upper_in - found.width_lower_in > 0


def test_feeler_leaves_are_26_and_thin_to_thick():
    leaves = stock.feeler_leaves_in()
    assert len(leaves) == 26
    assert list(leaves) == sorted(set(leaves))
    assert (leaves[0], leaves[-1]) == (0.0015, 0.025)


def test_metric_bars_are_sorted_whole_millimeters_and_never_over_size():
    bars = stock.stock_bars(system="metric")
    areas = [bar.width_in * bar.height_in for bar in bars]
    assert areas == sorted(areas)
    assert len(set(bars)) == len(bars)
    for bar in bars:
        assert bar.width_in >= bar.height_in
        for side in (bar.width_in, bar.height_in):
            assert side * 25.4 == pytest.approx(round(side * 25.4), abs=1e-9)
        found = stock.metric_bar_tolerance(bar=bar)
        assert found.width_upper_in == found.height_upper_in == 0
        assert found.width_lower_in <= found.height_lower_in < 0


def test_h11_is_a_hundred_tolerance_units_of_the_step_s_mean():
    """ISO 286-1: IT11 = 100 i, i = 0.45 D^(1/3) + 0.001 D in micrometers, D the geometric mean."""
    for low, high in ((3, 6), (6, 10), (10, 18), (18, 30), (30, 50), (50, 80), (80, 120)):
        mean = math.sqrt(low * high)
        unit = 0.45 * mean ** (1 / 3) + 0.001 * mean
        bar = stock.Bar(high / 25.4, high / 25.4)
        lower_um = -stock.metric_bar_tolerance(bar=bar).width_lower_in * 25400
        assert lower_um == pytest.approx(100 * unit, rel=0.03)
