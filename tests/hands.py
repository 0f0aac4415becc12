"""What hands come to on the fitting bench: a careful one and six careless, over many seeds.

    uv run python tests/hands.py --seeds 200

Each hand fits the practice key of each seed and drives it. Prints a table: rounds, strokes, marks,
bearing, pressure and faults; 200 seeds take some 15 minutes on a quiet core.
"""

from __future__ import annotations

import argparse
from collections import Counter
from time import process_time

import numpy as np

from keycourse.fit.bench.book import practice_fit
from keycourse.fit.bench.hands import HANDS, fit_with

COLUMNS = (
    ("rounds", lambda s: s.fittings),
    ("strokes", lambda s: s.strokes),
    ("left to drive, in", lambda s: s.draw_in),
    ("stands out at the end, in", lambda s: s.projection_in),
    ("bright at the last push, %", lambda s: 100 * s.share),
    ("over the length, %", lambda s: 100 * s.length_share),
    ("bears after the drive, %", lambda s: 100 * s.bearing_share),
    ("mean pressure, psi", lambda s: s.mean_pressure_psi),
    ("push at the end, lbf", lambda s: s.seat_force_lbf),
    ("ring open, in", lambda s: s.ring_in),
)


def main() -> None:
    """Fit, drive, and print what it came to."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--seeds", type=int, default=20)
    asked.add_argument("--hand", choices=tuple(HANDS))
    choices = asked.parse_args()
    for hand in [choices.hand] if choices.hand else HANDS:
        start = process_time()
        found = [
            fit_with(session=practice_fit(seed=seed), hand=hand).summary()
            for seed in range(choices.seeds)
        ]
        spent = (process_time() - start) / choices.seeds
        home = sum(one.home for one in found)
        faults = Counter(fault for one in found for fault in one.faults)
        print(f"\n{hand}: {home} of {len(found)} home; {spent:.2f} s of reckoning each")
        for name, figure in COLUMNS:
            low, middle, high = np.percentile([figure(one) for one in found], [5, 50, 95])
            print(f"  {name:28} {low:10.4g} {middle:10.4g} {high:10.4g}")
        told = ", ".join(f"{name} {count}" for name, count in faults.most_common()) or "none"
        print(f"  faults: {told}", flush=True)


if __name__ == "__main__":
    main()
