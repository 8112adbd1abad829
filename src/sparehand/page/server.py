"""The small server beside the bench: in a thread of its own, so that the conversation never waits for a page."""

from __future__ import annotations

import socket
import threading
from contextlib import ExitStack

import uvicorn
from starlette.types import ASGIApp

from sparehand.conversation.input_stream import Keyboard
from sparehand.ground.errors import FailureError
from sparehand.page.page_address import Address, parse_address
from sparehand.page.page_app import page_app
from sparehand.page.page_state import PageView
from sparehand.page.pairing import Pairing
from sparehand.page.qr import qr_rows
from sparehand.page.terminal_and_page import TerminalAndPage
from sparehand.screens.job_view import JobView

_STOP_SECONDS = 3.0


class PageServer:
    """Serves from its making until `close`. Raises FailureError where the address cannot be had."""

    def __init__(self, app: ASGIApp, address: Address) -> None:
        self._socket = _listening(address)
        self.port: int = self._socket.getsockname()[1]
        config = uvicorn.Config(
            app, log_config=None, access_log=False, lifespan="off", server_header=False, timeout_graceful_shutdown=1
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, args=([self._socket],), daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Serve no more."""
        self._server.should_exit = True
        self._thread.join(_STOP_SECONDS)
        self._socket.close()


def with_page(terminal: JobView, given: str, keyboard: Keyboard, closing: ExitStack) -> JobView:
    """The terminal's view with the page beside it, served at `given` until `closing`.

    Raises InputError for an address that is none and FailureError for one that cannot be had.
    """
    address = parse_address(given)
    page, pairing = PageView(), Pairing(needed=not address.loopback)
    server = PageServer(page_app(page, pairing, keyboard.press), address)
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
        return socket.create_server((address.host, address.port), family=family)
    except OSError as error:
        where = address.url(address.port)
        raise FailureError(f"the page cannot be served at {where} ({error.strerror}); choose another port") from error
