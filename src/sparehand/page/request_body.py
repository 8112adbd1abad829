"""The body of a request, bounded in length and in time."""

from __future__ import annotations

import asyncio

from starlette.requests import ClientDisconnect, Request

BODY_SECONDS = 5.0


async def body_of(request: Request, longest: int) -> str:
    """The body as text; none where it is longer than `longest` bytes or is sent too slowly."""
    return (await bytes_of(request, longest, BODY_SECONDS)).decode("utf-8", "replace")


async def bytes_of(request: Request, longest: int, seconds: float) -> bytes:
    """The body; none where it is longer than `longest` bytes or takes longer than that."""
    taken = bytearray()
    try:
        async with asyncio.timeout(seconds):
            async for part in request.stream():
                taken += part
                if len(taken) > longest:
                    return b""
    except (TimeoutError, ClientDisconnect):
        return b""
    return bytes(taken)
