"""A page of the course as a whole: memory of its kernel, and the time from command to page."""

from __future__ import annotations

import contextlib
import json
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from benchmark.slider import chromium
from benchmark.table import Row, Times, as_installed, at_most, row

__all__ = ["measure_another", "measure_memory", "measure_start"]

#: Another page is asked for by a link of the course, as a reader does.
GO_THERE = """page => {
  const link = document.body.appendChild(document.createElement('a'));
  Object.assign(link.dataset, { tkPage: page, tkUnit: '' });
  link.click();
}"""
THERE = """page => document.querySelectorAll('.jp-NotebookPanel').length === 1
  && location.pathname.endsWith(page)
  && document.querySelector('.jp-NotebookPanel').dataset.taperkeyPage === 'ready'"""

PLOT = (
    "%matplotlib inline\nimport matplotlib.pyplot as plt\n"
    "plt.plot([0, 1, 2], [0, 1, 4])\nplt.show()"
)


def _megabytes(pid: int) -> dict[str, float]:
    """Return resident memory of a process, and its share of it (PSS), in MB."""
    text = Path(f"/proc/{pid}/smaps_rollup").read_text()
    found = dict(re.findall(r"^(\w+):\s+(\d+) kB", text, re.MULTILINE))
    return {"resident": int(found["Rss"]) / 1024, "own share": int(found["Pss"]) / 1024}


def _run_in_kernel(cells: list[str], folder: Path) -> tuple[dict[str, float], str]:
    """Run cells in a new kernel in `folder`; return its memory and the largest modules."""
    from jupyter_client.manager import KernelManager

    manager = KernelManager(kernel_name="python3")
    manager.start_kernel(cwd=str(folder), stderr=subprocess.DEVNULL)
    client = manager.client()
    try:
        client.start_channels()
        client.wait_for_ready(timeout=60)
        for cell in cells:
            told = client.execute_interactive(cell, timeout=120, output_hook=lambda _: None)
            if told["content"]["status"] != "ok":
                raise RuntimeError(f"{cell[:60]}: {told['content'].get('evalue')}")
        time.sleep(0.5)
        pid = manager.provisioner.process.pid  # type: ignore[union-attr]
        memory = _megabytes(pid)
        asked = "import sys, json; len(sys.modules)"
        heavy = (
            "__import__('json').dumps([n for n in ('numpy', 'scipy', 'matplotlib', 'pint',"
            " 'nbformat', 'ipywidgets', 'filelock') if n in __import__('sys').modules])"
        )
        told = client.execute_interactive(
            asked, user_expressions={"heavy": heavy}, output_hook=lambda _: None
        )
        answer = told["content"]["user_expressions"]["heavy"]["data"]["text/plain"]
        return memory, ", ".join(json.loads(answer.strip("'")))
    finally:
        client.stop_channels()
        manager.shutdown_kernel(now=True)


def measure_memory(quick: bool) -> list[Row]:
    """Compare the kernel of every lesson, run to its end, with a bare one that drew a plot."""
    from coursework.room.coursebook import lay_out, shipped_pages

    pages = {name: path for name, path in shipped_pages().items() if name.startswith("lessons/")}
    rounds = 1 if quick else 3
    bare: dict[str, Times] = {}
    lessons: dict[str, dict[str, Times]] = {}
    loaded: dict[str, str] = {}
    with tempfile.TemporaryDirectory() as place:
        course = Path(place) / "course"
        lay_out(folder=course)
        for _ in range(max(rounds, 3)):
            memory, _ = _run_in_kernel([PLOT], Path(place))
            for kind, value in memory.items():
                bare.setdefault(kind, Times()).wall.append(value)
        for name in sorted(pages):
            cells = [
                "".join(cell["source"])
                for cell in json.loads((course / name).read_text())["cells"]
                if cell["cell_type"] == "code"
            ]
            for _ in range(rounds):
                memory, loaded[name] = _run_in_kernel(cells, course / "lessons")
                for kind, value in memory.items():
                    lessons.setdefault(name, {}).setdefault(kind, Times()).wall.append(value)
    rows = []
    for kind in ("resident", "own share"):
        base = row(
            "memory", f"bare kernel + inline matplotlib, one plot, {kind}", bare[kind], unit="MB"
        )
        rows.append(base)
        for name, found in lessons.items():
            limits = [at_most("share", 1.3)] if kind == "resident" else []
            rest = f"loaded: {loaded[name]}" if kind == "resident" else ""
            rows.append(
                row("memory", f"{name.split('/')[-1]} run to its end, {kind}", found[kind],
                    against=base, faster=False, unit="MB", limits=limits, rest=rest)
            )  # fmt: skip
    return rows


