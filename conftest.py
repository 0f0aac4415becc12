"""What every process of the checks begins with: nothing is compiled or loaded over and over."""

import gc
import os
import sys

# Four workers and the hundreds of processes that they start would each compile every library.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# An optional checker of web-address formats, as in `keycourse.cli`; so nbval is loaded only here.
sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
pytest_plugins = ["nbval.plugin"]

# Each worker holds all the checks: what is collected once is not looked through again and again.
gc.set_threshold(20_000, 20, 50)


def pytest_collection_finish() -> None:
    """Leave out of the garbage collection what stays to the end."""
    gc.freeze()
