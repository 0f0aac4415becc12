"""A page looked at as a whole: axe-core's rules, targets, edges, letters, and what pictures say.

axe-core comes with axe-playwright-python and tells what a machine can tell of WCAG 2.2. It is put
into a page once; the page is then turned to each width and theme in place, and a lesson to each of
its units. The size of a target is that of WCAG 2.2, 2.5.5: 44 CSS pixels, links within a sentence
left out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

#: Letters of a drawing on a phone, in CSS pixels, at the least.
SMALLEST_LETTER_PX = 11.0

#: What is JupyterLab's own and cannot be mended from our extension, with the reason.
NOT_OURS: dict[str, str] = {}

_AXE = """options => axe.run(document, options).then(told => told.violations.flatMap(one =>
  one.nodes.map(node => [one.id, `${node.target.join(' ')}: ${node.html.slice(0, 140)}`])))"""
_SMALL = """() => [...document.querySelectorAll(`a, button, select, summary, textarea,
    input:not([type=hidden], [type=radio], [type=checkbox]),
    label:has(input[type=radio], input[type=checkbox])`)]
  .filter(one => one.checkVisibility({ visibilityProperty: true }) && !one.closest('[aria-hidden]'))
  .filter(one => !(one.tagName === 'A' && !one.closest('nav, .tk-cards')
    && one.closest('p, td, dd, li, figcaption')))
  .map(one => [one.getBoundingClientRect(), one])
  .filter(([box]) => box.width && box.height && (box.height < 43.5 || box.width < 43.5))
  .filter(([, one]) => !one.classList.contains('skip-link'))
  .map(([box, one]) => `${one.tagName} ${(one.textContent || one.type || '').trim().slice(0, 40)}`
    + ` ${Math.round(box.width)} x ${Math.round(box.height)}`)"""
_SIDEWAYS = """() => {
  const outer = document.querySelector('.jp-WindowedPanel-outer') || document.documentElement;
  return Math.max(0, outer.scrollWidth - outer.clientWidth);
}"""
_LETTERS = """least => [...document.querySelectorAll('svg[role=img] text')]
  .filter(one => one.checkVisibility() && one.textContent.trim())
  .map(one => {
    const sheet = one.ownerSVGElement;
    const scale = sheet.getBoundingClientRect().width / sheet.viewBox.baseVal.width;
    return [parseFloat(getComputedStyle(one).fontSize) * scale, one.textContent.slice(0, 30)];
  })
  .filter(([size]) => size < least - 0.05)
  .map(([size, words]) => `${size.toFixed(1)} px: ${words}`)"""
_PICTURES = """() => [...document.querySelectorAll('svg, img, canvas, [role=img]')]
  .filter(one => one.checkVisibility() && !one.closest('[aria-hidden=true], mjx-container'))
  .filter(one => !one.parentElement.closest('svg') && !one.closest('.jp-Toolbar'))
  .map(one => [one.outerHTML.slice(0, 60), one.getAttribute('aria-label') || one.alt || '',
    [...one.querySelectorAll('text:not([data-name=scale])')].map(each => each.textContent)])"""

#: A number with a unit, as a drawing writes it.
_MEASURED = re.compile(
    r"(?<![\d.,])(\d[\d,]*(?:\.\d+)?)\s?(?:in|mm|lbf|psi|kN|MPa|°F|°C|thousandths)\b"
)


#: What a scale is divided into stands beside its axis, and is nothing that was measured.
_DIVISIONS = ("0.001 in", "0.01 mm", "1 in")


def unsaid_numbers(words: str, letters: Sequence[str]) -> list[str]:
    """Return the measured numbers that a picture shows and its words leave out."""
    texts = [one for one in letters if one not in _DIVISIONS]
    shown = [one[1] for text in texts for one in _MEASURED.finditer(text) if one[1] != "0"]
    said = {float(one.replace(",", "")) for one in re.findall(r"\d[\d,]*(?:\.\d+)?", words)}
    return [one for one in shown if float(one.replace(",", "")) not in said]


@dataclass
class Looker:
    """A browser page that is looked at; `found` is the one list of what is wrong."""

    page: Page
    found: list[str] = field(default_factory=list)
    _put_in: str = ""

    def turn(self, width: int, theme: str = "light", *, height: int = 900) -> None:
        """Give the page another width and another theme, in place."""
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.emulate_media(
            color_scheme="dark" if theme == "dark" else "light",
            contrast="more" if theme == "high contrast" else "no-preference",
            reduced_motion="reduce",
        )
        self.page.wait_for_timeout(150)

    def settle(self) -> None:
        """Wait until what is shown has run and stands there, and handles have their names."""
        self.page.wait_for_selector("[data-taperkey-page='ready']", timeout=90_000)
        self.page.wait_for_function(
            "!/Loading widget/.test(document.querySelector('.jp-Notebook').textContent)"
        )
        self.page.wait_for_timeout(700)  # a handle gets its name a moment later

    def units(self, among: Sequence[str] = ()) -> Iterator[str]:
        """Turn a lesson to its head and to each of its units, folded parts open."""
        listed = self.page.evaluate(
            "[...document.querySelectorAll('.tk-side ol a')].map(one => one.dataset.tkUnit)"
        )
        for unit in among or ["", *listed]:
            if unit:
                self.page.evaluate(
                    "id => document.querySelector(`.tk-side a[data-tk-unit='${id}']`).click()", unit
                )
                self.page.wait_for_timeout(100)
                self.settle()
            self.page.evaluate(
                "document.querySelectorAll('.jp-Cell:not(.tk-away) details')"
                ".forEach(one => { one.open = true; })"
            )
            for folded in self.page.locator("button:visible", has_text="(show)").all():
                folded.click()
            yield unit

    def look(self, where: str, *, colors_only: bool = False, axe: bool = True) -> None:
        """Add to the list what is wrong on the page as it stands; axe-core can be left out."""
        options: dict[str, object] = {"resultTypes": ["violations"]}
        if colors_only:
            options["runOnly"] = ["color-contrast"]
        if axe and not self.page.evaluate("'axe' in window"):
            self.page.evaluate(AXE_SCRIPT)
            # a body without a height, as Lab has it, hides all that is in it from axe-core
            self.page.evaluate("document.body.style.minHeight = '100vh'")
        told = self.page.evaluate(_AXE, options) if axe else []
        faults = [f"{rule}: {node}" for rule, node in told if rule not in NOT_OURS]
        if not colors_only:
            if self.page.evaluate(_SIDEWAYS):
                faults.append("runs out sideways")
            faults += [f"too small: {one}" for one in self.page.evaluate(_SMALL)]
            faults += self._pictures()
            if self.page.viewport_size["width"] < 600:
                letters = self.page.evaluate(_LETTERS, SMALLEST_LETTER_PX)
                faults += [f"letters too small: {one}" for one in letters]
        self.found += [f"{where}: {one}" for one in faults]

    def _pictures(self) -> list[str]:
        faults = []
        for tag, words, letters in self.page.evaluate(_PICTURES):
            if len(words.split()) < 3:
                faults.append(f"a picture without words: {tag}")
            faults += [
                f"{one} stands in the picture, not in its words: {words[:80]}"
                for one in unsaid_numbers(words, letters)
            ]
        return faults