@contextmanager
def _course_command(place: Path, env: dict[str, str]) -> Iterator[tuple[float, str]]:
    """Give the course command; yield when it began and the address that it told."""
    begun = time.perf_counter()
    process = subprocess.Popen(
        [str(Path(sys.executable).parent / "taperkey"), "learn", str(place / "course"),
         "--no-browser"],
        stdout=subprocess.PIPE, text=True, env=env,
    )  # fmt: skip
    try:
        for line in process.stdout or ():
            if found := re.search(r"http\S+", line):
                yield begun, found.group()
                break
    finally:
        process.terminate()
        process.wait(20)


@contextmanager
def _bare_command(place: Path, env: dict[str, str]) -> Iterator[tuple[float, str]]:
    """Start JupyterLab as it comes on a page of one cell."""
    import nbformat

    root = place / "bare"
    root.mkdir()
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    page = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell("print('hello ' + 'there')", id="one")],
        metadata={"kernelspec": kernel},
    )
    nbformat.write(page, root / "one.ipynb")
    env = {k: v for k, v in env.items() if not k.startswith(("JUPYTER", "IPYTHON"))}
    for name in ("CONFIG", "DATA", "RUNTIME"):
        env[f"JUPYTER_{name}_DIR"] = str(place / name.lower())
    env["JUPYTERLAB_WORKSPACES_DIR"] = str(place / "workspaces")
    env["JUPYTERLAB_SETTINGS_DIR"] = str(place / "settings")
    begun = time.perf_counter()
    process = subprocess.Popen(
        [str(Path(sys.executable).parent / "jupyter-lab"), "--no-browser", "--ip=127.0.0.1",
         "--port=8790", "--port-retries=30", "--allow-root", "--IdentityProvider.token=bench"],
        cwd=root, env=env, stderr=(place / "log.txt").open("w"), stdout=subprocess.DEVNULL,
    )  # fmt: skip
    note = place / "runtime" / f"jpserver-{process.pid}.json"
    try:
        while process.poll() is None:
            with contextlib.suppress(OSError, ValueError):
                there = json.loads(note.read_text())
                socket.create_connection(("127.0.0.1", there["port"]), 1).close()
                yield begun, f"{there['url']}lab/tree/one.ipynb?token=bench"
                return
            time.sleep(0.05)
        raise RuntimeError((place / "log.txt").read_text()[-400:])
    finally:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _until_course(page: Any, address: str) -> None:
    page.goto(address)
    page.wait_for_selector("[data-taperkey-page='ready']", timeout=120_000)
    page.wait_for_selector(".jp-OutputArea svg[role=img]", timeout=120_000)


def _until_bare(page: Any, address: str) -> None:
    """Wait until the page of one cell is there and its kernel is ready."""
    page.goto(address)
    page.wait_for_selector(".jp-Notebook .jp-CodeCell", timeout=120_000)
    page.wait_for_selector("#jp-main-statusbar :text('| Idle')", timeout=120_000)


def _until_run(page: Any) -> None:
    """Run the one cell and wait until it shows something."""
    page.locator(".jp-Notebook .jp-CodeCell .cm-content").first.click()
    page.keyboard.press("Shift+Enter")
    page.wait_for_selector(".jp-OutputArea-output:has-text('hello there')", timeout=120_000)


