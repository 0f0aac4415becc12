"""Where a page lives: its folder, the name tag, the hand-ins."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from taperkey.files import write_whole
from taperkey.jobcard import require_class_code

__all__ = ["ALONE", "NameTag", "course_root", "page_version", "read_name_tag", "write_name_tag"]


@dataclass(frozen=True, kw_only=True)
class NameTag:
    """Who works here: class code, apprentice number, name."""

    class_code: str
    number: int
    name: str = ""


ALONE = NameTag(class_code="self-study", number=1)
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
    try:
        content = json.loads((root / _FILE).read_text(encoding="utf-8"))
        require_class_code(str(content["class"]))
        number = int(content["number"])
        if not 1 <= number <= 999:
            return None
        return NameTag(
            class_code=str(content["class"]), number=number, name=str(content.get("name", ""))
        )
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None


def write_name_tag(root: Path, tag: NameTag) -> Path:
    """Save the name tag; the folder must be writable."""
    path = root / _FILE
    content = {"class": tag.class_code, "number": tag.number, "name": tag.name}
    write_whole(path, json.dumps(content, indent=1).encode("ascii"))
    return path


def page_version(folder: Path, page: str) -> str:
    """Return the version that the page in this folder was released as, or "unknown"."""
    try:
        content = json.loads((folder / f"{page}.ipynb").read_text(encoding="utf-8"))
        return str(content["metadata"]["taperkey"]["version"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return "unknown"
