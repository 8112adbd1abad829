"""The small server beside the bench: in a thread of its own, so that the conversation never waits for a page."""

from __future__ import annotations

import socket
import threading
from collections.abc import Callable
from contextlib import ExitStack

import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

from sparehand.conversation.input_stream import Keyboard
from sparehand.ground.errors import FailureError
from sparehand.ground.supervision import supervised
from sparehand.log.memos import MemoFolder
from sparehand.page.desk_routes import MakePage
from sparehand.page.limits import WAITING_TO_BE_TAKEN, Doorkeeper
from sparehand.page.page_address import Address, parse_address
from sparehand.page.page_app import page_app
from sparehand.page.page_state import PageView
from sparehand.page.pairing import Pairing
from sparehand.page.picture_routes import Album
from sparehand.page.qr import qr_rows
from sparehand.page.terminal_and_page import TerminalAndPage
from sparehand.screens.job_view import JobView

_STOP_SECONDS = 3.0


class PageServer:
    """Serves from its making until `close`. Raises FailureError where the address cannot be had."""

    def __init__(self, app: ASGIApp, address: Address, tell: Callable[[str], None] = lambda _: None) -> None:
        """`tell` is told in words where it fails while it serves."""
        self._app = app
        self._address = address
        self._closed = threading.Event()
        self._listen()
        self._thread = supervised("the page", self._serve, tell, self._closed.wait)

    def close(self) -> None:
        """Serve no more."""
        self._closed.set()
        self._server.should_exit = True
        self._thread.join(_STOP_SECONDS)
        self._socket.close()

    def _listen(self) -> None:
        self._socket = _listening(self._address)
        self.port: int = self._socket.getsockname()[1]
        self._address = Address(self._address.host, self.port)
        doorkeeper = Doorkeeper(self._app)
        config = uvicorn.Config(
            doorkeeper,
            http=doorkeeper.connection(H11Protocol),  # type: ignore[arg-type]  # a maker of protocols does as well
            backlog=WAITING_TO_BE_TAKEN,
            log_config=None,
            access_log=False,
            lifespan="off",
            server_header=False,
            timeout_graceful_shutdown=1,
        )
        self._server = uvicorn.Server(config)

    def _serve(self) -> None:
        """Until it is closed; a server that fell is begun anew at the same port."""
        if self._socket.fileno() < 0 and not self._closed.is_set():
            self._listen()
        self._server.run([self._socket])
        if not self._closed.is_set():
            self._socket.close()
            raise FailureError("its server ended")


def with_page(
    terminal: JobView,
    given: str,
    keyboard: Keyboard,
    closing: ExitStack,
    pictures: MemoFolder,
    make: MakePage | None = None,
) -> TerminalAndPage:
    """The terminal's view with the page beside it, served at `given` until `closing`.

    `pictures` keeps those of the job, `make` makes the desk's pages.
    Raises InputError for an address that is none and FailureError for one that cannot be had.
    """
    address = parse_address(given)
    page, pairing = PageView(), Pairing(needed=not address.loopback)
    app = page_app(page, pairing, keyboard.press_on_page, make, Album(pictures, keyboard.bring_picture))
    server = PageServer(app, address, keyboard.report)
    closing.callback(server.close)
    closing.callback(page.close)
    url = address.url(server.port)
    if pairing.code:
        terminal.picture((*qr_rows(f"{url}#{pairing.code}"), f"{url} code {pairing.code}"))
    terminal.note(f"Page: {url}{f', code {pairing.code}' if pairing.code else ''}")
    return TerminalAndPage(terminal, page, pairing)


def _listening(address: Address) -> socket.socket:
    family = socket.AF_INET6 if ":" in address.host else socket.AF_INET
    try:
        return socket.create_server((address.host, address.port), family=family, backlog=WAITING_TO_BE_TAKEN)
    except OSError as error:
        where = address.url(address.port)
        raise FailureError(f"the page cannot be served at {where} ({error.strerror}); choose another port") from error
