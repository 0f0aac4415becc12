"""The tables that are wanted beside a machine, sheet by sheet, from ``taperkey.tables``."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from taperkey.tables.reader import Row, read_table
from taperkey.units import MM_PER_IN, fraction_text, number_text

__all__ = ["KeyTable", "TableSheet", "table_sheets"]

_NONE = "–"


@dataclass(frozen=True, kw_only=True)
class KeyTable:
    """A table: its name, the heads of its columns, its rows as text, and the files it is from.

    Attributes
    ----------
    title : str
        Over the table.
    heads : tuple of str
        A word or two for each column, the unit with it.
    rows : tuple of tuple of str
        Every row of the file.
    source : str
        Name of the table's file.
    shares : tuple of float
        Part of the table's width that each column takes.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    source: str
    shares: tuple[float, ...]


@dataclass(frozen=True, kw_only=True)
class TableSheet:
    """A sheet: its name, and bands of tables that stand side by side, in columns of tables."""

    title: str
    bands: tuple[tuple[tuple[KeyTable, ...], ...], ...]
    lines: tuple[tuple[str, str, str], ...] = ()  # what, the sizes, and the file they are from


def _inch(value: float | None) -> str:
    return _NONE if value is None else fraction_text(value).removesuffix(" in")


def _number(value: float | None) -> str:
    return _NONE if value is None else number_text(value)


def _places(places: int) -> Callable[[float], str]:
    return lambda value: number_text(value, places=places).replace("-", "−")


def _text(value: Any) -> str:
    return _NONE if value is None else str(value)


def _table(
    source: str,
    title: str,
    *columns: tuple[str, str, Callable[[Any], str], float],
    wanted: Callable[[Row], bool] = lambda row: True,
) -> KeyTable:
    """Return a table: head, column of the file, how it is written, and share of the width."""
    return KeyTable(
        title=title,
        heads=tuple(head for head, *_ in columns),
        rows=tuple(
            tuple(write(row[column]) for _, column, write, _ in columns)
            for row in read_table(source)
            if wanted(row)
        ),
        source=source,
        shares=tuple(share for *_, share in columns),
    )


def _inch_keys() -> TableSheet:
    sizes = _table(
        "inch_key_sizes",
        "Key by shaft, ASME B17.1 [in]",
        ("Shaft over", "over_in", _inch, 0.19),
        ("to and with", "to_in", _inch, 0.19),
        ("Width", "width_in", _inch, 0.16),
        ("Height, square", "square_height_in", _inch, 0.23),
        ("Height, flat", "rectangular_height_in", _inch, 0.23),
    )
    fillets = _table(
        "inch_keyseat_fillets",
        "Corner and chamfer by half the key's height [in]",
        ("Half over", "over_in", _inch, 0.25),
        ("to", "to_in", _inch, 0.25),
        ("Radius", "fillet_radius_in", _corner, 0.25),
        ("Chamfer", "chamfer_in", _inch, 0.25),
    )
    widths = _table(
        "inch_key_tolerances",
        "Taper key, over its size [in]",
        ("Width over", "over_in", _inch, 0.25),
        ("to", "to_in", _inch, 0.25),
        ("Width, up to +", "width_upper_in", _places(3), 0.25),
        ("Height, up to +", "height_upper_in", _places(3), 0.25),
        wanted=lambda row: row["kind"] == "taper key",
    )
    return TableSheet(
        title="Taper keys, inch",
        bands=(((sizes,), (fillets, widths)),),
        lines=(("Bars to buy, inch [in]", _bars("stock_bars", "in", _inch), "stock_bars"),),
    )


def _corner(value: float) -> str:
    """Write a radius as a fraction where it is one."""
    return _inch(value) if (value * 64).is_integer() else number_text(value)


def _metric_keys() -> TableSheet:
    sizes = _table(
        "metric_key_sizes",
        "Key by shaft, DIN 6886, taper 1:100 [mm]",
        ("Shaft over", "over_mm", _number, 0.16),
        ("to and with", "to_mm", _number, 0.17),
        ("Width", "width_mm", _number, 0.16),
        ("Height, large end", "height_mm", _number, 0.19),
        ("Depth, shaft", "shaft_depth_mm", _number, 0.16),
        ("Depth, hub", "hub_depth_taper_mm", _number, 0.16),
    )
    fillets = _table(
        "metric_keyseat_fillets",
        "Corner and chamfer by key width [mm]",
        ("Width over", "over_mm", _number, 0.25),
        ("to", "to_mm", _number, 0.22),
        ("Radius", "fillet_radius_mm", _number, 0.25),
        ("Chamfer", "chamfer_mm", _number, 0.28),
    )
    widths = _table(
        "metric_key_tolerances",
        "Key width, h9: under its size [mm]",
        ("Width over", "over_mm", _number, 0.3),
        ("to", "to_mm", _number, 0.3),
        ("down to", "lower_mm", _places(3), 0.4),
    )
    lengths = " · ".join(_number(row["length_mm"]) for row in read_table("metric_key_lengths"))
    return TableSheet(
        title="Taper keys, metric",
        bands=(((sizes,), (fillets, widths)),),
        lines=(("Lengths of keys [mm]", lengths, "metric_key_lengths"),),
    )


