"""Key press on a slider to the new picture, in a browser, for every live figure."""

from __future__ import annotations

import json
import tempfile
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from benchmark.redraw import live_figures
from benchmark.table import PartlyMeasuredError, Row, Times, at_most, row

__all__ = ["chromium", "measure_slider", "one_page"]

TESTS = Path(__file__).resolve().parents[1]
OURS = "from keycourse import lesson\nlesson.{name}()"
INLINE = (
    "%matplotlib inline\nimport sys\nsys.path.insert(0, {tests!r})\n"
    "from benchmark.matplotlib_sheet import equal_inline\nequal_inline({name!r})"
)
#: A slider and a picture that says its value: the way there and back, and a screen frame.
EMPTY = """
import ipywidgets as w
from IPython.display import display
slide = w.FloatSlider(max=100.0, step=0.5, readout=False)
figure = w.HTML()
def draw(_=None):
    figure.value = f"<svg role='img' aria-label='{slide.value}' width='9' height='9'></svg>"
slide.observe(draw, "value")
draw()
display(slide, figure)
"""
NEAR_EMPTY = 1.2
SLIDER_OF = {"measuring_bench": 3}  # angle, station, lock, lean
INLINE_SLIDER_OF: dict[str, int] = {}
WATCH = """
(kind) => new Promise(done => {
  const seen = () => kind === 'svg'
    ? (document.querySelector('.jp-OutputArea svg[role=img]') || {}).outerHTML
    : (document.querySelector('.jp-OutputArea img[src^="data:image/png"]') || {}).src;
  const before = seen();
  const start = performance.now();
  const look = () => {
    const now = seen();
    if (now && now !== before) requestAnimationFrame(() => done(performance.now() - start));
    else if (performance.now() - start > 4000) done(-1);
    else setTimeout(look, 1);
  };
  look();
})
"""


def one_page(source: str, name: str, folder: Path) -> Path:
    """Write a page of the course with one code cell."""
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


@contextmanager
def chromium() -> Iterator[Any]:
    """Open a headless Chromium, and close it."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium",
            args=["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run"],
        )
        try:
            yield browser
        finally:
            browser.close()


def _end_sessions(server: Any) -> None:
    head = {"Authorization": f"token {server.token}"}
    there = f"{server.base_url}api/sessions"
    with urllib.request.urlopen(urllib.request.Request(there, headers=head)) as reply:
        sessions = json.loads(reply.read())
    for one in sessions:
        wish = urllib.request.Request(f"{there}/{one['id']}", headers=head, method="DELETE")
        urllib.request.urlopen(wish).close()


def _opened(browser: Any, address: str, handle: int) -> Any:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto(address)
    page.wait_for_selector("[data-taperkey-page='ready']", timeout=60_000)
    page.wait_for_selector(".noUi-handle", timeout=60_000)
    page.wait_for_timeout(2500)
    page.locator(".noUi-handle").nth(handle).focus()
    return page


def _press(page: Any, handle: int, kind: str, presses: int, turn: int) -> Times:
    """Press the arrow key `presses` times, one way in even turns and back in odd ones.

    Nothing comes back where the picture did not follow a key.
    """
    page.bring_to_front()
    page.locator(".noUi-handle").nth(handle).focus()
    times = Times()
    for _ in range(presses):
        page.evaluate(f"() => {{ window.wait = ({WATCH})('{kind}'); }}")
        page.keyboard.press("ArrowLeft" if turn % 2 else "ArrowRight")
        took = page.evaluate("() => window.wait")
        if took < 0:
            return Times()
        times.wall.append(took / 1000)
        page.wait_for_timeout(150)
    return times


def _fast_enough(ours: Row, empty: Row) -> str:
    """Say whether a figure is three times as fast as inline, or near an empty one."""
    near = ours.median / empty.median
    kept = (ours.faster or 0.0) >= 3.0 or near <= NEAR_EMPTY
    return (
        f"ratio ≥ 3 ×, or ≤ {NEAR_EMPTY} × of an empty figure ({near:.2f} ×): "
        f"{'kept' if kept else 'NOT KEPT'}"
    )


def measure_slider(quick: bool) -> list[Row]:
    """Compare each live figure with the same drawing in interactive_output, press for press."""
    from coursework.room.coursebook import lay_out, runnable_pages
    from coursework.room.launch import sign_pages, start_server

    blocks, presses = (2, 6) if quick else (8, 8)
    rows: list[Row] = []
    missed: list[str] = []
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        pages = {}
        for number, name in enumerate(live_figures()):
            for letter, source in (
                ("a", INLINE.format(name=name, tests=str(TESTS))),
                ("b", OURS.format(name=name)),
            ):
                word = f"{number:02d}{letter}-face"
                pages[f"lessons/{word}.ipynb"] = one_page(source, word, folder)
        empty_page = "lessons/99-empty.ipynb"
        pages[empty_page] = one_page(EMPTY, "99-empty", folder)
        course = folder / "course"
        lay_out(folder=course, pages=pages)
        server = start_server(root=course)
        try:
            sign_pages(runnable_pages(folder=course, pages=pages), data=server.state / "data")
            server.wait_until_up()
            with chromium() as browser:
                for number, name in enumerate(live_figures()):
                    opened = []
                    for letter, kind, handle in (
                        ("a", "img", INLINE_SLIDER_OF.get(name, 0)),
                        ("b", "svg", SLIDER_OF.get(name, 0)),
                    ):
                        address = server.address(f"lessons/{number:02d}{letter}-face.ipynb")
                        opened.append((_opened(browser, address, handle), handle, kind, Times()))
                    address = server.address(empty_page)
                    opened.append((_opened(browser, address, 0), 0, "svg", Times()))
                    follows = all(_press(*one[:3], 3, 0).wall for one in opened)  # warms, too
                    for turn in range(blocks if follows else 0):
                        for page, handle, kind, times in opened:
                            times += _press(page, handle, kind, presses, turn)
                    for page, *_ in opened:
                        page.close()
                    _end_sessions(server)
                    if not all(len(times.wall) == blocks * presses for *_, times in opened):
                        missed.append(f"{name}: a picture did not follow the key")
                        continue
                    base = row("slider", f"{name}: interactive_output + inline", opened[0][3])
                    empty = row("slider", "an empty figure beside it", opened[2][3])
                    ours = row(
                        "slider", f"{name}: as the course draws it", opened[1][3], against=base,
                        limits=[at_most("median", 50.0), at_most("p95", 80.0)],
                    )  # fmt: skip
                    ours.limits.insert(0, _fast_enough(ours, empty))
                    rows += [base, empty, ours]
        finally:
            server.stop()
    if missed:
        raise PartlyMeasuredError(rows, missed)
    return rows
