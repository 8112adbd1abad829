"""A network between a bench and its database that can be cut."""

from __future__ import annotations

import socket
import threading
from contextlib import suppress
from types import TracebackType


class Proxy:
    """Passes bytes to a port of this machine until it is cut; `mend` lets new connections through."""

    def __init__(self, port: int) -> None:
        self._to = port
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._listener.getsockname()[1])
        self._left: int | None = None
        self._open: list[socket.socket] = []
        threading.Thread(target=self._accept, daemon=True).start()

    def cut_after(self, sent_bytes: int) -> None:
        """Break every connection once the bench has sent so many bytes more, and take no new one."""
        self._left = sent_bytes

    def mend(self) -> None:
        """Let everything through again."""
        self._left = None

    def __enter__(self) -> Proxy:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        self._listener.close()
        for one in self._open:
            one.close()

    def _accept(self) -> None:
        while True:
            try:
                bench, _ = self._listener.accept()
            except OSError:
                return
            if self._left is not None and self._left <= 0:
                bench.close()
                continue
            server = socket.create_connection(("127.0.0.1", self._to))
            self._open += [bench, server]
            threading.Thread(target=self._pass, args=(bench, server, True), daemon=True).start()
            threading.Thread(target=self._pass, args=(server, bench, False), daemon=True).start()

    def _pass(self, source: socket.socket, sink: socket.socket, counted: bool) -> None:
        with suppress(OSError):
            while data := source.recv(4096):
                if counted and self._left is not None:
                    self._left -= len(data)
                    if self._left <= 0:
                        break
                sink.sendall(data)
        for one in (source, sink):
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)
