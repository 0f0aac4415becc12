"""numpy, brought in when the first array is reckoned with.

A formula on plain numbers needs none, and starting numpy takes longer than all else here together.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__all__ = ["np"]


class _WhenUsed:
    """Stands for numpy, and takes each name from it when it is first asked for."""

    def __getattr__(self, name: str) -> Any:
        import numpy

        value = getattr(numpy, name)
        setattr(self, name, value)
        return value


if TYPE_CHECKING:
    import numpy as np
else:
    np = _WhenUsed()
