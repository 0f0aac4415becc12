"""What may never be done at a pull: each breach with its sentences, in one place."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

__all__ = ["BREACHES", "Breach", "Committed"]

Place = tuple[float | str, str]


@dataclass(frozen=True, kw_only=True)
class Breach:
    """One thing that a foreman would not let pass.

    Attributes
    ----------
    at_once : str
        Said at the moment, with {} where a number stands.
    summed : str
        Said at the summing-up, with the same places.
    lesson : tuple of str
        Words of lesson 05 or its exercise that forbid it, as they stand on the page.
    stopped : bool
        The foreman stops it: flesh would pay for it. What steel alone pays for is done, and seen.
    once : str
        Step that opens it anew; it is told once from there. Empty: told each time, "-": once.
    """

    at_once: str
    summed: str
    lesson: tuple[str, ...] = ()
    stopped: bool = False
    once: str = ""


@dataclass(frozen=True, kw_only=True)
class Committed:
    """A breach as it was committed at one step.

    Attributes
    ----------
    name : str
        Key of :data:`BREACHES`.
    numbers : tuple of (float or str, str)
        Numbers for the places of its sentences, in the course's own units, each with its
        dimension: "force", "force-down" (a capacity), "number", or "word".
    told : bool
        Whether it shows at that moment; what hangs on something hidden waits for the end.
    """

    name: str
    numbers: tuple[Place, ...] = ()
    told: bool = True

    def at_once(self, write: Callable[[float, str], str]) -> str:
        """Return the sentence of the moment; `write` puts a value of a dimension into words."""
        return _told(BREACHES[self.name].at_once, self.numbers, write)

    def summed(self, write: Callable[[float, str], str]) -> str:
        """Return the sentence of the summing-up."""
        return _told(BREACHES[self.name].summed, self.numbers, write)


def _told(words: str, numbers: tuple[Place, ...], write: Callable[[float, str], str]) -> str:
    return words.format(
        *(one if isinstance(one, str) else write(one, dimension) for one, dimension in numbers)
    )


BREACHES: Mapping[str, Breach] = MappingProxyType(
    {
        "not measured": Breach(
            at_once="Both ends were not measured first: nobody knows which end shows. Measure"
            " before any force goes on.",
            summed="The height was not measured at both ends before force went on.",
            lesson=("So this check comes before any rig.", "Both ends first."),
            once="-",
        ),
        "pulled the small end": Breach(
            at_once="The small end shows: a pull drives the key in. Ease off; the hub comes off"
            " first.",
            summed="The small end was pulled: that can only tighten the key.",
            lesson=(
                "do not pull. The hub comes off first",
                "Larger inside: do not pull. Hub off first.",
            ),
        ),
        "went on after a creak": Breach(
            at_once="The key has creaked and gone deeper, and load goes on again. Stop, ease off,"
            " stand away.",
            summed="Load went on again after the key had creaked and gone deeper.",
            lesson=("Stop, ease off, stand away", "Creak, key deeper than before"),
        ),
        "over working load": Breach(
            at_once="That is over the stop load: the {} works to {}. Ease off. Never a little"
            " more.",
            summed="Load went past the stop load: the {} works to {}.",
            lesson=(
                "with a number at which you stop",
                "So the jacks must not decide how hard you pull.",
                "Stop load reached and no movement: ease off. Never a little more.",
                "Stop load, nothing moves",
                "Stop load: ease off.",
                '"A little more" past the stop load',
            ),
        ),
        "raised too far at once": Breach(
            at_once="That was {} more in one go; a quarter of the stop load is {}. Go up in"
            " quarters or less, and look at each.",
            summed="Load went up by {} in one go; a quarter of the stop load is {}.",
            lesson=("Go up in quarters of the stop load or less",),
        ),
        "hold skipped": Breach(
            at_once="No hold at {}: a key can creep, and nobody looked at gauge and mark. Hold a"
            " minute or two at each load.",
            summed="Load went on from {} without a hold.",
            lesson=("Hold a minute or two at each",),
        ),
        "feet on the shaft": Breach(
            at_once="The jacks stand on the shaft: the pull drags the hub along with the key, and"
            " only the bore holds it. Stand them on the hub.",
            summed="The jacks stood on the shaft: the hub can come along with the key.",
            lesson=("The rig pushes on the hub.",),
            once="rig",
        ),
        "one jack ahead": Breach(
            at_once="One jack was pumped first: the bar tips, and a bar that tips throws a jack."
            " Ease off; then both in turn, a stroke each.",
            summed="One jack was pumped ahead of the other, and the bar tipped.",
            lesson=("Both on one pump, or pumped in turn.",),
        ),
        "stood in line": Breach(
            at_once="You stand in line with the pull: what lets go comes at you. Step to the side"
            " first.",
            summed="Somebody stood in line with the pull when load was to go on.",
            lesson=(
                "nobody in line",
                "Nobody in line with it, front or back",
                "Never stand in line, in front or behind.",
                "nobody in the line of fire",
                "Nobody in line.",
            ),
            stopped=True,
        ),
        "struck under load": Breach(
            at_once="{} is on the rig: one knock can let it go, with your face beside it. Ease off"
            " first.",
            summed="A knock was asked for with {} on the rig.",
            lesson=(
                "Never strike, heat or tighten a rod under load.",
                "Never heat, strike or tighten a rig under load.",
                "a brass hammer, no load on",
            ),
            stopped=True,
        ),
        "heat under load": Breach(
            at_once="{} is on the rig: it can let go while somebody stands there with the torch,"
            " and a warm rod carries less. Ease off first; then heat, then pull.",
            summed="Heat was asked for with {} on the rig: it can let go on whoever holds the"
            " torch.",
            lesson=("Never strike, heat or tighten a rod under load.",),
            stopped=True,
        ),
        "tightened under load": Breach(
            at_once="{} is on the rig: a thread that is turned under load strips or shears, with"
            " your hand on the wrench. Ease off first.",
            summed="A nut was to be tightened with {} on the rig.",
            lesson=("Never strike, heat or tighten a rod under load.",),
            stopped=True,
        ),
        "hands in under load": Breach(
            at_once="{} is on the rig: hands stay away from it. Ease off first.",
            summed="Hands were to go to the rig with {} on it.",
            lesson=("Ease off first.",),
            stopped=True,
        ),
        "felt for a leak": Breach(
            at_once="Oil under pressure goes through skin, and you feel it too late. Look from"
            " the side, never with the hand; let the pressure off first.",
            summed="A leak was to be felt for by hand: oil under pressure goes through skin.",
            lesson=("never feel for a leak", "Never feel for a leak; pressure off"),
            stopped=True,
        ),
        "heat over penetrant": Breach(
            at_once="Penetrant is on the faces and would burn. Wipe it off first.",
            summed="Heat was asked for with penetrant on the faces: it burns.",
            lesson=(
                "Penetrant burns: never heat over it, no flame afterward.",
                "never one on the other.",
            ),
            stopped=True,
        ),
        "soak cut short": Breach(
            at_once="Penetrant has had {} h so far. It needs time, not force: a night, {} h or"
            " more.",
            summed="Load went on after {} h of penetrant; a night is {} h or more.",
            lesson=("from both ends, overnight",),
            once="penetrant",
        ),
        "past ten blows": Breach(
            at_once="That was blow {}, and ten have moved nothing. Stop: it is the wrong rig.",
            summed="Blows went on after ten had moved nothing, to blow {}.",
            lesson=("If ten blows move nothing, stop.",),
        ),
        "weld loaded hot": Breach(
            at_once="The weld is still hot. Let it cool before you load it.",
            summed="The weld was loaded before it had cooled.",
            lesson=("A weld that is still hot tears under load. Let it cool before you load it.",),
            once="rig",
        ),
        "current through a bearing": Breach(
            at_once="The ground clamp sits on the shaft: the current goes through a bearing and"
            " pits it. Clamp on the key or the bar.",
            summed="Welding current went through a bearing.",
            lesson=("never so that current goes through a bearing",),
        ),
        "hub not slung": Breach(
            at_once="The hub hangs on nothing and a mate is below it: it can drop at once. Take"
            " its weight on rated gear first, nobody below.",
            summed="The hub was to come off with its weight on no gear and a mate below.",
            lesson=("Rated gear; nobody below or beside it, no hand in the gap.",),
            stopped=True,
        ),
        "link broken": Breach(
            at_once="On the job, whoever stood in its line would have been hit.",
            summed="A link gave way. On the job, whoever stood in its line would have been hit.",
        ),
        "hub removed needlessly": Breach(
            at_once="The large end shows: a pull was open, and it was not tried.",
            summed="The hub was taken off although a pull was open.",
        ),
    }
)
"""Every breach that the pulling bench notices, in the order of the summing-up."""
