"""The order of a lock-out against 29 CFR 1910.147: application of control (d), notification (c)(9).

Its headings: (d)(1) preparation for shutdown; (2) machine shutdown; (3) isolation; (4) lockout or
tagout device application; (5) stored energy; (6) verification of isolation. (c)(9): affected
employees are told before the controls are applied.
"""

from __future__ import annotations

import pytest

from coursework.course import PAGES, issue_card

#: A word of each step that only this step has, and its paragraph.
PARAGRAPHS = {
    "lockout card": "(d)(1)",
    "stop button": "(d)(2)",
    "Open each disconnect": "(d)(3)",
    "your own lock": "(d)(4)",
    "let off air": "(d)(5)",
    "press start": "(d)(6)",
    "Tell everybody": "(c)(9)",
}


def test_the_steps_go_by_the_paragraphs() -> None:
    asked = PAGES["00-start"].question("00-lockout-order")
    card = issue_card(exercise="00-start", class_code="practice", number=1)
    right = asked.expected(card, {})
    row = [asked.kind.steps[ord(letter) - ord("A")] for letter in right]
    found = [
        next(paragraph for word, paragraph in PARAGRAPHS.items() if word in step) for step in row
    ]
    assert len(set(found)) == len(PARAGRAPHS)
    assert found.index("(c)(9)") < found.index("(d)(4)")
    assert [one for one in found if one != "(c)(9)"] == sorted(set(found) - {"(c)(9)"})


@pytest.mark.parametrize(
    ("left", "off"),
    [
        # (d)(4): each authorized employee's lock; a tag alone will not do where a lock can go on
        (("tagged", "their-lock", "on", "free", "hanging"), False),
        # (d)(5): stored or residual energy relieved, disconnected or restrained
        (("shut-in",), False),
        (("locked", "pinned", "let-off", "set-down"), True),
    ],
)
def test_only_what_is_locked_and_relieved_counts_as_off(left: tuple[str, ...], off: bool) -> None:
    from keycourse.start.energies import STATES, Energies

    held = {place: states[0] for place, (_, states) in STATES.items()}
    tried = set()
    for place, (_, states) in STATES.items():
        for one in states:
            if one in left:
                assert (place not in Energies({**held, place: one}).live) is off
                tried.add(one)
    assert tried == set(left)
