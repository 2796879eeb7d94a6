"""The list of visits, newest first, with a filter that stays out of the address."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import ceil

from voicelog.errors import ConfigurationError
from voicelog.records.visit import Visit
from voicelog.store.base import Store

ROWS = 25


@dataclass(frozen=True, slots=True)
class Row:
    """One visit, with how many records it has and how many wait to be affirmed."""

    visit: Visit
    records: int
    waiting: int


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the list; `number` counts from 1."""

    rows: tuple[Row, ...]
    found: int
    number: int
    pages: int


def page(store: Store, wanted: Mapping[str, str], number: int) -> Page:
    """The page of that number, or the nearest. Raises ConfigurationError for what is no date."""
    since, until = (_day(wanted.get(end, "")) for end in ("since", "until"))
    client = wanted.get("client", "").strip().casefold()
    fitting = [
        visit
        for visit in store.visits()
        if client in visit.client.casefold()
        and (since is None or visit.started_at.date() >= since)
        and (until is None or visit.started_at.date() <= until)
    ]
    pages = max(1, ceil(len(fitting) / ROWS))
    number = min(max(number, 1), pages)
    first = (number - 1) * ROWS
    rows = tuple(_row(store, visit) for visit in fitting[::-1][first : first + ROWS])
    return Page(rows, len(fitting), number, pages)


def _row(store: Store, visit: Visit) -> Row:
    records, waiting = store.records(visit.visit_id), store.unconfirmed(visit.visit_id)
    return Row(visit, len(records), len(waiting))


def _day(text: str) -> date | None:
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise ConfigurationError(
            f"{text[:20]} is no date",
            kept="The list was left as it is",
            do="Write it as 2026-03-02",
        ) from error
