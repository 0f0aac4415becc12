"""The check before and after in a class: who did which form, and what was gained by skill.

Read from the kept hand-ins, and judged as they are read: no mark depends on it. Where somebody
handed a form in more than once, the first counts, since after it the answers were shown.
"""

from __future__ import annotations

from collections.abc import Mapping

from coursework.check import check_forms, right_in
from coursework.mark.kept import kept_of, read_arrivals
from coursework.room.classfolder import ClassFolder

__all__ = ["checks_done"]


def checks_done(class_folder: ClassFolder) -> dict[int, dict[str, Mapping[str, bool]]]:
    """Return what was right in each form, by number and the form's name, of who is present."""
    found: dict[int, dict[str, Mapping[str, bool]]] = {}
    present = {one.number for one in class_folder.present}
    arrivals = read_arrivals(class_folder.folder)
    for name in check_forms():
        for place in sorted(class_folder.hand_ins.glob(f"[0-9][0-9][0-9]/{name}")):
            number = int(place.parent.name)
            here = class_folder.changes.today(number)
            if here not in present:
                continue
            kept, _ = kept_of(
                folder=class_folder.folder,
                class_code=class_folder.code,
                number=number,
                exercise=name,
                arrivals=(one for one in arrivals if (one.number, one.exercise) == (number, name)),
            )
            first = min(kept, key=lambda one: one.hand_in.made, default=None)
            if first is not None:
                found.setdefault(here, {})[name] = right_in(
                    name=name,
                    class_code=class_folder.code,
                    number=number,
                    entries=first.hand_in.entries,
                )
    return found
