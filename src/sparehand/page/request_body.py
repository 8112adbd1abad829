"""The body of a request, bounded in length and in time."""

from __future__ import annotations

import asyncio

from starlette.requests import ClientDisconnect, Request

BODY_SECONDS = 5.0


async def body_of(request: Request, longest: int) -> str:
    """The body as text; none where it is longer than `longest` bytes or is sent too slowly."""
    taken = b""
    try:
        async with asyncio.timeout(BODY_SECONDS):
            async for part in request.stream():
                taken += part
                if len(taken) > longest:
                    return ""
    except (TimeoutError, ClientDisconnect):
        return ""
    return taken.decode("utf-8", "replace")
