"""Measure the course side by side with what it is compared with, in one run.

    uv run python tests/bench.py                 everything
    uv run python tests/bench.py --quick         fewer rounds
    uv run python tests/bench.py --part slider   one part; may be given again
    uv run python tests/bench.py --json out.json the figures as JSON

Each row gives median, spread (half the distance of the quartiles), 95th percentile and worst,
processor time, the ratio to the row that it is compared with, the limit, and where the remaining
time goes. Nothing is asserted here: machines are shared, and only figures of one run may be
compared. The parts lie in ``tests/benchmark/``.
"""

from __future__ import annotations

import argparse
import importlib
import json
import os
import platform
import sys
import time
import traceback
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from benchmark.table import PartlyMeasuredError, Row, head  # noqa: E402

PARTS = {
    "import": "small:measure_import",
    "cards": "small:measure_cards",
    "touch": "small:measure_touch",
    "contact": "small:measure_contact",
    "fit": "small:measure_fit",
    "mark": "marking:measure_marking",
    "again": "marking:measure_again",
    "growth": "marking:measure_growth",
    "report": "reporting:measure_report",
    "redraw": "redraw:measure_redraw",
    "slider": "slider:measure_slider",
    "memory": "page:measure_memory",
    "start": "page:measure_start",
    "another": "page:measure_another",
    "demo": "marking:measure_demo",
}


def run_part(name: str, quick: bool) -> list[Row]:
    """Run one part and return its rows."""
    module, function = PARTS[name].split(":")
    measured: list[Row] = getattr(importlib.import_module(f"benchmark.{module}"), function)(quick)
    return measured


def main() -> int:
    """Run the parts asked for and print the table; 1 where a part could not be measured."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--quick", action="store_true", help="fewer rounds")
    parser.add_argument("--part", choices=list(PARTS), action="append", help="only this part")
    parser.add_argument("--json", type=Path, help="write the figures here, too")
    choice = parser.parse_args()
    load = " ".join(f"{one:.2f}" for one in os.getloadavg())
    print(
        f"{platform.platform()}, {os.cpu_count()} cores, load {load}, {platform.python_version()}"
    )
    print(head(), flush=True)
    rows: list[Row] = []
    failed = []
    for name in choice.part or PARTS:
        begun = time.monotonic()
        try:
            measured = run_part(name, choice.quick)
        except PartlyMeasuredError as error:
            measured = error.rows
            failed.append(f"{name} ({error})")
        except Exception:
            traceback.print_exc()
            failed.append(name)
            continue
        rows += measured
        for one in measured:
            print("\n".join(one.lines()))
        print(f"{'':8}   ({name} took {time.monotonic() - begun:.0f} s)", flush=True)
        if choice.json:
            about = {"machine": platform.platform(), "cores": os.cpu_count(), "load": load}
            choice.json.write_text(
                json.dumps({"about": about, "rows": [one.as_json() for one in rows]}, indent=1)
            )
    if failed:
        print(f"Not measured: {', '.join(failed)}.", file=sys.stderr)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
