"""The README's pictures, made from the course itself: a unit with its bench, feedback, a job sheet.

``uv run python tests/pictures.py`` opens the course, an invented class's feedback and an example's
job sheet in Chromium, light and dark where the page has both, and writes them small into
``.pictures``; a name (sheet, bench, feedback) makes one of them.
"""

from __future__ import annotations

import io
import shutil
import sys
import tempfile
from datetime import date
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from coursework.desks.learning import start_home
from coursework.room.coursebook import lay_out, runnable_pages
from coursework.room.launch import sign_pages
from keycourse.demo import run_demo
from keycourse.jobsheet.fields import example_entries
from keycourse.jobsheet.job import parse_job
from keycourse.jobsheet.onpaper import write_sheet

FOLDER = Path(__file__).parents[1] / ".pictures"
CHROMIUM = shutil.which("chromium") or shutil.which("google-chrome")
MOST_KIB = 150
WIDE, HIGH = 1280, 860
THEMES = ("light", "dark")
METHOD = "hollow-ram"


def keep(page: Page, name: str) -> None:
    """Save what the page shows, in few colors and with a thin edge, so that it stays small."""
    picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    framed = Image.new("RGB", (picture.width + 2, picture.height + 2), (128, 140, 148))
    framed.paste(picture, (1, 1))
    path = FOLDER / f"{name}.png"
    framed.quantize(64, dither=Image.Dither.NONE).save(path, optimize=True)
    size = path.stat().st_size / 1024
    print(f"{path.relative_to(FOLDER.parent)}: {size:.0f} KiB")
    if size > MOST_KIB:
        raise SystemExit(f"{path.name} has {size:.0f} KiB; it must have {MOST_KIB} at most.")


def opened(browser: Browser, theme: str) -> Page:
    """Return a page of the browser in a theme."""
    context = browser.new_context(
        viewport={"width": WIDE, "height": HIGH},
        color_scheme="dark" if theme == "dark" else "light",
    )
    page = context.new_page()
    page.set_default_timeout(120_000)
    return page


def bench(browser: Browser, folder: Path) -> None:
    """Take the unit of the fitting bench, after a first push."""
    folder.mkdir()
    lay_out(folder=folder)
    server = start_home(folder)
    try:
        sign_pages(runnable_pages(folder=folder), data=server.state / "data")
        server.wait_until_up()
        for theme in THEMES:
            page = opened(browser, theme)
            page.goto(server.address("lessons/04-fit.ipynb") + "#the-fitting-bench")
            page.wait_for_selector("[data-taperkey-page='ready']")
            for press in ("Blue", "Push in"):
                page.locator(".tk-hands button:visible", has_text=press).first.click()
                page.wait_for_timeout(3000)
            page.locator(".tk-bench-name:visible").first.evaluate("one => one.scrollIntoView()")
            page.wait_for_timeout(500)
            keep(page, f"bench-{theme}")
            (folder / "lessons" / "answers.json").unlink(missing_ok=True)
    finally:
        server.stop()


def feedback(browser: Browser, folder: Path) -> None:
    """Take a feedback page of the invented class."""
    report = run_demo(folder)
    found = sorted((report.parents[1] / "feedback").rglob("*02-taper*.html"))
    with_slip = next(one for one in found if "A known slip" in one.read_text("utf-8"))
    for theme in THEMES:
        page = opened(browser, theme)
        page.goto(with_slip.as_uri())
        slip = page.locator("section.entry", has_text="A known slip").first
        slip.evaluate("one => one.scrollIntoView()")
        keep(page, f"feedback-{theme}")


def sheet(browser: Browser, folder: Path) -> None:
    """Take the first page of the example's job sheet; paper is white in either theme."""
    written = write_sheet(
        job=parse_job(example_entries(METHOD)),
        folder=folder,
        paper="Letter",
        today=date(2026, 11, 25),
    )
    page = opened(browser, "light")
    page.set_viewport_size({"width": 800, "height": HIGH})
    page.goto(written.html.as_uri())
    page.get_by_text("The key", exact=False).nth(0).wait_for()
    page.locator("h2", has_text="3 The key").evaluate("one => one.scrollIntoView()")
    keep(page, "sheet")


def main() -> int:
    """Make the pictures again."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"]
        )
        wanted = sys.argv[1:] or ["sheet", "bench", "feedback"]
        for name, make in (("sheet", sheet), ("bench", bench), ("feedback", feedback)):
            if name in wanted:
                make(browser, Path(place) / name)
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
