"""The class report against a straightforward one with pandas and matplotlib."""

from __future__ import annotations

import json
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from benchmark.classes import CODE, fill_class
from benchmark.table import Row, Times, as_installed, at_least, at_most, clock, profile_of, row

__all__ = ["measure_report", "straightforward_report"]


def straightforward_report(folder: Path) -> Path:
    """Write a report with the same contents, as one writes it with pandas and matplotlib.

    Totals, standing by skill, difficulty and discrimination of every question, slips, what
    waits, a chart of the marks of each exercise, and the marks as CSV.
    """
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt
    import pandas as pd

    from coursework.course import PAGES

    rows = []
    for path in sorted((folder / "records").glob("*/*.json")):
        record = json.loads(path.read_text())
        for verdict in record["verdicts"]:
            rows.append({"number": record["number"], "exercise": record["exercise"], **verdict})
    marks = pd.DataFrame(rows)
    with sqlite3.connect(folder / "gradebook.db") as database:
        given = pd.read_sql(
            "SELECT sa.student_id AS number, a.name AS exercise, b.name AS key, "
            "g.manual_score, g.extra_credit, g.needs_manual_grade FROM grade g "
            "JOIN base_cell b ON b.id = g.cell_id "
            "JOIN submitted_notebook n ON n.id = g.notebook_id "
            "JOIN submitted_assignment sa ON sa.id = n.assignment_id "
            "JOIN assignment a ON a.id = sa.assignment_id",
            database,
        )
    database.close()
    given["number"] = given["number"].astype(int)
    marks = marks.merge(given, on=["number", "exercise", "key"], how="left")
    about = pd.DataFrame(
        [
            {"key": q.key, "label": q.label, "skill": q.skill, "by_hand": q.by_assessor}
            for page in PAGES.values()
            for q in page.questions
        ]
    )
    marks = marks.merge(about, on="key")
    marks["final"] = marks["manual_score"].fillna(marks["mark"]) + marks["extra_credit"].fillna(0.0)
    waiting = marks["needs_manual_grade"].fillna(0).astype(bool)
    marks.loc[waiting, "final"] = float("nan")
    roster = pd.read_csv(folder / "roster.csv")
    parts = []
    out = folder / "straightforward"
    out.mkdir(exist_ok=True)
    for exercise, own in marks.groupby("exercise"):
        table = own.pivot_table(index="number", columns="key", values="final")
        total = table.sum(axis=1)
        automatic = table[[key for key in own.loc[~own["by_hand"], "key"].unique()]]
        rest = automatic.sum(axis=1)
        figures = pd.DataFrame(
            {
                "difficulty": own.groupby("key")["final"].mean()
                / own.groupby("key")["out_of"].mean(),
                "discrimination": {
                    key: table[key].corr(rest - table[key]) for key in table.columns
                },
            }
        )
        states = own.pivot_table(index="key", columns="state", values="mark", aggfunc="count")
        percent = 100 * total / own.groupby("number")["out_of"].sum()
        figure, ax = plt.subplots(figsize=(7, 3), layout="constrained")
        ax.hist(percent, bins=range(0, 101, 10), edgecolor="k")
        ax.set(xlabel="marks, per cent", ylabel="apprentices", title=exercise)
        figure.savefig(out / f"{exercise}.svg")
        plt.close(figure)
        parts += [f"<h2>{exercise}</h2>", (out / f"{exercise}.svg").read_text()]
        parts += [figures.join(states).to_html(), total.rename("total").to_frame().to_html()]
    skills = marks.groupby(["number", "skill"]).agg(
        got=("final", "sum"), out_of=("out_of", "sum"), critical=("critical", "any")
    )
    skills["competent"] = (skills["got"] >= 0.7 * skills["out_of"]) & ~skills["critical"]
    matrix = skills["competent"].unstack()
    slips = marks[marks["slip"] != ""].groupby("slip")["number"].agg(["nunique", "count"])
    slips = slips.sort_values(["nunique", "count"], ascending=False)
    todo = marks[waiting].groupby(["exercise", "label"])["number"].agg(list)
    parts += [matrix.to_html(), slips.to_html(), todo.to_frame().to_html()]
    page = out / "index.html"
    page.write_text("<html><body>" + "\n".join(parts) + "</body></html>")
    wide = marks.pivot_table(index="number", columns="key", values="final").join(matrix)
    roster.merge(wide, left_on="number", right_index=True).to_csv(out / "marks.csv", index=False)
    return page


def measure_report(quick: bool) -> list[Row]:
    """Compare the report of a large class, in a warm process and as a fresh command."""
    from coursework.course import PAGES
    from coursework.mark.marker import mark_class
    from coursework.room.report import write_report

    count, rounds = (20, 3) if quick else (60, 7)
    with tempfile.TemporaryDirectory() as place:
        filled = fill_class(Path(place) / "class", apprentices=count)
        folder: Any = filled.folder
        mark_class(folder=folder.folder, class_code=CODE, roster=folder.names)
        acts = {
            "pandas": lambda: straightforward_report(folder.folder),
            "ours": lambda: write_report(folder),
        }
        fresh = {
            "pandas": [
                "-c",
                "import sys; sys.path.insert(0, sys.argv[2]); from pathlib import Path; "
                "from benchmark.reporting import straightforward_report as s; "
                "s(Path(sys.argv[1]))",
            ],
            "ours": ["-m", "keycourse.cli", "report"],
        }
        if not _is_a_command():
            fresh["ours"] = [
                "-c",
                "import sys; from keycourse.cli import main; main(['report', sys.argv[1]])",
            ]
        warm = {name: Times() for name in acts}
        cold = {name: Times() for name in acts}
        for act in acts.values():
            act()
        here = str(Path(__file__).resolve().parents[1])
        env = as_installed(Path(place))
        for turn in range(rounds + 1):
            for name, act in acts.items():
                warm[name] += clock(act)
                command = [sys.executable, *fresh[name], str(folder.folder), here]
                if name == "ours":
                    command.pop()
                once = clock(lambda c=command: subprocess.run(c, env=env, check=True, stdout=-3))
                if turn:  # the first is the first start, and does not count
                    cold[name] += once
        rest = profile_of(acts["ours"], most=8)
    size = f"{count} × {len(PAGES)}"
    rows = []
    for told, times in (("in a running program", warm), ("as a fresh command", cold)):
        base = row("report", f"pandas and matplotlib, {size}, {told}", times["pandas"], unit="s")
        limits = [at_least("faster", 3.0), at_most("median", 3.0)]
        mine = row(
            "report", f"class report, {size}, {told}", times["ours"],
            against=base, unit="s", limits=limits, rest=rest if times is warm else "",
        )  # fmt: skip
        rows += [base, mine]
    return rows


def _is_a_command() -> bool:
    import keycourse.cli

    return '__name__ == "__main__"' in Path(keycourse.cli.__file__).read_text("utf-8")
