"""The page server's files: whole at every moment."""

import asyncio
import json
import socket
import threading
import urllib.error
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection
from jupyter_server.services.kernels.websocket import KernelWebsocketHandler
from tornado.iostream import IOStream
from tornado.web import HTTPError
from traitlets.config.loader import PyFileConfigLoader

from coursework.room.launch import lab_environment, start_server
from coursework.room.pageserver import PageFiles, PromptChannels

PAGE = "lessons/long.ipynb"


def page(words: str) -> dict[str, Any]:
    cell = {"cell_type": "markdown", "id": "one", "metadata": {}, "source": words}
    return {"cells": [cell], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}


def test_a_page_read_while_it_is_saved_is_there_and_whole(tmp_path: Path) -> None:
    # the server's own file manager answers 400, 404 or 500 to one in ten of these,
    # and puts the page aside as damaged
    texts = [letter * 200_000 for letter in "ab"]
    (tmp_path / "lessons").mkdir()
    (tmp_path / PAGE).write_text(json.dumps(page(texts[0])), "utf-8")
    server = start_server(root=tmp_path)
    told: list[object] = []

    def ask(method: str, body: dict[str, Any] | None = None) -> Any:
        request = urllib.request.Request(
            f"{server.base_url}api/contents/{PAGE}",
            data=None if body is None else json.dumps(body).encode(),
            method=method,
            headers={"Authorization": f"token {server.token}"},
        )
        try:
            with urllib.request.urlopen(request, timeout=60) as reply:
                return json.loads(reply.read())
        except urllib.error.HTTPError as refused:
            told.append((method, refused.code))
            return None

    def write() -> None:
        for turn in range(60):
            ask("PUT", {"type": "notebook", "format": "json", "content": page(texts[turn % 2])})

    def read() -> None:
        for _ in range(60):
            got = ask("GET")
            if got and got["content"]["cells"][0]["source"] not in texts:
                told.append("another text")

    try:
        server.wait_until_up()
        doing = [threading.Thread(target=act) for act in (write, write, read, read)]
        for one in doing:
            one.start()
        for one in doing:
            one.join()
    finally:
        server.stop()

    assert told == []
    assert [one.name for one in (tmp_path / "lessons").glob("[!.]*")] == ["long.ipynb"]


def test_a_save_that_breaks_off_leaves_the_old_file(tmp_path: Path) -> None:
    file = tmp_path / "page.ipynb"
    file.write_text("old", "utf-8")
    files = PageFiles(root_dir=str(tmp_path))

    with pytest.raises(TypeError), files.atomic_writing(str(file)) as stream:
        stream.writelines(["half of the n", None])
    assert file.read_text("utf-8") == "old"
    with files.atomic_writing(str(file)) as stream:
        stream.write("new, 1-3/8″\n")
    with files.atomic_writing(str(tmp_path / "bytes"), text=False) as stream:
        stream.write(b"\x00\xff")

    assert file.read_text("utf-8") == "new, 1-3/8″\n"
    assert (tmp_path / "bytes").read_bytes() == b"\x00\xff"
    assert len(list(tmp_path.iterdir())) == 2


def test_a_link_is_followed(tmp_path: Path) -> None:
    file, link = tmp_path / "page.ipynb", tmp_path / "link.ipynb"
    file.write_text("old", "utf-8")
    link.symlink_to(file)

    with PageFiles(root_dir=str(tmp_path)).atomic_writing(str(link)) as stream:
        stream.write("new")

    assert link.is_symlink()
    assert file.read_text("utf-8") == "new"


def test_a_file_that_may_not_be_written_is_refused_as_such(tmp_path, monkeypatch) -> None:
    def refuse(path: Path, content: bytes) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr("coursework.room.pageserver.write_whole", refuse)
    files = PageFiles(root_dir=str(tmp_path))

    with pytest.raises(HTTPError) as refused, files.atomic_writing(str(tmp_path / "a")) as stream:
        stream.write("new")

    assert refused.value.status_code == 403


class Wire:
    """A page's connection: a real pair of sockets under the server's own frame writer."""

    def __init__(self) -> None:
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.far = socket.create_connection(self.listener.getsockname())
        self.stream = IOStream(self.listener.accept()[0])

    def set_nodelay(self, value: bool) -> None:
        self.stream.set_nodelay(value)

    def held_back(self) -> bool:
        return not self.stream.socket.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)

    def close(self) -> None:
        self.stream.close()
        self.far.close()
        self.listener.close()


def test_small_messages_are_not_held_back(monkeypatch: pytest.MonkeyPatch) -> None:
    async def connected() -> tuple[bool, bool, object]:
        wire = Wire()
        before = wire.held_back()
        handler = KernelWebsocketHandler.__new__(KernelWebsocketHandler)
        handler.ws_connection = wire
        channels = PromptChannels.__new__(PromptChannels)
        channels.websocket_handler = handler
        told = channels.connect()
        after = wire.held_back()
        wire.close()
        return before, after, told

    monkeypatch.setattr(ZMQChannelsWebsocketConnection, "connect", lambda self: "the server's own")

    with ThreadPoolExecutor(1) as beside:  # a browser check before this one left a loop running
        told = beside.submit(asyncio.run, connected()).result()
    assert told == (True, False, "the server's own")


def test_the_page_server_is_told_of_both(tmp_path: Path) -> None:
    lab_environment(state=tmp_path, token="t", quiet=True)

    told = PyFileConfigLoader("jupyter_server_config.py", str(tmp_path / "config")).load_config()

    assert told.ServerApp.contents_manager_class is PageFiles
    assert told.ServerApp.kernel_websocket_connection_class is PromptChannels
