"""The bay page in a real browser that a test asks in JavaScript: a script of the test's own is served beside the page.

The page's own security policy stays in force, so each question comes as a script file from the page's own address.
"""

from __future__ import annotations

import json
import queue
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from screens.browser import find_browser
from sparehand.page.page_address import LOOPBACK, Address
from sparehand.page.page_app import page_app
from sparehand.page.page_state import PageView
from sparehand.page.pairing import Pairing
from sparehand.page.picture_routes import Album
from sparehand.page.server import PageServer

_PATIENCE_SECONDS = 30
_TRIES = 400
_STAYS_OPEN = ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--remote-debugging-port=0")
_BUSY = "new Promise(done => setTimeout(done, 50))"
_PROBE = """
const told = (number, value) => fetch(`/probe/${number}`, { method: "POST", body: JSON.stringify(value ?? null) });
(async () => {
  for (let last = ""; ; ) {
    const number = await fetch("/probe/next").then((answer) => answer.text()).catch(() => "");
    const asked = Object.assign(document.createElement("script"), { src: `/probe/${number}.js` });
    if (number && number !== last) document.head.append(asked);
    last = number || last;
    await new Promise((done) => setTimeout(done, 20));
  }
})();
"""


class Probe:
    """Puts questions to the page, again to the next one where a page left without an answer.

    `around` gives an application that serves them beside another.
    """

    def __init__(self) -> None:
        self._questions: list[str] = []
        self._answered = 0
        self._answers: queue.Queue[Any] = queue.Queue()

    def ask(self, expression: str) -> Any:
        """The value of a JavaScript expression, awaited where it is a promise."""
        self._questions.append(expression)
        return self._answers.get(timeout=_PATIENCE_SECONDS)

    def until(self, expression: str) -> None:
        """Return when an expression is true; fails when it does not become so."""
        for _ in range(_TRIES):
            if self.ask(expression):
                return
            self.ask(_BUSY)
        raise AssertionError(f"never came true: {expression}\n{self.ask('document.body.innerText')}")

    def around(self, app: ASGIApp) -> ASGIApp:
        """`app` with the probe in its pages."""

        async def probed(scope: Scope, receive: Receive, send: Send) -> None:
            if scope["type"] != "http":
                return
            path = scope["path"]
            if path.startswith("/probe"):
                await (await self._answer(Request(scope, receive)))(scope, receive, send)
                return
            await app(scope, receive, _with_script(send) if path == "/" or path.startswith("/desk/") else send)

        return probed

    async def _answer(self, request: Request) -> Response:
        name = request.path_params.get("name", request.url.path.rpartition("/")[2])
        if name == "probe.js":
            return Response(_PROBE, media_type="text/javascript")
        if name == "next":
            waiting = self._answered < len(self._questions)
            return PlainTextResponse(str(len(self._questions)) if waiting else "")
        number = int(name.removesuffix(".js"))
        if request.method == "POST":
            if number > self._answered:
                self._answered = number
                self._answers.put(json.loads(await request.body()))
            return Response(status_code=204)
        asked = f"(async () => told({number}, await ({self._questions[number - 1]})))();"
        return Response(asked, media_type="text/javascript")


def _with_script(send: Send) -> Send:
    """Puts the probe's script at the end of a page, which is then longer than it was said to be."""

    async def longer(message: Message) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [pair for pair in message["headers"] if pair[0] != b"content-length"]
        else:
            message["body"] = message["body"].replace(b"</body>", b'<script src="/probe/probe.js"></script></body>')
        await send(message)

    return longer


class Bench:
    """A bench with its page, which can be stopped and started again at the same port."""

    def __init__(self, probe: Probe, album: Album | None = None, host: str = LOOPBACK) -> None:
        self.probe, self.port, self.pressed, self._album, self._host = probe, 0, list[str](), album, host
        self.start()

    def start(self, needs_code: bool = False) -> None:
        """Serve a fresh page."""
        self.pressed.clear()
        self.view, self.pairing = PageView(), Pairing(needs_code)
        self.view.listens("always listening")
        app = self.probe.around(page_app(self.view, self.pairing, self.pressed.append, album=self._album))
        self.server = PageServer(app, Address(self._host, self.port))
        self.port = self.server.port

    def stop(self) -> None:
        """Serve no more, as a bench that was left."""
        self.view.close()
        self.server.close()

    @property
    def url(self) -> str:
        """Where the page is."""
        return Address(self._host, self.port).url(self.port)


@contextmanager
def browser_at(url: str, profile: Path, *flags: str) -> Iterator[None]:
    """A browser that shows `url`; skips the running test where there is no Chromium."""
    command = [find_browser(), *_STAYS_OPEN, f"--user-data-dir={profile}", *flags, url]
    with subprocess.Popen(command, stderr=subprocess.DEVNULL) as browser:
        try:
            yield
        finally:
            browser.terminate()
