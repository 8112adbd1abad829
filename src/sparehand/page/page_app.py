"""The page's requests: one page, one stream of what is shown, one way to press a button."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from importlib.resources import files

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from sparehand.page.buttons import BUTTONS
from sparehand.page.desk_routes import MakePage, desk_routes
from sparehand.page.page_address import names_a_number
from sparehand.page.page_state import PageView
from sparehand.page.pairing import Pairing, TooSoonError
from sparehand.page.picture_routes import Album, picture_routes
from sparehand.page.request_body import body_of

COOKIE = "sparehand_page"
LOOK_SECONDS = 0.2
BEAT_SECONDS = 2.0
"""A beat goes out this often where nothing changes, so that the page can tell quiet from a lost bench."""
LONGEST_BODY = 64
"""No button and no code is longer."""

SECURITY_HEADERS = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}

DESK_POLICY = (
    SECURITY_HEADERS["content-security-policy"]
    .replace("style-src 'self'", "style-src 'self' 'unsafe-inline'")
    .replace("form-action 'none'", "form-action 'self'")
)
"""For the desk's pages: estimates and reports carry their styles with them, and a form is sent."""

_FILES = {"page.css": "text/css", "desk.css": "text/css", "page.js": "text/javascript", "pair.js": "text/javascript"}


def page_app(
    view: PageView,
    pairing: Pairing,
    press: Callable[[str], None],
    make: MakePage | None = None,
    album: Album | None = None,
) -> ASGIApp:
    """The application. `press` is called with the phrase of a button, from the server's thread.

    With `make` the desk's pages are served beside it, with `album` pictures are shown and taken in.
    """
    page = _Page(view, pairing, press)
    routes = [
        Route("/", page.start),
        Route("/glances", page.glances),
        Route("/say", page.say, methods=["POST"]),
        *(desk_routes(page.admits, make) if make else []),
        *(picture_routes(page.admits, view, album) if album else []),
        *page.for_all(),
    ]
    return _Guard(Starlette(routes=routes))


def desk_app(pairing: Pairing, make: MakePage) -> ASGIApp:
    """The desk's pages alone, without a bench."""
    door = _Door(pairing)

    async def start(request: Request) -> Response:
        return RedirectResponse("/desk", 303) if door.admits(request) else _file("pair.html", "text/html")

    return _Guard(Starlette(routes=[Route("/", start), *desk_routes(door.admits, make), *door.for_all()]))


class _Door:
    """Who may come in, and what everybody may ask for."""

    def __init__(self, pairing: Pairing) -> None:
        self._pairing = pairing

    def admits(self, request: Request) -> bool:
        return self._pairing.admits(request.cookies.get(COOKIE, ""))

    def for_all(self) -> list[Route]:
        return [Route("/pair", self._pair, methods=["POST"]), Route("/{name}", self._file)]

    async def _pair(self, request: Request) -> Response:
        address = request.client.host if request.client else ""
        try:
            token = self._pairing.pair((await body_of(request, LONGEST_BODY)).replace(" ", ""), address)
        except TooSoonError as error:
            return PlainTextResponse(str(error), 429)
        if token is None:
            return PlainTextResponse("that is not the code on the terminal", 403)
        answer = Response(status_code=204)
        answer.set_cookie(COOKIE, token, httponly=True, samesite="strict")
        return answer

    async def _file(self, request: Request) -> Response:
        name = request.path_params["name"]
        return _file(name, _FILES[name]) if name in _FILES else PlainTextResponse("not found", 404)


class _Page(_Door):
    """What the addresses of the bay page answer."""

    def __init__(self, view: PageView, pairing: Pairing, press: Callable[[str], None]) -> None:
        super().__init__(pairing)
        self._view, self._press = view, press

    async def start(self, request: Request) -> Response:
        return _file("page.html" if self.admits(request) else "pair.html", "text/html")

    async def glances(self, request: Request) -> Response:
        if not self.admits(request):
            return _unpaired()
        return StreamingResponse(_stream(self._view), media_type="text/event-stream")

    async def say(self, request: Request) -> Response:
        phrase = BUTTONS.get(await body_of(request, LONGEST_BODY))
        if not self.admits(request):
            return _unpaired()
        if phrase is None:
            return PlainTextResponse("there is no such button", 400)
        self._press(phrase)
        return Response(status_code=204)


def _unpaired() -> Response:
    return PlainTextResponse("pair this device first", 403)


class _Guard:
    """Refuses what another site could have caused, and puts the security headers on every answer."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = SECURITY_HEADERS
                if scope["path"].startswith("/desk/"):
                    headers = {**headers, "content-security-policy": DESK_POLICY}
                added = [(name.encode(), value.encode()) for name, value in headers.items()]
                message["headers"] = [*message.get("headers", []), *added]
            await send(message)

        refusal = _refused(Request(scope))
        answer: Callable[[Scope, Receive, Send], Awaitable[None]] = (
            PlainTextResponse(refusal, 403) if refusal else self._app
        )
        await answer(scope, receive, with_headers)


def _refused(request: Request) -> str:
    host = request.headers.get("host", "")
    if not names_a_number(host):
        return "open the page by the number that the terminal shows"
    if request.method != "GET" and request.headers.get("origin") != f"http://{host}":
        return "only the page itself may do that"
    return ""


async def _stream(view: PageView) -> AsyncIterator[str]:
    """Each new state as an event, and a beat in between; ends with the conversation."""
    view.watching += 1
    try:
        async for part in _shown_anew(view):
            yield part
    finally:
        view.watching -= 1


async def _shown_anew(view: PageView) -> AsyncIterator[str]:
    sent, quiet = "", 0.0
    while True:
        shown = view.shown
        text = shown.json()
        if text != sent:
            sent, quiet = text, 0.0
            yield f"data: {text}\n\n"
        elif quiet >= BEAT_SECONDS:
            quiet = 0.0
            yield "event: beat\ndata:\n\n"
        if shown.over:
            return
        await asyncio.sleep(LOOK_SECONDS)
        quiet += LOOK_SECONDS


def _file(name: str, media_type: str) -> Response:
    return Response((files("sparehand.page") / "static" / name).read_bytes(), media_type=media_type)
