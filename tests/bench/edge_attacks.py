"""Floods of the page, and what a bench may try against another: rows of the table that `edges.py` prints."""

from __future__ import annotations

import os
import random
import resource
import signal
import socket
import time
from collections.abc import Callable
from contextlib import ExitStack, suppress

import psycopg

from log.faults import scratch_folder
from page.test_page import Served
from sharing.attacks import ATTACKS, says
from sharing.server import Server
from sharing.shop import JOB, OTHER, Shop
from sparehand.ground.errors import SparehandError
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.database_address import read_address
from sparehand.sharing.database_schema import admit, set_up


def in_a_child(work: Callable[[], object], kill_after: float | None = None) -> int:
    """The status of a process that does it: 0 done, 1 refused in one line, 2 anything else, negative if killed."""
    child = os.fork()
    if child == 0:
        status = 2
        try:
            work()
            status = 0
        except SparehandError as error:
            status = 1 if "\n" not in str(error) else 2
        finally:
            os._exit(status)
    if kill_after is not None:
        time.sleep(kill_after)
        with suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def floods(connections: int = 1_500) -> None:
    """Connections that ask for nothing, all at once; then the page answers."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(hard, max(soft, 2 * connections)), hard))
    with ExitStack() as closing:
        served = Served(closing, needs_code=False)
        host, _, port = served.host.partition(":")
        flood = [closing.enter_context(socket.create_connection((host, int(port)))) for _ in range(connections)]
        ended = 0
        for one in flood:
            one.settimeout(30)
            with suppress(OSError):
                ended += one.recv(1) == b""
        row("connections that ask for nothing, ended", connections, ended)
        row("the page answers afterwards", 1, int(served.ask("/").status == 200))


def peers(server: Server) -> None:
    """What one bench says to speak for another, or to store what none can read."""
    server.tell("postgres", "CREATE DATABASE shop", "CREATE ROLE bay_one LOGIN", "CREATE ROLE bay_two LOGIN")
    database = SharedDatabase(read_address(server.url("shop")))
    set_up(database)
    admit(database, "bay_one", "Demo Shop")
    admit(database, "bay_two", "Demo Shop")
    database.close()
    with scratch_folder() as folder, Shop(server, "shop") as shop:
        for place, name in enumerate(("one", "two")):
            bench = shop.bench(folder / name, f"bay {name}", f"bay_{name}")
            bench.shift = place << 100
            bench.works((JOB, OTHER)[place])
            bench.pushes()
        refused = 0
        for attack in ATTACKS.values():
            with suppress(psycopg.errors.InsufficientPrivilege, psycopg.errors.CheckViolation):
                says(shop, "bay_two", attack)
                continue
            refused += 1
        row("statements of a peer against another", len(ATTACKS), refused)


def share_kills(server: Server, trials: int, draw: random.Random) -> None:
    """A bench killed while it sends; what it sends afterwards makes its log there whole, each event once."""
    with scratch_folder() as folder, Shop(server, "shop") as shop:
        survived = 0
        for trial in range(trials):
            job = f"2611{1 + trial % 28:02}-t{trial:03}"
            shop.bench(folder, "bay three", "bay_one").works(job, 200)
            in_a_child(lambda: shop.bench(folder, "bay three", "bay_one").pushes(events_at_once=40), draw.random() / 2)
            shop.bench(folder, "bay three", "bay_one").pushes()
            told = "SELECT count(*), count(DISTINCT sequence) FROM events JOIN jobs USING (shop, job) WHERE name = "
            survived += shop.rows(f"{told}'{job}'") == [(201, 201)]
        row("killed during share", trials, survived)


def row(what: str, tried: int, survived: int) -> None:
    """One row of the table."""
    print(f"| {what} | {tried:,} | {survived:,} |", flush=True)
