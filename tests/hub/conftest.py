"""A class on a real hub, one for each file of checks."""

import importlib.util
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType

import pytest


def read_kit(name: str) -> ModuleType:
    """Return a module that stands beside the folders of checks."""
    if name in sys.modules:
        return sys.modules[name]
    path = Path(__file__).parents[1] / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def read() -> Callable[[str], ModuleType]:
    """Give what reads a module that stands beside the folders of checks."""
    return read_kit


@pytest.fixture(scope="session")
def kit() -> ModuleType:
    """Give what serves a class, where that can be tried here."""
    found = read_kit("hub_class")
    why = found.missing()
    if why:
        pytest.skip(why)
    return found


@pytest.fixture(scope="module")
def served(kit: ModuleType) -> Iterator[object]:
    """Give a class of four apprentices on a hub of its own."""
    room = kit.ServedClass(4)
    try:
        room.start()
        yield room
    finally:
        room.stop()
