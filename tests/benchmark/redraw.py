"""A live figure redrawn in the page's process: ours, and the same drawing with matplotlib."""

from __future__ import annotations

import io
from typing import Any

from benchmark.table import Row, Times, at_least, clock, profile_of, row

__all__ = ["live_figures", "measure_redraw"]


def live_figures() -> list[str]:
    """Return the names of the figures that follow a slider."""
    from keycourse import lesson

    return [name for name in lesson.__all__ if name.endswith("_explorer")] + ["measuring_bench"]


def _moves(control: Any) -> tuple[Any, float, float]:
    """Return a slider and two values of it, a step apart."""
    slider = control.slider
    low = slider.min + 0.25 * (slider.max - slider.min)
    low = slider.min + round((low - slider.min) / slider.step) * slider.step
    return slider, low, low + slider.step


def first_slider(inputs: dict[str, Any]) -> str:
    """Return the name of the first control that is a slider."""
    return next(name for name, one in inputs.items() if hasattr(one, "slider"))


def measure_redraw(quick: bool) -> list[Row]:
    """Compare every live figure with the same drawing in a reused matplotlib set-up."""
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt
    from benchmark.matplotlib_sheet import must_draw, on_matplotlib, on_paper, parts_of

    from keycourse import lesson

    rounds = 10 if quick else 40
    ours: dict[str, Times] = {}
    acts: dict[str, Any] = {}
    for name in live_figures():
        face = getattr(lesson, name)().face
        control = face.lean if name == "measuring_bench" else face.inputs[first_slider(face.inputs)]
        slider, one, other = _moves(control)
        values = iter([one, other] * 10_000)

        def move(slider: Any = slider, values: Any = values) -> None:
            slider.value = next(values)

        move()
        ours[name] = clock(move, rounds)
        acts[name] = move
    rest = {
        name: profile_of(lambda act=act: [act() for _ in range(20)]) for name, act in acts.items()
    }

    theirs: dict[str, Times] = {}
    shown = plt.show

    def as_inline() -> None:
        figure = plt.gcf()
        figure.savefig(io.BytesIO(), format="png", bbox_inches="tight")
        plt.close(figure)

    plt.show = as_inline
    on_matplotlib()
    try:
        for name in live_figures():
            inputs, compute, draw, tell = _quietly(parts_of, name)
            control = inputs[first_slider(inputs)]
            values = {key: one.value for key, one in inputs.items()}
            _, one, other = _moves(control)
            turns = iter([one, other] * 10_000)
            key = first_slider(inputs)

            def again(
                values: Any = values, key: str = key, turns: Any = turns, compute: Any = compute,
                draw: Any = draw, tell: Any = tell,
            ) -> None:  # fmt: skip
                result = compute(**{**values, key: next(turns)})
                draw(result)
                tell(result)

            with must_draw(name):
                again()
            theirs[name] = clock(again, rounds)
    finally:
        plt.show = shown
        plt.close("all")
        on_paper()
    rows = []
    for name, times in ours.items():
        base = row("redraw", f"{name}: new figure of matplotlib, to PNG", theirs[name])
        rows += [
            base,
            row("redraw", f"{name}: as the course draws it", times, against=base,
                limits=[at_least("faster", 3.0)], rest=rest[name]),
        ]  # fmt: skip
    return rows


def _quietly(act: Any, name: str) -> Any:
    """Return what `act` gives, with the figures that it drew on the way closed."""
    import matplotlib.pyplot as plt

    found = act(name)
    plt.close("all")
    return found
