"""Words of the pulling bench's lists."""

from __future__ import annotations

from keycourse.pull.bench.state import (
    FEET,
    HOT,
    IN_LINE,
    PUMPED,
    STANDS,
    THROUGH_BEARING,
    WELDS,
)

__all__ = [
    "FEET_WORDS",
    "HAND_WORDS",
    "HOLD_WORDS",
    "NO_JACKS",
    "OF_THE_RIG",
    "PUMP_WORDS",
    "SLUNG_WORDS",
    "STAND_WORDS",
    "TONES",
    "WELD_WORDS",
]

TONES = {
    "moved": "right",
    "gave way": "wrong",
    "hub moved": "wrong",
    "tightened": "wrong",
    "refused": "wrong",
}
NO_JACKS = (
    "It has no jacks, no strongback and no seat on the hub: the blow goes from the stop and its"
    " nut through the rod into the thread and the end of the key."
)
OF_THE_RIG = (
    "The jacks stand on the face of the hub, close to the key: on the shaft, the pull would drag"
    " the hub along with it. A rod, nut or strongback of unknown steel counts as the weakest, or"
    " stays in the bin."
)
STAND_WORDS = {
    STANDS[0]: "To the side, at the hose's length",
    IN_LINE: "In line with the rod, where the key is seen best",
}
HOLD_WORDS = {
    2.0: "2 minutes: look at gauge and mark",
    1.0: "1 minute: look at gauge and mark",
    0.0: "None: straight on up",
}
FEET_WORDS = {
    FEET[0]: "On the face of the hub, close to the key",
    FEET[1]: "On the end of the shaft, where it is flat",
}
PUMP_WORDS = {
    PUMPED[0]: "Two pumps in turn, a stroke each",
    PUMPED[2]: "One pump on both jacks",
    PUMPED[1]: "Two pumps: one jack up first, then the other",
}
WELD_WORDS = {
    WELDS[0]: "Ground clamp on the key, weld left to cool",
    HOT: "Ground clamp on the key, loaded while the weld is hot",
    THROUGH_BEARING: "Ground clamp on the shaft, weld left to cool",
}
HAND_WORDS = {
    "look": "Look along the rig from the side",
    "knock": "Knock on the rod with a hammer",
    "take up": "Take up the nut with a wrench",
    "feel hose": "Feel along the hose for oil",
}
SLUNG_WORDS = {
    True: "On rated gear, nobody below",
    False: "On the shaft, a mate steadies it from below",
}
