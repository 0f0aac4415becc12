"""Settings for the whole test suite: a slow machine is not a failed property."""

import gc
import os
import signal
import sys
import threading

from hypothesis import settings

from coursework.memory import look_seldom

# Four workers and the hundreds of processes that they start would each compile every library.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
look_seldom()  # each worker holds all the checks

if threading.current_thread() is threading.main_thread():
    # what a check starts hears a Ctrl+C, also where the checks run aside
    signal.signal(signal.SIGINT, signal.default_int_handler)

settings.register_profile("no deadline", deadline=None)
settings.load_profile("no deadline")

collect_ignore = ["bench.py", "benchmark"]  # measured by hand: tests/bench.py
collect_ignore += [
    "load.py",
    "open_browsers.py",
    "open_hours.py",
    "open_kernels.py",
    "open_load.py",
]
collect_ignore += ["open_page.py", "wifi.py", "hub_class.py", "postgres_server.py", "loops.py"]
collect_ignore += ["hostile_kinds.py", "hostile_notebooks.py", "hostile_stock.py"]
collect_ignore += ["compare_cards.py", "comparing"]  # run by hand, tried by test_compare_cards.py


def pytest_collection_finish() -> None:
    """Leave out of the garbage collection what stays to the end."""
    gc.freeze()
