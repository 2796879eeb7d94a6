"""A day of visits to look at, and the safety screen as it may have been answered."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from voicelog.analysis.findings import Findings
from voicelog.records.visit import Visit

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


VISIT = Visit(
    visit_id="2026-03-02-1",
    client="C-014",
    started_at=START,
    ended_at=START + timedelta(minutes=40),
)


Look = Callable[..., Findings]
