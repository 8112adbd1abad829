"""The desk's pages beside the bay page: same server, same pairing. Another process makes them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from urllib.parse import parse_qsl

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from sparehand.page.request_body import body_of

LONGEST_FORM = 8_000
LONGEST_FIELD = 400


@dataclass(frozen=True)
class DeskRequest:
    """A page that is asked for, with its fields; `make` says that something may be written down."""

    page: str
    fields: Mapping[str, str]
    make: bool = False


MakePage = Callable[[DeskRequest], tuple[int, str]]
"""Gives a status and a page, or 303 and where to look."""


def desk_routes(admits: Callable[[Request], bool], make: MakePage) -> list[Route]:
    """What is served under /desk to whom `admits` admits; others are sent to the page where a device is paired."""

    async def start(_request: Request) -> Response:
        return RedirectResponse("/desk/today", 303)

    async def page(request: Request) -> Response:
        if not admits(request):
            return RedirectResponse("/", 303)
        posted = request.method == "POST"
        written = await body_of(request, LONGEST_FORM) if posted else request.url.query
        try:
            pairs = parse_qsl(written, max_num_fields=20)
        except ValueError:
            pairs = []
        fields = {name: value[:LONGEST_FIELD] for name, value in pairs}
        status, made = await run_in_threadpool(make, DeskRequest(request.path_params["name"], fields, posted))
        return RedirectResponse(made, 303) if status == 303 else HTMLResponse(made, status)

    return [Route("/desk", start), Route("/desk/{name}", page, methods=["GET", "POST"])]
