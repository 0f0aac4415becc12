"""The course as an apprentice meets it: every shipped page, and the main job from end to end."""

import json
import re
import urllib.request
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from tests.browser.conftest import RIGHT_EDGES, SIZES, settle

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.room.coursebook import shipped_pages
from keycourse.cli import main

pytestmark = pytest.mark.browser

SHIPPED = sorted(name for name in shipped_pages() if name.endswith(".ipynb"))


@pytest.fixture(scope="module")
def course(open_course):
    """Give the shipped course, opened as `taperkey learn` opens it."""
    return open_course(None)


WALK_DOWN = """async () => {
  const parts = [];
  for (let step = 0; step < 60; step += 1) {
    parts.push(document.body.innerText);
    const box = [...document.querySelectorAll('*')]
      .filter(one => one.scrollHeight > one.clientHeight + 5
        && /auto|scroll/.test(getComputedStyle(one).overflowY))
      .sort((a, b) => b.scrollHeight - a.scrollHeight)[0];
    const before = box?.scrollTop;
    if (box) box.scrollTop += box.clientHeight * 0.8;
    if (!box || box.scrollTop === before) break;
    await new Promise(done => requestAnimationFrame(() => setTimeout(done, 50)));
  }
  return parts.join('\\n');
}"""


def scroll_through(page: Page) -> str:
    """Walk down the page, so that all of it is drawn, and return its text."""
    return str(page.evaluate(WALK_DOWN))


def cut_off(page: Page) -> list[str]:
    """Return the boxes to type in whose edge something around them hides."""
    return page.evaluate(
        """() => [...document.querySelectorAll('.jp-OutputArea textarea, .jp-OutputArea input')]
          .filter(box => box.getClientRects().length && box.type !== 'range')
          .filter(box => {
            const edge = box.getBoundingClientRect().right;
            for (let around = box.parentElement; around; around = around.parentElement)
              if (getComputedStyle(around).overflowX !== 'visible'
                && around.getBoundingClientRect().right < edge - 0.5) return true;
            return false;
          }).map(box => box.ariaLabel || box.placeholder || box.type)"""
    )


@pytest.mark.parametrize("name", SHIPPED)
def test_every_page_runs_by_itself_and_shows_no_error(course, walker, name) -> None:
    page = walker.walk(course, name)
    for size in SIZES:
        page.set_viewport_size(size)
        settle(page)
        page.evaluate("document.querySelector('.jp-WindowedPanel-outer').scrollTo(0, 0)")
        walker.picture(f"{name.rsplit('/', 1)[-1]}-{size['width']}")
        words = scroll_through(page)
        settle(page)
        for bad in ("Traceback", "Error:", "model not found", "Loading widget", "import taperkey"):
            assert bad not in words, f"{name} shows “{bad}”"
        assert page.locator("[data-mime-type='application/vnd.jupyter.stderr']").count() == 0
        assert max(page.evaluate(RIGHT_EDGES), default=0) <= size["width"]
        assert cut_off(page) == []
        assert page.locator(".jp-Dialog").count() == 0
        assert not walker.errors


def test_a_page_itself_is_never_written(course, walker) -> None:
    # so no save can find the file changed under it, and ask what to do
    name = "exercises/03-key/03-key.ipynb"
    file = course.folder / name
    lay, before = file.read_bytes(), file.stat().st_mtime_ns
    writes = []
    page = walker.page
    page.on(
        "request", lambda asked: writes.append(asked.url) if "/api/contents/" in asked.url
        and asked.method in ("PUT", "PATCH", "DELETE") else None,
    )  # fmt: skip
    walker.walk(course, name)
    settle(page)
    box = page.locator("input[type=text]:visible").first
    box.fill("1.0312 in")
    box.press("Tab")
    expect(page.get_by_text(re.compile("Saved")).first).to_be_visible()
    page.wait_for_timeout(2_500)  # longer than the page waits before it would save
    assert writes == []
    assert file.read_bytes() == lay
    assert file.stat().st_mtime_ns == before


def field(page: Page, label: str):
    return page.get_by_label(re.compile(rf"^{re.escape(label)}"), exact=False).first


