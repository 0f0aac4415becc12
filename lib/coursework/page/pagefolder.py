"""Where a page lives: its folder, the name tag, the hand-ins."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coursework.card import require_class_code
from coursework.page.here import here
from taperkey.files import write_whole
from taperkey.units import System

__all__ = [
    "ALONE",
    "KEPT_HERE",
    "NameTag",
    "course_root",
    "page_version",
    "read_name_tag",
    "read_units",
    "works_alone",
    "write_name_tag",
    "write_units",
]


#: Files, as patterns, that hold what somebody did in a course folder: no page of the course.
KEPT_HERE = ("answers*.json", "name-tag.json", "bench-*.steps", "*-set-aside-*")


@dataclass(frozen=True, kw_only=True)
class NameTag:
    """Who works here: class code, apprentice number, name."""

    class_code: str
    number: int
    name: str = ""


#: Who has no name tag. The cards of number 7 begin in inches, with an ordinary keyway.
ALONE = NameTag(class_code="self-study", number=7)
_FILE = "name-tag.json"


def course_root(folder: Path) -> Path:
    """Return the course folder that a page's folder lies in.

    It is the nearest folder above that holds ``lessons`` and ``exercises``;
    without one, the page's own folder.
    """
    for place in (folder, *folder.parents[:3]):
        if (place / "lessons").is_dir() and (place / "exercises").is_dir():
            return place
    return folder


def read_name_tag(root: Path) -> NameTag | None:
    """Return the name tag, or None where there is none that can be read."""
    content = _kept(root)
    try:
        require_class_code(str(content["class"]))
        number = int(content["number"])
        if not 1 <= number <= 999:
            return None
        return NameTag(
            class_code=str(content["class"]), number=number, name=str(content.get("name", ""))
        )
    except (ValueError, KeyError, TypeError):
        return None


def works_alone(root: Path) -> bool:
    """Say whether nobody else marks here: no name tag, or the one of self-study."""
    tag = read_name_tag(root)
    return tag is None or tag.class_code == ALONE.class_code


def write_name_tag(root: Path, tag: NameTag) -> Path:
    """Save the name tag; the folder must be writable."""
    who = {"class": tag.class_code, "number": tag.number, "name": tag.name}
    return _keep(root, {**_kept(root), **who})


def read_units(root: Path) -> System:
    """Return which units come first for this person: "inch", or "metric" where so chosen."""
    return "metric" if _kept(root).get("units") == "metric" else "inch"


def write_units(root: Path, units: System) -> Path:
    """Save which units come first, beside the name tag; the folder must be writable."""
    return _keep(root, {**_kept(root), "units": units})


def _kept(root: Path) -> dict[str, Any]:
    try:
        content = json.loads((root / _FILE).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return content if isinstance(content, dict) else {}


def _keep(root: Path, content: dict[str, Any]) -> Path:
    path = root / _FILE
    write_whole(path, json.dumps(content, indent=1).encode("ascii"))
    return path


def page_version(folder: Path, page: str) -> str:
    """Return the version that the page in this folder was released as, or "unknown"."""
    try:
        lies = here().pages or folder
        content = json.loads((lies / f"{page}.ipynb").read_text(encoding="utf-8"))
        return str(content["metadata"]["taperkey"]["version"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return "unknown"
