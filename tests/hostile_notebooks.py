"""Notebooks as bad hand-ins, with what lies beside them, for any marker that takes notebooks.

What tries to run code tries to make one file, the canary, so that anybody can
see whether it ran.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

PAGE = "01-measure"
ENTRY = "01-mouth-height"
WRITTEN = "01-why-bottom"
RELEASED = Path(__file__).resolve().parents[1] / "exercises" / PAGE / f"{PAGE}.ipynb"
Files = dict[str, bytes]


@dataclass(frozen=True)
class NotebookKind:
    """A notebook with what lies beside it, for a marker that runs notebooks, too."""

    name: str
    files: Callable[[Path], Files]
    says: str = "Its name does not end in .handin.json"


def code_for(canary: Path) -> str:
    """Return a line of Python that makes the canary."""
    return f"open({str(canary)!r}, 'w').close()"


NOTEBOOK = f"{PAGE}.ipynb"


def page() -> Any:
    return json.loads(RELEASED.read_text("utf-8"))


def cell_of(notebook: Any, name: str) -> Any:
    return next(
        one
        for one in notebook["cells"]
        if one["metadata"].get("nbgrader", {}).get("grade_id") == name
    )


def code_cell(source: str, name: str = "mine", **metadata: Any) -> Any:
    return {
        "cell_type": "code",
        "execution_count": None,
        "id": name,
        "metadata": metadata,
        "outputs": [],
        "source": source,
    }


def packed(notebook: Any, **beside: str | bytes) -> Files:
    files: Files = {NOTEBOOK: json.dumps(notebook).encode()}
    for name, content in beside.items():
        path = name.replace("__", "/").replace("_py", ".py")
        files[path] = content.encode() if isinstance(content, str) else content
    return files


def changed(change: Callable[[Any, Path], object]) -> Callable[[Path], Files]:
    """Return files of the released page after a change to it."""

    def files(canary: Path) -> Files:
        notebook = page()
        change(notebook, canary)
        return packed(notebook)

    return files


def beside(path: str, *, write: Callable[[Path], str] = code_for) -> Callable[[Path], Files]:
    """Return the released page as it is, with another file beside it."""
    return lambda canary: {
        NOTEBOOK: RELEASED.read_bytes(),
        path: write(canary).encode(),
    }


def add(source: Callable[[Path], str], **metadata: Any) -> Callable[[Path], Files]:
    """Return files of the page with a code cell of one's own in front."""
    return changed(
        lambda notebook, canary: notebook["cells"].insert(
            0, code_cell(source(canary), **copy.deepcopy(metadata))
        )
    )


def _in_cell(name: str) -> Callable[[Path], Files]:
    def change(notebook: Any, canary: Path) -> None:
        cell = cell_of(notebook, name)
        cell["source"] = code_for(canary) + "\n1000.0"

    return changed(change)


def _graded() -> dict[str, Any]:
    return dict(cell_of(page(), ENTRY)["metadata"]["nbgrader"])


def _renamed(notebook: Any, canary: Path) -> None:
    for place, cell in enumerate(notebook["cells"]):
        about = cell["metadata"].get("nbgrader")
        if about:
            about["grade_id"] = f"mine-{place}"
            if cell["cell_type"] == "code":
                cell["source"] = code_for(canary)


def _doubled(notebook: Any, canary: Path) -> None:
    twin = copy.deepcopy(cell_of(notebook, ENTRY))
    twin["id"], twin["source"] = "twin", code_for(canary) + "\n2.0"
    notebook["cells"].append(twin)


def _unlocked(notebook: Any, canary: Path) -> None:
    cell = cell_of(notebook, ENTRY)
    cell["metadata"]["nbgrader"] |= {"locked": False, "solution": True}
    cell["source"] = code_for(canary) + "\n2.0"


def _no_metadata(notebook: Any, canary: Path) -> None:
    for cell in notebook["cells"]:
        cell["metadata"] = {}
        if cell["cell_type"] == "code":
            cell["source"] = code_for(canary)


def _points(notebook: Any, canary: Path) -> None:
    cell_of(notebook, ENTRY)["metadata"]["nbgrader"]["points"] = 1000


def _forged(notebook: Any, canary: Path) -> None:
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code":
            cell["outputs"] = [
                {
                    "output_type": "execute_result",
                    "data": {"text/plain": "1000.0"},
                    "metadata": {},
                    "execution_count": 1,
                }
            ]


def _other_kernel(notebook: Any, canary: Path) -> None:
    notebook["metadata"]["kernelspec"] = {"name": "../evil", "display_name": "x"}
    notebook["cells"].insert(0, code_cell(code_for(canary)))


def _wrong_number_of_cells(notebook: Any, canary: Path) -> None:
    notebook["cells"] = [code_cell(code_for(canary), str(turn)) for turn in range(500)]