def measure_start(quick: bool) -> list[Row]:
    """Compare command to first live page with JupyterLab as it comes, in turns.

    The first round of each is not counted: Python keeps what it makes of the modules then.
    """
    course, opened, ran = Times(), Times(), Times()
    waited = Times()
    rounds = 2 if quick else 7
    with tempfile.TemporaryDirectory(prefix="bench-start-") as kept:
        env = as_installed(Path(kept))
        for turn in range(-1, rounds):
            for ours in (turn % 2 == 0, turn % 2 == 1):
                place = Path(tempfile.mkdtemp(prefix="round-", dir=kept))
                with chromium() as browser:
                    page = browser.new_page(viewport={"width": 1280, "height": 900})
                    page.goto("about:blank")
                    command = _course_command if ours else _bare_command
                    with command(place, env) as (begun, address):
                        told = time.perf_counter() - begun
                        (_until_course if ours else _until_bare)(page, address)
                        there = time.perf_counter() - begun
                        if not ours:
                            _until_run(page)
                        after = time.perf_counter() - begun
                shutil.rmtree(place, ignore_errors=True)
                if turn < 0:
                    continue
                if ours:
                    waited.wall.append(told)
                    course.wall.append(there)
                else:
                    opened.wall.append(there)
                    ran.wall.append(after)
    base = row(
        "start", "JupyterLab as it comes: page of one cell open, kernel ready", opened, unit="s"
    )
    mid = statistics_of(waited)
    return [
        base,
        row("start", "the same, its cell run and its words there", ran, unit="s"),
        row(
            "start", "taperkey learn: start page run, its figure drawn", course, unit="s",
            against=base, faster=False, limits=[at_most("share", 0.5)],
            rest=f"{mid:.1f} s to the address, the rest in server and browser side by side",
        ),
    ]  # fmt: skip


def measure_another(quick: bool) -> list[Row]:
    """Compare another page of an open course with a page of one cell in a running JupyterLab."""
    bare, inside, anew = Times(), Times(), Times()
    names = ["lessons/01-measure.ipynb", "lessons/02-taper.ipynb", "lessons/03-key.ipynb"]
    place = Path(tempfile.mkdtemp(prefix="bench-another-"))
    try:
        with (
            chromium() as browser,
            _course_command(place / "ours", as_installed(place)) as (_, start),
            _bare_command(place, as_installed(place)) as (_, one_cell),
        ):
            reader = browser.new_page(viewport={"width": 1280, "height": 900})
            _until_course(reader, start)
            for turn in range(3 if quick else 9):
                page = browser.new_page(viewport={"width": 1280, "height": 900})
                begun = time.perf_counter()
                _until_bare(page, one_cell)
                bare.wall.append(time.perf_counter() - begun)
                page.close()

                name = names[turn % len(names)]
                begun = time.perf_counter()
                reader.evaluate(GO_THERE, name)
                reader.wait_for_function(THERE, arg=name, timeout=120_000)
                inside.wall.append(time.perf_counter() - begun)

                page = browser.new_page(viewport={"width": 1280, "height": 900})
                begun = time.perf_counter()
                page.goto(start.replace("lessons/00-start.ipynb", name))
                page.wait_for_selector("[data-taperkey-page='ready']", timeout=120_000)
                anew.wall.append(time.perf_counter() - begun)
                page.close()
    finally:
        shutil.rmtree(place, ignore_errors=True)
    base = row("another", "JupyterLab running: page of one cell, kernel ready", bare, unit="s")
    return [
        base,
        row(
            "another", "course open: another lesson by its link, readable and live", inside,
            unit="s", against=base, faster=False, limits=[at_most("share", 0.25)],
        ),
        row(
            "another", "the same by its address, in a new window", anew, unit="s", against=base,
            faster=False,
        ),
    ]  # fmt: skip


def statistics_of(times: Times) -> float:
    """Return the median of the rounds."""
    ordered = sorted(times.wall)
    return ordered[len(ordered) // 2]
