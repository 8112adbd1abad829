"""The shared database keeps the contract of every event store."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from log.contract import EventStoreContract
from log.generated import histories
from sharing.conftest import EMPTY
from sharing.shop import Shop
from sparehand.job.events import Recorded
from sparehand.log.store import EventStore
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.database_address import read_address
from sparehand.sharing.postgres_store import PostgresEventStore


class TestPostgresEventStore(EventStoreContract):
    @pytest.fixture
    def store(self) -> Iterator[EventStore]:
        store = self.new_store()
        yield store
        store.close()

    @pytest.fixture(autouse=True)
    def _shop(self, shop: Shop) -> None:
        self.shop = shop
        self.made = count()
        shop.rows("GRANT sparehand_forget TO bay_one; SELECT 1")

    @pytest.fixture(autouse=True)
    def _as_before(self, shop: Shop) -> Iterator[None]:
        yield
        shop.rows("REVOKE sparehand_forget FROM bay_one; SELECT 1")

    def new_store(self) -> EventStore:
        # Generated events may have ids that were drawn before, which here would make them one job.
        self.shop.server.tell(self.shop.database, EMPTY)
        database = SharedDatabase(read_address(self.shop.server.url(self.shop.database, "bay_one")))
        return PostgresEventStore(database, f"bay {next(self.made)}")

    @given(history=histories())
    @settings(
        max_examples=4, deadline=None, phases=[Phase.generate], suppress_health_check=[HealthCheck.differing_executors]
    )
    def test_what_was_appended_comes_back_equal_in_order(self, history: tuple[Recorded, ...]) -> None:
        """Fewer examples than elsewhere, for each event goes through a server."""
        EventStoreContract.test_what_was_appended_comes_back_equal_in_order.hypothesis.inner_test(self, history)
