"""What the benches share of keeping: taking up, appending, and two windows on one bench."""

from __future__ import annotations

import contextlib
import functools
from collections.abc import Callable, Iterator
from typing import Any, TypeVar, cast

import ipywidgets

from coursework.page.controls import Store, say_first
from coursework.page.entries import EntriesFile
from taperkey.counts import counted

__all__ = ["KeptBench", "bench_act"]

#: What says which key, slot or page lies on a bench; the rest of a record grows with the steps.
_THING = ("seed", "kind", "size", "before")
_NO_NEWS = object()
Act = TypeVar("Act", bound=Callable[..., None])


class KeptBench:
    """A bench whose steps are kept; its face says how they are taken up and shown."""

    store_key: str
    book: Any
    words: Any

    # what a face says

    def _record(self) -> Any:
        """Return what is to be kept."""
        return self.book.record()

    def _restore(self, record: Any) -> None:
        """Take up what was kept; raises ``ValueError`` when it does not fit."""
        self.book.restore(record)

    def _show_all(self, *, other: bool) -> None:
        """Show the bench as it is now; `other` says that another thing lies on it."""
        raise NotImplementedError

    # taking up and keeping

    def _take_up(self, store: Store, *, back: Callable[[], str]) -> list[str]:
        """Take up what the store keeps; return what is to be told, `back` when something came."""
        self._store, self._known, self._kept = store, 0, None
        self._log = store.log(self.store_key) if isinstance(store, EntriesFile) else None
        told = []
        try:
            kept = self._read()
        except OSError as broken:
            return [f"{broken}. Ask for help before you go on: no step is kept."]
        if self._log is not None:
            told.append(self._log.take_notice())
        if kept:
            try:
                self._restore(kept)
                self._kept = kept
                told.append(back())
            except ValueError as refused:
                told.append(str(refused))
        return [one for one in told if one]

    def _read(self) -> Any:
        if self._log is None:
            return self._store.get(self.store_key)
        with contextlib.suppress(OSError), self._log.turn():  # a folder may be there to read only
            pass
        kept = self._log.read()
        self._known = self._log.number
        return kept

    def _keep_steps(self) -> str:
        """Keep what was done; return a sentence if that failed."""
        record = self._record()
        if isinstance(self._store, EntriesFile) and self._log is not None:
            trouble = self._store.keep(self.store_key, record, after=self._known)
            if not trouble:
                self._known, self._kept = self._log.number, record
            return trouble
        trouble = self._store.set(self.store_key, record)
        return trouble if isinstance(trouble, str) else ""

    # two windows

    @contextlib.contextmanager
    def _turn(self) -> Iterator[Any]:
        """Keep other windows waiting during an act; gives what they did, or `_NO_NEWS`."""
        if self._log is None:
            yield _NO_NEWS
            return
        with contextlib.ExitStack() as held:
            with contextlib.suppress(OSError):  # keeping will say so
                held.enter_context(self._log.turn())
            news = _NO_NEWS
            if self._log.number != self._known:
                news, self._known = self._log.read(), self._log.number
            yield news

    def _go_on_from(self, news: Any) -> tuple[bool, str]:
        """Take up what another window did; return whether one may go on, and what to tell."""
        before, self._kept = self._kept, news
        try:
            self._restore(news)
        except ValueError as refused:
            return False, str(refused)
        other = before is not None and _thing(before) != _thing(news)
        self._show_all(other=other)
        if other:
            return False, (
                "In another window something else was put on this bench. It is here now, and what "
                "you pressed was not done: look, then go on."
            )
        more = len(_steps(news)) - len(_steps(before))
        if more == 1:
            what = "1 step was done on this bench. It stands here now, and yours comes after it."
        elif more > 1:
            what = (
                f"{counted(more, 'step')} were done on this bench. They stand here now, and yours "
                "comes after them."
            )
        else:
            what = "this bench was worked on. It is here as it was left, and you go on from there."
        return True, f"In another window {what}"

    def _tell_news(self, news: str, boxes: dict[Any, str]) -> None:
        changed = [box for box, was in boxes.items() if box.value != was]
        say_first(changed[0] if changed else self.words, news)

    def _boxes(self) -> dict[Any, str]:
        return {
            box: box.value
            for box in vars(self).values()
            if isinstance(box, ipywidgets.HTML) and hasattr(box, "said")
        }


def bench_act(act: Act) -> Act:
    """Make a method of a bench an act that follows whatever other windows did before it."""

    @functools.wraps(act)
    def acted(face: Any, *args: Any, **choices: Any) -> None:
        with face._turn() as news:
            if news is _NO_NEWS:
                act(face, *args, **choices)
                return
            may, told = face._go_on_from(news)
            boxes = face._boxes()
            if may:
                act(face, *args, **choices)
            face._tell_news(told, boxes)

    return cast(Act, acted)


def _thing(record: Any) -> list[Any]:
    session = record.get("session", {}) if isinstance(record, dict) else {}
    return [*(record.get(name) for name in _THING), session.get("seed")]


def _steps(record: Any) -> Any:
    if not isinstance(record, dict):
        return ()
    return record.get("session", record).get("steps", ())
