"""Readings for the trainers to draw, without end; the same ones for the same seed."""

from __future__ import annotations

from coursework.draws import Draws
from keycourse.start.tools import tool_of

__all__ = ["new_reading"]


def new_reading(*, kind: str, seed: int | str, number: int) -> float:
    """Return the reading to draw next, in the tool's own unit, on its finest step.

    Some are ordinary, some have a line of the sleeve or beam that is nearly reached, or just
    passed, where lines are miscounted and a zero gets lost. A micrometer's range starts at 0,
    or at the next inch or 25 mm.

    Parameters
    ----------
    kind : str
        A key of ``keycourse.start.tools.TOOLS``.
    seed : int or str
        Same seed, same readings.
    number : int
        Which reading of the drill, from 1.

    Examples
    --------
    >>> 0.1 < new_reading(kind="inch", seed=1, number=1) < 2
    True
    >>> 0.3 < new_reading(kind="inch caliper", seed=1, number=1) < 5
    True
    """
    tool = tool_of(kind)
    if tool.name == "caliper":
        return _caliper(kind, seed, number)
    draws = Draws(f"{seed}:{kind}:{number}")
    low = tool.span * draws.whole(low=0, high=1)
    lines = round(tool.span / tool.line)
    turn = round(tool.line / tool.thimble)  # thimble divisions
    line = draws.whole(low=max(2, lines // 12), high=lines - 2)
    sort = draws.uniform(low=0.0, high=1.0)
    if sort < 0.2:
        division = draws.whole(low=turn - 2, high=turn - 1)
    elif sort < 0.4:
        division = draws.whole(low=1, high=max(2, turn // 8))
    else:
        division = draws.whole(low=0, high=turn - 1)
    fine = draws.whole(low=0, high=9) if tool.vernier else 0
    value = low + line * tool.line + division * tool.thimble + fine * tool.step
    return round(value, tool.places)


def _caliper(kind: str, seed: int | str, number: int) -> float:
    tool = tool_of(kind)
    draws = Draws(f"{seed}:caliper {kind.removesuffix(' caliper')}:{number}")
    most = round(0.8 * tool.span / tool.line)
    passed = draws.whole(low=round(0.06 * tool.span / tool.line), high=most)
    sort = draws.uniform(low=0.0, high=1.0)
    if sort < 0.25:  # the vernier's 0 stands close before a line, or just past it
        line = draws.whole(low=tool.vernier - 3, high=tool.vernier - 1)
    elif sort < 0.5:
        line = draws.whole(low=1, high=3)
    else:
        line = draws.whole(low=0, high=tool.vernier - 1)
    return round(passed * tool.line + line * tool.fine, tool.places)
