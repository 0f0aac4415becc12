"""What the page server does otherwise than it would by itself.

`PageFiles`: the server's own way opens the page itself to write it. Whoever
reads at that moment, another window or the page opened again, finds half of it
and takes it for damaged. Here a save is whole or not at all, and a reader finds
the page as it was or as it is.

`PromptChannels`: a page answers in several small messages. The system by
itself holds the second back until the browser has acknowledged the first,
which browsers delay by 40 ms. Here each goes out at once.
"""

from __future__ import annotations

import io
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from jupyter_server.services.contents.largefilemanager import AsyncLargeFileManager
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection

from taperkey.files import write_whole

__all__ = ["PageFiles", "PromptChannels"]


class PageFiles(AsyncLargeFileManager):
    """The server's file manager, with every save written whole."""

    @contextmanager
    def atomic_writing(
        self, os_path: str, text: bool = True, encoding: str = "utf-8", **_: Any
    ) -> Iterator[IO[Any]]:
        """Give a buffer to write into; its content takes the file's place at the end.

        Parameters
        ----------
        os_path : str
            The file; a link is followed.
        text : bool
            True for text, False for bytes.
        encoding : str
            Of the text.

        Yields
        ------
        file object
            To write to.

        Raises
        ------
        HTTPError
            403 if the file may not be written; the old one stands.
        OSError
            The disk is full; the old file stands.
        """
        buffer = io.StringIO(newline="\n") if text else io.BytesIO()
        yield buffer
        content = buffer.getvalue()
        with self.perm_to_403(os_path):
            write_whole(
                Path(os.path.realpath(os_path)),
                content.encode(encoding) if isinstance(content, str) else content,
            )


class PromptChannels(ZMQChannelsWebsocketConnection):
    """The way between page and course, with every message sent at once."""

    def connect(self) -> Any:
        """Ask the system not to hold small messages back (TCP_NODELAY), then connect.

        Returns
        -------
        Future or None
            As the server's own: done when the course answers, or None.
        """
        self.websocket_handler.set_nodelay(True)
        return super().connect()