def type_in(page: Page, label: str, text: str) -> None:
    box = field(page, label)
    box.scroll_into_view_if_needed()
    box.fill(text)
    box.press("Tab")


def test_a_slider_moves_the_figure_and_its_words(course, walker) -> None:
    page = walker.walk(course, "lessons/01-measure.ipynb")
    settle(page)
    figure = page.locator("svg[role=img]").first
    before = figure.get_attribute("aria-label")
    handle = page.locator(".noUi-handle").first
    handle.scroll_into_view_if_needed()
    handle.focus()
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    expect(page.locator("svg[role=img]").first).not_to_have_attribute("aria-label", str(before))


def practice_block(page: Page, asked: str):
    return (
        page.locator(".jp-OutputArea-output")
        .filter(has_text=asked)
        .filter(has=page.get_by_role("button", name="New numbers"))
    )


def test_practice_answers_wrong_and_right_at_once(course, walker) -> None:
    page = walker.walk(course, "lessons/01-measure.ipynb")
    settle(page)
    block = practice_block(page, "How much clearance is there between bore and shaft").first
    block.scroll_into_view_if_needed()
    table = block.inner_text()
    bore = float(re.search(r"Bore of the hub\s+([\d.]+) in", table).group(1))
    shaft = float(re.search(r"Diameter of the shaft\s+([\d.]+) in", table).group(1))
    entry = block.locator("input[type=text]")
    entry.fill(f"{(bore - shaft) / 2:.5f} in")
    entry.press("Tab")
    expect(block).to_contain_text("The hub hangs on the top: all of the clearance is underneath.")
    entry.fill("nine")
    entry.press("Tab")
    expect(block).to_contain_text("it must start with a number")
    entry.fill(f"{bore - shaft:.4f} in")
    entry.press("Tab")
    expect(block).to_contain_text("Right.")


def restart(course, name: str) -> None:
    """Restart what runs behind the page, as a stopped computer would."""
    base = course.server.base_url
    token = course.server.token

    def call(path: str, *, post: bool = False):
        request = urllib.request.Request(
            f"{base}{path}",
            method="POST" if post else "GET",
            headers={"Authorization": f"token {token}"},
        )
        opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        with opener.open(request, timeout=60) as answer:
            return json.loads(answer.read() or b"null")

    (session,) = [one for one in call("api/sessions") if one["path"] == name]
    call(f"api/kernels/{session['kernel']['id']}/restart", post=True)


