"""Measure the course side by side with what it is compared with, in one run.

    uv run python tests/bench.py                 everything
    uv run python tests/bench.py --quick         fewer rounds
    uv run python tests/bench.py --part slider   one part
    uv run python tests/bench.py --json out.json the figures as JSON

Each row gives median, 95th percentile and worst in milliseconds, and the ratio
to the row that it is compared with. Nothing is asserted here: machines are
shared, and only figures of one run may be compared.
"""

from __future__ import annotations

import argparse
import json
import math
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

Row = dict[str, Any]


def row(part: str, what: str, times_s: list[float], *, against: list[float] | None = None) -> Row:
    """Return one line of the table; times in seconds."""
    ordered = sorted(times_s)
    middle = statistics.median(ordered)
    return {
        "part": part,
        "what": what,
        "rounds": len(ordered),
        "median_ms": 1000 * middle,
        "p95_ms": 1000 * ordered[min(len(ordered) - 1, math.ceil(0.95 * len(ordered)) - 1)],
        "worst_ms": 1000 * ordered[-1],
        "times_faster": statistics.median(against) / middle if against else None,
    }


def clock(act: Callable[[], object], rounds: int) -> list[float]:
    """Return how long each round took, in seconds."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        act()
        times.append(time.perf_counter() - start)
    return times


def measure_import(quick: bool) -> list[Row]:
    """Compare one formula from a fresh start with importing numpy."""
    rounds = 5 if quick else 15
    ours = (
        "import taperkey; from taperkey.formulas.taper import two_point_taper as t; "
        "t(mouth_height_in=1.0104, inside_height_in=1.0, distance_in=1.0)"
    )
    times: dict[str, list[float]] = {ours: [], "import numpy": []}
    for _ in range(rounds):
        for script in times:
            times[script] += clock(
                lambda script=script: subprocess.run([sys.executable, "-c", script], check=True), 1
            )
    numpy = times["import numpy"]
    return [
        row("import", "import numpy", numpy),
        row("import", "import taperkey and one formula", times[ours], against=numpy),
    ]


def measure_cards(quick: bool) -> list[Row]:
    """Time the issuing of job cards."""
    from taperkey.worksheet.bank import PAGES, issue_card

    issue_card(exercise="02-taper", class_code="warm-up", number=1)
    numbers = iter(range(1, 10_000_000))

    def one() -> None:
        number = next(numbers)
        for name in PAGES:
            issue_card(exercise=name, class_code="bench", number=number)

    return [row("cards", f"{len(PAGES)} job cards", clock(one, 100 if quick else 1000))]


def _slot_and_key(seed: int) -> Any:
    from taperkey.bench.insertion import faces_at
    from taperkey.bench.keyblank import KeyParameters, draw_key
    from taperkey.bench.slot import SlotParameters, draw_slot

    slot = draw_slot(parameters=SlotParameters(), seed=seed)
    key, grid = draw_key(slot=slot, parameters=KeyParameters(), seed=seed)
    return faces_at(key=key, grid=grid, projection_in=0.6)


def measure_touch(quick: bool) -> list[Row]:
    """Compare the first touch of a rigid key with a linear program."""
    import numpy as np
    from scipy.optimize import linprog

    from taperkey.bench.touch import first_touch

    ours: list[float] = []
    program: list[float] = []
    worst = 0.0
    for seed in range(3 if quick else 12):
        faces = _slot_and_key(seed)
        ours += clock(lambda faces=faces: first_touch(faces=faces), 5)
        mine = first_touch(faces=faces).clearance_in
        x, y = np.broadcast_arrays(faces.x_in[:, None], faces.y_in[None, :])
        one = np.ones(x.size)
        plane = np.column_stack([one, x.ravel(), y.ravel()])
        rows = np.vstack([np.column_stack([-plane, one]), np.column_stack([plane, one])])
        limits = np.concatenate([-faces.under_in.ravel(), faces.over_in.ravel()])
        answer: list[Any] = []
        program += clock(
            lambda rows=rows, limits=limits, answer=answer: answer.append(
                linprog(
                    [0, 0, 0, -1],
                    A_ub=rows,
                    b_ub=limits,
                    bounds=[(None, None)] * 4,
                    method="highs",
                )
            ),
            1,
        )
        worst = max(worst, abs(-answer[-1].fun - mine))
    return [
        row("touch", "linear program (HiGHS), 24,576 rows", program),
        row("touch", f"first touch by exchange; apart by {worst:.1e} in", ours, against=program),
    ]


SLIDER = """
import io
from taperkey.worksheet import lesson
lesson.section_explorer()
"""
INLINE = """
%matplotlib inline
import math
import ipywidgets as widgets
import matplotlib.pyplot as plt
from IPython.display import display
from matplotlib.patches import Circle, Rectangle, Wedge
from taperkey.formulas.measure import gap_at_angle_in

