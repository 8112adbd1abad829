"""Pictures on the bay page: those of the job are shown, and a device sends what its camera sees."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass
from uuid import UUID

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.ids import new_event_id
from sparehand.ground.picture_cleaning import PICTURE_BYTES, clean_picture
from sparehand.log.memos import PICTURE, MemoFolder
from sparehand.page.page_state import PageView
from sparehand.page.request_body import bytes_of
from sparehand.procedures.plan import StepKey

SENDING_SECONDS = 60.0
"""A photograph over a weak network takes some seconds."""
AT_ONCE = 2
"""How many pictures are taken in at once: what one needs while it is looked at is some 200 MB at most."""
SETTLED = "that picture is there already, or is not asked for any more"


@dataclass(frozen=True)
class Album:
    """Where pictures are kept, and who is told of a new one: its id, the job and the step. It is on the disk then."""

    folder: MemoFolder
    bring: Callable[[UUID, str, StepKey], None]


def picture_routes(admits: Callable[[Request], bool], view: PageView, album: Album) -> list[Route]:
    """`pictures/ID` shows a picture of the present job, `picture?asked=N` takes one in, to whom `admits` admits."""
    turns = asyncio.Semaphore(AT_ONCE)

    async def show(request: Request) -> Response:
        id = request.path_params["id"]
        if not admits(request) or not view.has_picture(id):
            return PlainTextResponse("not found", 404)
        jpeg = await run_in_threadpool(album.folder.read, id, PICTURE)
        return Response(jpeg, media_type="image/jpeg") if jpeg else PlainTextResponse("not found", 404)

    async def take(request: Request) -> Response:
        if not admits(request):
            return PlainTextResponse("pair this device first", 403)
        asked = request.query_params.get("asked", "0")
        number = int(asked) if asked.isdecimal() and len(asked) < 10 else 0
        refusal = _refused(request, view, number)
        if refusal:
            return refusal
        async with turns:
            return await _taken(request, view, album, number)

    return [Route("/pictures/{id:uuid}", show), Route("/picture", take, methods=["POST"])]


def _refused(request: Request, view: PageView, number: int) -> Response | None:
    """Why nothing is read of a picture, where that is known before."""
    length = request.headers.get("content-length", "0")
    if not length.isdecimal() or int(length) > PICTURE_BYTES:
        return PlainTextResponse(f"a picture has at most {PICTURE_BYTES // 1_000_000} MB; take a smaller one", 413)
    if view.full:
        return PlainTextResponse("this job takes no more pictures", 409)
    return None if view.picture_place(number) else PlainTextResponse(SETTLED, 409)


async def _taken(request: Request, view: PageView, album: Album, number: int) -> Response:
    raw = await bytes_of(request, PICTURE_BYTES, SENDING_SECONDS)
    try:
        jpeg = await run_in_threadpool(clean_picture, raw)
        place = view.picture_place(number)
        if place is None or not view.settle(number):
            return PlainTextResponse(SETTLED, 409)
        id = new_event_id()
        await run_in_threadpool(album.folder.keep_picture, id, jpeg)
    except InputError as error:
        return PlainTextResponse(f"what was sent {error}", 400)
    except FailureError as error:
        return PlainTextResponse(str(error), 507)
    album.bring(id, place.job, place.at)
    return Response(status_code=204)
