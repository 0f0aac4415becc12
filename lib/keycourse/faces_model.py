"""What a bench models, in a picture for the instructor."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

import ipywidgets

import coursework.page.acts  # noqa: F401  - before any widget is made
from coursework.ink.drawing import Picture
from coursework.ink.shop import ShopUnits, shop_units
from keycourse.fit.model_picture import draw_fitting_model
from keycourse.pull.model_picture import draw_pulling_model
from taperkey.checks import require_in
from taperkey.units import System

__all__ = ["bench_model"]

_DRAWN: Mapping[str, Callable[[ShopUnits], Picture]] = MappingProxyType(
    {
        "fitting": lambda units: draw_fitting_model(units=units),
        "pulling": lambda units: draw_pulling_model(units=units),
    }
)


def bench_model(bench: str, *, system: System = "inch") -> ipywidgets.HTML:
    """Return the picture of a bench's model, folded.

    Parameters
    ----------
    bench : str
        "fitting" or "pulling".
    system : {"inch", "metric"}
        Which units come first.
    """
    require_in("bench", bench, _DRAWN)
    picture = _DRAWN[bench](shop_units(system))
    return ipywidgets.HTML(
        f"<details><summary>For the instructor: what the {bench} bench models (show)</summary>"
        f"{picture.html()}</details>"
    )
