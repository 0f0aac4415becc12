"""Faces and bodies for the tests of the contact."""

import numpy as np

from keycourse.fit.bench.bodies import half_space, key_between
from keycourse.fit.bench.touch import Faces


def faces_of(gap_in, *, length_in, width_in, out_in=0.0):
    """Return floor and roof alike, each with this gap to a flat key."""
    m, n = gap_in.shape
    return Faces(
        x_in=(np.arange(m) + 0.5) * length_in / m,
        y_in=((np.arange(n) + 0.5) / n - 0.5) * width_in,
        under_in=-gap_in,
        over_in=gap_in.copy(),
        patch_area_in2=length_in * width_in / (m * n),
        key_out_in=out_in,
    )


def deep(shape, *, length_in, width_in):
    return half_space(
        length_in=length_in, width_in=width_in, length_count=shape[0], width_count=shape[1]
    )


def key(shape, *, length_in=8.0, width_in=1.5, height_in=1.0, **options):
    return key_between(
        length_in=length_in,
        width_in=width_in,
        height_in=height_in,
        length_count=shape[0],
        width_count=shape[1],
        **options,
    )
