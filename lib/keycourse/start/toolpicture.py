"""A tool drawn at a reading, whichever it is; for the trainers and the questions."""

from __future__ import annotations

from coursework.ink.drawing import Picture
from keycourse.start.caliper import draw_vernier_caliper
from keycourse.start.micrometer import draw_micrometer
from keycourse.start.tools import tool_of

__all__ = ["draw_tool"]


def draw_tool(kind: str, reading: float) -> Picture:
    """Draw a tool, a key of ``TOOLS``, at a reading in its own unit."""
    tool = tool_of(kind)
    in_inches = reading if tool.inch else None
    in_mm = None if tool.inch else reading
    if tool.name == "caliper":
        scale = kind.removesuffix(" caliper")
        return draw_vernier_caliper(reading_in=in_inches, reading_mm=in_mm, kind=scale)
    return draw_micrometer(reading_in=in_inches, reading_mm=in_mm, kind=kind)
