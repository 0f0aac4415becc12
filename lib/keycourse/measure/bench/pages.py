"""Pages of readings on the measuring bench: one for each size of slot, none ever lost."""

from __future__ import annotations

import contextlib
import secrets
from typing import Any

from coursework.bench import Changing
from coursework.ink.shop import INCH, ShopUnits
from keycourse.measure.bench.book import SLOT_SIZES, MeasuringBook, practice_slot
from keycourse.measure.bench.slot import TrueSlot
from taperkey.checks import require_in

__all__ = ["NEW_SEED_BELOW", "MeasuringPages"]

NEW_SEED_BELOW = 10**6
_FIRST = next(iter(SLOT_SIZES))


class MeasuringPages(Changing):
    """The page that lies open, the pages of the other sizes, and the one before.

    Parameters
    ----------
    seed : int
        Decides the hidden slot and the scatter of the first page.
    slot : TrueSlot, optional
        A given slot instead of a practice one; then there is one page only.
    units : ShopUnits
        Which micrometer lies on the bench, and how lengths are written.
    """

    nothing_before = "There is no earlier page to bring back."

    def __init__(self, *, seed: int, slot: TrueSlot | None = None, units: ShopUnits = INCH) -> None:
        self.units = units
        self._given = slot
        self.size = _FIRST
        self.book = self._new(seed)
        self._others: dict[str, dict[str, Any]] = {}

    def _new(self, seed: int) -> MeasuringBook:
        slot = self._given or practice_slot(seed=seed, size=self.size)
        return MeasuringBook(slot=slot, seed=seed, units=self.units)

    @property
    def one_only(self) -> bool:
        """Whether a given slot is measured, which cannot be changed for another."""
        return self._given is not None

    def choose(self, size: str, *, seed: int | None = None) -> bool:
        """Lay the page of a size open; return whether it had been begun before.

        Parameters
        ----------
        size : str
            A key of :data:`SLOT_SIZES`.
        seed : int, optional
            Of the slot, when that size has no page yet; new when left out.
        """
        require_in("size of the slot", size, SLOT_SIZES)
        if size == self.size or self.one_only:
            return bool(self.book.session.steps)
        self._others[self.size] = self.book.record()
        self.size = size
        kept = self._others.pop(size, None)
        if kept is not None:
            with contextlib.suppress(ValueError):
                self.book = self._again(kept)
                return bool(self.book.session.steps)
        self.book = self._new(secrets.randbelow(NEW_SEED_BELOW) if seed is None else seed)
        return False

    def start_over(self, *, seed: int | None = None) -> None:
        """Lay an empty page open, for another slot of the same size."""
        if self.one_only:
            raise ValueError("This bench has one slot only. Strike readings out instead.")
        self.lay_aside()
        self.book = self._new(secrets.randbelow(NEW_SEED_BELOW) if seed is None else seed)

    @property
    def _begun(self) -> bool:
        return bool(self.book.session.steps)

    def _own_record(self) -> dict[str, Any]:
        return {**self.book.record(), "size": self.size}

    def _make_room(self, record: dict[str, Any]) -> None:
        self.choose(record["size"])

    def _put_back(self, record: dict[str, Any]) -> None:
        self.book = self._again(record)

    def record(self) -> dict[str, Any]:
        """Return everything but the slots, ready for JSON; no true value is in it."""
        others = {"others": dict(self._others)} if self._others else {}
        return {**super().record(), **others}

    def restore(self, record: Any) -> None:
        """Take up a saved record; raises ``ValueError`` when its open page does not fit."""
        if not isinstance(record, dict):
            raise ValueError(
                "The saved readings cannot be read; the bench starts with an empty page."
            )
        size = record.get("size", _FIRST)  # pages kept before there were sizes are about 1 in
        was = self.size
        self.size = size if size in SLOT_SIZES else _FIRST
        try:
            self.book = self._again(record)
        except ValueError:
            self.size = was
            raise
        others, before = record.get("others"), record.get("before")
        self._others = {}
        for other, kept in others.items() if isinstance(others, dict) else ():
            if other in SLOT_SIZES and other != self.size and isinstance(kept, dict):
                self._others[other] = kept
        fits = isinstance(before, dict) and before.get("size") in SLOT_SIZES
        self._before = before if fits else None

    def _again(self, kept: dict[str, Any]) -> MeasuringBook:
        try:
            seed = int(kept["session"]["seed"])
        except (KeyError, TypeError, ValueError) as broken:
            raise ValueError(
                "The saved readings cannot be read; the bench starts with an empty page."
            ) from broken
        book = self._new(seed)
        book.restore(kept)
        return book
