"""Other ways out on the pulling plan: soak, push, heat, hub off, drill, each with its numbers."""

from __future__ import annotations

from keycourse.jobsheet import cautions
from keycourse.jobsheet.blocks import Block, Points, Words
from keycourse.jobsheet.writing import Writer
from keycourse.whole.job_pull import PullFigures
from keycourse.whole.job_ways import Ways
from taperkey import practice

__all__ = ["way_blocks"]

#: Hazards of the ways, by names of keycourse/hazards.toml.
PUSHING = ("loose-hub", "push", "in-line", "jacks")
FORCING = ("loose-hub", "push", "jacks", "hot-work", "heat", "penetrant", "drill")


def way_blocks(found: PullFigures, write: Writer, *, rusted: bool) -> list[Block]:
    """Return what can be done where a pull at the end that shows is not the way."""
    ways = found.ways
    if ways is None:
        return []
    if found.old.end == "inside":
        return [
            Words(text="The way out is at the far side. First measure both ends again. Then one of"
                  " these:", strong=True),
            Points(items=(_push(ways, write, inside=True), _hub_off(ways, write, inside=True),
                          _drill(ways, write)), kind="steps", near=True),
            cautions.hazard_points(PUSHING),
        ]  # fmt: skip
    soak = (_soak(),) if rusted else ()
    items = (
        *soak,
        _push(ways, write, inside=False),
        _heat(ways, write, rusted=rusted),
        _hub_off(ways, write, inside=False),
        _drill(ways, write),
    )
    return [
        Words(text=_why(found, ways, write), strong=True),
        Points(items=items, kind="steps"),
        cautions.hazard_points(FORCING),
    ]


def _why(found: PullFigures, ways: Ways, write: Writer) -> str:
    low, high = ways.force_lbf
    yields = write.force(ways.key_yields_lbf, "down")
    if low > ways.key_yields_lbf:
        return (
            f"No pull at this end draws it: the key's own section yields at {yields}, and it starts"
            f" at {write.force(low, 'down')} or more. Other ways, in this order:"
        )
    if high > ways.key_yields_lbf:
        return (
            f"No rig at this end is sure to draw it: the key's own section yields at {yields}, and"
            f" the pull may be {write.force(high, 'up')}. Other ways, in this order:"
        )
    return (
        f"{'A rig that can be reckoned' if found.chain is None else 'A stronger rig'} may draw it:"
        f" the key's own section yields only at {yields}. Where there is none, in this order:"
    )


def _soak() -> str:
    night = practice.rule("soak")
    return (
        f"Soak: paint and grease off, penetrant from both ends, a night ({night.number} or more);"
        " light taps all round the hub, no load on. Two or three nights beat more force."
    )


def _push(ways: Ways, write: Writer, *, inside: bool) -> str:
    low, high = ways.force_lbf
    drift = " × ".join(write.inside(one) for one in ways.drift_in)
    most = min(ways.end_takes_lbf, ways.drift_takes_lbf)
    which = "the small end" if ways.end_takes_lbf <= ways.drift_takes_lbf else "the drift"
    where = "at the end that shows, the small one" if inside else "where that end is in reach"
    stop = (
        f"Stop at {write.force(most, 'down')}: {which} takes no more."
        if high > most
        else f"The small end takes {write.force(ways.end_takes_lbf, 'down')}."
    )
    return (
        f"Push it out from its small end, {where}: {write.force(low, 'down')} to"
        f" {write.force(high, 'up')}. Jack on a short drift of mild steel, {drift} at most (takes"
        f" {write.force(ways.drift_takes_lbf, 'down')}). {stop} The jack bears on a bar, tied by"
        " rods to a plate on the hub's other face, open where the key comes out."
    )


def _heat(ways: Ways, write: Writer, *, rusted: bool) -> str:
    if ways.iron:
        return (
            "No heat: the hub is cast iron, or may be, and cracks. Only by the word of its maker or"
            " of an engineer."
        )
    heat, torch = ways.heat, ways.torch_degF
    at_key = write.warmer(heat.difference_low_degF, heat.difference_high_degF)
    limit = write.temperature(ways.warmest_degF)
    at_torch = write.warmer(*torch)
    if torch[1] > ways.warmest_degF:  # so much no hub may have
        at_torch = f"{write.warmer(torch[0])} or more"
    stays = " The rust stays." if rusted else ""
    return (
        f"Heat the hub, not the key, all round and fast: the squeeze is off once the hub is"
        f" {at_key} warmer than shaft and key, at the key. That is about"
        f" {at_torch} where the torch is (a fifth gets there:"
        f" {practice.rule('heat_share').kind_said}). Steel no warmer than {limit}, by thermometer;"
        f" where it takes more, heat alone does not do it.{stays} Penetrant wiped off first."
    )


def _hub_off(ways: Ways, write: Writer, *, inside: bool) -> str:
    low, high = ways.hub_off_lbf
    toward = "toward you" if inside else "away from you"
    end = "this end" if inside else "the far end"
    rig = "no rod or jack of the tables carries it: call who answers for the lift"
    if ways.puller is not None:
        one = ways.puller
        rig = (
            f"plate behind the hub, {one.rods} rods {one.thread_name}, {one.grade_name}, evenly"
            f" about the shaft, jack of {write.tons(one.jack_tons)} on {end} of the shaft"
        )
    return (
        f"Hub off, {toward} (to the small end of its key): {write.force(low, 'down')} to"
        f" {write.force(high, 'up')} where the bore rubs as the key does, loose after"
        f" {write.long(ways.loose_after_in)}. Rig for the high end: {rig}. Hang the hub first."
    )


def _drill(ways: Ways, write: Writer) -> str:
    if not ways.drills_in:
        return "Drill it out: this key is too small for it."
    sizes = ", ".join(write.drill(one) for one in ways.drills_in)
    return (
        f"Last, drill it out, rigidly set up along the key, {write.long(ways.drill_depth_in)} deep:"
        f" {sizes}. Look where the first one comes out. Fold the thin walls in, draw them."
    )
