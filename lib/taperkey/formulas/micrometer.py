"""What a micrometer says, from the lines that show on sleeve, thimble and vernier."""

from __future__ import annotations

from taperkey.checks import require_non_negative, require_range
from taperkey.units import MM_PER_IN

__all__ = ["inch_micrometer_in", "metric_micrometer_in"]


def inch_micrometer_in(
    *,
    sleeve_number: int,
    sleeve_lines: int,
    thimble_line: int,
    vernier_line: int = 0,
    range_low_in: float = 0.0,
) -> float:
    r"""Add up an inch micrometer.

    .. math:: r = r_0 + 0.1\,n + 0.025\,s + 0.001\,t + 0.0001\,v

    Parameters
    ----------
    sleeve_number : int
        Last number n that shows on the sleeve, 0 to 10.
    sleeve_lines : int
        Lines s that show after it, 0 to 3.
    thimble_line : int
        Thimble line t at or just below the long line of the sleeve, 0 to 24.
    vernier_line : int
        Vernier line v that meets a thimble line, 0 to 9; 0 where there is no vernier.
    range_low_in : float
        Lower end of the range marked on the frame, 0 or more [in].

    Returns
    -------
    float
        Reading [in].

    Raises
    ------
    ValueError
        If a line is not one that the tool has.

    Assumptions
    -----------
    Screw of 40 threads per inch, thimble of 25 divisions, vernier of 10.

    Examples
    --------
    >>> round(inch_micrometer_in(sleeve_number=2, sleeve_lines=3, thimble_line=11), 4)
    0.286

    Source
    ------
    NAVEDTRA 14001 (.025 per turn, 25 divisions); TM 9-243, p. 7-5 (vernier).
    """
    require_range("number on the sleeve", sleeve_number, 0, 10, "", "Read the last one that shows.")
    require_range("lines after the number", sleeve_lines, 0, 3, "", "Count the short lines again.")
    require_range("line of the thimble", thimble_line, 0, 24, "", "Read the thimble again.")
    require_range("line of the vernier", vernier_line, 0, 9, "", "Read the vernier again.")
    require_non_negative("lower end of the range", range_low_in, "in")
    tenths = 1000 * sleeve_number + 250 * sleeve_lines + 10 * thimble_line + vernier_line
    return range_low_in + tenths / 10_000


def metric_micrometer_in(
    *,
    sleeve_millimetres: int,
    half_millimetre_shows: bool,
    thimble_line: int,
    range_low_mm: float = 0.0,
) -> float:
    r"""Add up a metric micrometer, in inches.

    .. math:: r = (r_0 + n + 0.5\,s + 0.01\,t) / 25.4

    Parameters
    ----------
    sleeve_millimetres : int
        Last whole millimeter n that shows on the sleeve, 0 to 25.
    half_millimetre_shows : bool
        Whether a half-millimeter line shows after it (s is 1, else 0).
    thimble_line : int
        Thimble line t at or just below the long line of the sleeve, 0 to 49.
    range_low_mm : float
        Lower end of the range marked on the frame, 0 or more [mm].

    Returns
    -------
    float
        Reading [in].

    Raises
    ------
    ValueError
        If a line is not one that the tool has.

    Assumptions
    -----------
    Screw of 0.5 mm pitch, thimble of 50 divisions.

    Examples
    --------
    >>> reading = metric_micrometer_in(
    ...     sleeve_millimetres=22, half_millimetre_shows=False, thimble_line=36
    ... )
    >>> round(reading * 25.4, 2)
    22.36

    Source
    ------
    TM 9-243, p. 7-6.
    """
    require_range("millimeters on the sleeve", sleeve_millimetres, 0, 25, "", "Read it again.")
    require_range("line of the thimble", thimble_line, 0, 49, "", "Read the thimble again.")
    require_non_negative("lower end of the range", range_low_mm, "mm")
    hundredths = 100 * sleeve_millimetres + 50 * bool(half_millimetre_shows) + thimble_line
    return (range_low_mm + hundredths / 100) / MM_PER_IN
