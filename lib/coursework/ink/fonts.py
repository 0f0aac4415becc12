"""Letters that can be put into a document: DejaVu Sans, as matplotlib ships it."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

__all__ = ["font_file"]


def font_file(*, bold: bool = False) -> Path:
    """Return the file of the course's printing letters; matplotlib itself is not loaded.

    Raises
    ------
    FileNotFoundError
        If matplotlib comes without its letters.
    """
    spec = find_spec("matplotlib")
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    if spec is None or spec.origin is None:
        raise FileNotFoundError(2, "the letters for printing are not installed", name)
    path = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf" / name
    if not path.is_file():
        raise FileNotFoundError(2, "the letters for printing are not installed", str(path))
    return path
