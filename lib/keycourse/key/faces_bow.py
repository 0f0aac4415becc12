"""Live face of the bow: what a drawn bar does when its skin is cut off one face, or off both."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets

from coursework.ink.shop import ShopUnits, shop_units
from coursework.page.controls import Face, choice, labelled_slider
from keycourse.key.bowpicture import BowedBar, bar_text, bowed_bar, draw_bow
from taperkey import practice
from taperkey.units import MM_PER_IN, System, from_internal, to_internal

__all__ = ["bow_explorer"]

_LEFT_AS_IT_IS = 1.0
_RELIEVED = practice.value("stress_left")


def _tell(bar: BowedBar) -> Sequence[str]:
    units = shop_units(bar.system)
    film = practice.value("blue_film")
    lines = []
    if bar.taper_in == 0 and bar.relief_in == 0:
        return (f"Nothing cut yet: a bar {bar_text(bar)}, in balance and straight.",)
    if abs(bar.bow_in) < 0.00005:
        lines.append("Straight: what pulled on one side is gone on the other as well.")
    elif bar.bow_in > 0:
        lines.append(
            f"Hollow below by {_fine(bar.bow_in, units)}: it stands on its ends, and the flat face "
            "bears there only."
        )
    else:
        lines.append(
            f"Hollow above by {_fine(bar.bow_in, units)}: it stands on its middle, and both ends "
            "are off the plate."
        )
    if bar.relief_in and bar.taper_in:
        lines.append(
            f"After the relief cut alone it bowed {_fine(bar.relief_bow_in, units)} the other way. "
            "The nearer the two cuts, the straighter: with much to come off, rough both faces."
        )
    elif bar.relief_in:
        lines.append(
            "Better now than after the taper cut: loosen the vise, let it bow, and take a last "
            "light pass. Then this face is flat, whatever the bar does."
        )
    if abs(bar.bow_in) > film:
        lines.append(
            f"A film of blue is {_fine(film, units)}: it would show this bow, not the taper."
        )
    return lines


def _fine(value_in: float, units: ShopUnits) -> str:
    return units.small(abs(value_in))


def bow_explorer(*, system: System = "inch") -> ipywidgets.VBox:
    """Return a drawn bar with a cut off either face, and its bow."""
    metric = system == "metric"
    fine = MM_PER_IN if metric else 1000.0
    unit = "mm" if metric else "thousandths"
    pulls = practice.span("skin_pull")
    usual = sum(pulls) / 2
    press = "MPa" if metric else "psi"

    def shown(psi: float) -> float:
        return round(from_internal(psi, dimension="pressure", unit=press), -1 if metric else -3)

    face = Face(
        title="Skin off one face",
        under="The taper was cut first. Now take the relief cut as well. Then try a bar that was "
        "stress-relieved.",
        inputs={
            "relief": labelled_slider(
                label="Relief cut, off the flat face",
                value=0,
                low=0,
                high=3 if metric else 120,
                step=0.2 if metric else 10,
                unit=unit,
            ),
            "taper": labelled_slider(
                label="Taper cut, its mean",
                value=2.4 if metric else 120,
                low=0,
                high=3 if metric else 120,
                step=0.2 if metric else 10,
                unit=unit,
            ),
            "pull": labelled_slider(
                label="Pull in the skin",
                value=shown(usual),
                low=0,
                high=shown(pulls[1] + pulls[0]),
                step=10 if metric else 1000,
                unit=press,
                tip="Nobody can tell it beforehand: it depends on how the bar was drawn",
            ),
            "share": choice(
                label="Bar",
                options=[("as drawn", _LEFT_AS_IT_IS), ("stress-relieved first", _RELIEVED)],
                value=_LEFT_AS_IT_IS,
            ),
        },
        compute=lambda relief, taper, pull, share: bowed_bar(
            system=system,
            relief_in=relief / fine,
            taper_in=taper / fine,
            skin_pull_psi=to_internal(pull, dimension="pressure", unit=press),
            share=share,
        ),
        draw=draw_bow,
        tell=_tell,
    )
    heading, *controls = face.widget.children[:5]
    face.widget.children = (heading, face.picture, *controls, face.words)
    return face.widget
