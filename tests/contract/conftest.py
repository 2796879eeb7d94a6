"""Stores of every kind, empty, and a visit in one."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.contract.store_samples import NINE
from voicelog.records.visit import Visit
from voicelog.store.base import Store
from voicelog.store.drivers import FileKey
from voicelog.store.memory import MemoryStore
from voicelog.store.sqlite import SqliteStore


@pytest.fixture(params=["memory", "sqlite", "encrypted"])
def store(request: pytest.FixtureRequest, tmp_path: Path, file_key: FileKey) -> Iterator[Store]:
    made: Store = MemoryStore()
    if request.param != "memory":
        key = file_key if request.param == "encrypted" else None
        made = SqliteStore(tmp_path / "records.db", key=key)
    yield made
    made.close()


@pytest.fixture
def visit(store: Store) -> Visit:
    return store.open_visit("C-014", NINE)
