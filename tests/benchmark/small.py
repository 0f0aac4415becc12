"""Small parts: import, job cards, first touch, a fitting step, a redrawn figure."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from benchmark.table import Row, Times, as_installed, at_least, at_most, clock, profile_of, row

__all__ = ["measure_cards", "measure_contact", "measure_fit", "measure_import", "measure_touch"]

FORMULA = (
    "import taperkey; from taperkey.formulas.taper import two_point_taper as t; "
    "t(mouth_height_in=1.0104, inside_height_in=1.0, distance_in=1.0)"
)


def measure_import(quick: bool) -> list[Row]:
    """Compare one formula from a fresh start with importing numpy."""
    times = {"import numpy": Times(), FORMULA: Times()}
    with tempfile.TemporaryDirectory() as place:
        env = as_installed(Path(place))

        def start(script: str) -> None:
            subprocess.run([sys.executable, "-c", script], env=env, check=True)

        for turn in range(8 if quick else 26):
            for script, kept in times.items():
                once = clock(lambda script=script: start(script))
                if turn:  # the first is the first start, and does not count
                    kept += once
    numpy = row("import", "import numpy, from a fresh start", times["import numpy"])
    return [
        numpy,
        row(
            "import",
            "import taperkey and one formula, from a fresh start",
            times[FORMULA],
            against=numpy,
            faster=False,
            limits=[at_most("share", 0.6)],
            rest=_slowest_imports(FORMULA),
        ),
    ]


def _slowest_imports(script: str) -> str:
    told = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", script], capture_output=True, text=True
    ).stderr
    own = {}
    for line in told.splitlines()[1:]:
        mine, _, name = line.removeprefix("import time:").split("|")
        top = name.strip().split(".")[0]
        own[top] = own.get(top, 0) + int(mine)
    total = sum(own.values())
    largest = sorted(own.items(), key=lambda one: -one[1])[:5]
    return ", ".join(f"{100 * spent / total:.0f} % {name}" for name, spent in largest)


def measure_cards(quick: bool) -> list[Row]:
    """Time the issuing of job cards, one of each exercise in turn."""
    from coursework.course import PAGES, issue_card

    names = list(PAGES)
    count = 1000 if quick else 10_000
    issued = 0

    def some(class_code: str, cards: int) -> None:
        for place in range(cards):
            issue_card(
                exercise=names[place % len(names)],
                class_code=class_code,
                number=1 + place // len(names),
            )

    some("warm-up", len(names))
    times = Times()
    for part in range(10):
        times += clock(lambda part=part: some(f"bench-{part}", count // 10))
        issued += count // 10
    whole = Times([sum(times.wall)], [sum(times.cpu)])
    return [
        row(
            "cards",
            f"{issued:,} job cards of {len(names)} exercises",
            whole,
            unit="s",
            limits=[at_most("median", 60.0 * issued / 10_000)],
            note="as printed: drawn again until clear",
            rest=profile_of(lambda: some("profile", 50 * len(names))),
        )
    ]


def _faces(seed: int) -> Any:
    from keycourse.fit.bench.insertion import faces_at
    from keycourse.fit.bench.keyblank import KeyParameters, draw_key
    from keycourse.measure.bench.slot import SlotParameters, draw_slot

    slot = draw_slot(parameters=SlotParameters(), seed=seed)
    key, grid = draw_key(slot=slot, parameters=KeyParameters(), seed=seed)
    return faces_at(key=key, grid=grid, projection_in=0.6)


def _linear_program(faces: Any) -> tuple[Any, Any]:
    """Return the rows and limits of the same first touch as a linear program."""
    import numpy as np

    x, y = np.broadcast_arrays(faces.x_in[:, None], faces.y_in[None, :])
    one = np.ones(x.size)
    plane = np.column_stack([one, x.ravel(), y.ravel()])
    rows = np.vstack([np.column_stack([-plane, one]), np.column_stack([plane, one])])
    return rows, np.concatenate([-faces.under_in.ravel(), faces.over_in.ravel()])


def measure_touch(quick: bool) -> list[Row]:
    """Compare the first touch of a rigid key with a linear program."""
    from scipy.optimize import linprog

    from keycourse.fit.bench.touch import first_touch

    ours, program = Times(), Times()
    apart, size = 0.0, 0
    for seed in range(3 if quick else 12):
        faces = _faces(seed)
        first_touch(faces=faces)
        ours += clock(lambda faces=faces: first_touch(faces=faces), 15)
        rows, limits = _linear_program(faces)
        size = rows.shape[0]
        found: list[Any] = []

        def solve(rows: Any = rows, limits: Any = limits, found: list[Any] = found) -> None:
            free = [(None, None)] * 4
            found.append(
                linprog([0, 0, 0, -1], A_ub=rows, b_ub=limits, bounds=free, method="highs")
            )

        program += clock(solve)
        apart = max(apart, abs(-found[-1].fun - first_touch(faces=faces).clearance_in))
    base = row("touch", f"linear program (HiGHS), {size:,} rows", program)
    faces = _faces(0)
    return [
        base,
        row(
            "touch",
            f"first touch by exchange, {size // 2:,} places",
            ours,
            against=base,
            limits=[at_least("faster", 130.0)],
            note=f"answers at most {apart:.1e} in apart (limit 1e-6 in)",
            rest=profile_of(lambda: [first_touch(faces=faces) for _ in range(20)]),
        ),
    ]


def measure_contact(quick: bool) -> list[Row]:
    """Compare the contact of one bench surface with a compiled boundary-element solver."""
    import numpy as np
    import tamaas

    from keycourse.fit.bench.bodies import half_space
    from keycourse.fit.bench.book import practice_fit
    from keycourse.fit.bench.contact import press_faces
    from keycourse.fit.bench.touch import Faces

    tamaas.set_log_level(tamaas.LogLevel.error)
    theirs, cold, warm = Times(), Times(), Times()
    apart = 0.0
    for seed in range(2 if quick else 6):
        session = practice_fit(seed=seed)
        grid, width = session.grid, session.state.key.width_in
        slope = np.polyfit(grid.x_in, grid.roof_in.mean(axis=1), 1)
        gap = grid.roof_in - np.polyval(slope, grid.x_in)[:, None]
        m, n = gap.shape
        faces = Faces(x_in=grid.x_in, y_in=grid.y_in, under_in=-gap, over_in=gap,
                      patch_area_in2=8.0 * width / (m * n))  # fmt: skip
        deep = half_space(length_in=8.0, width_in=width, length_count=m, width_count=n)
        mirrored = np.block([[gap, gap[:, ::-1]], [gap[::-1], gap[::-1, ::-1]]])
        for mean_psi in (25.0, 500.0, 4_000.0):
            model = tamaas.ModelFactory.createModel(
                tamaas.model_type.basic_2d, [16.0, 2 * width], list(mirrored.shape)
            )
            model.E, model.nu = 30e6, 0.3
            solver = tamaas.PolonskyKeerRey(model, -mirrored, 1e-3)
            theirs += clock(lambda s=solver, p=mean_psi: s.solve(p))
            choices = {"faces": faces, "bodies": deep, "hardness_psi": 1e9, "close_enough": 3e-3}
            force = mean_psi * 8.0 * width
            near = press_faces(normal_force_lbf=0.8 * force, **choices)
            cold += clock(lambda f=force, c=choices: press_faces(normal_force_lbf=f, **c))
            warm += clock(
                lambda f=force, c=choices, s=near: press_faces(normal_force_lbf=f, start=s, **c)
            )
            seat = press_faces(normal_force_lbf=force, **choices)
            share = float((np.asarray(model.traction) > 0).mean())
            apart = max(apart, abs(share - float((seat.roof_pressure_psi > 0).mean())))
    base = row("contact", "tamaas, one face of 128 × 24 with its mirrors", theirs)
    note = f"both faces; bearing share at most {apart:.1e} from it"
    return [
        base,
        row("contact", "our contact, from cold", cold, against=base, note=note,
            limits=[at_least("faster", 0.2)]),
        row("contact", "our contact, from four fifths of the force", warm, against=base,
            limits=[at_least("faster", 1.0)]),
    ]  # fmt: skip


def _fitting(seed: int, finer: int = 1) -> Any:
    from keycourse.fit.bench.book import practice_fit
    from keycourse.fit.bench.fitting import start_fitting

    one = practice_fit(seed=seed)
    return start_fitting(
        slot=one.slot,
        seed=seed,
        key_parameters=one.key_parameters,
        length_count=128 * finer,
        width_count=24 * finer,
    )


def measure_fit(quick: bool) -> list[Row]:
    """Time the steps of a whole fitting that load the key, and compare with a finer grid."""
    from keycourse.fit.bench.hands import fit_with

    spent: dict[str, Times] = {"push": Times(), "drive": Times()}
    apart: dict[str, list[float]] = {"projection_in": [], "squeeze_in": []}
    pushes = []
    for seed in range(3 if quick else 12):
        steps = fit_with(session=_fitting(seed), hand="careful").steps
        session, finer = _fitting(seed), _fitting(seed, finer=2)
        first = 1 + next(place for place, step in enumerate(steps) if step["do"] == "push")
        for step in steps:
            name, choices = step["do"], {k: v for k, v in step.items() if k != "do"}
            if name in spent:
                here = session
                spent[name] += clock(lambda h=here, n=name, c=choices: h.do(n, **c), 3)
                pushes.append((here, name, choices))
            session = session.do(name, **choices)
        # to the first push, on the same faces
        ours, finer = (session_after(one, steps[:first]) for one in (_fitting(seed), finer))
        for name, off in apart.items():
            a, b = _figure(ours, name), _figure(finer, name)
            off.append(abs(a - b))
    limits = [at_most("median", 30.0), at_most("worst", 100.0)]
    note = (
        f"against 256 × 48: stand-out at most {max(apart['projection_in']):.1e} in apart, "
        f"squeeze {max(apart['squeeze_in']):.1e} in"
    )
    return [
        row("fit", "one push under load, 128 × 24", spent["push"], limits=limits, note=note,
            rest=profile_of(lambda: [h.do(n, **c) for h, n, c in pushes if n == "push"])),
        row("fit", "the whole drive, blow by blow", spent["drive"],
            limits=[at_most("worst", 600.0)],
            rest=profile_of(lambda: [h.do(n, **c) for h, n, c in pushes if n == "drive"])),
    ]  # fmt: skip


def session_after(session: Any, steps: Any) -> Any:
    """Return the session after these steps."""
    for step in steps:
        session = session.do(step["do"], **{k: v for k, v in step.items() if k != "do"})
    return session


def _figure(session: Any, name: str) -> float:
    if name == "squeeze_in":
        return float(session.state.seat.squeeze_in)
    return float(getattr(session.state, name))
