"""The class's server behind a hub: as the service that the hub starts, or on another machine.

The hub starts ``python -m coursework.desks.hubservice CLASSFOLDER TURN`` and says in the
environment how to reach it. On another machine ``taperkey class serve CLASSFOLDER --machine N``
does the same, from the class folder that the machines share.
"""

from __future__ import annotations

import json
import os
import secrets
import shutil
import sys
import time
from collections.abc import Mapping
from pathlib import Path
from urllib.parse import urlsplit

from coursework.desks.opening import class_command
from coursework.desks.school import OPEN
from coursework.desks.seating import cookie_secret
from coursework.room.classfolder import ClassFolder, open_class
from coursework.room.hub import service_token
from coursework.room.hub_settings import HubError, HubSettings, read_hub_settings, service_name
from coursework.room.launch import (
    ask_to_end,
    ended_like_ctrl_c,
    lab_environment,
    start_process,
    try_port,
)
from taperkey.checks import sentence

__all__ = ["HUB_WORDS", "as_machine", "main"]

HUB_WORDS = "TAPERKEY_HUB"  # what the server is told of the hub, in its environment
FREE_WITHIN_S = 20.0  # a server that is ending still has its port


def _prepared(
    class_folder: ClassFolder, settings: HubSettings, turn: int, words: Mapping[str, str]
) -> tuple[list[str], dict[str, str], Path]:
    """Return the command of a server, its environment, and its folder, which is made anew."""
    state = settings.own / f"server-{turn + 1}"
    shutil.rmtree(state, ignore_errors=True)
    (state / "root").mkdir(mode=0o700, parents=True)
    private = class_folder.folder / OPEN
    private.mkdir(mode=0o700, exist_ok=True)
    cookie_secret(private)
    told = {"folder": str(class_folder.folder), "name": service_name(turn)}
    counts = {"turn": turn, "count": len(settings.servers)}
    env = lab_environment(
        state=state,
        token=secrets.token_urlsafe(24),
        settings="from coursework.desks.serving import configure_hub\n"
        f"configure_hub(c, **{told | counts!r})\n",
    )
    env[HUB_WORDS] = json.dumps(dict(words))
    where = urlsplit(settings.servers[turn])
    host, port = where.hostname or "127.0.0.1", where.port or 0
    command = class_command(state / "root", port, host)
    command += [
        f"--ServerApp.base_url={words['base']}",
        "--ServerApp.trust_xheaders=True",  # the proxy says whether it was https
    ]
    _wait_until_free(host, port)
    return command, env, state


def _wait_until_free(host: str, port: int) -> None:
    end = time.monotonic() + FREE_WITHIN_S
    while True:
        try:
            try_port(host, port)
            return
        except OSError as error:
            if time.monotonic() > end:
                raise HubError(
                    f"The class's server cannot listen at {host}, port {port}: "
                    f"{error.strerror}. Correct the line in class.toml, or end what is there."
                ) from None
        time.sleep(0.2)


def main(arguments: list[str]) -> None:
    """Become the class's server, as the hub's service."""
    class_folder = open_class(Path(arguments[0]))
    told = os.environ
    words = {
        "api": told["JUPYTERHUB_API_URL"],
        "token": told["JUPYTERHUB_API_TOKEN"],
        "base": told["JUPYTERHUB_SERVICE_PREFIX"],
    }
    settings = read_hub_settings(class_folder, port=urlsplit(words["api"]).port - 1)  # type: ignore[operator]
    command, env, state = _prepared(class_folder, settings, int(arguments[1]), words)
    os.chdir(state / "root")
    os.execve(command[0], command, env)


def as_machine(folder: Path, machine: int) -> int:
    """Serve the class on one of the machines that ``class.toml`` names, until Ctrl+C.

    Parameters
    ----------
    folder : Path
        The class folder, which the machines share.
    machine : int
        Which line of ``machines`` this one is, from 1.

    Returns
    -------
    int
        0 after a clean stop, 1 where the server ended by itself.

    Raises
    ------
    HubError
        One sentence.
    """
    class_folder = open_class(folder)
    settings = read_hub_settings(class_folder)
    if not 1 <= machine <= len(settings.machines):
        rule = f"from 1 to {len(settings.machines)}" if settings.machines else "left out"
        step = "Look at machines under [hub] in class.toml."
        raise HubError(sentence("machine", machine, "", rule, step))
    turn = machine - 1
    words = {
        "api": settings.api,
        "token": service_token(settings, turn),
        "base": f"/services/{service_name(turn)}/",
    }
    command, env, state = _prepared(class_folder, settings, turn, words)
    process = start_process(command, cwd=state / "root", env=env, state=state)
    try:
        with ended_like_ctrl_c():
            print(
                f"Machine {machine} serves the class at {settings.servers[turn]}, for the hub at "
                f"{settings.reached_at}. Leave this window open; stop with Ctrl+C.",
                flush=True,
            )
            process.wait()
            print(f"The server ended by itself. Look at the end of {state / 'log.txt'}.")
            return 1
    except KeyboardInterrupt:
        print("This machine serves no more. What was typed is kept.", flush=True)
        return 0
    finally:
        ask_to_end(process, seconds=8)


if __name__ == "__main__":
    main(sys.argv[1:])
