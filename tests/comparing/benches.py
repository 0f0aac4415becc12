"""Sessions at the three benches, done by a script: each step in words, and the summing-up."""

from __future__ import annotations

import functools
import json
import math
from typing import Any

from comparing.cards import told, tried
from comparing.places import our
from comparing.shown import digest, text_of

__all__ = ["session"]


def told_book(book: Any, bench: str, said: list[Any], units: str) -> dict[str, Any]:
    """Return what was said as it went, and the session's replay: as kept, and in other units."""
    kept = json.loads(json.dumps(book.record()))
    found: dict[str, Any] = {"said": said, "record": digest(json.dumps(kept, sort_keys=True))}
    inner = book.book if bench == "measuring" else book
    found["numbers"] = {name: told(value) for name, value in inner.numbers().items()}
    for way in ("history", "outcome", "hidden_in_words", "after_load", "measured"):
        if hasattr(inner, way):
            rows = getattr(inner, way)()
            found[way] = [list(one.cells()) if hasattr(one, "cells") else one for one in rows]
    other = ["SHOP_METRIC"] if units == "SHOP_INCH" else []  # the same pictures, in millimeters
    for way in (units, *other):
        replay = our("replay_of")(bench=bench, record=kept, units=our(way))
        found[f"{way}, last"] = replay.title(replay.count)
        for number in range(1, replay.count + 1):
            frame = replay.frame(number)
            found[f"{way}, step {number}"] = {
                "done": frame.done,
                "seen": list(frame.seen),
                "numbers": [list(row) for row in frame.numbers],
                "pictures": [text_of(one.html()) for one in frame.pictures],
                "summing-up": replay.summing_up(number),
            }
    return found


def fitted(hand: str, seed: int, units: str) -> dict[str, Any]:
    """Return a fitting by one of the bench's own hands, or a few steps done in words."""
    book = our("FittingBook")(seed=seed, units=our(units))
    said: list[Any] = [book.told()]
    if hand in our("HANDS"):
        book.session = our("fit_with")(session=book.session, hand=hand)
        return told_book(book, "fitting", [*said, book.told()], units)
    for step, choices in (
        *(("push", {"load_lbf": 50.0}), ("clean", {}), ("blue", {}), ("push", {"load_lbf": 50.0})),
        *(("file", {"face": "both", "where": our("BRIGHT_ONLY"), "strokes": 15}), ("blue", {})),
        *(("clean file", {}), ("clean", {}), ("blue", {}), ("push", {"load_lbf": 1000.0})),
        ("file", {"face": "top", "where": "one place", "strokes": 3, "u_in": 4.0, "y_in": 0.2}),
        *(("feel", {}), ("lubricate", {"lubricant": "none"}), ("push", {"load_lbf": 500.0})),
        *(("lubricate", {"lubricant": "anti-seize"}), ("drive", {"blows": 3}), ("feel", {})),
        *(("push", {"load_lbf": 50.0}), ("feel", {"leaf_in": 0.003})),
    ):
        act = functools.partial(
            book.file if step == "file" else book.do, *[step] * (step != "file")
        )
        said.append([step, tried(functools.partial(act, **choices))])
    return told_book(book, "fitting", said, units)


def pulled(kind: str, seed: int, units: str) -> dict[str, Any]:
    """Return a pull: measured or not, each rig and hold tried, helped, loaded, ended."""
    book = our("PullingBook")(seed=seed, kind=kind, units=our(units))
    said: list[Any] = [[list(row) for row in book.case.facts(units=our(units))]]

    def act(name: str, *arguments: Any, **choices: Any) -> None:
        seen = tried(functools.partial(getattr(book, name), *arguments, **choices))
        if hasattr(seen, "note"):
            seen = [seen.step, seen.outcome, book.said(seen.note)]
        said.append([name, [*map(str, arguments)], seen, book.measured(), book.after_load()])

    if seed % 3:
        act("do", "measure ends")
    for rig in our("PULL_RIGS"):
        for hold in book.case.holds:
            act("set_up", rig=rig, hold=hold)
            said.append([[one.link.name, f"{one.link.working_lbf:.6g}", one.basis, one.hurt]
                         for one in book.reckoned()])  # fmt: skip
    act("set_up", rig="slide hammer", hold=book.case.holds[0])
    act("load", book.next_load_lbf())
    act("do", "penetrant", hours=12.0)
    act("do", "heat", difference_f=117.0)
    act("do", "wipe")
    act("do", "heat", difference_f=117.0)
    act("set_up", rig="two jacks", hold=book.case.holds[0])
    act("do", "push", load_lbf=1000.0)
    act("add_jacks")
    for _ in range(3 + 5 * (seed % 3)):
        act("load", book.next_load_lbf())
    act("load", 1.0)
    if seed % 2:
        act("do", "ease")
        act("do", "remove hub")
    act("stop")
    return told_book(book, "pulling", said, units)


def measured(size: str, seed: int, units: str) -> dict[str, Any]:
    """Return a page of readings: well taken, badly taken, misread, struck out, summed up."""
    pages = our("MeasuringPages")(seed=seed, units=our(units))
    said: list[Any] = []
    if size:
        pages.choose(size, seed=seed)
    book, down = pages.book, math.pi
    ways = [
        {"station_in": at, "keyway_angle_rad": angle, "way": [(first, 0.0), (last, 0.0)],
         "tightness": tight, "tool": tool, **more}
        for tool in ("inside micrometer" if size else "telescoping gauge",)
        for at, angle, first, last, tight, more in (
            (0.0, down, -0.08, 0.08, 0.5, {}),
            (0.0, down, -0.08, 0.08, 0.5, {}),
            (4.0, down, -0.08, 0.08, 0.5, {}),
            (8.0, down, -0.08, 0.08, 0.5, {}),
            (4.0, 0.0, -0.08, 0.08, 0.5, {}),
            (4.0, 1.5, 0.02, 0.02, 0.95, {}),
            (2.0, down, -0.15, -0.05, 0.05, {}),
            (6.0, down, -0.08, 0.08, 0.5, {"part_temperature_f": 95.0, "zero_error_in": 0.0003}),
        )
    ]  # fmt: skip
    for number, way in enumerate(ways):
        reading = tried(functools.partial(book.take, **way))
        said.append(reading if isinstance(reading, str) else book.felt(reading))
        if book.waiting is not None:
            shows = book.shown_words(book.waiting)
            said.append([shows, [list(book.write_down(text)) for text in ("a lot", "0.5")]])
            typed = shows if number % 4 else f"{book.shown(book.waiting) * 1.01:.4f}"
            said.append(list(book.write_down(typed, as_it_is=not number % 4)))
    for out in (0.5, 2.0):
        slid = tried(functools.partial(book.slide, stand_out_in=out, keyway_angle_rad=down))
        said.append(slid if isinstance(slid, str) else book.felt(slid))
        if book.waiting is not None:
            said.append(list(book.write_down(book.shown_words(book.waiting))))
    book.strike_out(2)
    book.revealed = seed % 2 == 1
    return told_book(pages, "measuring", said, units)


def session(bench: str, kind: str, seed: int, units: str) -> dict[str, Any]:
    """Return one session of a bench."""
    return {"fitting": fitted, "pulling": pulled, "measuring": measured}[bench](kind, seed, units)
