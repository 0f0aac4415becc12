"""A rule of thumb stands once, in practice.csv: no module types it again, pages show it so."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from taperkey import practice

ROOT = Path(__file__).resolve().parents[1]
LIB = ROOT / "lib"
MODULES = [path for path in sorted(LIB.rglob("*.py")) if path.name != "practice.py"]

# What an argument, a constant or a default of such a name holds is this rule.
HOLDS = {
    "fitting_allowance": re.compile(r"allowance|oversize", re.I),
    "left_to_drive": re.compile(r"left_to_drive|^draw_in$", re.I),
    "side_clearance": re.compile(r"side_clearance|^_clearance$", re.I),
    "plain_key_limit": re.compile(r"plain_limit|step_from", re.I),
    "step_relief": re.compile(r"^relief_in$|step_relief", re.I),
    "relief_cut": re.compile(r"relief_cut", re.I),
    "deepest_pass": re.compile(r"deepest_pass", re.I),
    "transfer_scatter": re.compile(r"height_sd|spread_in", re.I),
    "mean_height_doubt": re.compile(r"height_sd", re.I),
    "steady_scatter": re.compile(r"scatter_in", re.I),
    "jack_share": re.compile(r"jack_share|working_share", re.I),
    "rod_share": re.compile(r"rod_share|working_share", re.I),
    "load_steps": re.compile(r"load_shares|load_steps", re.I),
    "largest_rise": re.compile(r"largest_rise", re.I),
    "seat_pressure": re.compile(r"seat_p|pressure_(low_|high_)?psi", re.I),
    "bearing_share": re.compile(r"bearing_share", re.I),
    "blow_share": re.compile(r"blow_share|useful_share", re.I),
    "slide_hammer": re.compile(r"^weight_lbf?$", re.I),
    "slide_hammer_rod": re.compile(r"rod_length_in", re.I),
    "drive_hammer": re.compile(r"sledge_lb", re.I),
    "most_blows": re.compile(r"most_blows", re.I),
    "soak": re.compile(r"soak_h", re.I),
    "steel_modulus": re.compile(r"modulus_psi", re.I),
    "plate_factor": re.compile(r"design_factor", re.I),
    "thread_design_factor": re.compile(r"design_factor", re.I),
    "pass_share": re.compile(r"pass_share|competent_share", re.I),
}
# A number that names its kind beside it: it belongs into the file.
OWN_BASIS = re.compile(
    r"=.*\d.*#.*(common practice|own model|own estimate|estimate of this course|assumed here"
    r"|rule of thumb|experience figure)"
)
FORMER_KINDS = re.compile(
    r"own estimate|estimate of this course|experience figure|assumed here|this course's own model",
    re.I,
)


def typed(tree: ast.AST) -> Iterator[tuple[str, ast.expr, int]]:
    """Yield each name that is given a value: constants, fields, defaults, arguments of calls."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign):
            for target in node.targets:
                if isinstance(target, ast.Name):
                    yield target.id, node.value, node.lineno
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name) and node.value:
            yield node.target.id, node.value, node.lineno
        elif isinstance(node, ast.keyword) and node.arg:
            yield node.arg, node.value, node.value.lineno
        elif isinstance(node, ast.arguments):
            places = node.posonlyargs + node.args
            pairs = [*zip(places[len(places) - len(node.defaults) :], node.defaults, strict=True),
                     *zip(node.kwonlyargs, node.kw_defaults, strict=True)]  # fmt: skip
            for argument, default in pairs:
                if default is not None:
                    yield argument.arg, default, default.lineno


def numbers_in(value: ast.expr) -> tuple[float, ...]:
    """Return the numbers that are typed there: 0.010, 1 / 8, (8_000, 14_000), {"inch": 0.002}."""
    if isinstance(value, ast.Constant):
        one = value.value
        return (float(one),) if isinstance(one, (int, float)) and one is not True else ()
    if isinstance(value, ast.BinOp) and isinstance(value.op, ast.Div):
        top, bottom = numbers_in(value.left), numbers_in(value.right)
        return (top[0] / bottom[0],) if top and bottom and bottom[0] else top
    if isinstance(value, ast.Call):
        return tuple(number for one in value.args for number in numbers_in(one))
    if isinstance(value, ast.Tuple):
        return tuple(number for one in value.elts for number in numbers_in(one))
    if isinstance(value, ast.Dict):
        return tuple(number for one in value.values for number in numbers_in(one))
    return ()


