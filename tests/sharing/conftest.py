"""One PostgreSQL server for all tests of sharing, with a database for each."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from sharing.server import Server, running_server
from sharing.shop import Shop
from sparehand.sharing.address import read_address
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.schema import admit, set_up

TEMPLATE = "set_up_once"


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    with running_server() as server:
        server.tell("postgres", f"CREATE DATABASE {TEMPLATE}")
        for login in ("bay_one", "bay_two", "elsewhere", "stranger", "forgetter"):
            server.tell("postgres", f"CREATE ROLE {login} LOGIN")
        database = SharedDatabase(read_address(server.url(TEMPLATE)))
        set_up(database)
        for login in ("bay_one", "bay_two"):
            admit(database, login, "Demo Shop")
        admit(database, "elsewhere", "Another Demo Shop")
        admit(database, "forgetter", "Demo Shop", forgets=True)
        database.close()
        yield server


@pytest.fixture
def shop(server: Server) -> Iterator[Shop]:
    """A shared database, set up, with logins for two bays, for another shop's bay, and for one who may forget."""
    with Shop(server, server.new_database(TEMPLATE)) as shop:
        yield shop
