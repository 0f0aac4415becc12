"""What every bench shares without a form around it: its steps, and the one thing laid aside.

A bench is a session of steps. A session's record is its seed and its steps, nothing hidden; it
is taken up by doing the steps again. What lies on a bench may be changed for another; the one
before is laid aside and can be fetched back. The forms around it stand in
``coursework.page.bench``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, ClassVar, Self

from taperkey.checks import require_in

__all__ = ["Acts", "Changing", "Steps", "act_of"]

Acts = Mapping[str, tuple[Callable[..., Any], Sequence[str]]]
"""What a bench can do: the name of a step to its function and the choices it takes."""


class Steps:
    """A session as the steps done in it; every change returns a new session.

    A session says what it looks like with nothing done (`emptied`) and how a step of a record is
    done (`again`); the rest is here.
    """

    bench: ClassVar[str]
    seed: int
    steps: tuple[dict[str, Any], ...]

    def emptied(self, *, seed: int) -> Self:
        """Return the session on the same thing with no step yet."""
        raise NotImplementedError

    def again(self, step: dict[str, Any]) -> Self:
        """Return the session with a step of a record done as it was done then."""
        raise NotImplementedError

    def record(self) -> dict[str, Any]:
        """Return seed and steps, ready for JSON; no hidden value is in it."""
        return {"bench": self.bench, "seed": self.seed, "steps": [dict(s) for s in self.steps]}

    def resumed(self, record: Mapping[str, Any]) -> Self:
        """Return the session with the steps of a record done again, on the same thing.

        Raises
        ------
        ValueError
            If the record is of another bench or holds a step that cannot be done.
        """
        require_in("bench of the record", record.get("bench"), (self.bench,))
        session = self.emptied(seed=int(record["seed"]))
        for step in record["steps"]:
            session = session.again(dict(step))
        return session


class Changing:
    """What lies on a bench, where another can be put in its place and the one before fetched back.

    A book says what is kept of the thing on the bench (`_own_record`), whether anything was done
    to it (`_begun`) and how it is put back (`_put_back`).
    """

    nothing_before: ClassVar[str] = "There is nothing to fetch back."
    _before: dict[str, Any] | None = None

    @property
    def _begun(self) -> bool:
        raise NotImplementedError

    def _own_record(self) -> dict[str, Any]:
        raise NotImplementedError

    def _put_back(self, record: dict[str, Any]) -> None:
        raise NotImplementedError

    def _make_room(self, record: dict[str, Any]) -> None:
        """Clear the place where a record is about to be put back."""

    @property
    def before(self) -> dict[str, Any] | None:
        """Record of what lay there before; None without one."""
        return self._before

    @property
    def can_take_back(self) -> bool:
        """Whether there is something to fetch back."""
        return self._before is not None

    def lay_aside(self) -> None:
        """Keep what lies there, if anything was done to it, before another is put in its place."""
        if self._begun:
            self._before = self._own_record()

    def take_back(self) -> dict[str, Any]:
        """Fetch back what lay there before, and return its record.

        What lies there now is laid aside for it.
        """
        if self._before is None:
            raise ValueError(self.nothing_before)
        before = self._before
        self._make_room(before)
        now = self._own_record() if self._begun else None
        self._put_back(before)
        self._before = now
        return before

    def record(self) -> dict[str, Any]:
        """Return what is kept, ready for JSON; no hidden value is in it."""
        record = self._own_record()
        if self._before is not None:
            record["before"] = self._before
        return record


def act_of(step: Mapping[str, Any], acts: Acts) -> tuple[Callable[..., Any], dict[str, Any]]:
    """Return the function and the choices of a step.

    Raises
    ------
    ValueError
        If the bench has no such step, or the step no such choice.
    """
    require_in("step", step.get("do"), tuple(acts))
    act, known = acts[step["do"]]
    choices = {name: value for name, value in step.items() if name != "do"}
    for name in choices:
        require_in("choice", name, known or ("none",))
    return act, choices
