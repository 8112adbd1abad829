"""Both event stores keep the contract."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from log.contract import EventStoreContract
from log.memory_store import MemoryEventStore
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import EventStore


class TestMemoryEventStore(EventStoreContract):
    @pytest.fixture
    def store(self) -> EventStore:
        return self.new_store()

    def new_store(self) -> EventStore:
        return MemoryEventStore()


class TestSqliteEventStore(EventStoreContract):
    @pytest.fixture
    def store(self, tmp_path: Path) -> Iterator[EventStore]:
        store = SqliteEventStore(tmp_path / "log.sqlite")
        yield store
        store.close()

    @pytest.fixture(autouse=True)
    def _folder(self) -> Iterator[None]:
        with tempfile.TemporaryDirectory() as folder:
            self.folder = Path(folder)
            self.made = 0
            yield

    def new_store(self) -> EventStore:
        self.made += 1
        return SqliteEventStore(self.folder / f"{self.made}.sqlite")
