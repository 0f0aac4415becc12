"""What a user meets, before and after a change of the code: written down, then compared.

    uv run python tests/compare_cards.py write before.json.gz
    uv run python tests/compare_cards.py write after.json.gz
    uv run python tests/compare_cards.py compare before.json.gz after.json.gz

`write` puts down 100 job cards for each exercise with everything that is shown on
them, the right answers, and the verdicts on a fixed set of entries; the marking
guides, wherever they stand; the pages with what their forms show; every live
picture and bench, worked control by control; bench sessions, job sheets and
feedback. `compare` says how many are the same, shows the first that differ, and
ends with 1 where anything does. `--part NAME` takes one part only.

The parts lie in ``tests/comparing/``. Where they take the code from stands in
``tests/comparing/places.py``, the only table to change when a module moves; to write
the state of another commit, copy the script and the folder into its ``tests/``.
"""

from __future__ import annotations

import argparse
import gzip
import itertools
import json
import os
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))

from comparing.benches import session  # noqa: E402
from comparing.cards import card_told, cards_wanted  # noqa: E402
from comparing.pages import FACES, face_worked, form_typed, page_shown  # noqa: E402
from comparing.papers import JOBS, feedback, guides, sheet  # noqa: E402
from comparing.places import ROOT, our  # noqa: E402

# writing


