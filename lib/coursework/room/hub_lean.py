"""A page server without what only the hub itself needs.

JupyterHub's part in a page server asks the hub who somebody is, over the network.
On the way it loads the hub's database layer, which a page server never uses: half
of its memory and most of its time to start. Here empty stand-ins take that
layer's place. Whether two sets of rights meet is tried at once; if anything is
not as expected, as after an update of JupyterHub, all of it is loaded as it comes.
"""

from __future__ import annotations

import importlib
import sys
import types

__all__ = ["leave_out", "main"]

# Optional checkers of address and duration formats: slow to load, and nothing here uses them.
OPTIONAL = ("rfc3987_syntax", "isoduration")
DATABASE = (
    "sqlalchemy",
    "sqlalchemy.exc",
    "jupyterhub.orm",
    "jupyterhub.roles",
    "jupyterhub.handlers",
    "jupyterhub.handlers.pages",
)


class _StandIn(types.ModuleType):
    """A module in which every name is a class that nothing is an instance of."""

    __path__: list[str] = []

    def __getattr__(self, name: str) -> type[Exception]:
        if name.startswith("__"):
            raise AttributeError(name)
        made = type(name, (Exception,), {})
        setattr(self, name, made)
        return made


def leave_out() -> bool:
    """Load JupyterHub's part without the database layer; return whether that worked."""
    for name in OPTIONAL:
        sys.modules.setdefault(name, None)  # type: ignore[arg-type]
    present = set(sys.modules)
    if present & set(DATABASE):
        return False
    try:
        for name in DATABASE:
            sys.modules[name] = _StandIn(name)
        hub = importlib.import_module("jupyterhub")
        for name in DATABASE:
            parent, _, child = name.rpartition(".")
            if parent:
                setattr(sys.modules.get(parent, hub), child, sys.modules[name])
        importlib.import_module("jupyterhub.singleuser.extension")
        meet = importlib.import_module("jupyterhub.scopes")._intersect_expanded_scopes
        mine, other = {"access:servers!user=one"}, {"access:servers!user=two"}
        if set(meet(mine, mine | other)) != mine or meet(mine, other):
            raise RuntimeError("rights do not meet as they should")
    except Exception:  # whatever it is, the way it comes is the way out
        for name in set(sys.modules) - present:
            if name.split(".")[0] in ("jupyterhub", "sqlalchemy"):
                del sys.modules[name]
        return False
    return True


def main() -> None:
    """Become the page server."""
    leave_out()
    sys.exit(importlib.import_module("jupyterhub.singleuser").main())


if __name__ == "__main__":
    main()
