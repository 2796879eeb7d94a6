"""Builders for the tests of the analysis: one made-up client, one made-up day."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from voicelog.analysis.comparison import Comparer, Comparison
from voicelog.analysis.sift import Occasion
from voicelog.analysis.tables import Tables
from voicelog.records.content import AnyContent, Trial
from voicelog.records.entry import Affirmation, Entry
from voicelog.reference_tables import load_tables

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def tables() -> Tables:
    return load_tables()


@pytest.fixture(scope="session")
def comparer(tables: Tables) -> Comparer:
    return Comparer(tables)


@pytest.fixture(scope="session")
def occasion() -> Occasion:
    return Occasion("C-014", "2026-03-02-1")


@pytest.fixture(scope="session")
def entry() -> Callable[..., Entry]:
    """Makes a confirmed entry: entry("a", minute, content) of the made-up client."""

    def make(
        name: str,
        minute: float,
        content: AnyContent,
        *,
        client: str = "C-014",
        visit: str = "2026-03-02-1",
        by: str = "MT",
    ) -> Entry:
        at = START + timedelta(minutes=minute)
        return Entry(
            entry_id=name,
            visit_id=visit,
            client=client,
            version=2,
            status="confirmed",
            content=content,
            spoken_at=at,
            at=at,
            by=by,
            affirmed=Affirmation(read_back="as said", by="voice"),
        )

    return make


@pytest.fixture(scope="session")
def trial(entry: Callable[..., Entry]) -> Callable[..., Entry]:
    """Makes an entry with a trial: trial("a", minute, "gap", pain=3, ...) of the right shoulder."""
    shoulder: dict[str, Any] = {"side": "right", "joint": "shoulder", "motion": "internal rotation"}

    def make(name: str, minute: float, phase: str, **slots: Any) -> Entry:
        outer = {key: slots.pop(key) for key in ("client", "visit", "by") if key in slots}
        return entry(name, minute, Trial(**{**shoulder, "phase": phase, **slots}), **outer)

    return make


@pytest.fixture(scope="session")
def compare(comparer: Comparer, occasion: Occasion) -> Callable[..., tuple[Comparison, ...]]:
    """The comparisons of the made-up visit: compare(entry, entry, ...)."""

    def of(*entries: Entry) -> tuple[Comparison, ...]:
        return comparer.visit(occasion, entries).comparisons

    return of