def _script(notebook: Any, canary: Path) -> None:
    cell = cell_of(notebook, WRITTEN)
    cell["source"] += "\n\n<script>document.title = 'ran'</script><img src=x onerror=alert(1)>"


def _own_script(notebook: Any, canary: Path) -> None:
    source = "<script>document.title = 'ran'</script>"
    own = {"cell_type": "markdown", "id": "own", "metadata": {}, "source": source}
    notebook["cells"].append(own)


def _html_output(notebook: Any, canary: Path) -> None:
    data = {"text/html": "<script>document.title = 'ran'</script>"}
    shown = {"output_type": "display_data", "data": data, "metadata": {}}
    notebook["cells"].append(code_cell("0") | {"outputs": [shown]})


def _attachment(notebook: Any, canary: Path) -> None:
    notebook["cells"].append(
        {
            "cell_type": "markdown",
            "id": "attached",
            "metadata": {},
            "source": "![x](attachment:x.svg)",
            "attachments": {"x.svg": {"image/svg+xml": "<svg onload='alert(1)'/>"}},
        }
    )


def _deep_metadata(notebook: Any, canary: Path) -> None:
    deep: Any = {}
    for _ in range(400):
        deep = {"a": deep}
    notebook["metadata"]["deep"] = deep


def _package(canary: Path) -> Files:
    return {
        NOTEBOOK: RELEASED.read_bytes(),
        "taperkey/__init__.py": code_for(canary).encode(),
        "keycourse/__init__.py": code_for(canary).encode(),
        "keycourse/lesson.py": (code_for(canary) + "\nask = open = print").encode(),
    }


NOTEBOOKS = (
    NotebookKind("code in a cell of one's own", add(code_for)),
    NotebookKind("code in the graded cell", _in_cell(ENTRY)),
    NotebookKind("code in the cell of the worked solution", _in_cell(f"{PAGE}-worked")),
    NotebookKind("a shell line", add(lambda canary: f"!touch '{canary}'")),
    NotebookKind("a shell cell", add(lambda canary: f"%%bash\ntouch '{canary}'")),
    NotebookKind(
        "code when the kernel ends",
        add(lambda canary: f"import atexit\natexit.register(lambda: {code_for(canary)})"),
    ),
    NotebookKind(
        "code in a thread that outlives its cell",
        add(
            lambda canary: (
                f"import threading, time\nthreading.Timer(0.1, lambda: {code_for(canary)}).start()"
            )
        ),
    ),
    NotebookKind(
        "another process that stays",
        add(
            lambda canary: (
                "import subprocess, sys\n"
                f"subprocess.Popen([sys.executable, '-c', {code_for(canary)!r}])"
            )
        ),
    ),
    NotebookKind(
        "print and the marker patched",
        add(
            lambda canary: (
                f"{code_for(canary)}\nimport keycourse.lesson as lesson\n"
                "lesson.ask = lambda key: 1000.0"
            )
        ),
    ),
    NotebookKind("grade ids changed", changed(_renamed)),
    NotebookKind("a grade id doubled, with code", changed(_doubled)),
    NotebookKind("a locked cell unlocked", changed(_unlocked)),
    NotebookKind("all metadata taken out", changed(_no_metadata)),
    NotebookKind("points raised in the metadata", changed(_points)),
    NotebookKind("outputs forged", changed(_forged)),
    NotebookKind("another kernel named", changed(_other_kernel)),
    NotebookKind("five hundred cells", changed(_wrong_number_of_cells)),
    NotebookKind("script in a written answer", changed(_script)),
    NotebookKind("script in a text of one's own", changed(_own_script)),
    NotebookKind("script in an output", changed(_html_output)),
    NotebookKind("a picture that runs, attached", changed(_attachment)),
    NotebookKind("metadata 400 deep", changed(_deep_metadata)),
    NotebookKind("a module that shadows pint", beside("pint.py")),
    NotebookKind("a module that shadows json", beside("json.py")),
    NotebookKind("a module that shadows numpy", beside("numpy.py")),
    NotebookKind("a package that shadows the course", _package),
    NotebookKind("sitecustomize", beside("sitecustomize.py")),
    NotebookKind("usercustomize", beside("usercustomize.py")),
    NotebookKind(
        "a .pth file", beside("mine.pth", write=lambda one: f"import os; {code_for(one)}")
    ),
    NotebookKind("an IPython startup file", beside(".ipython/profile_default/startup/00.py")),
    NotebookKind("ipython_config.py", beside("ipython_config.py")),
    NotebookKind("ipython_kernel_config.py", beside("ipython_kernel_config.py")),
    NotebookKind("jupyter_config.py", beside("jupyter_config.py")),
    NotebookKind("nbgrader_config.py", beside("nbgrader_config.py")),
    NotebookKind("conftest.py", beside("conftest.py")),
)
