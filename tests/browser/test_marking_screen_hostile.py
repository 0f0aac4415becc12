"""Nothing that came from a file runs for whoever marks: every page of a class, in a browser.

The names lie in a gradebook made by an earlier course, raw; entries, title, reasons and file
names are hostile too. Each payload that runs does three things: it raises a flag, opens a dialog
and asks another host. Any one of them fails the check.
"""

import sqlite3
from pathlib import Path

import pytest
from playwright.sync_api import Page

from coursework.course import PAGES
from coursework.page.handin import write_hand_in
from coursework.room.cards import write_cards
from coursework.room.classfolder import open_class
from coursework.room.markingscreen import start_marking_screen
from keycourse.cli import main
from taperkey.names import harmless

pytestmark = pytest.mark.browser

RUN = "window.ran=1;alert(1);fetch('http://elsewhere.example/')"
PAYLOADS = [
    f'Pat <svg/onload="{RUN}">',
    f"Pat <script>{RUN}</script>",
    f'Pat <img src=x onerror="{RUN}">',
    f'"><script>{RUN}</script>',
    f'\'><svg onload="{RUN}">',
    f"</title><script>{RUN}</script>",
    f"</script><script>{RUN}</script>",
    f'<details open ontoggle="{RUN}">x</details>',
    f'<iframe srcdoc="<script>parent.{RUN}</script>"></iframe>',
    f'<input autofocus onfocus="{RUN}">',
    f'<style>@import "http://elsewhere.example/a.css"</style><img src=x onerror="{RUN}">',
    f'&lt;img src=x onerror="{RUN}"&gt;',
    f"</textarea></pre><script>{RUN}</script>",
    f'<math><mtext><img src=x onerror="{RUN}"></mtext></math>',
    '<img src="http://elsewhere.example/beacon.png">',
    '<link rel=stylesheet href="http://elsewhere.example/b.css">',
]
NUMBERS = range(1, len(PAYLOADS) + 1)
PAGE, WRITTEN, ENTRY = "02-taper", "02-why-longer", "02-ratio"


# nbgrader's page of one hand-in asks for this by itself, whatever is on it.
ITS_OWN = "https://cdnjs.cloudflare.com/ajax/libs/mathjax/"


class Watch:
    """What ran, or asked another host, on a page."""

    def __init__(self, page: Page) -> None:
        self.page, self.seen = page, []
        page.on("dialog", self._dialog)
        page.on("request", self._request)

    def _dialog(self, dialog) -> None:
        self.seen.append(f"dialog on {self.page.url}")
        dialog.dismiss()

    def _request(self, request) -> None:
        if not request.url.startswith(
            ("http://127.0.0.1", "http://localhost", "file:", "data:", ITS_OWN)
        ):
            self.seen.append(f"{request.url} asked from {self.page.url}")

    def look(self, address: str) -> None:
        self.page.goto(address)
        self.page.wait_for_timeout(400)
        if any(frame.evaluate("window.ran") for frame in self.page.frames):
            self.seen.append(f"flag raised on {self.page.url}")


@pytest.fixture
def hostile(tmp_path: Path) -> Path:
    """Return a class whose every field from outside is hostile, marked."""
    roster = tmp_path / "roster.csv"
    roster.write_text("number,name\n" + "".join(f"{n},Hand {n}\n" for n in NUMBERS))
    folder = tmp_path / "class"
    assert main(["class", "new", str(folder), "--roster", str(roster), "--code", "QQ-31"]) == 0
    settings = folder / "class.toml"
    title = PAYLOADS[1].replace("\\", "")
    settings.write_text(
        settings.read_text("utf-8").replace('title = "Class QQ-31"', f"title = '''{title[:110]}'''")
    )
    for number, payload in zip(NUMBERS, PAYLOADS, strict=True):
        write_hand_in(
            folder=folder / "inbox",
            class_code="QQ-31",
            number=number,
            page=PAGE,
            page_version="unknown",
            entries={one.key: payload for one in PAGES[PAGE].questions if not _practical(one)},
            made="2026-11-02T09:00:00Z",
        )
    (folder / "inbox" / "<svg onload=alert(1)>.json").write_text("{}")
    assert main(["mark", str(folder)]) == 0
    act = ["class", "moderate", str(folder), "--number", "1", "--entry", ENTRY, "--mark", "0.5"]
    assert main([*act, "--reason", PAYLOADS[1], "--by", "W. Ashby"]) == 0
    with sqlite3.connect(folder / "gradebook.db") as raw:
        for number, payload in zip(NUMBERS, PAYLOADS, strict=True):
            raw.execute(
                "UPDATE student SET first_name = ?, last_name = ?, email = ? WHERE id = ?",
                (payload, payload, payload, f"{number:03d}"),
            )
    return folder


def _practical(question) -> bool:
    return type(question.kind).__name__ == "Practical"


def submissions(folder: Path) -> list[tuple[str, str]]:
    with sqlite3.connect(folder / "gradebook.db") as raw:
        return raw.execute(
            "SELECT submitted_notebook.id, student_id FROM submitted_notebook JOIN "
            "submitted_assignment ON submitted_assignment.id = submitted_notebook.assignment_id"
        ).fetchall()


def test_nothing_runs_in_the_marking_screen(screen, hostile: Path) -> None:
    watch = Watch(screen.page)
    server = start_marking_screen(open_class(hostile))
    try:
        screen.page.goto(f"{server.base_url}lab?token={server.token}")
        screen.page.wait_for_selector("#jp-main-dock-panel")
        at = f"{server.base_url}formgrader/"
        for page in ("", "gradebook", f"gradebook/{PAGE}", f"gradebook/{PAGE}/{PAGE}",
                     "manage_students", f"manage_submissions/{PAGE}", "manage_students/001",
                     f"manage_students/001/{PAGE}"):  # fmt: skip
            watch.look(at + page)
        found = submissions(hostile)
        assert len(found) == len(PAYLOADS)
        for submission, number in found:
            watch.look(f"{at}submissions/{submission}")
            assert watch.seen == []
            name = harmless(PAYLOADS[int(number) - 1])
            assert f"{name}, {name}" in " ".join(screen.page.locator("body").all_text_contents())
    finally:
        server.stop()
    assert watch.seen == []


def test_nothing_runs_on_the_pages_of_the_class(screen, hostile: Path) -> None:
    room = open_class(hostile)
    write_cards(room)
    assert main(["class", "release", str(hostile)]) == 0
    watch = Watch(screen.page)
    pages = sorted(path for name in ("feedback", "report", "cards")
                   for path in (hostile / name).rglob("*.html"))  # fmt: skip
    assert len(pages) > 2 * len(PAYLOADS)
    for path in pages:
        watch.look(path.as_uri())
    assert watch.seen == []
