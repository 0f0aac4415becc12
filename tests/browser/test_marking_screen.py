"""The assessor's marking screen: answer and guide together; nothing that was written runs."""

from pathlib import Path

import pytest
from playwright.sync_api import expect

from coursework.mark.byhand import read_by_hand
from coursework.mark.records import manual_marks
from coursework.page.handin import write_hand_in
from coursework.room.classfolder import open_class
from coursework.room.markingscreen import start_marking_screen
from keycourse.cli import main

pytestmark = pytest.mark.browser

NASTY = (
    "Two readings. <script>document.title = 'ran'</script>"
    "<img src=x onerror=\"document.title='ran'\">"
)


def test_a_written_answer_is_marked_in_the_screen(screen, tmp_path: Path) -> None:
    roster = tmp_path / "roster.csv"
    roster.write_text("number,name\n4,Orla Fenwick\n")
    folder = tmp_path / "class"
    assert main(["class", "new", str(folder), "--roster", str(roster), "--code", "QQ-27"]) == 0
    write_hand_in(
        folder=folder / "inbox",
        class_code="QQ-27",
        number=4,
        page="02-taper",
        page_version="unknown",
        entries={"02-why-longer": NASTY},
        made="2026-11-02T09:00:00Z",
    )
    assert main(["mark", str(folder)]) == 0
    server = start_marking_screen(open_class(folder), by="Pat Holt")
    try:
        page = screen.page
        page.goto(f"{server.base_url}lab?token={server.token}")
        page.wait_for_selector("#jp-main-dock-panel")
        page.goto(f"{server.base_url}formgrader/gradebook/02-taper/02-taper")
        page.get_by_role("link", name="Submission #1").click()
        expect(page.get_by_text("Two readings.")).to_be_visible()
        expect(page.get_by_text("Marking guide").first).to_be_visible()
        assert page.title() != "ran"
        page.wait_for_selector("input.score[placeholder]")  # the screen has fetched the marks
        score = page.locator("input.score:visible").nth(-2)
        with page.expect_response(
            lambda answer: "/api/grade/" in answer.url and answer.request.method == "PUT",
            timeout=60_000,
        ) as saved:
            score.fill("2")
            score.press("Tab")
        assert saved.value.ok
        screen.picture("marking-screen")
    finally:
        server.stop()
    given = manual_marks(folder)[4, "02-taper"]
    assert given["02-why-longer"].score == 2.0
    assert not given["02-why-longer"].waiting
    line = read_by_hand(folder)[4, "02-taper", "02-why-longer"]
    assert (line.score, line.by) == ("2", "Pat Holt")
