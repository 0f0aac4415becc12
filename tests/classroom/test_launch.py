"""The server starts apart from the user's own settings and stops without a trace."""

import json
import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from jupyter_client.manager import KernelManager

from coursework.room.coursebook import CourseError
from coursework.room.launch import (
    Server,
    lab_command,
    lab_environment,
    start_server,
)


@pytest.fixture
def taken() -> Iterator[int]:
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen()
        yield holder.getsockname()[1]


def test_a_port_in_use_is_one_sentence(taken: int, tmp_path: Path) -> None:
    with pytest.raises(CourseError) as refused:
        start_server(root=tmp_path, port=taken)

    assert str(refused.value) == (
        f"port is {taken}; it must be free, and another program is using it. "
        "Name another port, or leave --port out to have a free one found."
    )


@pytest.mark.parametrize("port", [0, -1, 70000])
def test_a_port_out_of_range_is_one_sentence(port: int, tmp_path: Path) -> None:
    with pytest.raises(CourseError) as refused:
        start_server(root=tmp_path, port=port)

    assert str(refused.value) == (
        f"port is {port}; it must be from 1 to 65535. "
        "Name another port, or leave --port out to have a free one found."
    )


def test_the_users_own_settings_stay_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("JUPYTER_PATH", "JUPYTER_CONFIG_PATH", "JUPYTER_NO_CONFIG", "IPYTHONDIR"):
        monkeypatch.setenv(name, "/home/somebody")

    env = lab_environment(state=tmp_path, token="t", quiet=True)

    ours = {key: value for key, value in env.items() if key.startswith(("JUPYTER", "IPYTHON"))}
    assert "/home/somebody" not in ours.values()
    assert ours["JUPYTER_CONFIG_DIR"] == str(tmp_path / "config")
    assert env["PATH"].split(os.pathsep)[0] == str(Path(sys.executable).parent)


def test_the_pages_run_on_this_very_interpreter(tmp_path: Path) -> None:
    lab_environment(state=tmp_path, token="t", quiet=True)

    spec = json.loads((tmp_path / "data/kernels/python3/kernel.json").read_text())

    assert spec["argv"][0] == sys.executable


def test_a_pages_messages_come_one_way_in_their_order(tmp_path: Path) -> None:
    env = lab_environment(state=tmp_path, token="t", quiet=True)

    overrides = tmp_path / "config/labconfig/default_setting_overrides.json"
    kernels = json.loads(overrides.read_text())["@jupyterlab/apputils-extension:kernels-settings"]
    assert kernels == {"commsOverSubshells": "disabled"}  # as JupyterLab's own schema names it

    # and whatever a front end is set to, the kernel offers it no second way
    spec = json.loads((tmp_path / "data/kernels/python3/kernel.json").read_text())
    manager = KernelManager(connection_file=str(tmp_path / "kernel.json"))
    manager.kernel_spec_manager.kernel_dirs = [str(tmp_path / "data/kernels")]
    manager.start_kernel(env=env, extra_arguments=[])
    try:
        assert manager.kernel_spec.argv == spec["argv"]
        client = manager.client()
        client.start_channels()
        client.wait_for_ready(timeout=60)
        client.kernel_info()
        told = client.get_shell_msg(timeout=60)["content"]
        client.stop_channels()
    finally:
        manager.shutdown_kernel(now=True)
    assert told["implementation"] == "ipython"
    assert "kernel subshells" not in told["supported_features"]


def test_the_quiet_view_leaves_the_assessors_buttons_out(tmp_path: Path) -> None:
    lab_environment(state=tmp_path / "quiet", token="t", quiet=True)
    lab_environment(state=tmp_path / "full", token="t", quiet=False)

    page = json.loads((tmp_path / "quiet/config/labconfig/page_config.json").read_text())
    disabled = page["disabledExtensions"]
    assert disabled["@jupyter/nbgrader"]
    assert "@jupyter-widgets/jupyterlab-manager" not in disabled
    assert "@taperkey/page" not in disabled
    assert list((tmp_path / "full/config").iterdir()) == []


