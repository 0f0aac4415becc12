"""The page templates of a folder, made ready once and kept as Python keeps its modules."""

from __future__ import annotations

import sys
from contextlib import suppress
from importlib.util import cache_from_source
from pathlib import Path

from jinja2 import Environment, FileSystemBytecodeCache, FileSystemLoader, StrictUndefined
from jinja2.bccache import Bucket

__all__ = ["templates_in"]


class _AsModules(FileSystemBytecodeCache):
    """Keeps what was made of a template where Python keeps what it makes of modules."""

    def load_bytecode(self, bucket: Bucket) -> None:
        """Take what was kept; what cannot be read, or is damaged, counts as nothing."""
        try:
            super().load_bytecode(bucket)
        except Exception:
            bucket.reset()

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep it, where that is wished and allowed; it is made again otherwise."""
        if not sys.dont_write_bytecode:
            with suppress(OSError):
                Path(self.directory).mkdir(parents=True, exist_ok=True)
                super().dump_bytecode(bucket)


def templates_in(folder: Path) -> Environment:
    """Return what reads the page templates of a folder.

    Parameters
    ----------
    folder : Path
        Where they lie, in the program.

    Returns
    -------
    Environment
        Escapes everything put into a page, and refuses a name that it was not given.
    """
    kept = Path(cache_from_source(str(folder / "page.py"))).parent
    return Environment(
        loader=FileSystemLoader(folder),
        bytecode_cache=_AsModules(str(kept), "%s.page"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
