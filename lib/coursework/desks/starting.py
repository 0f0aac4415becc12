"""The command that starts a server of pages, and the open door that it may be handed."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from coursework.room.launch import BEGIN, root_may

__all__ = ["DOOR", "server_command"]

#: Name in the environment of the two sockets that a server is handed: the one where browsers are
#: let in, and the way on which it is given those that came before it.
DOOR = "TAPERKEY_DOOR"
_START = BEGIN + "from coursework.desks.ownserver import main; sys.exit(main())"


def server_command(*, root: Path, port: int, listen: str, more: Sequence[str] = ()) -> list[str]:
    """Return the command that starts a server of pages.

    Parameters
    ----------
    root : Path
        Folder of its own.
    port : int
        Port to listen on, 1 to 65535.
    listen : str
        Address of this computer to listen on.
    more : sequence of str
        Further settings, as they stand on a command line.

    Returns
    -------
    list of str
        Program and arguments for `subprocess`.
    """
    return [
        sys.executable,
        "-c",
        _START,
        "--no-browser",
        f"--ServerApp.ip={listen}",
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        f"--ServerApp.root_dir={root}",
        "--ServerApp.terminals_enabled=False",
        *root_may(),
        *more,
    ]
