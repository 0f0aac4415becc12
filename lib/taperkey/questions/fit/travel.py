"""Exercise 04: height and travel."""

from __future__ import annotations

from dataclasses import replace

from taperkey.jobcard import JobCard
from taperkey.questions.common import Given, length_slips, only_if, scaled
from taperkey.questions.fit import values
from taperkey.questions.question import Measure, Question, Slip

__all__ = ["TRAVEL"]

_HEIGHT = Measure(dimension="length", unit="in", low=0.00005, high=0.02, places=4)


def _height_tolerance(card: JobCard, given: Given) -> float:
    return 0.00006  # asked for to 0.0001 in


_SMALL = Question(
    key="04-small-travel",
    skill="height and travel",
    label="Travel for a thousandth",
    ask="How much further in does this key go when 0.001 in of height comes off?",
    marks=1,
    kind=Measure(dimension="length", unit="in", low=0.005, high=0.5, places=3),
    expected=values.small_travel,
    tolerance=lambda card, given: 0.0006,
    slips=(
        Slip(
            name="taper per foot for the ratio",
            value=lambda card, given: only_if(not card.metric, 8 * values.small_height(card)),
            sentence="An eighth is the taper of a foot. The ratio of this key says in how many "
            "inches it loses one inch.",
            share=0.25,
        ),
        Slip(
            name="height for travel",
            value=lambda card, given: values.small_height(card),
            sentence="This is the height itself. A slight taper turns it into many times as much "
            "travel.",
        ),
        Slip(
            name="standard taper taken",
            value=lambda card, given: only_if(
                values.case_of(card).taper_ratio != (100 if card.metric else 96),
                values.small_height(card) * (100 if card.metric else 96),
            ),
            sentence="This is right for the standard taper. Look at the taper on the card.",
            share=0.5,
        ),
        *length_slips(values.small_travel),
    ),
    hint="On 1:n it goes n times as far as it loses in height.",
    facts=values.taper_facts,
    worked=values.small_work,
)


TRAVEL = (
    replace(
        _SMALL,
        metric=replace(
            _SMALL,
            label="Travel for a hundredth of a millimetre",
            ask="How much further in does this key go when 0.01 mm of height comes off?",
            kind=Measure(dimension="length", unit="mm", low=0.1, high=10, places=2),
        ),
    ),
    Question(
        key="04-off",
        skill="height and travel",
        label="Taken off",
        ask="How much height did the last two rounds take off, both faces together?",
        marks=2,
        kind=_HEIGHT,
        expected=values.taken_off,
        tolerance=_height_tolerance,
        slips=(
            Slip(
                name="last round only",
                value=lambda card, given: values.height(
                    card,
                    values.case_of(card).stand_outs_in[1] - values.case_of(card).stand_outs_in[2],
                ),
                sentence="This is what the last round took. The question is about two.",
                share=0.5,
            ),
            Slip(
                name="what is left for what came off",
                value=lambda card, given: values.height(
                    card, values.case_of(card).stand_outs_in[-1]
                ),
                sentence="This goes with the stand-out of now. How far did it move?",
                share=0.25,
            ),
            Slip(
                name="shared over both faces",
                value=scaled(values.taken_off, 0.5),
                sentence="This is half. The travel tells of both faces together.",
                share=0.5,
            ),
            Slip(
                name="travel for height",
                value=lambda card, given: (
                    values.case_of(card).stand_outs_in[0] - values.case_of(card).stand_outs_in[-1]
                ),
                sentence="This is the travel. Divide it by the n of the taper.",
                share=0.25,
            ),
            *length_slips(values.taken_off),
        ),
        hint="Stand-out then less stand-out now, divided by n.",
        facts=values.out_facts,
        worked=values.off_work,
    ),
    Question(
        key="04-still-off",
        skill="height and travel",
        label="Still to file",
        ask="How much height is still to come off, both faces together, until only what is left "
        "to drive stands out?",
        marks=2,
        kind=_HEIGHT,
        expected=values.still_off,
        tolerance=_height_tolerance,
        slips=(
            Slip(
                name="nothing left to drive",
                value=lambda card, given: values.height(
                    card, values.case_of(card).stand_outs_in[-1]
                ),
                sentence="All of the stand-out was filed away. Then the key goes home loose: the "
                "drive needs some.",
                share=0.5,
            ),
            Slip(
                name="draw added",
                value=lambda card, given: values.height(
                    card, values.case_of(card).stand_outs_in[-1] + values.case_of(card).draw_in
                ),
                sentence="What is left to drive was added. It stays on the key; take it off.",
                share=0.25,
            ),
            Slip(
                name="travel for height",
                value=lambda card, given: (
                    values.case_of(card).stand_outs_in[-1] - values.case_of(card).draw_in
                ),
                sentence="This is the travel still to go. Divide it by the n of the taper.",
                share=0.25,
            ),
            *length_slips(values.still_off),
        ),
        hint="Stand-out now less what is left to drive, divided by n.",
        facts=values.draw_facts,
        worked=values.still_work,
    ),
    Question(
        key="04-next-out",
        skill="height and travel",
        label="Next stand-out",
        ask="Say another filing takes what the card says. Where does the key stand at the next "
        "push? Give the stand-out.",
        marks=2,
        kind=Measure(dimension="length", unit="in", low=0.01, high=2, places=2, metric_places=1),
        expected=values.next_out,
        tolerance=lambda card, given: 0.008,  # a rule is read to about that
        slips=(
            Slip(
                name="travel added",
                value=lambda card, given: (
                    2 * values.case_of(card).stand_outs_in[-1] - values.next_out(card, given)
                ),
                sentence="The key goes further in when metal comes off. It stands out less.",
                share=0.25,
            ),
            Slip(
                name="height for travel",
                value=lambda card, given: (
                    values.case_of(card).stand_outs_in[-1] - values.case_of(card).next_cut_in
                ),
                sentence="The height was taken off as it is. The taper turns it into many times "
                "as much travel.",
                share=0.25,
            ),
            Slip(
                name="each face counted",
                value=lambda card, given: (
                    2 * values.next_out(card, given) - values.case_of(card).stand_outs_in[-1]
                ),
                sentence="The cut was counted twice. It is both faces together already.",
                share=0.5,
            ),
            Slip(
                name="travel for stand-out",
                value=lambda card, given: (
                    values.case_of(card).stand_outs_in[-1] - values.next_out(card, given)
                ),
                sentence="This is how far it goes further in. Where does it stand then?",
                share=0.5,
            ),
        ),
        hint="Cut times n is the travel; take it off the stand-out of now.",
        facts=values.cut_facts,
        worked=values.next_work,
    ),
)
