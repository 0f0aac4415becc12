"""What the instructor tells everybody: when the class closes, and what stands on the projector.

It lies in ``open/notices.json``, so that it outlives a stop and is known in each of the class's
processes.
"""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from taperkey.files import write_whole

__all__ = ["Notices"]

LOOK_EVERY_S = 1.0
LATEST_S = 24 * 3600.0


class Notices:
    """The notices of an open class."""

    def __init__(self, private: Path) -> None:
        self.path = private / "notices.json"
        self._told: dict[str, Any] = {}
        self._looked = 0.0

    def _now(self) -> Mapping[str, Any]:
        if time.monotonic() - self._looked > LOOK_EVERY_S:
            self._looked = time.monotonic()
            self._told = {}
            with contextlib.suppress(OSError, ValueError):
                told = json.loads(self.path.read_bytes())
                self._told = told if isinstance(told, dict) else {}
        return self._told

    def _tell(self, **more: Any) -> None:
        self._looked = 0.0
        told = {**self._now(), **more}
        write_whole(self.path, json.dumps(told).encode())
        self._looked = 0.0

    @property
    def closes(self) -> float | None:
        """When the class closes, in seconds since 1970; None where nobody said."""
        found = self._now().get("closes")
        return float(found) if isinstance(found, int | float) else None

    @property
    def closed(self) -> bool:
        """Whether that time is past."""
        return self.closes is not None and time.time() >= self.closes

    def close_at(self, moment: float | None) -> bool:
        """Say when the class closes, None for no time; False where that is past or too far."""
        if moment is not None and not 0 <= moment - time.time() <= LATEST_S:
            return False
        self._tell(closes=moment)
        return True

    @property
    def projector(self) -> str:
        """Address of what is to stand on the projector; empty for nothing."""
        found = self._now().get("projector", "")
        return found if isinstance(found, str) else ""

    def project(self, address: str) -> None:
        """Put a unit on the projector."""
        self._tell(projector=address)
