"""The process for heavy work goes with its server, however that ends."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time

import pytest

SERVER = """
import os, time
from coursework.desks.work import Work

if __name__ == "__main__":
    work = Work()
    print(work.heavy(os.getpid), flush=True)
    time.sleep(60)
"""


def there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.mark.skipif(os.name == "nt", reason="a lost parent cannot be seen there")
def test_a_killed_server_leaves_no_process_behind(tmp_path) -> None:
    script = tmp_path / "server.py"
    script.write_text(SERVER, encoding="utf-8")
    server = subprocess.Popen([sys.executable, str(script)], stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    try:
        heavy = int(server.stdout.readline())
        assert heavy != server.pid
        assert there(heavy)
    finally:
        server.send_signal(signal.SIGKILL)
        server.wait()
        server.stdout.close()
    end = time.monotonic() + 60
    while there(heavy) and time.monotonic() < end:
        time.sleep(0.1)
    gone = not there(heavy)
    if not gone:
        os.kill(heavy, signal.SIGKILL)
    assert gone
