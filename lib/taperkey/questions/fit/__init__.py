"""Exercise 04: read the blue, say how far it is, decide, and judge the fit."""

from __future__ import annotations

from taperkey.jobcard import JobCard
from taperkey.jobcard.fit import BLUE, BRIGHT, THINNED, ZONES
from taperkey.questions.common import Given, Wrong
from taperkey.questions.fit import values
from taperkey.questions.fit.judge import JUDGE
from taperkey.questions.fit.travel import TRAVEL
from taperkey.questions.question import (
    Answer,
    Page,
    PictureMarks,
    Practical,
    Question,
    Slip,
    Written,
)

__all__ = ["PAGE"]

_ZONES = PictureMarks(options=values.LETTERS)


def _top_only(which: str) -> Wrong:
    """Return the bright zones of the top face alone, where that is not all of them."""

    def value(card: JobCard, given: Given) -> Answer | None:
        zones = values.at_level(getattr(values.case_of(card), which), BRIGHT)
        top = tuple(one for one in zones if one in values.LETTERS[:ZONES])
        return top if top and top != zones else None

    return value


def _thinned_too(which: str) -> Wrong:
    return lambda card, given: values.at_level(
        getattr(values.case_of(card), which), THINNED, BRIGHT
    )


def _still_blue(which: str) -> Wrong:
    return lambda card, given: values.at_level(getattr(values.case_of(card), which), BLUE)


def _thinned_only(which: str) -> Wrong:
    return lambda card, given: values.at_level(getattr(values.case_of(card), which), THINNED)


_MARKS = (
    Question(
        key="04-bear",
        skill="read the blue",
        label="Zones that bear",
        ask="The first push. On which zones does the key bear? Write all their letters.",
        marks=2,
        kind=_ZONES,
        expected=values.bear,
        slips=(
            Slip(
                name="thinned taken for bright",
                value=_thinned_too("first"),
                sentence="Zones with thin blue are among them. No metal shows there: a gap is "
                "left, smaller than the film.",
                share=0.5,
            ),
            Slip(
                name="top face only",
                value=_top_only("first"),
                sentence="The top face is there. A key bears on two faces.",
                share=0.5,
            ),
            Slip(
                name="blue taken for bearing",
                value=_still_blue("first"),
                sentence="These are the zones where the blue is whole. There the key touches "
                "nothing.",
            ),
            Slip(
                name="thinned alone",
                value=_thinned_only("first"),
                sentence="These are the zones where the blue is thin. Where it is pressed away, "
                "metal shines.",
            ),
        ),
        hint="Bright metal bears. Go zone by zone, on both faces.",
        facts=values.push_facts,
        worked=values.bear_work,
        picture=values.picture("first", "Marks at the first push"),
    ),
    Question(
        key="04-file",
        skill="read the blue",
        label="Zones to file",
        ask="The marks of the first push were filed; this is the next push. Which zones do you "
        "file now? Write all their letters.",
        marks=2,
        kind=_ZONES,
        expected=values.to_file_zones,
        slips=(
            Slip(
                name="filed where it bore before",
                value=values.bear,
                sentence="These were the marks of the push before. File what is bright now.",
                share=0.25,
            ),
            Slip(
                name="thinned filed too",
                value=_thinned_too("following"),
                sentence="Zones with thin blue are among them. They do not bear yet; metal filed "
                "there is lost.",
                share=0.5,
            ),
            Slip(
                name="top face only",
                value=_top_only("following"),
                sentence="Both faces are filed, not just the one on top.",
                share=0.5,
            ),
            Slip(
                name="filed where it does not bear",
                value=_still_blue("following"),
                sentence="Where the blue is whole the metal is low already. File what is high.",
            ),
        ),
        hint="Only the marks, on both faces, and those of this push.",
        facts=values.push_facts,
        worked=values.file_work,
        picture=values.picture("following", "Marks at the next push"),
    ),
)


_BY_ASSESSOR = (
    Question(
        key="04-why-both",
        skill="explain",
        label="Why both faces, and not the sides",
        ask="A learner files the top face only, and wants the key tight at its sides as well. "
        "What do you say? Two to four sentences.",
        marks=3,
        kind=Written(
            guide="1 mark: the key holds by its top and bottom faces; both must bear over their "
            "whole length, so both are read and filed. 1 mark: metal is taken only where it is "
            "bright; what comes off one face alone can tilt the key or leave high spots on the "
            "other. 1 mark: a slight gap at the sides is right; a key tight there hangs, wedges "
            "the slot open, and may bear nowhere else."
        ),
    ),
    Question(
        key="04-sign-off",
        skill="bench work",
        label="Sign-off: fit a key",
        ask="At the bench: do three rounds of fitting on a practice block, while your assessor "
        "watches. Say before each filing where you will file, and why.",
        marks=6,
        kind=Practical(
            guide="1 mark each: block held fast, soft jaws, handle on the file, eye protection; "
            "blue thin and even; same push each time, stand-out measured and written down; marks "
            "read aloud on both faces before anything is wiped; cleaned before filing, file flat "
            "and brushed; only the marks filed, and the next stand-out foretold."
        ),
    ),
)


PAGE = Page(
    name="04-fit",
    title="Fit the key",
    facts=values.facts,
    unclear=values.doubt,
    questions=(*_MARKS, *TRAVEL, *JUDGE, *_BY_ASSESSOR),
)
