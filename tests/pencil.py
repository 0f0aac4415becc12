"""How long it takes from a form filled in with a pencil to the printed sheet.

    uv run python tests/pencil.py

A scripted typist: every entry of the example job that is needed, and the sheet made once by the
command. Characters typed at 200 a minute, which is 40 words; two keys more for each entry, to get
to it and to leave it; an entry that is chosen is typed out, as in the job file. Reading the pencil
is not counted, nor is putting right what was mistyped.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

from keycourse.jobsheet.fields import FIELDS, example_entries
from taperkey.formulas.chain import REQUIRED_LINKS

PER_MINUTE, BETWEEN = 200, 2
# where the example's one jack does not fit the way
BAR = {"pull.jacks": "2", "pull.jack-rating": "10 tons", "pull.bar-hole": "13/16 in",
       "pull.area": "2.24"}  # fmt: skip
OTHER = {"strongback": BAR, "welded strongback": {**BAR, "pull.weld-length": "1 in"}}


def typed(method: str) -> tuple[dict[str, str], int]:
    """Return what is typed for a job by one way of pulling, and how many keys that takes."""
    example = example_entries(method) | OTHER.get(method, {})
    needed = {
        field.key: method if field.key == "pull.method" else example.get(field.key, "")
        for field in FIELDS
        if (field.needed or field.key in ("pull.area", "pull.gauge-division", "opening.bore"))
        and (not field.methods or method in field.methods)
        and (method != "none" or field.section != "pull" or field.key == "pull.method")
    }
    keys = sum(len(text) + BETWEEN for text in needed.values())
    return needed, keys


def made(entries: dict[str, str]) -> float:
    """Return how long the command takes, from its start to the written files [s]."""
    sections: dict[str, list[str]] = {}
    for key, text in entries.items():
        section, _, name = key.partition(".")
        sections.setdefault(section, []).append(f'{name} = "{text}"')
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / "job.toml"
        lines = [line for name, inside in sections.items() for line in (f"[{name}]", *inside)]
        job.write_text("\n".join(lines) + "\n", encoding="utf-8")
        command = [sys.executable, "-m", "keycourse.cli", "sheet", str(job), "--out", folder]
        began = time.perf_counter()
        subprocess.run(command, check=False, stdout=subprocess.DEVNULL)
        spent = time.perf_counter() - began
        if not list(Path(folder).glob("*.pdf")):
            raise SystemExit(f"no sheet came of {job.name}: an example lacks an entry")
        return spent


def main() -> None:
    """Print the table."""
    print(f"{'job':<20}{'entries':>8}{'keys':>7}{'typing':>10}{'sheet':>9}{'in all':>10}")
    for method in ("none", *REQUIRED_LINKS):
        entries, keys = typed(method)
        seconds = 60 * keys / PER_MINUTE
        run = made(entries)
        whole = seconds + run
        print(
            f"{method:<20}{len(entries):>8}{keys:>7}{seconds / 60:>8.1f} min{run:>7.1f} s"
            f"{whole / 60:>8.1f} min"
        )


if __name__ == "__main__":
    main()
