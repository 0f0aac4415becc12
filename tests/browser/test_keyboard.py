"""With the keyboard alone: an exercise and a bench, from the first key to the hand-in.

No mouse, no touch, and no focus set by the test: each part is reached by Tab from the top of the
page, is seen to have the focus, and says what it is. What a screen reader would say of itself is
what changes inside a live region that was there before (WAI-ARIA 1.2, 6.6.4 and 8.4).
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field

import pytest
from playwright.sync_api import Page

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.page.entries import EntriesFile
from coursework.page.handin import read_hand_in
from coursework.page.pagefolder import ALONE
from coursework.question import Choice, Written
from keycourse.sessions import BENCHES

pytestmark = pytest.mark.browser

EXERCISE, LATE_ONE = PAGES["02-taper"], PAGES["01-measure"]
#: Stops between one part and the next, at the most: far more is a trap, not a way.
MOST_STOPS = 60
HEARD = """
window.heard = [];
new MutationObserver(all => {
  for (const one of all) {
    const around = one.target.nodeType === 1 ? one.target : one.target.parentElement;
    const region = around?.closest('[aria-live=polite], [aria-live=assertive], '
      + '[role=status], [role=alert]');
    const words = region?.textContent.replace(/\\s+/g, ' ').trim();
    if (words && words !== window.heard.at(-1)) window.heard.push(words);
  }
}).observe(document, { childList: true, subtree: true, characterData: true });
"""
#: Every answer of the course comes this late, as over a poor network; the hands do not wait for it.
LATE = """
window.WebSocket = class extends WebSocket {
  set onmessage(take) { super.onmessage = event => setTimeout(() => take.call(this, event), 500); }
  get onmessage() { return super.onmessage; }
};
"""
STOP = """() => {
  const one = document.activeElement, box = one.getBoundingClientRect();
  const shown = getComputedStyle(one);
  const words = one.ariaLabel || [...(one.labels || [])].map(each => each.textContent).join(' ')
    || one.textContent || '';
  return {
    tag: one.tagName, role: one.getAttribute('role') || one.type || '',
    name: one === document.body ? '' : words.replace(/\\s+/g, ' ').trim(),
    ring: shown.outlineStyle === 'none' ? 0 : parseFloat(shown.outlineWidth),
    top: box.top, bottom: box.bottom, high: innerHeight,
  };
}"""


@dataclass
class Keys:
    """A page worked with keys; `stops` are the names of the parts that had the focus."""

    page: Page
    stops: list[str] = field(default_factory=list)

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def on_to(self, name: str) -> None:
        """Go on with Tab to the part of that name; each stop on the way is seen and named."""
        for _ in range(MOST_STOPS):
            self.page.keyboard.press("Tab")
            stop = self.page.evaluate(STOP)
            if stop["tag"] == "BODY":  # the way round, through the browser's own parts
                continue
            assert stop["name"], f"after “{self.stops[-1:]}” stands a part without a name: {stop}"
            assert stop["ring"] >= 1, f"the focus on “{stop['name']}” is not to be seen"
            assert stop["bottom"] > 0, f"“{stop['name']}” has the focus out of sight"
            assert stop["top"] < stop["high"], f"“{stop['name']}” has the focus out of sight"
            self.stops.append(stop["name"])
            if stop["name"].startswith(name):
                return
        raise AssertionError(f"Tab does not come to “{name}”; it came to {self.stops}")

    def hear(self, words: str) -> str:
        """Wait until a live region says words of this pattern, and return what it says."""
        self.page.wait_for_function(
            "words => window.heard.some(one => new RegExp(words).test(one))", arg=words
        )
        said = self.page.evaluate("window.heard")
        self.page.evaluate("window.heard = []")
        return next(one for one in reversed(said) if re.search(words, one))


@pytest.fixture(scope="module")
def course(open_course):
    """Give the shipped course, opened as `taperkey learn` opens it."""
    return open_course(None)


@pytest.fixture
def keys(screen) -> Keys:
    """Give a page that only keys work."""
    screen.page.add_init_script(HEARD)
    return Keys(screen.page)


def test_an_exercise_from_the_first_key_to_the_hand_in(course, keys, screen) -> None:
    card = issue_card(exercise=EXERCISE.name, class_code=ALONE.class_code, number=ALONE.number)
    right = right_answers(EXERCISE, card)
    screen.show(course.address(f"exercises/{EXERCISE.name}/{EXERCISE.name}.ipynb"))
    typed = {}
    for plain in EXERCISE.questions:
        if plain.by_assessor and not isinstance(plain.kind, Written):
            continue
        question = plain.on(card)
        if isinstance(question.kind, Choice):
            typed[question.key] = str(right[question.key])
            keys.on_to(question.kind.options[0])
            turns = question.kind.options.index(typed[question.key])
            keys.press("Space", *["ArrowDown"] * turns)
            keys.hear(r"^Saved\.$")
            continue
        if isinstance(question.kind, Written):
            typed[question.key] = "Each height has the same uncertainty; a longer base divides it."
        else:
            typed[question.key] = show_answer(question, right[question.key])
        keys.on_to(question.label)
        keys.page.keyboard.type(typed[question.key])
        keys.press("Tab")
        keys.hear(r"Saved\. Read as|Saved, \d+ characters")
        keys.press("Shift+Tab")
    keys.on_to("Hand in")
    keys.press("Enter")
    said = keys.hear("Handed in: ")
    assert "Left blank" not in said
    [path] = (course.folder / "hand-ins").glob(f"*_{EXERCISE.name}.*")
    assert read_hand_in(path.read_bytes()).entries == typed
    keys.on_to("Mark my hand-in")
    keys.press("Space")
    keys.hear("mark")
    before = len(keys.stops)
    keys.on_to("Start page")  # and round to the top again: nothing holds the focus
    assert len(keys.stops) - before < MOST_STOPS
    assert not screen.errors


_COUNTED = ("no", "one", "two", "three")
_SLEEVE = re.compile(
    r"Micrometer, (\d) to \d in\. The last number out on the sleeve is (\d+), "
    r"with (\w+) lines? after"
)
_THIMBLE = re.compile(r"Thimble line (\d+) stands|stands between thimble lines (\d+)")
_VERNIER = re.compile(r"Vernier line (\d+) meets")


def reading_of(words: str) -> float:
    """Return what a micrometer reads, from what a screen reader says of its picture."""
    frame, number, lines = _SLEEVE.search(words).groups()
    thimble = next(filter(None, _THIMBLE.search(words).groups()))
    vernier = _VERNIER.search(words)
    whole = int(frame) + int(number) / 10 + _COUNTED.index(lines) * 0.025 + int(thimble) / 1000
    return round(whole + (int(vernier[1]) / 10_000 if vernier else 0), 4)


def test_a_bench_from_the_first_key_to_what_was_hidden(course, keys, screen) -> None:
    page = screen.show(course.address("lessons/01-measure.ipynb", unit="the-measuring-bench"))
    page.locator(".noUi-handle[aria-label='Station from mouth']").wait_for()

    def place() -> float:
        return float(page.evaluate("document.activeElement.getAttribute('aria-valuenow')"))

    keys.on_to("Station from mouth")  # its box
    keys.on_to("Station from mouth")  # its slider
    start = place()
    keys.press("ArrowRight")
    step = place() - start
    keys.press("PageUp")
    page_step = place() - start - step
    assert 0 < step < page_step
    keys.press("PageDown", "ArrowLeft")
    assert place() == pytest.approx(start)
    keys.press("Home")
    assert place() == 0
    keys.on_to("Draw out and measure")
    keys.press("Enter")
    picture = page.locator("svg[role=img][aria-label^='Micrometer,']").first
    picture.wait_for()
    reading = reading_of(picture.get_attribute("aria-label"))
    keys.on_to("You read")
    page.keyboard.type(f"{reading:.4f} in")
    keys.press("Enter")
    keys.hear("Reading 1 is written down")
    page.get_by_role("cell", name=f"{reading:.4f}").first.wait_for()
    keys.on_to("Show what was hidden")
    keys.press("Space")
    keys.hear(r"\d in")
    kept = EntriesFile(course.folder / "lessons" / "answers.json").get(BENCHES["measuring"])
    assert f"{reading:.4f}" in json.dumps(kept)
    keys.on_to("Go on:")
    keys.press("Enter")  # and on to the next unit, whose first part is the next stop
    page.wait_for_url(re.compile(r"#(?!the-measuring-bench)"))
    assert not screen.errors


def test_the_last_letters_go_with_the_hand_in_where_answers_come_late(course, screen) -> None:
    page = screen.page
    page.add_init_script(LATE)
    screen.show(course.address(f"exercises/{LATE_ONE.name}/{LATE_ONE.name}.ipynb"))
    written = "The hub hangs on the shaft, so all the clearance lies below."
    box = page.locator("textarea").first
    box.click()
    page.keyboard.type(written, delay=5)
    page.get_by_role("button", name="Hand in").click()
    page.get_by_text(re.compile("Handed in: ")).first.wait_for()
    [path] = (course.folder / "hand-ins").glob(f"*_{LATE_ONE.name}.*")
    assert read_hand_in(path.read_bytes()).entries == {"01-why-bottom": written}
