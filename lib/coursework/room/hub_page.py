"""A page server on a class's hub: makes the folder ready, then becomes JupyterLab.

Runs under the account whose pages it serves (instructors and assessors: under
the class's keeper), started by the hub's spawner, which tells it who it is for.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import sys
from pathlib import Path

from coursework.page.classdrop import take_returned
from coursework.page.pagefolder import NameTag, read_name_tag, write_name_tag
from coursework.room.classfolder import open_class
from coursework.room.coursebook import default_folder, lay_out, runnable_pages
from coursework.room.launch import (
    SIGN_OFFS,
    _server_extensions,
    lab_command,
    lab_environment,
    sign_pages,
)

__all__ = ["main", "prepare_apprentice", "prepare_staff"]

IDLE_KERNEL_SECONDS = 1800
IDLE_SERVER_SECONDS = 3600
MARKING_SCREEN = "nbgrader.server_extensions.formgrader"
STAFFS_SERVERS = ("jupyterlab", "jupyter_server_terminals", MARKING_SCREEN, SIGN_OFFS)
STAFF_WITHOUT = ("assignment-list", "course-list", "create-assignment", "validate-assignment")
_HUBS_OWN = ("JUPYTERHUB", "JPY_API_TOKEN", "MEM_", "CPU_")


def prepare_apprentice(folder: Path, told: dict[str, str], *, data: Path) -> None:
    """Lay the course out, write the name tag, bring feedback, sign the pages.

    Parameters
    ----------
    folder : Path
        The apprentice's course folder.
    told : dict of str to str
        What the hub says: ``TAPERKEY_CLASS``, ``TAPERKEY_NUMBER``, ``TAPERKEY_NAME``.
    data : Path
        The page server's data folder, which holds the signatures.
    """
    lay_out(folder=folder)
    folder.chmod(0o700)
    tag = NameTag(
        class_code=told["TAPERKEY_CLASS"],
        number=int(told["TAPERKEY_NUMBER"]),
        name=told.get("TAPERKEY_NAME", ""),
    )
    if read_name_tag(folder) != tag:
        write_name_tag(folder, tag)
    take_returned(folder)
    sign_pages(runnable_pages(folder=folder), data=data)


def prepare_staff(folder: Path) -> None:
    """Write what the marking screen needs into the class folder."""
    from coursework.room.markingscreen import write_screen_config

    write_screen_config(open_class(folder))


def keep_to_marking(config: Path, *, with_screen: bool = True) -> None:
    """Leave out of staff's full screen what a hub's class has no use for.

    Without the marking screen where the class could not be looked at: an old gradebook may hold
    names that nbgrader would show as markup.
    """
    servers = dict.fromkeys(_server_extensions(), False)
    servers.update(dict.fromkeys(STAFFS_SERVERS, True))
    servers[MARKING_SCREEN] = with_screen
    config.mkdir(parents=True, exist_ok=True)
    text = f"c.ServerApp.jpserver_extensions = {servers!r}\n"
    (config / "jupyter_server_config.py").write_text(text, "utf-8")
    disabled = {f"@jupyter/nbgrader:{name}": True for name in STAFF_WITHOUT}
    disabled["@jupyterlab/apputils-extension:announcements"] = True
    path = config / "labconfig" / "page_config.json"
    path.parent.mkdir(exist_ok=True)
    path.write_text(json.dumps({"disabledExtensions": disabled}), "utf-8")


def offer_log_out(config: Path) -> None:
    """Put "Log out" beside the other buttons: computers of a class are shared."""
    path = config / "labconfig" / "default_setting_overrides.json"
    settings = json.loads(path.read_text("utf-8"))
    settings["@jupyterlab/notebook-extension:panel"]["toolbar"].append(
        {
            "name": "log-out",
            "command": "hub:logout",
            "label": "Log out",
            "caption": "Leave, so that the next one can log in; what you entered is kept",
            "rank": 2,
        }
    )
    path.write_text(json.dumps(settings, indent=1), "utf-8")


def main() -> None:
    """Prepare, then become the page server."""
    told = dict(os.environ)
    state = Path(told["TAPERKEY_STATE"])
    for old in state.iterdir():  # what an earlier run left
        shutil.rmtree(old, ignore_errors=True)
    staff = told["TAPERKEY_ROLE"] == "staff"
    folder = Path(told["TAPERKEY_CLASS_FOLDER"]) if staff else default_folder()
    env = lab_environment(state=state, token="", quiet=not staff)
    del env["JUPYTER_TOKEN"]
    env.update({name: value for name, value in told.items() if name.startswith(_HUBS_OWN)})
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):  # a page needs one, and memory for one
        env.setdefault(name, "1")
    env.setdefault("MALLOC_ARENA_MAX", "2")
    try:
        if staff:
            keep_to_marking(state / "config", with_screen=False)
            prepare_staff(folder)
            keep_to_marking(state / "config")
        else:
            offer_log_out(state / "config")
            prepare_apprentice(folder, told, data=state / "data")
    except (OSError, ValueError) as error:
        # The pages that are there still open; what is wrong stands in the hub's log.
        with contextlib.suppress(OSError):  # the log may be larger than what an account may write
            print(f"{told['TAPERKEY_ACCOUNT']}: {error}", file=sys.stderr, flush=True)
    lab = lab_command(root=folder, port=1, quiet=not staff)
    flags = [one for one in lab[3:] if one.startswith(("--LabApp.", "--ContentsManager.", "--Ke"))]
    flags += [
        f"--ServerApp.root_dir={folder}",
        f"--ServerApp.terminals_enabled={staff}",
        f"--MappingKernelManager.cull_idle_timeout={IDLE_KERNEL_SECONDS}",
        "--MappingKernelManager.cull_interval=120",
        f"--ServerApp.shutdown_no_activity_timeout={IDLE_SERVER_SECONDS}",
        "--Application.log_level=WARN",
    ]
    flags = [one for one in flags if not one.startswith("--LabApp.default_url")]
    os.chdir(folder if folder.is_dir() else "/")
    # The marking screen needs the database layer that an apprentice's pages do without.
    module = "jupyterhub.singleuser" if staff else "coursework.room.hub_lean"
    start = [sys.executable, "-m", module, *flags]
    os.execve(sys.executable, start, env)


if __name__ == "__main__":
    main()
