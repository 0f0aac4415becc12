"""Messages between browser and page, as the first version of their wire format writes them."""

from __future__ import annotations

import json
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

__all__ = ["LARGEST_BYTES", "Message", "WireError", "packed", "read"]

LARGEST_BYTES = 262_144  # a written answer of the greatest length is a tenth of it
MOST_PARTS = 16
CHANNELS = ("shell", "control", "stdin")


class WireError(ValueError):
    """A message that cannot be read."""


@dataclass(frozen=True, kw_only=True)
class Message:
    """One message from a browser."""

    channel: str
    kind: str
    header: dict[str, Any]
    metadata: dict[str, Any]
    content: dict[str, Any]
    buffers: tuple[bytes, ...]


def read(raw: bytes) -> Message:
    """Read a message with suspicion.

    Raises
    ------
    WireError
        It is too long, cut short, or not of the kind.
    """
    if not isinstance(raw, bytes) or not 16 <= len(raw) <= LARGEST_BYTES:
        raise WireError("a message of no usable length")
    count = int.from_bytes(raw[:8], "little")
    if not 6 <= count <= MOST_PARTS or len(raw) < 8 * (count + 1):
        raise WireError("a message of no usable number of parts")
    places = [int.from_bytes(raw[8 * one : 8 * one + 8], "little") for one in range(1, count + 1)]
    if sorted(places) != places or places[0] != 8 * (count + 1) or places[-1] > len(raw):
        raise WireError("a message whose parts overlap")
    parts = [raw[start:end] for start, end in zip(places, places[1:], strict=False)]
    channel = parts[0].decode("ascii", "replace")
    header, _, metadata, content = (_object(part) for part in parts[1:5])
    kind = header.get("msg_type")
    if channel not in CHANNELS or not isinstance(kind, str):
        raise WireError("a message for no known channel")
    return Message(
        channel=channel,
        kind=kind,
        header=header,
        metadata=metadata,
        content=content,
        buffers=tuple(parts[5:]),
    )


def _object(part: bytes) -> dict[str, Any]:
    try:
        found = json.loads(part, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        raise WireError("a message that is no JSON") from error
    if not isinstance(found, dict):
        raise WireError("a message without named fields")
    return found


def _no_constant(name: str) -> float:
    raise ValueError(name)


def packed(
    channel: str,
    kind: str,
    content: dict[str, Any],
    *,
    parent: dict[str, Any],
    session: str,
    metadata: dict[str, Any] | None = None,
    buffers: Any = None,
) -> bytes:
    """Write a message."""
    header = {
        "msg_id": uuid.uuid4().hex,
        "session": session,
        "username": "page",
        "date": datetime.now(UTC).isoformat(),
        "msg_type": kind,
        "version": "5.3",
    }
    parts = [channel.encode("ascii")]
    parts += [json.dumps(one).encode() for one in (header, parent, metadata or {}, content)]
    parts += [bytes(one) for one in buffers or ()]
    places = [8 * (len(parts) + 2)]
    for part in parts:
        places.append(places[-1] + len(part))
    numbers = [len(places), *places]
    return b"".join([*(one.to_bytes(8, "little") for one in numbers), *parts])
