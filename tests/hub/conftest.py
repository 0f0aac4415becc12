"""A class on a real hub, one for each file of checks."""

from collections.abc import Iterator
from types import ModuleType

import pytest
from tests import hub_class


@pytest.fixture(scope="session")
def kit() -> ModuleType:
    """Give what serves a class, where that can be tried here."""
    why = hub_class.missing()
    if why:
        pytest.skip(why)
    return hub_class


@pytest.fixture(scope="module")
def served(kit: ModuleType) -> Iterator[object]:
    """Give a class of four apprentices on a hub of its own."""
    room = kit.ServedClass(4)
    try:
        room.start()
        yield room
    finally:
        room.stop()
