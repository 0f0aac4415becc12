"""Controls of the live pages: slider with number box, choice, button, picture, words.

Everything works from the keyboard. A slider has no name that a screen reader
can say, so each one stands beside a number box that has; results are said in
words as well as shown.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from html import escape
from typing import Any, Protocol

import ipywidgets
import traitlets

import coursework.page.acts  # noqa: F401  - before any widget is made
from coursework.ink.drawing import Picture

__all__ = [
    "FULL_WIDTH",
    "MISSES_BEFORE_THE_LINES",
    "UNSET",
    "Face",
    "LabelledSlider",
    "MemoryStore",
    "Store",
    "choice",
    "entry_box",
    "heading",
    "labelled_slider",
    "picture_box",
    "press_button",
    "say",
    "say_first",
    "show",
    "words_box",
]

#: Width of a part of a bench: the frame puts a margin of 2 px on either side of it.
FULL_WIDTH = "calc(100% - 4px)"

#: Misses at one reading, or on one set of numbers, before the worked lines are shown.
MISSES_BEFORE_THE_LINES = 2

#: Value of a list in which nothing is chosen yet.
UNSET = ""

_TONES = {"plain": "plain", "right": "ok", "wrong": "slip"}


class Store(Protocol):
    """Where a face keeps what must outlive the page; values are plain, ready for JSON."""

    def get(self, key: str, /) -> Any:
        """Return what was kept, or None."""

    def set(self, key: str, value: Any, /) -> Any:
        """Keep a value; may return a sentence when that failed."""


class MemoryStore:
    """A store for one sitting."""

    def __init__(self) -> None:
        self._kept: dict[str, Any] = {}

    def get(self, key: str) -> Any:
        """Return what was kept, or None."""
        return self._kept.get(key)

    def set(self, key: str, value: Any) -> None:
        """Keep a value."""
        self._kept[key] = value


class LabelledSlider(traitlets.HasTraits):
    """A slider and a labeled number box that move together; `widget` is what is shown."""

    value = traitlets.Float()

    def __init__(
        self,
        *,
        label: str,
        value: float,
        low: float,
        high: float,
        step: float,
        unit: str,
        tip: str = "",
    ) -> None:
        hint = tip or f"{label}, {low:g} to {high:g} {unit}".rstrip()
        self.box = ipywidgets.BoundedFloatText(
            description=label,
            value=value,
            min=low,
            max=high,
            step=step,
            tooltip=hint,
        )
        self.slider = ipywidgets.FloatSlider(
            value=value,
            min=low,
            max=high,
            step=step,
            readout=False,
            tooltip=hint,
        )
        self.slider.description = ""
        unit_text = ipywidgets.HTML(
            f'<span style="white-space:nowrap">{escape(unit)}</span>',
        )
        super().__init__()
        self.widget = ipywidgets.HBox(
            [self.box, unit_text, self.slider],
            layout={"width": "100%"},
        )
        self.widget.add_class("tk-slide")
        self.value = value
        # a slider in the browser sends 4999.999999999999 for 5000: the box gets it rounded
        rounded = (lambda sent: round(sent, 9), lambda typed: typed)
        traitlets.link((self.slider, "value"), (self.box, "value"), transform=rounded)
        traitlets.link((self.box, "value"), (self, "value"))

    def limit(self, *, low: float, high: float) -> None:
        """Change the ends of the range; the value is brought inside."""
        value = min(max(self.value, low), high)
        for part in (self.slider, self.box):
            part.min = min(low, part.min)
            part.max = max(high, part.max)
        self.slider.value = value
        for part in (self.slider, self.box):
            part.min, part.max = low, high


def labelled_slider(
    *,
    label: str,
    value: float,
    low: float,
    high: float,
    step: float,
    unit: str,
    tip: str = "",
) -> LabelledSlider:
    """Return a slider paired with a labeled number box, unit shown."""
    return LabelledSlider(
        label=label, value=value, low=low, high=high, step=step, unit=unit, tip=tip
    )


def choice(
    *, label: str, options: Sequence[tuple[str, Any]], value: Any = None, tip: str = ""
) -> ipywidgets.Dropdown:
    """Return a labeled list; without a value it starts unset."""
    listed = list(options) if value is not None else [("choose …", UNSET), *options]
    return ipywidgets.Dropdown(
        description=label,
        options=listed,
        value=UNSET if value is None else value,
        tooltip=tip or label,
        style={"description_width": "190px"},
        layout={"width": "420px", "max_width": FULL_WIDTH},
    )


def entry_box(*, label: str, hint: str, tip: str = "") -> ipywidgets.Text:
    """Return a labeled text box; Enter or leaving the box commits it."""
    return ipywidgets.Text(
        description=label,
        placeholder=hint,
        tooltip=tip or f"{label}: {hint}",
        continuous_update=False,
        style={"description_width": "190px"},
        layout={"width": "420px", "max_width": FULL_WIDTH},
    )


def press_button(
    *, label: str, on_press: Callable[[], None], tip: str = "", strong: bool = False
) -> ipywidgets.Button:
    """Return a button with its tip."""
    button = ipywidgets.Button(
        description=label,
        tooltip=tip or label,
        button_style="primary" if strong else "",
        layout={"width": "auto", "min_width": "130px", "min_height": "36px"},
    )
    button.on_click(lambda _: on_press())
    return button


def picture_box() -> ipywidgets.HTML:
    """Return an empty place for a picture."""
    return ipywidgets.HTML(layout={"width": FULL_WIDTH})


def words_box() -> ipywidgets.HTML:
    """Return an empty place for results in words; changes are read out politely."""
    box = ipywidgets.HTML(layout={"width": FULL_WIDTH})
    say(box, "")
    return box


def show(box: ipywidgets.HTML, picture: Picture) -> None:
    """Put a picture into its place; nothing is sent when it is the same."""
    html = picture.html()
    if box.value != html:
        box.value = html


def say(box: ipywidgets.HTML, words: str | Sequence[str], *, tone: str = "plain") -> None:
    """Say something in words: one line, or several."""
    lines = [words] if isinstance(words, str) else list(words)
    box.said = (lines, tone)
    name = _TONES[tone]
    inside = "".join(f"<p>{escape(line)}</p>" for line in lines if line)
    sign = f'<span aria-hidden="true" class="tk-sign tk-sign-{name}"></span>'
    look = f' class="tk-told tk-is-{name}"' if inside else ""
    told = f"{sign}<div>{inside}</div>" if inside else ""
    html = f'<div role="status" aria-live="polite"{look}>{told}</div>'
    if box.value != html:
        box.value = html


def say_first(box: ipywidgets.HTML, words: str) -> None:
    """Say a sentence before what stands in a box of words."""
    lines, tone = box.said
    say(box, [words, *lines], tone=tone)


def heading(words: str, under: str = "") -> ipywidgets.HTML:
    """Return the name of a bench and what to do there."""
    below = f"<p>{escape(under)}</p>" if under else ""
    return ipywidgets.HTML(
        f'<div class="tk-bench-name"><b>{escape(words)} </b>{below}</div>',
        layout={"width": FULL_WIDTH},
    )


class Face:
    """Inputs, one pure computation, and what is drawn and said of its result.

    Parameters
    ----------
    title, under : str
        Name of the face, and what to do.
    inputs : mapping
        Name of an argument of `compute` to its control.
    compute : callable
        Pure: keyword arguments to a result. A ``ValueError`` is said in words.
    draw : callable
        Result to picture.
    tell : callable
        Result to lines of words.
    """

    def __init__(
        self,
        *,
        title: str,
        under: str,
        inputs: Mapping[str, Any],
        compute: Callable[..., Any],
        draw: Callable[[Any], Picture],
        tell: Callable[[Any], Sequence[str]],
    ) -> None:
        self.inputs = dict(inputs)
        self._compute, self._draw, self._tell = compute, draw, tell
        self.picture = picture_box()
        self.words = words_box()
        self.redraws = 0
        self.widget = ipywidgets.VBox(
            [
                heading(title, under),
                *(getattr(one, "widget", one) for one in self.inputs.values()),
                self.words,
                self.picture,
            ],
            layout={"width": FULL_WIDTH},
        )
        self.widget.face = self
        for control in self.inputs.values():
            control.observe(self._changed, names="value")
        self.refresh()

    def _changed(self, _: Any) -> None:
        self.refresh()

    def refresh(self) -> None:
        """Compute, draw and say once."""
        try:
            result = self._compute(**{name: one.value for name, one in self.inputs.items()})
            picture, lines = self._draw(result), self._tell(result)
        except ValueError as refused:
            say(self.words, str(refused), tone="wrong")
            return
        self.redraws += 1
        show(self.picture, picture)
        say(self.words, lines)
