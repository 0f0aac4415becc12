"""What a mark depends on, as files: found by following imports, never listed.

It begins at modules that judge and goes through every import of a package of
ours, wherever in the text it stands. The packages of ours are those that lie
side by side in one folder; where that folder is a store of installed packages,
those that were installed together with this one. Data (CSV, TOML, JSON) that
lies beside such a module counts too. Nothing is run, so it costs milliseconds.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterable
from dataclasses import fields, is_dataclass
from functools import partial
from pathlib import Path

__all__ = ["digest_of", "modules_in", "packages_of", "source_files"]

Read = Callable[[Path], bytes]

_DATA = (".csv", ".toml", ".json", ".css")
_IMPORT = re.compile(
    rb"^[ \t]*(?:from[ \t]+(?P<room>[.\w]+)[ \t]+import[ \t]*"
    rb"(?:\((?P<many>(?:[^()#]|#[^\n]*)*)\)|(?P<few>[^\n(]*))"
    rb"|import[ \t]+(?P<plain>[^\n]*))",
    re.MULTILINE,
)


def source_files(*, lib: Path, modules: Iterable[str]) -> tuple[Path, ...]:
    """Return the modules reached from these, and the data beside them, in order.

    Parameters
    ----------
    lib : Path
        The folder that our packages lie in.
    modules : iterable of str
        Names of modules to begin at, ours first; strange ones are passed over.

    Returns
    -------
    tuple of Path
        Each file once.

    Raises
    ------
    LookupError
        A module to begin at is none of ours.
    """
    begin = [tuple(name.split(".")) for name in modules]
    ours = packages_of(lib, begin[0][0])
    files: dict[tuple[str, ...], Path | None] = {}

    def file_of(parts: tuple[str, ...]) -> Path | None:
        if parts not in files:
            files[parts] = _file_of(lib, parts)
        return files[parts]

    left = [parts for parts in begin if parts[0] in ours]
    for parts in left:
        if file_of(parts) is None:
            raise LookupError(f"module is {'.'.join(parts)}; it must lie in {lib}.")
    found: set[Path] = set()
    while left:
        parts = left.pop()
        for depth in range(1, len(parts) + 1):
            path = file_of(parts[:depth]) if parts[0] in ours else None
            if path is None:
                break
            if path not in found:
                found.add(path)
                package = parts[:depth] if path.name == "__init__.py" else parts[: depth - 1]
                left += _imported(path.read_bytes(), package)
    for folder in {path.parent for path in found}:
        found |= {path for path in folder.iterdir() if path.suffix in _DATA}
    return tuple(sorted(found))


def digest_of(paths: Iterable[Path], *, lib: Path, read: Read = Path.read_bytes) -> str:
    """Return twelve hexadecimal digits for names and bytes of files; a CR at a line's end is none.

    Parameters
    ----------
    paths : iterable of Path
        The files, in order.
    lib : Path
        The folder that their names count from.
    read : callable, optional
        Reads a file.
    """
    digest = hashlib.sha256()
    for path in paths:
        digest.update(path.relative_to(lib).as_posix().encode("utf-8") + b"\0")
        digest.update(read(path).replace(b"\r\n", b"\n") + b"\0")
    return digest.hexdigest()[:12]


def modules_in(thing: object) -> set[str]:
    """Return the modules of the functions that data holds, such as a page with its questions."""
    found: set[str] = set()
    looked: set[int] = set()
    left = [thing]
    while left:
        one = left.pop()
        if isinstance(one, str) or id(one) in looked:
            continue
        looked.add(id(one))
        if is_dataclass(one):
            left += [getattr(one, part.name) for part in fields(one)]
        elif isinstance(one, (tuple, list, set)):
            left += one
        elif isinstance(one, partial):
            left += (one.func, *one.args, *one.keywords.values())
        elif callable(one):
            found.add(one.__module__)
            left += [cell.cell_contents for cell in getattr(one, "__closure__", None) or ()]
    return found


def packages_of(lib: Path, own: str) -> set[str]:
    """Return the packages of ours in a folder; among strange ones, those installed with us.

    Parameters
    ----------
    lib : Path
        The folder.
    own : str
        One package that is ours.
    """
    beside = {path.parent.name for path in lib.glob("*/__init__.py")}
    for record in lib.glob("*.dist-info/RECORD"):
        text = record.read_text("utf-8", errors="replace")
        if f"{own}/__init__.py," in text:
            return beside & {line.split("/")[0] for line in text.splitlines()}
    return beside


def _file_of(lib: Path, parts: tuple[str, ...]) -> Path | None:
    place = lib.joinpath(*parts)
    tries = (place / "__init__.py", place.with_name(f"{place.name}.py"))
    return next((path for path in tries if path.is_file()), None)


def _imported(text: bytes, package: tuple[str, ...]) -> set[tuple[str, ...]]:
    """Return every module that a text may import; a name imported from one may be one itself."""
    found = set()
    for match in _IMPORT.finditer(text):
        if match["plain"] is not None:
            found |= {tuple(name.split(".")) for name in _names(match["plain"])}
            continue
        room = match["room"].decode()
        above = len(room) - len(room.lstrip("."))
        base = package[: len(package) - above + 1] if above else ()
        base += tuple(part for part in room.lstrip(".").split(".") if part)
        found |= {(*base, name) for name in _names(match["many"] or match["few"] or b"")}
    return found


def _names(text: bytes) -> list[str]:
    words = (one.split() for one in re.sub(rb"#[^\n]*", b"", text).split(b","))
    return [one[0].decode("utf-8", "replace") for one in words if one]
