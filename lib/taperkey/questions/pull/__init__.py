"""Exercise 05: the pull, the rig, its weakest link, and whether to go."""

from __future__ import annotations

from taperkey.questions.common import only_if
from taperkey.questions.pull import values, work
from taperkey.questions.pull.forces import FORCES
from taperkey.questions.pull.rig import DECIDE, RIG
from taperkey.questions.question import Choice, Page, Practical, Question, Slip, Written

__all__ = ["PAGE"]


_ENDS = (
    Question(
        key="05-large-end",
        skill="tell a reversed hub",
        label="Large end",
        ask="At which end is the key larger?",
        marks=1,
        kind=Choice(options=(values.NEAR, values.FAR, values.NO_TELLING)),
        expected=values.large_end,
        critical=values.CRITICAL_END,
        slips=(
            Slip(
                name="taken for granted",
                value=lambda card, given: only_if(
                    values.large_end(card, given) == values.FAR, values.NEAR
                ),
                sentence="Usually it is the end that shows; the heights decide. Hold one against "
                "the other.",
            ),
            Slip(
                name="heights mixed up",
                value=lambda card, given: only_if(
                    values.large_end(card, given) == values.NEAR, values.FAR
                ),
                sentence="Look once more which height belongs to which end.",
            ),
            Slip(
                name="readings not trusted",
                value=lambda card, given: values.NO_TELLING,
                sentence="The two heights differ by many times what a reading may be off. "
                "They do decide.",
            ),
        ),
        hint="Hold the two heights on the card against each other.",
        facts=values.ends_facts,
        worked=work.large_end,
    ),
    Question(
        key="05-what-first",
        skill="tell a reversed hub",
        label="What first",
        ask="Only this end can be reached, and there is no room behind the hub. What comes first?",
        marks=1,
        kind=Choice(options=values.FIRST),
        expected=values.first_step,
        critical=values.CRITICAL_END,
        slips=(
            Slip(
                name="reversed hub not seen",
                value=lambda card, given: only_if(
                    values.large_end(card, given) == values.FAR, values.PLAN_FIRST
                ),
                sentence="Look at which end is large before you plan any pull from this one.",
            ),
            Slip(
                name="ordinary hub taken for reversed",
                value=lambda card, given: only_if(
                    values.large_end(card, given) == values.NEAR, values.HUB_OFF
                ),
                sentence="The key gets lower going in, as it should. The hub may stay on.",
                share=0.25,
            ),
            Slip(
                name="tried before it was worked out",
                value=lambda card, given: values.PULL_NOW,
                sentence="A light pull tells nothing, and a stretched rod is no place to think. "
                "First the ends, then the numbers, then the rig.",
            ),
        ),
        hint="What does a pull at this end do to the key?",
        facts=values.ends_facts,
        worked=work.first_step,
    ),
)


_BY_ASSESSOR = (
    Question(
        key="05-why-range",
        skill="explain",
        label="Why two pulls",
        ask="The planner asks for one number for the pull. You give two. Why, and which one does "
        "the rig have to carry? Two to four sentences.",
        marks=3,
        kind=Written(
            guide="1 mark: nobody knows friction or seat exactly; friction changes after the "
            "drive, rust raises it. 1 mark: low seat with low friction and high seat with high "
            "friction give the two ends. 1 mark: the rig, every link of it, must carry the high "
            "pull; the low one says from when on the key may jump."
        ),
    ),
    Question(
        key="05-no-harder",
        skill="explain",
        label="Why not harder",
        ask="Two jacks stand on a key at full load, nothing moves, and the opening turns out to be "
        "higher inside. A mate fetches larger jacks. What do you say and do? Two to four "
        "sentences.",
        marks=3,
        kind=Written(
            guide="1 mark: stop; keep out of the line of fire; ease the load off from the side. "
            "1 mark: the small end shows, so the pull drives the key in: more force, tighter key, "
            "until a link parts. 1 mark: report it and mark the hub; the hub comes off first, on "
            "rated gear, with the people for the lift."
        ),
    ),
    Question(
        key="05-sign-off",
        skill="bench work",
        label="Sign-off: plan and rig a pull",
        ask="At the bench: plan a pull on the practice block, set the rig, and load it to a tenth "
        "of the stop load, while your assessor watches.",
        marks=6,
        kind=Practical(
            guide="1 mark each: lock-out tried, hub blocked; height measured at both ends before "
            "any rig; every link listed with its working load and where it comes from; stop load "
            "said aloud and marked on the gauge; rig tied, feet flat, in line, nobody in the line "
            "of fire; a tenth only, looked at, eased off from the side."
        ),
    ),
)


PAGE = Page(
    name="05-pull",
    title="Pull the key",
    facts=values.facts,
    unclear=values.doubt,
    questions=(*_ENDS, *FORCES, *RIG, *DECIDE, *_BY_ASSESSOR),
)
