"""A page run by a kernel process of its own, measured beside the pages of an open class.

So `taperkey learn --open` runs its pages, and so did a server for each person on a network; the
server that each person then has is left out here.
"""

from __future__ import annotations

import random
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from jupyter_client import KernelManager
from jupyter_client.kernelspec import KernelSpecManager
from open_page import IDLE_STATE, PAGES, own_mib, part, parts_of, rss_mib

from coursework.room.coursebook import lay_out
from coursework.room.launch import lab_environment

PAUSE_S = 0.05


class _Kernel:
    """A page and its kernel."""

    def __init__(self, root: Path, state: Path, env: dict[str, str], page: str) -> None:
        began = time.monotonic()
        kinds = KernelSpecManager(kernel_dirs=[str(state / "data" / "kernels")])
        self.manager = KernelManager(kernel_name="python3", kernel_spec_manager=kinds)
        self.manager.start_kernel(cwd=str((root / page).parent), env=env)
        self.client: Any = self.manager.client()
        self.client.start_channels()
        self.client.wait_for_ready(60)
        self.sliders: dict[str, tuple[float, float]] = {}
        parts = parts_of(page)
        for block in [one for some in parts[:2] for one in some]:
            self._until_idle(self.client.execute(block))
        self.ready_s = time.monotonic() - began

    @property
    def process(self) -> int:
        """Its process."""
        return int(self.manager.provisioner.pid)

    def _until_idle(self, asked: str) -> None:
        while True:
            told = self.client.get_iopub_msg(timeout=60)
            content = told["content"]
            if told["parent_header"].get("msg_id") != asked:
                continue
            if told["msg_type"] == "error":
                raise RuntimeError(f"{content['ename']}: {content['evalue']}")
            if told["msg_type"] == "status" and content["execution_state"] == IDLE_STATE:
                return
            state = content.get("data", {}).get("state", {}) if "comm_id" in content else {}
            kind = state.get("_model_name", "")
            if told["msg_type"] == "comm_open" and "SliderModel" in kind and "Range" not in kind:
                self.sliders[content["comm_id"]] = (float(state["min"]), float(state["max"]))

    def slide(self, draw: random.Random) -> float:
        """Move a slider; return how long it took until all that it did had come back [s]."""
        key = draw.choice(list(self.sliders))
        data = {"method": "update", "state": {"value": draw.uniform(*self.sliders[key])}}
        content = {"comm_id": key, "data": data | {"buffer_paths": []}}
        message = self.client.session.msg("comm_msg", content)
        began = time.monotonic()
        self.client.shell_channel.send(message)
        self._until_idle(message["header"]["msg_id"])
        return time.monotonic() - began

    def end(self) -> None:
        """End it."""
        self.client.stop_channels()
        self.manager.shutdown_kernel(now=True)


def with_kernels(count: int, seconds: float, beside: dict[str, Any]) -> dict[str, object]:
    """Let so many pages be run by a kernel process each; return rows beside those of the class."""
    draw = random.Random(count)
    pages = [page for page in PAGES if page.startswith("lessons/")]
    with tempfile.TemporaryDirectory() as folder:
        root, state = Path(folder) / "course", Path(folder) / "state"
        lay_out(folder=root)
        env = lab_environment(state=state, token="")
        kernels: list[_Kernel] = []
        try:
            for turn in range(count):
                kernels.append(_Kernel(root, state, env, pages[turn % len(pages)]))
            ids = [one.process for one in kernels]
            sliding = [one for one in kernels if one.sliders]
            took: list[float] = []
            end = time.monotonic() + seconds
            while sliding and time.monotonic() < end:
                took.append(draw.choice(sliding).slide(draw))
                time.sleep(PAUSE_S)
            own, resident = own_mib(ids) / count, rss_mib(ids) / count
        finally:
            for one in kernels:
                one.end()
    ready = [one.ready_s for one in kernels]
    return {
        "kernel_pages": count,
        "kernel_page_own_MiB": round(own, 1),
        "kernel_page_resident_MiB": round(resident, 1),
        "kernel_ready_p50_ms": round(1000 * statistics.median(ready)),
        "kernel_slider_p50_ms": part(took, 0.5),
        "kernel_slider_p95_ms": part(took, 0.95),
        "kernel_to_class_memory": round(own / beside["page_own_MiB"]),
        "kernel_to_class_slider_p50": round(part(took, 0.5) / beside["slider_p50_ms"], 2),
        "kernel_to_class_ready": round(statistics.median(ready) * 1000 / beside["open_p50_ms"], 1),
    }


if __name__ == "__main__":
    print(
        with_kernels(int(sys.argv[1]), 5, {"page_own_MiB": 1, "slider_p50_ms": 1, "open_p50_ms": 1})
    )
