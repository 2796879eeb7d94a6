"""The list of visits, newest first, with a filter that stays out of the address."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import ceil

from voicelog.errors import ConfigurationError
from voicelog.grammar.language import LanguageData
from voicelog.records.visit import Visit
from voicelog.store.base import Store
from voicelog.telling.refusals import refusal

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


def page(store: Store, wanted: Mapping[str, str], number: int, language: LanguageData) -> Page:
    """The page of that number, or the nearest. Raises ConfigurationError for what is no date."""
    since, until = days(wanted, language)
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


def days(wanted: Mapping[str, str], language: LanguageData) -> tuple[date | None, date | None]:
    """The first and the last day that is wanted. Raises ConfigurationError for what is no date."""
    return _day(wanted.get("since", ""), language), _day(wanted.get("until", ""), language)


def _row(store: Store, visit: Visit) -> Row:
    records, waiting = store.records(visit.visit_id), store.unconfirmed(visit.visit_id)
    return Row(visit, len(records), len(waiting))


def _day(text: str, language: LanguageData) -> date | None:
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise refusal(ConfigurationError, "no date", language, given=text[:20]) from error