def test_saving_by_hand_keeps_its_key_and_deleting_a_block_has_none(tmp_path: Path) -> None:
    lab_environment(state=tmp_path, token="t", quiet=True)

    overrides = tmp_path / "config/labconfig/default_setting_overrides.json"
    settings = json.loads(overrides.read_text())
    listed = settings["@jupyterlab/shortcuts-extension:shortcuts"]["shortcuts"]
    off = {each["command"] for each in listed if each["disabled"]}
    assert {"notebook:delete-cell", "notebook:insert-cell-below", "notebook:cut-cell"} <= off
    assert "docmanager:save" not in off


def test_the_pass_word_is_not_on_the_command_line(tmp_path: Path) -> None:
    command = lab_command(root=tmp_path, port=8710)

    assert not [part for part in command if "token" in part.lower()]
    assert "--ServerApp.ip=127.0.0.1" in command


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    (tmp_path / "root").mkdir()
    running = start_server(root=tmp_path / "root")
    try:
        running.wait_until_up()
        yield running
    finally:
        running.stop()


def test_a_server_asks_for_its_pass_word_and_stops_without_a_trace(server: Server) -> None:
    assert server.base_url.startswith("http://127.0.0.1:")
    assert server.answers()
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(f"{server.base_url}api/contents", timeout=10)
    assert refused.value.code == 403

    server.stop()

    assert server.process.poll() is not None
    assert not server.state.exists()
    assert not server.answers()


@pytest.mark.parametrize(("quiet", "status"), [(True, 404), (False, 200)])
def test_the_marking_screen_is_there_for_the_assessor_only(
    tmp_path: Path, quiet: bool, status: int
) -> None:
    (tmp_path / "nbgrader_config.py").write_text(
        "c = get_config()\n"
        "c.CourseDirectory.course_id = 'quillmoor'\n"
        f"c.CourseDirectory.root = {str(tmp_path)!r}\n"
    )
    running = start_server(root=tmp_path, quiet=quiet)
    try:
        running.wait_until_up()
        request = urllib.request.Request(
            f"{running.base_url}formgrader", headers={"Authorization": f"token {running.token}"}
        )
        try:
            with urllib.request.urlopen(request, timeout=30) as reply:
                got = reply.status
        except urllib.error.HTTPError as refused:
            got = refused.code
    finally:
        running.stop()

    assert got == status


def _runs(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.mark.skipif(os.name == "nt", reason="a lost parent cannot be seen there")
def test_what_a_killed_parent_leaves_behind_ends_by_itself() -> None:
    child = (
        "import time; from coursework.room.launch import end_with_parent; "
        "end_with_parent(every_seconds=0.05); print('watching', flush=True); time.sleep(60)"
    )
    parent_code = (
        "import subprocess, sys; "
        f"child = subprocess.Popen([sys.executable, '-c', {child!r}], stdout=subprocess.PIPE); "
        "child.stdout.readline(); print(child.pid, flush=True); child.wait()"
    )
    parent = subprocess.Popen([sys.executable, "-c", parent_code], stdout=subprocess.PIPE)
    assert parent.stdout is not None
    pid = int(parent.stdout.readline())
    assert _runs(pid)

    parent.kill()
    parent.wait()

    for _ in range(200):
        if not _runs(pid):
            break
        time.sleep(0.05)
    assert not _runs(pid)


def test_a_server_that_fails_says_why(tmp_path: Path) -> None:
    state = tmp_path / "state"
    (state / "runtime").mkdir(parents=True)
    (state / "log.txt").write_text("first\nno such folder\n\n")
    process = subprocess.Popen([sys.executable, "-c", "raise SystemExit(1)"])
    failing = Server(process=process, state=state, token="t")

    with pytest.raises(CourseError) as refused:
        failing.wait_until_up(seconds=30)

    failing.stop()
    assert str(refused.value) == (
        "The course page server did not start; it last said: no such folder"
    )
