"""One PostgreSQL server for all tests of sharing, which each finds empty."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from sharing.server import Server, running_server
from sharing.shop import JOB, OTHER, Bench, Shop
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.database_address import read_address
from sparehand.sharing.database_schema import admit, set_up

DATABASE = "shop"
EMPTY = """
TRUNCATE sparehand.benches, sparehand.pushes, sparehand.people, sparehand.jobs, sparehand.events, sparehand.summaries,
    sparehand.phase_times, sparehand.procedures, sparehand.procedure_pictures, sparehand.installations,
    sparehand.open_jobs;
DO $$ DECLARE month regclass; BEGIN
    FOR month IN SELECT inhrelid::regclass FROM pg_inherits
        WHERE inhrelid::regclass::text ~ '_20[0-9][0-9]_[0-9]+$' LOOP
        CONTINUE WHEN month::text ~ '_idx|_pkey';
        EXECUTE 'DROP TABLE ' || month;
    END LOOP;
END $$;
"""


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    with running_server() as server:
        server.tell("postgres", f"CREATE DATABASE {DATABASE}")
        for login in ("bay_one", "bay_two", "elsewhere", "stranger", "forgetter"):
            server.tell("postgres", f"CREATE ROLE {login} LOGIN")
        database = SharedDatabase(read_address(server.url(DATABASE)))
        set_up(database)
        for login in ("bay_one", "bay_two"):
            admit(database, login, "Demo Shop")
        admit(database, "elsewhere", "Another Demo Shop")
        admit(database, "forgetter", "Demo Shop", forgets=True)
        database.close()
        yield server


@pytest.fixture
def shop(server: Server) -> Iterator[Shop]:
    """An empty shared database, with logins for two bays, for another shop's bay, and for one who may forget."""
    server.tell(DATABASE, EMPTY)
    with Shop(server, DATABASE) as shop:
        yield shop


@pytest.fixture
def two(shop: Shop, tmp_path: Path) -> tuple[Bench, Bench]:
    """Two benches of one shop, each with a job that it shared."""
    one, other = shop.bench(tmp_path / "one"), shop.bench(tmp_path / "two", "bay two", "bay_two")
    other.shift = 1 << 100
    for bench, job in ((one, JOB), (other, OTHER)):
        bench.works(job)
        bench.pushes()
    return one, other