def _threads() -> TableSheet:
    def inch(series: str) -> KeyTable:
        return _table(
            "threads_inch",
            f"{series} [in²]",
            ("Thread", "name", _text, 0.66),
            ("Area", "stress_area_in2", _number, 0.34),
            wanted=lambda row: row["series"] == series,
        )

    metric = _table(
        "threads_metric",
        "ISO coarse [mm²]",
        ("Thread", "name", _text, 0.3),
        ("Pitch, mm", "pitch_mm", _number, 0.35),
        ("Area", "stress_area_mm2", _number, 0.35),
    )
    return TableSheet(
        title="Threads: tensile stress area",
        bands=(((inch("UNC"),), (inch("UNF"), inch("8UN")), (metric,)),),
    )


def _pull() -> TableSheet:
    grades = KeyTable(
        title="Rods and bolts: strength [ksi = 1,000 psi]",
        heads=("Grade", "Size", "Proof", "Yield", "Tensile"),
        rows=tuple(
            (
                str(row["name"]),
                _size(row),
                _number(row["proof_ksi"]),
                _number(row["yield_ksi"]),
                _number(row["tensile_ksi"]),
            )
            for row in read_table("rod_grades")
        ),
        source="rod_grades",
        shares=(0.36, 0.28, 0.12, 0.12, 0.12),
    )
    jacks = _table(
        "jacks",
        "Jacks [US tons; hole in inches]",
        ("Jack", "name", _text, 0.56),
        ("Rated", "rated_tons", _number, 0.22),
        ("Hole", "hole_in", _inch, 0.22),
    )
    friction = _table(
        "friction_states",
        "Friction on the key's faces",
        ("Faces", "name", _text, 0.5),
        ("Low", "low", _places(2), 0.25),
        ("High", "high", _places(2), 0.25),
    )
    welds = _table(
        "weld_electrodes",
        "Weld metal [ksi]",
        ("Electrode", "name", _text, 0.5),
        ("Tensile", "tensile_ksi", _number, 0.5),
    )
    return TableSheet(
        title="The pull: rods, jacks, friction", bands=(((grades,),), ((jacks,), (friction, welds)))
    )


def _size(row: Row) -> str:
    """Write the sizes that a grade's strength holds for, as the bolt is called."""
    metric = str(row["name"]).startswith("ISO")

    def called(value: float) -> str:
        return f"M{value * MM_PER_IN:.0f}" if metric else f"{_inch(value)} in"

    smallest = row["over_in"] == min(
        one["over_in"] for one in read_table("rod_grades") if one["name"] == row["name"]
    )
    to = called(row["to_in"])
    return f"to {to}" if smallest else f"over {called(row['over_in'])} to {to}"


def _metals() -> TableSheet:
    steels = _table(
        "steels",
        "Steels [ksi = 1,000 psi]",
        ("Steel", "name", _text, 0.56),
        ("Yield", "yield_ksi", _number, 0.2),
        ("Tensile", "tensile_ksi", _number, 0.24),
    )
    irons = _table(
        "cast_irons",
        "Cast irons [ksi]",
        ("Iron", "name", _text, 0.72),
        ("Tensile", "tensile_ksi", _number, 0.28),
    )
    factors = _table(
        "service_factors",
        "Peak over steady torque",
        ("Load", "kind", _text, 0.22),
        ("Such as", "name", _text, 0.42),
        ("Electric motor", "electric_motor", _places(2), 0.12),
        ("Engine, many cyl.", "engine_many_cylinders", _places(2), 0.12),
        ("Engine, few cyl.", "engine_few_cylinders", _places(2), 0.12),
    )
    return TableSheet(
        title="Metals, loads, feeler leaves",
        bands=(((steels,), (irons,)), ((factors,),)),
        lines=(
            (
                "Bars to buy, metric [mm]",
                _bars("stock_bars_metric", "mm", _number),
                "stock_bars_metric",
            ),
            (
                "Feeler leaves [in]",
                " · ".join(
                    number_text(row["thickness_in"], places=4 if row["thickness_in"] < 0.003 else 3)
                    for row in read_table("feeler_leaves")
                ),
                "feeler_leaves",
            ),
        ),
    )


def _bars(source: str, unit: str, write: Callable[[Any], str]) -> str:
    """Write bars by width: the square first, then the flats."""
    pairs = [(row[f"width_{unit}"], row[f"height_{unit}"]) for row in read_table(source)]
    square = [write(wide) for wide, high in pairs if wide == high]
    flat = [f"{write(wide)}\u00a0×\u00a0{write(high)}" for wide, high in pairs if wide != high]
    return f"square {', '.join(square)}; flat {', '.join(flat)}"


def table_sheets() -> Sequence[TableSheet]:
    """Return the sheets of tables, in the order of the lessons that use them."""
    return _inch_keys(), _metric_keys(), _threads(), _pull(), _metals()
