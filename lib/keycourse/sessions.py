"""Kept bench sessions: where they are, how one is read from a file, and what it came to.

A session is kept in a file of its own in its page's folder, by an earlier version as a note
in the entries file. Here it is only read: a file that cannot be used is left as it is.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from coursework.ink.shop import INCH, ShopUnits
from coursework.page.entries import FORMAT, MOST_BYTES
from coursework.page.steplog import MOST_LOG_BYTES, log_name, record_in
from keycourse.benches import BENCHES
from keycourse.fit.bench.book import FittingBook
from keycourse.fit.bench.fitting import FEELER_LEAF_IN
from keycourse.measure.bench.pages import MeasuringPages
from keycourse.pull.bench.book import PullingBook
from taperkey.checks import require_in

__all__ = ["BENCHES", "open_book", "read_session", "sum_up", "summing_up_in_words"]

MOST_STEPS = 3000
"""A session with more steps is not from a bench; a fitting has about a hundred."""

FILE_NAME = "answers.json"
_PLACES = ("", "lessons")
_LABELS: Mapping[str, str] = MappingProxyType(
    {
        "readings": "Readings taken",
        "written": "Written down",
        "struck_out": "Struck out",
        "misread": "Not written as the micrometer showed",
        "not_at_bottom": "Keyway not at the bottom",
        "left_leaning": "Left leaning",
        "not_held": "Not held by the lock on the way out",
        "zero_tries": "Tries on a standard",
        "widths": "Widths",
        "stations": "Stations",
        "longest_base_in": "Longest base",
        "scatter_in": "Scatter at one place",
        "mouth_in": "Height at the mouth, by the readings",
        "taper_in_per_in": "Taper, by the readings",
        "true_mouth_in": "Height at the mouth, true",
        "true_taper_in_per_in": "Taper, true",
        "worst_station_off_in": "Farthest off at a station",
        "driven": "Driven",
        "home": "Home",
        "fittings": "Rounds of fitting",
        "strokes": "File strokes",
        "unmarked_strokes": "Strokes where nothing was bright",
        "pushes_not_cleaned": "Pushes without cleaning",
        "first_stand_out_in": "Stand-out at the first push",
        "draw_in": "Stand-out at the last push",
        "stand_out_in": "Stand-out at the end",
        "travel_in": "Travel by filing",
        "filed_off_in": "Metal filed off, both faces, mean",
        "travel_per_thousandth_in": "Travel for {fine_step} filed off",
        "over_filed_in": "Over-filed by",
        "bright_share": "Bright at the last push",
        "bearing_share": "Faces that bear after the drive",
        "feeler_top_in": "Leaf {leaf} goes in at the top",
        "feeler_bottom_in": "Leaf {leaf} goes in at the bottom",
        "feeler_sides": "Leaf {leaf} goes in at the sides",
        "seat_force_lbf": "Push at the end of the drive",
        "mean_pressure_psi": "Pressure on the faces, mean",
        "over": "Brought to an end",
        "outcome": "Outcome",
        "stopped": "Stopped and called someone",
        "ends_measured": "Both ends measured",
        "small_end_shows": "Hub turned round, small end shows",
        "loads": "Pulls, blows and pushes",
        "peak_lbf": "Highest load",
        "start_lbf": "Load that starts it now",
        "start_first_lbf": "Load that started it as found",
        "expected_low_lbf": "Expected, low",
        "expected_high_lbf": "Expected, high",
        "weakest": "Weakest link of the rig",
        "weakest_lbf": "Its working load",
        "margin_lbf": "Working load less the load that starts it",
        "links_broken": "Links that gave way",
        "links_over_working": "Links over their working load",
        "faults": "Faults",
    }
)
_OUTCOMES: Mapping[str, str] = MappingProxyType(
    {
        "out": "the key is out",
        "hub off": "the hub is off",
        "stuck": "the key has not moved",
        "broken": "a link gave way",
    }
)
#: What stays hidden until the apprentice has finished, bench by bench.
_HIDDEN: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "measuring": ("true_mouth_in", "true_taper_in_per_in", "worst_station_off_in"),
        "fitting": (),
        "pulling": ("small_end_shows", "start_lbf", "start_first_lbf", "margin_lbf"),
    }
)
_SHARES = ("bright_share", "bearing_share")
_SMALL = ("filed_off_in", "over_filed_in", "scatter_in", "worst_station_off_in")
_FINE_STEP_MM = 0.01

Book = FittingBook | MeasuringPages | PullingBook


def open_book(*, bench: str, record: Any, units: ShopUnits = INCH) -> Book:
    """Return the book of a kept session, as it was left.

    Parameters
    ----------
    bench : str
        A key of :data:`BENCHES`.
    record : dict
        What the bench kept.
    units : ShopUnits
        How the book writes lengths and loads.

    Raises
    ------
    ValueError
        If the record is not of this bench, or cannot be played again.
    """
    require_in("bench", bench, BENCHES)
    steps = _steps_in(record)
    if steps > MOST_STEPS:
        raise ValueError(
            f"number of steps is {steps:,}; it must be at most {MOST_STEPS:,}. This session does"
            " not come from a bench."
        )
    book: Book
    if bench == "measuring":
        book = MeasuringPages(seed=0, units=units)
    elif bench == "fitting":
        book = FittingBook(seed=0, units=units)
    else:
        book = PullingBook(seed=0, units=units)
    book.restore(record)
    return book


def _steps_in(record: Any, *, deep: int = 4) -> int:
    """Return how many steps a record holds, those of earlier and other pages included."""
    if not isinstance(record, dict) or not deep:
        return 0
    own = record.get("steps")
    inside = sum(_steps_in(one, deep=deep - 1) for one in record.values())
    return inside + (len(own) if isinstance(own, list) else 0)


def sum_up(*, bench: str, record: Any) -> dict[str, Any]:
    """Return what a kept session came to, in plain numbers that an exercise can mark.

    Parameters
    ----------
    bench : str
        A key of :data:`BENCHES`.
    record : dict
        What the bench kept; of the measuring bench the page that lies open counts.

    Returns
    -------
    dict
        Flat, ready for JSON, units in the names: see `numbers` of
        :class:`~keycourse.measure.bench.book.MeasuringBook`,
        :class:`~keycourse.fit.bench.book.FittingBook` and
        :class:`~keycourse.pull.bench.book.PullingBook`. The same record gives the
        same numbers every time. Hidden values are in it.

    Raises
    ------
    ValueError
        If the record is not of this bench, or cannot be played again.
    """
    book = open_book(bench=bench, record=record)
    return (book.book if isinstance(book, MeasuringPages) else book).numbers()


def summing_up_in_words(
    *, bench: str, numbers: Mapping[str, Any], hidden: bool, units: ShopUnits = INCH
) -> list[tuple[str, str]]:
    """Return the summing-up as lines of a table: what, and how much with its unit.

    Parameters
    ----------
    bench : str
        A key of :data:`BENCHES`.
    numbers : mapping
        From :func:`sum_up`.
    hidden : bool
        Whether hidden values are told as well.
    units : ShopUnits
        How lengths and loads are written.
    """
    kept_back = () if hidden else _HIDDEN[bench]
    sizes = {
        "leaf": units.leaf(FEELER_LEAF_IN),
        "fine_step": f"{_FINE_STEP_MM:g} mm" if units.metric else "a thousandth",
    }
    return [
        (_LABELS[name].format(**sizes), _with_unit(name, value, units))
        for name, value in numbers.items()
        if name not in kept_back
    ]


def _with_unit(name: str, value: Any, units: ShopUnits) -> str:
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(value) or "none"
    if isinstance(value, str):
        return _OUTCOMES.get(value, value) or "–"
    if name in _SHARES:
        return f"{100 * value:.0f} %"
    if name.endswith("_in_per_in"):
        slope = units.taper(value)
        return slope if units.metric else f"{value:.5f} in/in ({slope})"
    if name == "over_filed_in" and not value:
        return "nothing"
    if name == "travel_per_thousandth_in":
        per_step = value * _FINE_STEP_MM / units.per_in * 1000 if units.metric else value
        return units.travel(per_step)
    if name in _SMALL:
        return units.small(value)
    if name.startswith("feeler"):
        return units.long(value) if value >= 0.125 else "nowhere"
    if name.endswith("_in"):
        return units.height(value) if "mouth" in name else units.travel(value)
    if name.endswith("_lbf"):
        return units.load(value, "down" if name == "weakest_lbf" else "near")
    if name.endswith("_psi"):
        return units.pressure(value)
    return f"{value:,}"


def read_session(*, place: str, bench: str, beside: Path) -> Any:
    """Return the record that a bench kept in an apprentice's folder; the file is only read.

    Parameters
    ----------
    place : str
        Path as typed: the course folder, the folder of the page, or the file in it.
    bench : str
        A key of :data:`BENCHES`.
    beside : Path
        Folder that a path without a beginning is counted from, and that every path must stay in.

    Raises
    ------
    ValueError
        Nothing is typed, or no session can be had there: the same sentence whatever the reason.
    """
    require_in("bench", bench, BENCHES)
    typed = place.strip().strip("\"'").strip()
    if not typed:
        raise ValueError("No path is typed. Type the apprentice's folder.")
    # One sentence for all that cannot be used, so that none tells what lies where.
    none = ValueError(
        f"No session of the {bench} bench can be replayed from {typed[:200]}; it must lie in the "
        "folder of this course. Copy the apprentice's whole folder into it."
    )
    try:
        inside = beside.resolve()
        log = str(log_name(BENCHES[bench]))
        path = _kept_in((inside / Path(typed).expanduser()).resolve(), log)
        if inside not in path.parents or not path.is_file():
            raise none
        path = path.resolve()  # a file in a folder may be a link that leads out
        logged = path.name == log
        most = MOST_LOG_BYTES if logged else MOST_BYTES
        if inside not in path.parents or path.stat().st_size > most:
            raise none
        if logged:
            record = record_in(path.read_bytes())
        else:
            content = json.loads(path.read_bytes().decode("utf-8"))
            if content["format"] != FORMAT:
                raise none
            record = content["notes"][BENCHES[bench]]
    except (OSError, ValueError, RuntimeError, RecursionError, LookupError, TypeError):
        raise none from None
    if not record:
        raise none
    return record


def _kept_in(path: Path, log: str) -> Path:
    """Return the file that keeps a bench's steps, or the entries file of an earlier version."""
    places = [path / place for place in _PLACES] if path.is_dir() else [path.parent]
    for name in (log, FILE_NAME):
        for place in places:
            if (place / name).is_file():
                return place / name
    raise FileNotFoundError(path)
