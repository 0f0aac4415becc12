"""Exercise 03: size the key, find its blank and its cuts, and see whether it is strong enough."""

from __future__ import annotations

from taperkey.questions.key import blank, cutting, shape, strength
from taperkey.questions.key.facts import facts
from taperkey.questions.key.values import unclear_order
from taperkey.questions.question import Page, Practical, Question, Written

__all__ = ["PAGE"]

PAGE = Page(
    name="03-key",
    title="Make the key",
    facts=facts,
    unclear=unclear_order,
    questions=(
        *blank.QUESTIONS,
        *shape.QUESTIONS,
        *cutting.QUESTIONS,
        *strength.QUESTIONS,
        Question(
            key="03-why-straight",
            skill="explain",
            label="Why the straight cut comes first",
            ask="A mate clamps a cold-drawn bar on the master key and cuts the taper at once, to "
            "save a set-up. What do you tell them? Two to four sentences.",
            marks=3,
            kind=Written(
                guide="1 mark: cold drawing leaves stress in the skin of the bar. 1 mark: with "
                "the skin off one face only, the other pulls and the key bows. 1 mark: so the "
                "straight cut on the opposite face comes first, and the flat face then lies flat "
                "in the shaft."
            ),
        ),
        Question(
            key="03-why-bolt",
            skill="explain",
            label="What the tapped end is for",
            ask="The large end of the key is drilled and tapped, and a bolt is screwed in before "
            "it is driven. What is that bolt good for, now and in ten years? Two to four "
            "sentences.",
            marks=3,
            kind=Written(
                guide="1 mark: driving, it takes the blows, so that the key's end does not spread "
                "in the mouth. 1 mark: later a rod or puller screws into the same thread and draws "
                "the key straight. 1 mark: without it the key must be welded to, drilled in place, "
                "or the hub comes off."
            ),
        ),
        Question(
            key="03-sign-off",
            skill="bench work",
            label="Sign-off: make a key",
            ask="At the bench: plan and cut a taper key for a measured slot, up to the first try "
            "with blue, while your assessor watches.",
            marks=6,
            kind=Practical(
                guide="1 mark each: heights, widths and stand-out written down before the first "
                "cut; guards, eye protection and clamping looked at before the spindle turns; "
                "straight cut first, bar turned and seated on the master key in soft jaws; taper "
                "cut started at the large end, heights measured at both ends; edges eased and "
                "tried against the radius; key and swarf handled without cuts, machine left clean."
            ),
        ),
    ),
)