def test_the_main_job_from_name_tag_to_feedback(
    course, walker, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    exercise = PAGES["02-taper"]
    cards = (issue_card(exercise="02-taper", class_code="QQ-27", number=n) for n in range(1, 20))
    card = next(card for card in cards if not card.metric)
    number = card.number
    page = walker.walk(course, "lessons/00-start.ipynb")
    settle(page)
    type_in(page, "Class code", "QQ-27")
    type_in(page, "Your number", str(number))
    type_in(page, "Your name", "Orla Fenwick")
    expect(page.get_by_text(f"Name tag: class QQ-27, number {number}.")).to_be_visible()

    name = "exercises/02-taper/02-taper.ipynb"
    page = walker.walk(course, name)
    settle(page)
    scroll_through(page)
    expect(page.get_by_text(f"class QQ-27 · apprentice {number}")).to_be_visible()
    right = right_answers(exercise, card)
    type_in(page, "Difference", "rubbish")
    expect(
        page.get_by_text("Difference is “rubbish”; it must start with a number.")
    ).to_be_visible()
    for key in ("02-difference", "02-per-inch", "02-ratio"):
        question = exercise.question(key)
        type_in(page, question.label, show_answer(question, right[key]))
    type_in(page, "Taper per foot", f"{float(right['02-per-inch']):.5f} in/ft")  # × 12 left out
    page.get_by_label(str(right["02-large-end"]), exact=True).first.check()
    page.get_by_label("Why a longer base").fill("Each height is uncertain. <script>x</script>")
    page.get_by_label("Why a longer base").press("Tab")

    # what the page calls saved is there again after a restart
    saved = "Saved as typed. Taper per foot reads as "
    expect(page.get_by_text(re.compile(saved))).to_be_visible(timeout=30_000)
    expect(page.get_by_text("Saved, 44 characters.")).to_be_visible(timeout=30_000)
    restart(course, name)
    page = walker.show(course.address(name))
    settle(page)
    scroll_through(page)
    expect(field(page, "Taper per foot")).to_have_value(f"{float(right['02-per-inch']):.5f} in/ft")
    assert field(page, "Difference").input_value() == show_answer(
        exercise.question("02-difference"), right["02-difference"]
    )

    press = page.get_by_role("button", name="Hand in")
    press.scroll_into_view_if_needed()
    press.click()
    expect(page.get_by_text("Handed in:")).to_be_visible()
    handed = course.folder / "hand-ins" / f"QQ-27_{number:03d}_02-taper.handin.json"
    assert handed.exists()
    walker.picture("handed-in")

    roster = tmp_path / "roster.csv"
    roster.write_text(f"number,name\n{number},Orla Fenwick\n")
    class_folder = tmp_path / "class"
    assert (
        main(["class", "new", str(class_folder), "--roster", str(roster), "--code", "QQ-27"]) == 0
    )
    (class_folder / "inbox" / handed.name).write_bytes(handed.read_bytes())
    assert main(["mark", str(class_folder)]) == 0
    feedback = class_folder / "feedback" / f"{number:03d}" / "02-taper.html"
    page.goto(feedback.as_uri())
    expect(
        page.get_by_text("This is the taper of one inch. A foot has more of them.")
    ).to_be_visible()
    assert f"{12 * float(right['02-per-inch']):.4f} in/ft" not in page.content()
    walker.picture("feedback")
    report = class_folder / "report" / "index.html"
    page.goto(report.as_uri())
    expect(page.get_by_text("Orla Fenwick").first).to_be_visible()
    walker.picture("report")
    assert not [error for error in walker.errors if "favicon" not in error]


def test_the_fitting_bench_is_stopped_and_taken_up_again(course, walker) -> None:
    bench = course.address("lessons/04-fit.ipynb", unit="the-fitting-bench")
    page = walker.show(bench)
    settle(page)
    press = page.get_by_role("button", name="Blue both faces")
    press.scroll_into_view_if_needed()
    key = page.locator("svg[role=img][aria-label^='Both faces of the key']").first
    bare = key.get_attribute("aria-label")
    press.press("Enter")
    expect(page.locator(f'svg[role=img][aria-label="{bare}"]')).to_have_count(0)
    page.get_by_role("button", name="Push in, draw, read").press("Enter")
    page.wait_for_selector("svg[aria-label*='out of the mouth']")
    expect(key).to_have_attribute("aria-label", re.compile("percent bright"))
    pushed = key.get_attribute("aria-label")
    assert pushed != bare
    walker.picture("fitting-bench")
    page.goto("about:blank")
    page = walker.show(bench)
    settle(page)
    assert (
        page.locator("svg[role=img][aria-label^='Both faces of the key']").first.get_attribute(
            "aria-label"
        )
        == pushed
    )


def test_of_a_lesson_what_is_shown_is_run_and_the_rest_when_one_comes_to_it(course, walker) -> None:
    page = walker.show(course.address("lessons/04-fit.ipynb", unit="one-round"))
    results = page.locator(".jp-CodeCell .jp-OutputArea-output")
    first = results.count()
    assert page.locator("[data-tk-whole]").count() == 0
    page.locator(".tk-foot a").click()
    page.wait_for_url("**#how-should-the-spots-grow")
    expect(page.locator("[data-taperkey-page='ready']")).to_be_visible()
    expect(results.nth(first)).to_be_attached()  # more than before
    second = results.count()
    page.go_back()
    page.wait_for_url("**#one-round")
    page.wait_for_timeout(500)
    assert results.count() == second, "what was run stays, and is not run again"
    page.get_by_role("link", name="Whole lesson on one page").click()
    page.locator("[data-tk-whole]").wait_for()
    assert results.count() > second
    assert not walker.errors
