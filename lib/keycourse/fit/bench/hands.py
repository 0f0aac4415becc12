"""Hands that fit a key by a rule: a careful one, and each careless one.

They show a fitting as it should go, and what each bad habit leads to.
"""

from __future__ import annotations

from collections.abc import Callable

from keycourse.fit.bench.blueing import marked_spots
from keycourse.fit.bench.filing import CUT_PER_STROKE_IN3
from keycourse.fit.bench.fitting import FittingSession
from taperkey import practice
from taperkey.checks import require_in

__all__ = ["HANDS", "fit_with"]

DRAW_IN = practice.value("left_to_drive")
"""Stand-out at which the hand stops filing [in]."""

LIGHT_BLOW_IN_LBF = 320.0
"""Energy of a light swing of the sledge, some 12 ft/s [in_lbf]."""

_STOP_IN = DRAW_IN + 0.020
_MOST_FITTINGS = 25
_MOST_STROKES = 6
_MOST_STROKES_NEAR = 4
_AT_A_TIME = 0.25
_NEAR_IN = 0.45


def fit_with(*, session: FittingSession, hand: str) -> FittingSession:
    """Return the session after one kind of hand has fitted and driven the key.

    Parameters
    ----------
    session : FittingSession
        An empty session.
    hand : str
        One of :data:`HANDS`.

    Returns
    -------
    FittingSession
        With the key driven.

    Raises
    ------
    ValueError
        If the hand is not known.

    Assumptions
    -----------
    The hand sees only marks and stand-out.

    Source
    ------
    Careful work: common practice; the habits are written here.
    """
    require_in("hand", hand, HANDS)
    return HANDS[hand](session)


def _load(session: FittingSession) -> float:
    """Push by hand twice, then tap, then tap firmly [lbf]."""
    state = session.state
    if len(state.pushes) < 2:
        return 50.0
    return 1000.0 if state.projection_in < 0.6 else 500.0


def _look(session: FittingSession, clean: bool = True) -> FittingSession:
    if clean:
        session = session.do("clean")
    session = session.do("blue")
    return session.do("push", load_lbf=_load(session))


def _drive(session: FittingSession, clean: bool = True) -> FittingSession:
    if clean:
        session = session.do("clean")
    return session.do("lubricate", lubricant="anti-seize").do(
        "drive", blows=6, energy_in_lbf=LIGHT_BLOW_IN_LBF
    )


def _spots(session: FittingSession, face: str) -> list[list[float]]:
    """Spots to file: thinned blue counts far out, bright marks only near the end.

    Where the marks run up to the mouth, the metal outside stands as high and
    goes in next, so it is filed along with them.
    """
    state = session.state
    if state.marks is None:
        return []
    out = state.projection_in
    level = 1 if out > 0.35 else 2
    found = marked_spots(key=state.key, marks=state.marks, face=face, least=0.05, level=level)
    outside = []
    if out > 0.2:
        for side in (-1.0, 1.0):
            if any(out <= u <= out + 0.75 and y * side >= -0.05 for u, y in found):
                steps = int(out / 0.5) + 1
                outside += [(max(out - 0.25 - 0.5 * n, 0.0), 0.35 * side) for n in range(steps)]
    return [[round(u, 3), round(y, 3)] for u, y in found + outside]


def _file_marks(
    session: FittingSession,
    strokes: int | None = None,
    clean: bool = True,
    target_in: float = DRAW_IN,
) -> FittingSession:
    """File the marks of both faces; by the metal that is left where no strokes are given."""
    if clean:
        session = session.do("clean")
    listed = {face: _spots(session, face) for face in ("top", "bottom")}
    if strokes is None:
        strokes = _strokes(session, sum(map(len, listed.values())), target_in)
    for face, spots in listed.items():
        if clean:
            session = session.do("clean file")
        if spots:
            session = session.do("file", face=face, spots=spots, strokes=strokes)
    return session


def _strokes(session: FittingSession, spots: int, target_in: float = DRAW_IN) -> int:
    """Strokes on each spot: what takes the metal off that is left, no more than a few at a time."""
    out, key = session.state.projection_in, session.state.key
    left = (out - target_in) * key.taper_in_per_in
    volume = _AT_A_TIME * left * key.length_in * key.width_in
    most = _MOST_STROKES if out > _NEAR_IN else _MOST_STROKES_NEAR
    return max(1, min(most, round(volume / CUT_PER_STROKE_IN3 / max(1, spots))))


def _until(
    session: FittingSession, work: Callable[[FittingSession], FittingSession], stop_in: float
) -> FittingSession:
    """Work and look, until the draw is what is wanted or patience ends."""
    while session.state.projection_in > stop_in:
        if len(session.state.pushes) >= _MOST_FITTINGS:
            break
        session = _look(work(session))
    return session


def _careful(session: FittingSession) -> FittingSession:
    session = _look(session)
    session = _until(session, _file_marks, _STOP_IN)
    return _drive(session)


def _one_end(session: FittingSession) -> FittingSession:
    session = _look(session)
    for _ in range(12):
        session = session.do("clean")
        for face in ("top", "bottom"):
            spots = [spot for spot in _spots(session, face) if spot[0] < 3.0]
            spots = spots or [[session.state.projection_in + 0.5, 0.0]]
            session = session.do("file", face=face, spots=spots, strokes=15)
        session = _look(session)
        if session.state.projection_in < _STOP_IN:
            break
    return _drive(session)


def _early(session: FittingSession) -> FittingSession:
    session = _look(session)
    for _ in range(2):
        session = _look(_file_marks(session, 15))
    return _drive(session)


def _over_filed(session: FittingSession) -> FittingSession:
    session = _look(session)
    session = _until(session, lambda now: _file_marks(now, target_in=-0.05), 0.03)
    return _drive(session)


def _heavy(session: FittingSession) -> FittingSession:
    session = _look(session)
    session = _until(session, lambda now: _file_marks(now, 90), _STOP_IN)
    return _drive(session)


def _unmarked(session: FittingSession) -> FittingSession:
    def work(now: FittingSession) -> FittingSession:
        number = len(now.state.pushes)
        now = _file_marks(now)
        length = now.state.key.length_in
        places = [[length * (0.2 + 0.15 * ((number + i) % 5)), 0.0] for i in range(2)]
        for face in ("top", "bottom"):
            now = now.do("file", face=face, spots=places, strokes=40)
        return now

    return _drive(_until(_look(session), work, _STOP_IN))


def _never_clean(session: FittingSession) -> FittingSession:
    session = _look(session, clean=False)
    while session.state.projection_in > _STOP_IN and len(session.state.pushes) < 14:
        session = _file_marks(session, clean=False)
        session = _look(session, clean=False)
    return _drive(session, clean=False)


HANDS: dict[str, Callable[[FittingSession], FittingSession]] = {
    "careful": _careful,
    "one end only": _one_end,
    "drives early": _early,
    "over-files": _over_filed,
    "heavy cuts": _heavy,
    "files unmarked metal": _unmarked,
    "never cleans": _never_clean,
}
"""Each hand and what it does."""
