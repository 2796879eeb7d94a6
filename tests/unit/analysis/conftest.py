"""Builders for the tests of the analysis: one made-up client, one made-up day."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from tests.unit.analysis.days import START, VISIT, Look
from voicelog.analysis.comparison import Comparer, Comparison
from voicelog.analysis.findings import Findings, OnFile, findings
from voicelog.analysis.sift import Occasion
from voicelog.analysis.tables import Tables
from voicelog.data_files.reference_tables import load_tables
from voicelog.records.content import AnyContent, Drill, Trial
from voicelog.records.entry import Affirmation, Entry
from voicelog.records.screen import Clearance, ScreenAnswer
from voicelog.records.visit import Visit


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


@pytest.fixture
def asked(tables: Tables) -> Callable[..., tuple[ScreenAnswer, ...]]:
    """All answers no but those named, so many minutes after the visit began."""

    def make(minutes: float = -10, **but: str) -> tuple[ScreenAnswer, ...]:
        named = {name.replace("_", "."): answer for name, answer in but.items()}
        return tuple(
            ScreenAnswer.model_validate(
                {
                    "client": "C-014",
                    "item": item.id,
                    "answer": named.get(item.id, "no"),
                    "asked_by": "MT",
                    "asked_at": START + timedelta(minutes=minutes),
                }
            )
            for item in tables.screen
        )

    return make


@pytest.fixture
def look(tables: Tables, comparer: Comparer) -> Look:
    """The findings of the made-up visit from its entries and what is on file."""

    def make(
        *entries: Entry,
        answers: tuple[ScreenAnswer, ...] = (),
        clearances: tuple[Clearance, ...] = (),
        visit: Visit = VISIT,
    ) -> Findings:
        return findings(visit, entries, OnFile(tables.screen, answers, clearances), comparer)

    return make


@pytest.fixture
def day(trial: Callable[..., Entry], entry: Callable[..., Entry]) -> tuple[Entry, ...]:
    """A day on which gap eases the shoulder and compression does not."""
    return (
        trial("base", 1, "baseline", pain=6, range_deg=40),
        trial("gap", 2, "gap", pain=3, range_deg=50),
        entry("drill", 3, Drill(name="wall slide")),
        trial("press", 4, "compression", pain=6, range_deg=38),
        trial("again", 5, "retest", pain=2),
    )
