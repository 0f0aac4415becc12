"""What a mark depends on: each file of it counts, and a change marks every hand-in again."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import taperkey
from coursework.course import course
from coursework.mark import judged, versions
from coursework.mark.sources import digest_of, modules_in, source_files

from .conftest import ROSTER, ClassRoom

LIB = Path(taperkey.__file__).parents[1]
FILES = versions.judged_by(LIB)
NAMES = [path.relative_to(LIB).as_posix() for path in FILES]

WATCHED = """
import json, sys
from pathlib import Path
lib = Path(sys.argv[1])
opened = set()
sys.addaudithook(lambda event, args: event == "open" and opened.add(str(args[0])))
from coursework.mark.judged import judge_hand_in
from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.page.handin import HandIn
for number in (1, 2, 3, 7):
    for page in PAGES.values():
        card = issue_card(exercise=page.name, class_code="QQ-26", number=number)
        right = right_answers(page, card)
        for text in (None, "1", "2 in", "A B"):
            entries = {
                key: text or show_answer(page.question(key).on(card), answer)
                for key, answer in right.items()
            }
            hand_in = HandIn(class_code="QQ-26", number=number, page=page.name, entries=entries,
                             page_version="v", made="2026-11-25T12:00:00Z")
            judge_hand_in(hand_in=hand_in, class_code="QQ-26", number=number)
loaded = {getattr(one, "__file__", None) or "" for one in list(sys.modules.values())}
used = {Path(name) for name in loaded | opened if name.startswith(str(lib))}
print(json.dumps(sorted(
    path.relative_to(lib).as_posix() for path in used if path.is_file() and path.suffix != ".pyc"
)))
"""


def test_whatever_is_loaded_or_read_while_judging_counts() -> None:
    """Seen from outside: a fresh process judges every exercise, and its files are written down."""
    run = [sys.executable, "-c", WATCHED, str(LIB)]
    done = subprocess.run(run, capture_output=True, text=True, check=True)
    used = json.loads(done.stdout)
    assert any(name.endswith(".csv") for name in used)
    assert [name for name in used if name not in NAMES] == []


def test_imports_are_found_as_the_language_reads_them() -> None:
    """The closure by the language's own parser, from the marker on, is the one that was found."""

    def file_of(name: str) -> Path | None:
        place = LIB.joinpath(*name.split("."))
        tries = (place / "__init__.py", place.with_suffix(".py"))
        return next((path for path in tries if path.is_file()), None)

    found: set[Path] = set()
    left = ["coursework.mark.marker", *course().modules, *modules_in(course())]
    while left:
        parts = left.pop().split(".")
        for depth in range(1, len(parts) + 1):
            path = file_of(".".join(parts[:depth]))
            if path is None or path in found:
                continue
            found.add(path)
            for node in ast.walk(ast.parse(path.read_bytes())):
                if isinstance(node, ast.Import):
                    left += [one.name for one in node.names]
                elif isinstance(node, ast.ImportFrom):
                    assert node.level == 0
                    left += [f"{node.module}.{one.name}" for one in node.names]
    assert sorted(found) == [path for path in FILES if path.suffix == ".py"]


def test_a_change_of_any_file_is_another_version() -> None:
    content = {path: path.read_bytes() for path in FILES}
    seen = {digest_of(FILES, lib=LIB, read=content.__getitem__)}
    for path in FILES:
        changed = content | {path: content[path] + b"#"}
        seen.add(digest_of(FILES, lib=LIB, read=changed.__getitem__))
    assert len(seen) == len(FILES) + 1


@pytest.mark.parametrize(
    "name",
    [
        "keycourse/taper/values.py",
        "coursework/judging.py",
        "taperkey/formulas/taper.py",
        "taperkey/tables/keys.py",
        "taperkey/tables/inch_key_sizes.csv",
        "keycourse/pull/card.py",
        "taperkey/units.py",
        "taperkey/unit_table.py",
        "coursework/draws.py",
        "coursework/page/handin.py",
        "coursework/mark/marker.py",
    ],
)
def test_every_hand_in_is_marked_again_after_a_change(
    room: ClassRoom, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in ROSTER:
        room.hand_in(number)
        room.hand_in(number, "01-measure")
    assert len(room.mark().marked) == 6
    changed = LIB / name
    version = versions.marker_version(
        lambda path: path.read_bytes() + (b"#" if path == changed else b"")
    )
    monkeypatch.setattr(judged, "marker_version", lambda: version)
    again = room.mark()
    assert (len(again.marked), again.skipped) == (6, 0)
    assert (len(again.before), {one.marker_version for one in again.marked}) == (6, {version})


@pytest.fixture
def three(tmp_path: Path) -> Path:
    """Three packages side by side, and one that is not asked for."""
    for name, text in {
        "engine/__init__.py": "",
        "engine/judging.py": "def judge():\n    from math_of.wedge import (\n        pull,  # )\n"
        "        push as shove,\n    )\n",
        "math_of/__init__.py": "",
        "math_of/wedge.py": "import os, math_of.angle as angle\n",
        "math_of/angle.py": "from . import tables\nfrom .tables.reader import read\n",
        "math_of/tables/__init__.py": "",
        "math_of/tables/reader.py": "from ..rest import x\n",
        "math_of/tables/sizes.csv": "1\n",
        "math_of/rest.py": "",
        "math_of/unused.py": "import strange\n",
        "course/__init__.py": "",
        "course/taper/__init__.py": "from engine.judging import judge\n",
        "course/taper/words.toml": "a = 1\n",
        "course/other/__init__.py": "",
        "course/other/words.toml": "a = 1\n",
        "strange/__init__.py": "",
    }.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    return tmp_path


def names(lib: Path, *modules: str) -> list[str]:
    found = source_files(lib=lib, modules=modules)
    return [path.relative_to(lib).as_posix() for path in found]


def test_packages_side_by_side_are_followed_with_the_data_beside(three: Path) -> None:
    wanted = [
        "course/__init__.py",
        "course/taper/__init__.py",
        "course/taper/words.toml",
        "engine/__init__.py",
        "engine/judging.py",
        "math_of/__init__.py",
        "math_of/angle.py",
        "math_of/rest.py",
        "math_of/tables/__init__.py",
        "math_of/tables/reader.py",
        "math_of/tables/sizes.csv",
        "math_of/wedge.py",
    ]
    assert names(three, "course.taper") == wanted


def test_among_installed_packages_only_those_installed_together_are_ours(three: Path) -> None:
    (three / "engine" / "judging.py").write_text("import strange, course.taper\n", "utf-8")
    assert "strange/__init__.py" in names(three, "engine.judging")
    for dist, owned in (("ours", ("engine", "course", "math_of")), ("theirs", ("strange",))):
        record = three / f"{dist}-1.dist-info" / "RECORD"
        record.parent.mkdir()
        record.write_text("".join(f"{one}/__init__.py,sha256=x,1\n" for one in owned), "utf-8")
    found = names(three, "engine.judging")
    assert "strange/__init__.py" not in found
    assert "course/taper/words.toml" in found


def test_a_module_that_is_not_there_is_refused(three: Path) -> None:
    with pytest.raises(LookupError, match=r"^module is engine\.marker; it must lie in "):
        source_files(lib=three, modules=["engine.marker"])


def test_functions_in_data_lead_to_their_modules() -> None:
    def within(act: Callable[[], object]) -> Callable[[], object]:
        return lambda: act()

    def act() -> None:
        return None

    act.__module__ = "course.elsewhere"
    assert modules_in((within(act), "text", 3.0)) == {__name__, "course.elsewhere"}
