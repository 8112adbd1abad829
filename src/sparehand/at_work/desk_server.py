"""The desk's pages: made in processes of their own, served beside a job or alone."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from contextlib import ExitStack
from pathlib import Path

from sparehand.ground.places import data_folder
from sparehand.ground.terminal import new_console
from sparehand.page.desk_routes import DeskRequest, MakePage
from sparehand.page.page_address import parse_address
from sparehand.page.page_app import desk_app
from sparehand.page.pairing import Pairing
from sparehand.page.qr import qr_rows
from sparehand.page.server import PageServer

WORKER_COMMAND = (sys.executable, "-m", "sparehand.desk.page_worker")
MOST_AT_ONCE = 2
PATIENCE_SECONDS = 60.0
BUSY = "<!doctype html><title>Busy</title><p>The desk is busy with other pages. Load this one again in a moment."
FAILED = "<!doctype html><title>Failed</title><p>This page could not be made; try <code>sparehand log verify</code>."


def page_maker(folder: Path, *, beside_bay: bool = False) -> MakePage:
    """Makes pages from the data folder, so many at once, each in a process of its own."""
    places = threading.BoundedSemaphore(MOST_AT_ONCE)

    def make(asked: DeskRequest) -> tuple[int, str]:
        if not places.acquire(timeout=PATIENCE_SECONDS):
            return 503, BUSY
        try:
            return _made(asked, folder, beside_bay)
        finally:
            places.release()

    return make


def serve_desk(given: str, data: Path | None) -> None:
    """Serve the desk alone until somebody stops it.

    Raises InputError for an address that is none and FailureError for one that cannot be had.
    """
    address = parse_address(given)
    pairing = Pairing(needed=not address.loopback)
    console = new_console()
    with ExitStack() as closing:
        server = PageServer(desk_app(pairing, page_maker(data_folder(data))), address, console.print)
        closing.callback(server.close)
        url = address.url(server.port)
        for row in qr_rows(f"{url}#{pairing.code}") if pairing.code else ():
            console.print(row)
        console.print(f"Desk: {url}{f', code {pairing.code}' if pairing.code else ''}. Stop it with Ctrl+C.")
        try:
            threading.Event().wait()
        except KeyboardInterrupt:
            console.print("Stopped.")


def _made(asked: DeskRequest, folder: Path, beside_bay: bool) -> tuple[int, str]:
    about = {"folder": str(folder), "beside_bay": beside_bay}
    told = json.dumps({"page": asked.page, "fields": dict(asked.fields), "make": asked.make, **about})
    try:
        answer = subprocess.run(  # noqa: S603 - this program's own worker; what comes from outside goes to its input
            WORKER_COMMAND, input=told, capture_output=True, encoding="utf-8", timeout=PATIENCE_SECONDS, check=True
        )
        made = json.loads(answer.stdout)
        return int(made["status"]), str(made["page"])
    except (OSError, subprocess.SubprocessError, ValueError, KeyError):
        return 500, FAILED
