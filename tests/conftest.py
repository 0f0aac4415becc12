"""Settings for the whole test suite: a slow machine is not a failed property."""

import signal
import threading

from hypothesis import settings

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
