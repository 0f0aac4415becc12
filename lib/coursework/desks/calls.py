"""What a page may have run: the calls that stand in the page as it was shipped, and nothing else.

A block's text is compared with the shipped page and read as a row of calls with plain values.
Nothing that comes from a browser is ever run as text.
"""

from __future__ import annotations

import ast
import functools
import json
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from types import MappingProxyType
from typing import Any

__all__ = ["Call", "calls_in", "page_calls"]


@dataclass(frozen=True)
class Call:
    """One call of the course's page module: its name and the values it is given."""

    name: str
    given: tuple[Any, ...]

    def do(self, module: str) -> Any:
        """Do it, and return what it shows."""
        return getattr(import_module(module), self.name)(*self.given)


def calls_in(source: str, module: str) -> tuple[Call, ...]:
    r"""Return the calls that a block of a page makes.

    Parameters
    ----------
    source : str
        The block.
    module : str
        The page module, such as "keycourse.lesson".

    Raises
    ------
    ValueError
        The block does something else.

    Examples
    --------
    >>> calls_in('from keycourse import lesson\n\nlesson.open("01-measure")', "keycourse.lesson")
    (Call(name='open', given=('01-measure',)),)
    """
    package, _, name = module.rpartition(".")
    public = import_module(module).__all__
    found = []
    for node in ast.parse(source).body:
        match node:
            case ast.ImportFrom(module=whence, names=[ast.alias(name=what, asname=None)], level=0):
                if (whence, what) != (package, name):
                    raise ValueError(f"a page may not import {what}")
            case ast.Expr(
                value=ast.Call(
                    func=ast.Attribute(value=ast.Name(id=whose), attr=what),
                    args=arguments,
                    keywords=[],
                )
            ):
                plain = [one.value for one in arguments if isinstance(one, ast.Constant)]
                if whose != name or what not in public or len(plain) != len(arguments):
                    raise ValueError(f"a page may not call {whose}.{what} like that")
                found.append(Call(what, tuple(plain)))
            case _:
                raise ValueError("a page may hold calls of its module only")
    return tuple(found)


@functools.lru_cache(maxsize=64)
def page_calls(page: Path, module: str) -> Mapping[str, tuple[Call, ...]]:
    """Return each block of a shipped page, as it is written, with the calls that it makes."""
    cells = json.loads(page.read_bytes())["cells"]
    sources = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]
    return MappingProxyType({source: calls_in(source, module) for source in sources})