def typed_again(text: str) -> list[str]:
    """Return where a rule is typed under a name that holds it; a whole share is no rule."""
    found = []
    for name, value, line in typed(ast.parse(text)):
        numbers = numbers_in(value)
        for rule, holds in HOLDS.items():
            sizes = {*practice.values(rule), *practice.rule(rule).metric} - {1.0}
            if holds.search(name) and sizes.intersection(numbers):
                found.append(f"line {line}: {name} types {rule}")
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(LIB).as_posix())
def test_no_module_types_a_rule_again(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not typed_again(text), 'take it from practice: practice.value("…")'
    lines = [line for line in text.splitlines() if OWN_BASIS.search(line)]
    assert not lines, "its kind belongs into practice.csv"
    assert not FORMER_KINDS.search(text), "say the kind as practice.KINDS has it"


@pytest.mark.parametrize(
    "line",
    [
        "ALLOWANCE_IN = 0.010",
        '_CLEARANCE = {"inch": 0.002}',
        "shop(side_clearance_in=_mm(0.05))",
        "LIMITS = make(plain_limit_in=0.10 / MM_PER_IN)",
        "def f(*, jack_share: float = 0.8): ...",
        "class A:\n    left_to_drive_in: float = 1 / 8",
        "LOAD_SHARES = (0.25, 0.5, 1.0)",
        "blow(useful_share_low=0.5)",
        "SEAT_PSI = (8_000.0, 14_000.0)",
    ],
)
def test_a_rule_that_is_typed_again_is_found(line: str) -> None:
    assert typed_again(line)


def test_a_number_of_another_thing_is_let_alone() -> None:
    assert not typed_again("LEG_IN = 1 / 8\nsquare(width_in=0.5)\nBASE_IN = 0.010")


# Sentences of the pages with the number that they must show, taken from the rule.
SENTENCES = {
    "00-start": ("good to about {caliper} ({caliper.metric}) ({caliper.kind})",),
    "01-measure": (
        "repeats to about half a thousandth: {transfer_scatter.kind}.",
    ),
    "02-taper": (
        "about half a thousandth ({transfer_scatter.metric}; {transfer_scatter.kind})",
        "each good to {transfer_scatter}:",
        "brings {transfer_scatter} down to about {mean_height_doubt}: the job cards say that",
    ),
    "03-key": (
        "about {fitting_allowance}, or {fitting_allowance.metric} ({fitting_allowance.kind})",
        "about {side_clearance} ({side_clearance.metric}) in all ({side_clearance.kind})",
        "some {step_relief} ({step_relief.metric}; {step_relief.kind})",
        "Thread about {thread_width.word} the width, hole {hole_depth.word} diameters deep; "
        "1-1/2 diameters of full thread are counted on ({full_thread.kind})",
        "Allowance {fitting_allowance}, side clearance {side_clearance}, "
        "step relief {step_relief},",
    ),
    "04-fit": (
        "about {fitting_allowance} ({fitting_allowance.metric}) over size in height "
        "({fitting_allowance.kind})",
        "about {left_to_drive} ({left_to_drive.metric}). That figure is {left_to_drive.kind},",
        "The last {left_to_drive} is **left to drive**",
        "**{drive_hammer} sledge**",
        "At {drive_hammer_speed} one blow brings about 2,000 in·lbf (230 J; "
        "{drive_hammer_speed.kind}). {drive_useful_share.word} of that moves the key.",
        "The last moves it {drive_last_advance}, at some",
        "(nut factor `{nut_factor.low}`)",
        "dry (`{nut_factor.high}`; {nut_factor.kind})",
    ),
    "05-pull": (
        "an **unknown hand** drove with a {drive_hammer} sledge, until a full swing hardly moved "
        "it ({drive_hammer_speed.kind})",
        "Plan with {seat_pressure} (55 to 97 MPa) on the faces ({seat_pressure.kind}).",
        "Swung hard it reaches {slide_hammer_speed} ({slide_hammer_speed.kind}).",
        "If {most_blows.word} blows move nothing, stop.",
        "Warm it to {preheat.ends} °F (150 to 260 °C), low-hydrogen electrode, dry; cool it slowly "
        "under a blanket ({preheat.kind}).",
        "Go up in {largest_rise.word}s of the stop load or less: 1/4, 1/2, 3/4, 9/10, all of it. "
        "Hold a minute or two at each ({hold.kind}).",
        "Time: a night, {soak.ends} hours or more.",
        "only about a {heat_share.word} of the torch's heat gets as far as the key "
        "({heat_share.kind})",
        "Drift of mild steel, {drift_less} ({drift_less.metric}) less than the slot each way",
        "Pilot of {drill_pilot} ({drill_pilot.metric}), full length.",
        "Then in steps of {drill_step} ({drill_step.metric}), up to {drill_left} less than the",
        "Ram area of {ram_area.ends} in² for a 10-ton jack ({ram_area.kind}: read the plate)",
        "{load_steps.first}, then {largest_rise.word}s or less",
        "`{seat_depth.low}` to `{seat_depth.high}` key widths",
        "over {steel_modulus}.",
        "Jacks {jack_share.part} of the rating, rod {rod_share.part} of proof load: "
        "{jack_share.kind}.",
        "reckoned at {slide_hammer_speed}, half to nine tenths of the blow useful, on "
        "{slide_hammer_rod} of rod ({blow_share.kind})",
    ),
    "06-whole-job": (
        "fitting allowance: {fitting_allowance} ({fitting_allowance.metric}; "
        "{fitting_allowance.kind})",
        "an unknown hand is planned at {seat_pressure} (55 to 97 MPa).",
        "{seat_pressure} (55 to 97 MPa), is {seat_pressure.kind}.",
        "The {left_to_drive} ({left_to_drive.metric}) left to drive is {left_to_drive.kind}",
        "Load steps: {load_steps.words}.",
    ),
}  # fmt: skip
WORDS = {0.1: "a tenth", 0.2: "fifth", 0.25: "quarter", 0.5: "half", 0.75: "three quarters",
         0.9: "nine tenths", 1.0: "all of it", 2.0: "two", 10.0: "ten"}  # fmt: skip


# The same, in what benches, cautions and questions say.
SAID = {
    "pull/bench/breaches.py": (
        "a {largest_rise.word} of the stop load is",
        "Hold a minute or two at each",
    ),
    "pull/words.toml": ("Go up in {largest_rise.word}s of the stop load or less",),
}


class Shown:
    """A rule as the sentences above name it."""

    def __init__(self, rule: practice.Rule) -> None:
        self.kind, self.metric = rule.kind_said, rule.metric_shown
        self.text = str(rule.number)
        self.ends, self.low, self.high = " to ".join(rule.shown), rule.shown[0], rule.shown[-1]
        self.first = WORDS.get(rule.values[0], "")
        self.part = Fraction(rule.values[0]).limit_denominator(100)
        self.word = WORDS.get(rule.values[0], "")
        steps = [WORDS.get(one, "") for one in rule.values]
        self.words = ", ".join(f"a {one}" if one == "quarter" else one for one in steps)

    def __str__(self) -> str:
        """Return value and unit."""
        return self.text


SHOWN = {name: Shown(rule) for name, rule in practice.rules().items()}


def page_text(path: Path) -> str:
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")


@pytest.mark.parametrize(
    ("page", "sentence"), [(page, one) for page, all_ in SENTENCES.items() for one in all_]
)
def test_a_page_shows_the_rule_as_it_stands(page: str, sentence: str) -> None:
    text = page_text(ROOT / "lessons" / f"{page}.ipynb")
    assert sentence.format(**SHOWN).lower() in text.lower()


@pytest.mark.parametrize(
    ("path", "sentence"), [(path, one) for path, all_ in SAID.items() for one in all_]
)
def test_a_bench_says_the_rule_as_it_stands(path: str, sentence: str) -> None:
    assert practice.span("hold") == (1.0, 2.0)  # "a minute or two"
    text = (LIB / "keycourse" / path).read_text(encoding="utf-8")
    assert sentence.format(**SHOWN) in text


def test_every_rule_is_used_by_a_module_or_shown_on_a_page() -> None:
    modules = "".join(path.read_text(encoding="utf-8") for path in MODULES)
    shown = "".join(one for all_ in SENTENCES.values() for one in all_)
    idle = [
        name
        for name in practice.rules()
        if f"'{name}'" not in modules.replace('"', "'") and not re.search(rf"{{{name}\b", shown)
    ]
    assert not idle, "take them out of practice.csv, or use them"


@pytest.mark.parametrize(
    "path",
    [*sorted((ROOT / "lessons").glob("*.ipynb")), *sorted((ROOT / "solutions").rglob("*.ipynb")),
     *sorted(LIB.rglob("words.toml"))],
    ids=lambda path: path.relative_to(ROOT).as_posix(),
)  # fmt: skip
def test_every_page_says_a_kind_in_the_same_words(path: Path) -> None:
    text = page_text(path) if path.suffix == ".ipynb" else path.read_text(encoding="utf-8")
    assert not FORMER_KINDS.search(text), "say the kind as practice.KINDS has it"
