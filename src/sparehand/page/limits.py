"""What the page takes of strangers: so many connections in all and from one address, each with its request in time.

A connection beyond a limit is ended before anything of it is read, so that no flood uses up the descriptors that the
log and the sound need.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Any

from starlette.types import ASGIApp, Receive, Scope, Send

MOST_CONNECTIONS = 48
MOST_OF_ONE_ADDRESS = 12
"""A tablet holds one for what is shown and a few for its files; a router can stand for several tablets."""
HEADER_SECONDS = 5.0
"""How long the head of a request may take to arrive, and a connection may stay before it."""
WAITING_TO_BE_TAKEN = 64
"""How many connections the system holds back for us; so many are taken at once, before any can be counted."""

_Peer = tuple[str, int]


class Doorkeeper:
    """Stands before an application: the server calls it, and makes its connections by `connection`."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._open: dict[_Peer, _Connection] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application, with the time of its request noted."""
        connection = self._open.get(tuple(scope.get("client") or ()))
        if connection is None:
            await self._app(scope, receive, send)
            return
        connection.request_began()
        try:
            await self._app(scope, receive, send)
        finally:
            connection.request_ended()

    def lets_in(self, connection: _Connection) -> bool:
        """Whether one more connection may stay; it is counted then."""
        of_its_address = sum(peer[0] == connection.peer[0] for peer in self._open)
        if len(self._open) >= MOST_CONNECTIONS or of_its_address >= MOST_OF_ONE_ADDRESS:
            return False
        self._open[connection.peer] = connection
        return True

    def left(self, connection: _Connection) -> None:
        """A connection that was let in has ended."""
        self._open.pop(connection.peer, None)

    def connection(self, server_protocol: Callable[..., asyncio.Protocol]) -> Callable[..., asyncio.Protocol]:
        """Makes connections that speak `server_protocol` inside."""

        def make(*args: Any, **kwargs: Any) -> asyncio.Protocol:
            return _Connection(self, server_protocol(*args, **kwargs))

        return make


class _Connection(asyncio.Protocol):
    """Passes on what comes to the server's own protocol, and ends where a request does not come in time."""

    def __init__(self, doorkeeper: Doorkeeper, within: asyncio.Protocol) -> None:
        self._doorkeeper = doorkeeper
        self._within = within
        self._let_in = False
        self._answering = False
        self._patience: asyncio.TimerHandle | None = None
        self.peer: _Peer = ("", 0)

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        self._transport = transport
        self.peer = tuple(transport.get_extra_info("peername") or ("", 0))[:2]
        self._let_in = self._doorkeeper.lets_in(self)
        if not self._let_in:
            transport.close()
            return
        self._within.connection_made(transport)
        self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        if self._let_in:
            self._doorkeeper.left(self)
            self._stop_waiting()
            self._within.connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        if self._let_in:
            # The patience is for the whole head: a byte now and then does not renew it.
            self._wait()
            self._within.data_received(data)

    def eof_received(self) -> bool | None:
        return self._within.eof_received() if self._let_in else None

    def pause_writing(self) -> None:
        self._within.pause_writing()

    def resume_writing(self) -> None:
        self._within.resume_writing()

    def request_began(self) -> None:
        self._answering = True
        self._stop_waiting()

    def request_ended(self) -> None:
        self._answering = False

    def _wait(self) -> None:
        if self._patience is None and not self._answering:
            self._patience = asyncio.get_running_loop().call_later(HEADER_SECONDS, self._transport.close)

    def _stop_waiting(self) -> None:
        if self._patience is not None:
            self._patience.cancel()
            self._patience = None
