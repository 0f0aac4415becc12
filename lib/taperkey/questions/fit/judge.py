"""Exercise 04: what the marks tell, what is done, and whether the fit is accepted."""

from __future__ import annotations

from taperkey.questions.common import Wrong, only_if
from taperkey.questions.fit import values
from taperkey.questions.question import Choice, Ordering, Question, Slip

__all__ = ["JUDGE"]

_CRITICAL_FIT = (
    "This entry is safety-critical: a key that does not hold walks out, and the hub with it. Talk "
    "it through with your assessor before you pass a fit."
)


def _cause_is(wanted: str, slip: str) -> Wrong:
    return lambda card, given: only_if(values.cause(card, given) == wanted, slip)


def _decide_is(wanted: tuple[str, ...], slip: str) -> Wrong:
    return lambda card, given: only_if(values.decide(card, given) in wanted, slip)


def _verdict_is(wanted: str, slip: str) -> Wrong:
    return lambda card, given: only_if(values.verdict(card, given) == wanted, slip)


_NOW = values.picture("now", "Marks now")


JUDGE = (
    Question(
        key="04-cause",
        skill="judge a fitting",
        label="What the marks tell",
        ask="Look at the marks of now and at the rest of the card. What do they tell?",
        marks=2,
        kind=Choice(options=values.CAUSES),
        expected=values.cause,
        slips=(
            Slip(
                name="ends mixed up, large end bears",
                value=_cause_is(values.MORE_TAPER, values.LESS_TAPER),
                sentence="Look at which end is high, and whether it gets lower too fast or too "
                "slowly from there.",
                share=0.5,
            ),
            Slip(
                name="ends mixed up, small end bears",
                value=_cause_is(values.LESS_TAPER, values.MORE_TAPER),
                sentence="Look at which end bears: it is the high one. What was filed before?",
                share=0.5,
            ),
            Slip(
                name="one end taken for ordinary",
                value=lambda card, given: only_if(
                    values.cause(card, given) in (values.MORE_TAPER, values.LESS_TAPER),
                    values.NO_CAUSE,
                ),
                sentence="Both faces bear at the same end only. That is no chance.",
            ),
            Slip(
                name="sides not looked at",
                value=_cause_is(values.TOO_WIDE, values.NO_CAUSE),
                sentence="The faces are not all of a key. Look at the line about its sides, and "
                "at both widths.",
            ),
            Slip(
                name="old blue not seen",
                value=_cause_is(values.OLD_BLUE, values.NO_CAUSE),
                sentence="Look at what was done before this push.",
            ),
            Slip(
                name="ordinary marks suspected",
                value=_cause_is(values.NO_CAUSE, values.MORE_TAPER),
                sentence="Marks lie toward both ends, so the two tapers agree.",
            ),
        ),
        hint="First whether the marks can be trusted, then the sides, then where on the faces "
        "they lie.",
        facts=values.now_facts,
        worked=values.cause_work,
        picture=_NOW,
    ),
    Question(
        key="04-decide",
        skill="judge a fitting",
        label="What now",
        ask="What do you do now?",
        marks=2,
        kind=Choice(options=values.STEPS),
        expected=values.decide,
        slips=(
            Slip(
                name="driven early",
                value=_decide_is((values.FILE, values.SIDES, values.CLEAN), values.HOME),
                sentence="It would stop proud, and it takes half a day to draw it. Look at how "
                "far the marks reach and what stands out.",
            ),
            Slip(
                name="filed once too often",
                value=_decide_is((values.HOME,), values.FILE),
                sentence="The marks reach the whole length, and hardly more stands out than is "
                "left to drive. Another round leaves nothing to squeeze.",
                share=0.25,
            ),
            Slip(
                name="marks filed that cannot be trusted",
                value=_decide_is((values.CLEAN,), values.FILE),
                sentence="Some of these marks are old. What you file there is lost.",
            ),
            Slip(
                name="faces filed while the sides bind",
                value=_decide_is((values.SIDES,), values.FILE),
                sentence="The key hangs by its sides. The faces cannot show where they bear.",
            ),
            Slip(
                name="filed where it does not bear",
                value=lambda card, given: values.BETWEEN,
                sentence="Between the marks the metal is low already. Filing there makes it lower "
                "still.",
            ),
            Slip(
                name="sound marks wiped away",
                value=_decide_is((values.FILE,), values.CLEAN),
                sentence="Key and slot were clean and the blue was fresh: these marks are good. "
                "Use them.",
                share=0.25,
            ),
        ),
        hint="Can the marks be trusted? Are the sides clear? How far do the marks reach, and what "
        "stands out?",
        facts=values.now_facts,
        worked=values.decide_work,
        picture=_NOW,
    ),
    Question(
        key="04-round",
        skill="judge a fitting",
        label="One round",
        ask="Put the steps of one round in order.",
        marks=2,
        kind=Ordering(
            steps=(
                "Clean all the blue off the key and the slot.",
                "Measure the stand-out.",
                "Blue both faces, thin and even.",
                "File the marks, on both faces.",
                "Push the key in, straight, the same push each time.",
                "Draw the key and read the marks on both faces.",
            )
        ),
        expected=lambda card, given: values.ROUND,
        slips=(
            Slip(
                name="filed with the blue on",
                value=lambda card, given: tuple("CEBFDA"),
                sentence="Blue on the key clogs the file, and chips stick in it. Wipe first.",
                share=0.5,
            ),
            Slip(
                name="wiped before it was read",
                value=lambda card, given: tuple("CEBAFD"),
                sentence="The marks were gone before anybody read them.",
            ),
            Slip(
                name="stand-out measured with the key out",
                value=lambda card, given: tuple("CEFBAD"),
                sentence="The stand-out is there only while the key is in.",
                share=0.5,
            ),
        ),
        hint="Follow the key: on the bench, in the slot, and out again.",
        facts=values.round_facts,
        worked=values.round_work,
    ),
    Question(
        key="04-lubricant",
        skill="judge a fitting",
        label="Lubricant",
        ask="The last fitting is done. What goes on the key for the drive?",
        marks=1,
        kind=Choice(options=values.LUBRICANTS),
        expected=lambda card, given: values.ANTI_SEIZE,
        slips=(
            Slip(
                name="white lead",
                value=lambda card, given: values.WHITE_LEAD,
                sentence="It is poisonous: from hand to mouth, or as dust and fumes. Leave the "
                "tin shut and report it.",
            ),
            Slip(
                name="driven dry",
                value=lambda card, given: values.DRY,
                sentence="Dry steel on steel galls. It tears, and may never come out whole.",
            ),
            Slip(
                name="blue left on",
                value=lambda card, given: values.BLUE_ON,
                sentence="Blue is no lubricant, and it holds filings. Key and slot are cleaned "
                "first.",
            ),
        ),
        hint="It must keep steel from tearing and rusting, and do nobody harm.",
        facts=values.shelf_facts,
        worked=values.lubricant_work,
    ),
    Question(
        key="04-verdict",
        skill="judge a fitting",
        label="Accepted or not",
        ask="A second key was fitted and driven by another shift. Is its fit accepted?",
        marks=3,
        kind=Choice(options=values.VERDICTS),
        expected=values.verdict,
        critical=_CRITICAL_FIT,
        slips=(
            Slip(
                name="leaf waved through",
                value=_verdict_is(values.GAP, values.ACCEPTED),
                sentence="The thinnest leaf goes in where the key should hold.",
            ),
            Slip(
                name="proud key waved through",
                value=_verdict_is(values.PROUD, values.ACCEPTED),
                sentence="Look at where the large end stands after the drive.",
            ),
            Slip(
                name="loose key waved through",
                value=_verdict_is(values.LOOSE, values.ACCEPTED),
                sentence="The feeler alone does not tell. Look at the blows and at the marks of "
                "the last tap.",
            ),
            Slip(
                name="gap at the sides taken for a fault",
                value=_verdict_is(values.ACCEPTED, values.GAP),
                sentence="The leaf enters at the sides only. There a slight gap is right.",
                share=0.25,
            ),
            Slip(
                name="not accepted for the wrong reason",
                value=lambda card, given: {
                    values.GAP: values.PROUD,
                    values.PROUD: values.GAP,
                    values.LOOSE: values.GAP,
                }.get(str(values.verdict(card, given))),
                sentence="It is not accepted, but look again at what the card says against it.",
                share=0.5,
            ),
        ),
        hint="Marks of the last tap, blows, stand-out, feeler above and below: all four must "
        "be right.",
        facts=values.end_facts,
        worked=values.verdict_work,
    ),
)
