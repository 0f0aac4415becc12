"""The benches by name, and the key under which each keeps its session."""

from collections.abc import Mapping
from types import MappingProxyType

__all__ = ["BENCHES"]

BENCHES: Mapping[str, str] = MappingProxyType(
    {"measuring": "measuring bench", "fitting": "bench:fitting", "pulling": "bench:pulling"}
)