def section(clearance, angle):
    figure, ax = plt.subplots(figsize=(7, 4))
    shown = 40 * clearance / 1000
    ax.add_patch(Circle((0, -shown / 2), 2.6, fc="#e9edef", ec="k", hatch="///"))
    ax.add_patch(Circle((0, -shown / 2), 1.0 + shown / 2, fc="w", ec="k"))
    ax.add_patch(Circle((0, 0), 1.0, fc="#cfd7dc", ec="k", hatch="\\\\\\\\"))
    turn = math.radians(angle)
    x, y = math.sin(turn), math.cos(turn)
    way = Rectangle((x - .2, y - .3), .4, .6, angle=-angle, rotation_point="center", fc="w")
    ax.add_patch(way)
    gap = gap_at_angle_in(diametral_clearance_in=clearance / 1000, angle_rad=turn)
    ax.annotate("opening", (x, y), (3, .5), arrowprops={"arrowstyle": "->"})
    ax.annotate(f"gap {gap:.4f} in", (0, -1.2), (3, -1), arrowprops={"arrowstyle": "->"})
    ax.annotate("hub hangs here", (0, 1), (-4, 1.8), arrowprops={"arrowstyle": "->"})
    ax.set(xlim=(-5, 5), ylim=(-2.8, 2.8), aspect="equal"); ax.axis("off")
    plt.show()

clearance = widgets.FloatSlider(value=8, max=30, step=0.5, description="Clearance")
angle = widgets.FloatSlider(value=180, max=360, step=5, description="Angle")
shown = widgets.interactive_output(section, {"clearance": clearance, "angle": angle})
display(widgets.VBox([clearance, angle, shown]))
"""
WATCH = """
(kind) => new Promise(done => {
  const area = document.querySelectorAll('.jp-OutputArea')[0];
  const seen = () => kind === 'svg'
    ? (area.querySelector('svg[role=img]') || {}).outerHTML
    : (area.querySelector('img') || {}).src;
  const before = seen();
  const start = performance.now();
  const look = () => {
    const now = seen();
    if (now && now !== before) requestAnimationFrame(() => done(performance.now() - start));
    else if (performance.now() - start > 5000) done(-1);
    else setTimeout(look, 1);
  };
  look();
})
"""


def _page(source: str, name: str, folder: Path) -> Path:
    import nbformat

    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(source, id="one")],
        metadata={
            "taperkey": {"page": name},
            "kernelspec": {"name": "python3", "display_name": "Course", "language": "python"},
        },
    )
    path = folder / f"{name}.ipynb"
    nbformat.write(notebook, path)
    return path


def measure_slider(quick: bool) -> list[Row]:
    """Time from a key press on a slider to the new picture, in headless Chromium."""
    from playwright.sync_api import sync_playwright

    from taperkey.classroom.coursebook import lay_out, runnable_pages
    from taperkey.classroom.launch import sign_pages, start_server

    rounds = 15 if quick else 60
    times: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        pages = {
            f"lessons/{name}.ipynb": _page(source, name, folder)
            for name, source in (("00-start", INLINE), ("01-face", SLIDER))
        }
        course = folder / "course"
        lay_out(folder=course, pages=pages)
        server = start_server(root=course)
        try:
            sign_pages(runnable_pages(folder=course, pages=pages), data=server.state / "data")
            server.wait_until_up()
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path="/usr/bin/chromium",
                    args=["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run"],
                )
                for name, kind in (("00-start", "img"), ("01-face", "svg")):
                    page = browser.new_page(viewport={"width": 1280, "height": 900})
                    page.goto(server.address(f"lessons/{name}.ipynb"))
                    page.wait_for_selector("[data-taperkey-page='ready']", timeout=60_000)
                    page.wait_for_selector(".noUi-handle", timeout=60_000)
                    page.wait_for_timeout(2500)
                    page.locator(".noUi-handle").first.focus()
                    times[name] = []
                    for turn in range(rounds + 5):
                        page.evaluate(f"() => {{ window.wait = ({WATCH})('{kind}'); }}")
                        page.keyboard.press("ArrowLeft" if (turn // 8) % 2 else "ArrowRight")
                        took = page.evaluate("() => window.wait")
                        if turn >= 5 and took > 0:
                            times[name].append(took / 1000)
                        page.wait_for_timeout(120)
                    page.close()
                browser.close()
        finally:
            server.stop()
    inline = times["00-start"]
    return [
        row("slider", "key to picture: interactive_output + inline matplotlib", inline),
        row("slider", "key to picture: section of hub on shaft", times["01-face"], against=inline),
    ]


def measure_marking(quick: bool) -> list[Row]:
    """Time the marking of one hand-in, and of the same ones again."""
    from taperkey.classroom.demo import run_demo

    with tempfile.TemporaryDirectory() as place:
        first = clock(lambda: run_demo(Path(place) / "demo"), 1)
    return [row("demo", "whole invented class of 12 × 2, issued to report", first)]


PARTS: dict[str, Callable[[bool], list[Row]]] = {
    "import": measure_import,
    "cards": measure_cards,
    "touch": measure_touch,
    "slider": measure_slider,
    "demo": measure_marking,
}


def main() -> None:
    """Run the parts asked for and print the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--quick", action="store_true", help="fewer rounds")
    parser.add_argument("--part", choices=sorted(PARTS), action="append", help="only this part")
    parser.add_argument("--json", type=Path, help="write the figures here, too")
    choice = parser.parse_args()
    rows: list[Row] = []
    print(f"{'part':8} {'what':62} {'median':>9} {'p95':>9} {'worst':>9}  ratio")
    for name in choice.part or PARTS:
        for one in PARTS[name](choice.quick):
            rows.append(one)
            ratio = f"{one['times_faster']:.2f} ×" if one["times_faster"] else ""
            print(
                f"{one['part']:8} {one['what'][:62]:62} {one['median_ms']:8.2f}m "
                f"{one['p95_ms']:8.2f}m {one['worst_ms']:8.2f}m  {ratio}",
                flush=True,
            )
    if choice.json:
        choice.json.write_text(json.dumps(rows, indent=1))


if __name__ == "__main__":
    main()