def jobs_for(count: int) -> dict[str, list[tuple[str, Callable[..., Any], tuple[Any, ...]]]]:
    """Return what is written, part by part: its name, what makes it, on what."""
    both = ("inch", "metric")
    few = max(1, count // 12)  # 8 of 100
    pages = [
        path.relative_to(ROOT).as_posix()
        for folder in ("lessons", "exercises", "solutions")
        for path in sorted((ROOT / folder).rglob("[0-9]*.ipynb"))
    ]
    exercises = list(our("PAGES"))
    hands, kinds = [*our("HANDS"), "by hand"], list(our("PULL_KINDS"))
    sessions = [
        (bench, kind, seed, units)
        for bench, kind, seed in (
            *(("fitting", hand, 3 + place) for place, hand in enumerate(hands)),
            *(("pulling", kind, seed) for kind in kinds for seed in range(1, 10)),
            *(("measuring", size, seed) for size in ("", "about 2 in") for seed in (5, 8)),
        )
        for units in ("SHOP_INCH", "SHOP_METRIC")
    ]
    faces = list(FACES)
    if count < 10:  # to try the script itself: a little of each
        pages, faces = pages[:1], faces[2:4]
        sessions = [next(one for one in sessions[14:] if one[0] == bench)
                    for bench in ("fitting", "pulling", "measuring")]  # fmt: skip
    return {
        "cards": [
            (f"{name}/{code}/{number}", card_told, (name, code, number))
            for name in exercises
            for code, number in cards_wanted(count)
        ],
        "guides": [("guides", guides, ())],
        "forms": [(f"{e}, {n}", form_typed, (e, n)) for e in exercises for n in range(1, few + 1)],
        "pages": [(f"{p}, {u}", page_shown, (p, u)) for p in pages for u in both],
        "faces": [(f"{f}, {u}", face_worked, (f, u)) for f in faces for u in both],
        "benches": [
            (f"{bench}, {kind}, {seed}, {units}", session, (bench, kind, seed, units))
            for bench, kind, seed, units in sessions
        ],
        "sheets": [(name, sheet, (name,)) for name in JOBS],
        "feedback": [(f"{e}, {n}", feedback, (e, n)) for e in exercises for n in range(1, few + 1)],
    }


def one_job(job: tuple[str, Callable[..., Any], tuple[Any, ...]]) -> tuple[Any, float]:
    """Return what one job gives, and how long it took [s]."""
    start = time.perf_counter()
    return json.loads(json.dumps(job[1](*job[2]), ensure_ascii=False)), time.perf_counter() - start


def write(path: Path, *, count: int = 100, workers: int = 2, parts: Iterable[str] = ()) -> None:
    """Write down what a user meets, and say what was met too seldom to be compared."""
    whole: dict[str, Any] = {}
    with ProcessPoolExecutor(max_workers=workers) as pool:
        for part, jobs in jobs_for(count).items():
            if parts and part not in parts:
                continue
            made = list(pool.map(one_job, jobs, chunksize=4 if part == "cards" else 1))
            whole[part] = {job[0]: found for job, (found, _) in zip(jobs, made, strict=True)}
            print(f"{part:10} {len(jobs):5} in {sum(took for _, took in made):6.1f} s of work")
    text = json.dumps(whole, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    path.write_bytes(gzip.compress(text.encode(), compresslevel=5, mtime=0))
    for line in never_met(whole.get("cards", {})):
        print(line)


def never_met(cards: dict[str, Any]) -> list[str]:
    """Return which slips and choices came up on no card, so that nothing is proved of them."""
    asked: dict[str, dict[str, bool]] = {}
    for card in cards.values():
        for key, one in card["questions"].items():
            if "right" not in one:
                continue
            seen = asked.setdefault(key, {})
            for (name, *_), value in zip(one["text"]["slips"], one["right"]["slips"], strict=True):
                seen[f"slip “{name}”"] = seen.get(f"slip “{name}”", False) or value is not None
            if one["text"]["kind"] == "Choice":
                for option in one["text"]["offered"]:
                    name = f"right answer “{option}”"
                    seen[name] = seen.get(name, False) or one["right"]["value"] == option
    missing = [
        f"{key}: {name}" for key, row in asked.items() for name, met in row.items() if not met
    ]
    slips = [one for one in missing if ": slip" in one]
    never = [f"  {one}" for one in slips]
    return [f"{len(slips)} slips and {len(missing) - len(slips)} choices met on no card", *never]


# comparing


def differences(before: Any, after: Any, where: tuple[str, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Give each place that differs, with both texts."""
    if before == after:
        return
    if isinstance(before, dict) and isinstance(after, dict):
        for key in itertools.chain(before, (one for one in after if one not in before)):
            yield from differences(
                before.get(key, "(not there)"), after.get(key, "(not there)"), (*where, key)
            )
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for place, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from differences(one, other, (*where, str(place)))
    else:
        yield where, before, after


def spelled_out(card: dict[str, Any]) -> dict[str, Any]:
    """Return a card with each verdict in its place instead of a number."""
    said = card["said"]
    questions = {
        key: {
            **one,
            "verdicts": {
                what: [text, said[place], look]
                for what, (text, place, look) in one["verdicts"].items()
            },
        }
        for key, one in card["questions"].items()
    }
    pages = {what: [said[place] for place in row] for what, row in card["carried"].items()}
    return {**card, "said": [], "questions": questions, "carried": pages}


def sorts_of(card: dict[str, Any]) -> dict[str, Any]:
    """Return a card's text, its right answers and its verdicts apart."""
    questions = card["questions"].items()
    text = {key: one["text"] for key, one in questions}
    return {
        "text": {**{name: card[name] for name in ("card", "metric", "title")}, **text},
        "right": {key: one.get("right") for key, one in questions},
        "verdicts": {
            **{key: one["verdicts"] for key, one in questions},
            "whole page": card["carried"],
        },
    }


def read(path: Path) -> dict[str, Any]:
    """Read what `write` wrote."""
    with gzip.open(path, "rt", encoding="utf-8") as file:
        found: dict[str, Any] = json.load(file)
    return found


def short(text: Any) -> str:
    """Return a text that fits a line or two."""
    words = text if isinstance(text, str) else json.dumps(text, ensure_ascii=False)
    return words if len(words) <= 400 else f"{words[:400]} … ({len(words)} letters)"


def apart(before: Any, after: Any) -> tuple[str, str]:
    """Return two texts from a little before the place where they part."""
    if not (isinstance(before, str) and isinstance(after, str)):
        return short(before), short(after)
    at = len(os.path.commonprefix([before, after]))
    start = max(0, at - 60)
    lead = "…" if start else ""
    return tuple(short(lead + one[start:]) for one in (before, after))  # type: ignore[return-value]


def compare(first: Path, second: Path, *, most: int = 20, parts: Iterable[str] = ()) -> int:
    """Say what is the same and show what is not; return how many differences there are."""
    before, after = read(first), read(second)
    found: list[tuple[Any, ...]] = []
    for part in sorted({*before, *after}):
        if parts and part not in parts:
            continue
        one, other = before.get(part, {}), after.get(part, {})
        if part != "cards":
            names = sorted({*one, *other})
            same = sum(one.get(name) == other.get(name) for name in names)
            print(f"{part:14} {len(names):5} compared, {same} equal")
            found += differences(one, other, (part,))
            continue
        tally: dict[str, Counter[str]] = {}
        for name in sorted({*one, *other}):
            count = tally.setdefault(name.split("/")[0], Counter())
            count["cards"] += 1
            if name not in one or name not in other:
                found.append(((part, name), *(name in side for side in (one, other))))
                continue
            sides = [sorts_of(spelled_out(side[name])) for side in (one, other)]
            for sort in sides[0]:
                count[sort] += sides[0][sort] == sides[1][sort]
            count["entries"] += sum(map(len, sides[0]["verdicts"].values()))
            found += differences(*sides, (part, name))
        for exercise, count in tally.items():
            print(
                f"{exercise:14} {count['cards']:5} cards compared ({count['entries']:,} entries and"
                f" pages judged): texts equal {count['text']}, right answers equal"
                f" {count['right']}, verdicts equal {count['verdicts']}"
            )
    alike: dict[str, list[tuple[Any, ...]]] = {}
    for where, was, now in found:  # the same change on many cards is shown once
        alike.setdefault(json.dumps([where[0], where[2:], was, now]), []).append((where, was, now))
    for (where, was, now), *others in list(alike.values())[:most]:
        print(f"\n{' > '.join(where)}{f'  (and {len(others)} more like it)' if others else ''}")
        print("  before: {}\n  after:  {}".format(*apart(was, now)))
    if len(alike) > most:
        print(f"\n… and {len(alike) - most:,} more kinds.")
    print(f"\n{len(found):,} differences." if found else "\nNothing differs.")
    return len(found)


def main() -> int:
    """Write or compare."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words = parser.add_subparsers(dest="word", required=True)
    writing = words.add_parser("write", help="write down what a user meets")
    writing.add_argument("file", type=Path)
    writing.add_argument("--count", type=int, default=100, help="cards of each exercise")
    writing.add_argument("--workers", type=int, default=2)
    comparing = words.add_parser("compare", help="compare two of them; ends with 1 if they differ")
    comparing.add_argument("before", type=Path)
    comparing.add_argument("after", type=Path)
    comparing.add_argument("--most", type=int, default=20, help="differences to show")
    for one in (writing, comparing):
        one.add_argument("--part", action="append", default=[], help="only this part; repeatable")
    asked = parser.parse_args()
    if asked.word == "write":
        write(asked.file, count=asked.count, workers=asked.workers, parts=asked.part)
        return 0
    return int(bool(compare(asked.before, asked.after, most=asked.most, parts=asked.part)))


if __name__ == "__main__":
    sys.exit(main())
