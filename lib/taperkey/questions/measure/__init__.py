"""Exercise 01: measure the opening of a keyway."""

from __future__ import annotations

from taperkey.questions.common import length_slips, number_of, opening_of
from taperkey.questions.measure import values
from taperkey.questions.question import (
    Choice,
    Measure,
    Page,
    Practical,
    Question,
    Slip,
    WorkedLine,
    Written,
)

__all__ = ["PAGE"]

_KEY_RESULTS = (
    "too thin, it would go in too far",
    "too thick, it would stand out too far",
    "just right, the angle does not matter",
)

_LENGTH = Measure(dimension="length", unit="in", low=0.2, high=4.0)
_SMALL = Measure(dimension="length", unit="in", low=0.0, high=0.1)

PAGE = Page(
    name="01-measure",
    title="Measure the opening",
    facts=values.facts,
    unclear=values.unclear,
    questions=(
        Question(
            key="01-bad-reading",
            skill="spot a bad reading",
            label="Bad reading",
            ask="Look at the five readings at the mouth. Which one would you reject before you "
            "take the mean?",
            marks=1,
            kind=Choice(options=(*values.NAMES, values.NONE)),
            expected=lambda card, given: values.bad_reading(card),
            slips=(
                Slip(
                    name="bad reading kept",
                    value=values.none_named,
                    sentence="One reading stands well away from the others. A gauge that is not "
                    "rocked through reads high.",
                ),
                Slip(
                    name="lowest reading rejected",
                    value=values.wrong_bad,
                    sentence="The lowest reading is not wrong for being low: rocking looks for "
                    "the smallest span. Look which one stands apart from all the others.",
                ),
            ),
            hint="Put the five readings in order and look at the steps between them.",
            facts=values.mouth_facts,
            worked=values.bad_work,
        ),
        Question(
            key="01-mouth-height",
            skill="take a height",
            label="Mouth height",
            ask="What is the height of the opening at the mouth? "
            "Take the mean of the readings that you keep.",
            marks=2,
            kind=_LENGTH,
            expected=values.mouth_of,
            tolerance=values.mean_tolerance,
            needs=("01-bad-reading",),
            slips=(
                Slip(
                    name="bad reading kept",
                    value=lambda card, given: (
                        values.mean_of(opening_of(card).mouth_in)
                        if values.bad_reading(card) != values.NONE
                        else None
                    ),
                    sentence="A reading that stands apart is still in this mean. "
                    "Leave it out first.",
                    share=0.5,
                ),
                Slip(
                    name="inside station for mouth",
                    value=values.inside_of,
                    sentence="This is the height at the inside station. The question is about "
                    "the mouth.",
                ),
                *length_slips(values.mouth_of),
            ),
            hint="Add up the readings that you keep and divide by how many they are.",
            facts=values.mouth_facts,
            worked=lambda card, given: (
                values.mean_work(card, "those that are kept", values.kept_of(card, given)),
            ),
        ),
        Question(
            key="01-inside-height",
            skill="take a height",
            label="Inside height",
            ask="What is the height at the inside station? Take the mean.",
            marks=2,
            kind=_LENGTH,
            expected=values.inside_of,
            tolerance=values.mean_tolerance,
            slips=(
                Slip(
                    name="mouth for inside station",
                    value=lambda card, given: values.mean_of(
                        [
                            value
                            for name, value in zip(
                                values.NAMES, opening_of(card).mouth_in, strict=True
                            )
                            if name != values.bad_reading(card)
                        ]
                    ),
                    sentence="This is the height at the mouth. The question is about the "
                    "station inside.",
                ),
                *length_slips(values.inside_of),
            ),
            hint="Add up the three readings and divide by 3.",
            facts=values.inside_facts,
            worked=lambda card, given: (
                values.mean_work(card, "three", opening_of(card).inside_in),
            ),
        ),
        Question(
            key="01-hub-width",
            skill="take a width",
            label="Width in the hub",
            ask="How wide is the slot in the hub? Take the mean.",
            marks=1,
            kind=_LENGTH,
            expected=values.hub_of,
            tolerance=values.mean_tolerance,
            slips=(
                Slip(
                    name="shaft for hub",
                    value=values.shaft_of,
                    sentence="This is the width in the shaft. In the hub it is another.",
                ),
                *length_slips(values.hub_of),
            ),
            hint="Add up the three widths taken in the hub and divide by 3.",
            facts=values.hub_facts,
            worked=lambda card, given: (
                values.mean_work(card, "three", opening_of(card).hub_width_in),
            ),
        ),
        Question(
            key="01-shaft-width",
            skill="take a width",
            label="Width in the shaft",
            ask="How wide is the slot in the shaft? Take the mean.",
            marks=1,
            kind=_LENGTH,
            expected=values.shaft_of,
            tolerance=values.mean_tolerance,
            slips=(
                Slip(
                    name="hub for shaft",
                    value=values.hub_of,
                    sentence="This is the width in the hub. In the shaft it is another.",
                ),
                *length_slips(values.shaft_of),
            ),
            hint="Add up the three widths taken in the shaft and divide by 3.",
            facts=values.shaft_facts,
            worked=lambda card, given: (
                values.mean_work(card, "three", opening_of(card).shaft_width_in),
            ),
        ),
        Question(
            key="01-clearance",
            skill="clearance",
            label="Clearance",
            ask="How much clearance is there between bore and shaft, on the diameter?",
            marks=1,
            kind=_SMALL,
            expected=values.clearance_of,
            tolerance=values.clearance_tolerance,
            slips=(
                Slip(
                    name="radius for diameter",
                    value=lambda card, given: values.clearance_of(card, given) / 2,
                    sentence="This is the clearance on one side, if the hub sat in the middle. "
                    "It hangs on the top: all of it is underneath.",
                    share=0.5,
                ),
                Slip(
                    name="shaft less bore",
                    value=lambda card, given: -values.clearance_of(card, given),
                    sentence="The sign is turned round. Which of the two is larger?",
                    share=0.5,
                ),
                *length_slips(values.clearance_of),
            ),
            hint="Take the shaft from the bore.",
            facts=values.bore_facts,
            worked=values.clearance_work,
        ),
        Question(
            key="01-missed-height",
            skill="clearance",
            label="Missing height",
            ask="The night shift measured with the keyway not at the bottom. By how much is "
            "their height too small?",
            marks=2,
            kind=_SMALL,
            expected=values.missed_of,
            tolerance=values.missed_tolerance,
            needs=("01-clearance",),
            slips=(
                Slip(
                    name="angle from the bottom",
                    value=values.from_bottom,
                    sentence="The angle in the formula counts from the top, where hub and shaft "
                    "touch; the card gives it from the bottom. And the gap is what they still "
                    "had, not what they missed.",
                    share=0.25,
                ),
                Slip(
                    name="whole clearance",
                    value=lambda card, given: number_of(given, "01-clearance"),
                    sentence="This is the whole clearance. At their angle a part of it was "
                    "still in the height.",
                ),
                *length_slips(values.missed_of),
            ),
            hint="First find the gap at their angle, then what is left of the clearance.",
            facts=lambda card: (*values.bore_facts(card), *values.angle_facts(card)),
            worked=values.missed_work,
        ),
        Question(
            key="01-key-result",
            skill="clearance",
            label="A key made to their height",
            ask="A key made to the night shift's height would be …",
            marks=1,
            kind=Choice(options=_KEY_RESULTS),
            expected=lambda card, given: _KEY_RESULTS[0],
            slips=(
                Slip(
                    name="thin for thick",
                    value=lambda card, given: _KEY_RESULTS[1],
                    sentence="Their opening came out lower than it is. What does that do to a "
                    "key that is made to it?",
                ),
                Slip(
                    name="angle thought not to matter",
                    value=lambda card, given: _KEY_RESULTS[2],
                    sentence="The hub hangs. Only with the keyway at the bottom is all of the "
                    "clearance in the height.",
                ),
            ),
            facts=values.angle_facts,
            worked=lambda card, given: (
                WorkedLine(
                    why="Some of the clearance was missing in their height, so the key is made "
                    "thinner than the opening it has to fill.",
                    result=_KEY_RESULTS[0],
                ),
            ),
        ),
        Question(
            key="01-why-bottom",
            skill="explain",
            label="Why at the bottom",
            ask="Why do you turn the keyway to the bottom before you measure? Write it as you "
            "would tell it to someone new, in two to four sentences.",
            marks=3,
            kind=Written(
                guide="1 mark: the hub hangs on the top of the shaft. 1 mark: so all of the "
                "clearance is underneath, and only there is it in the height. 1 mark: anywhere "
                "else the key comes out too thin."
            ),
        ),
        Question(
            key="01-sign-off",
            skill="bench work",
            label="Sign-off: measure a slot",
            ask="At the bench: measure an opening with telescoping gauge and micrometer while "
            "your assessor watches.",
            marks=5,
            kind=Practical(
                guide="1 mark each: drive locked out and keyway turned to the bottom; gauge rocked "
                "through its smallest span; light feel and micrometer zero looked at; three "
                "readings within 0.001 in, at two stations; both widths taken and everything "
                "written down with its unit."
            ),
        ),
    ),
)
