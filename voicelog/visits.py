"""Opening a visit, or taking up one that broke off."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from voicelog.dialogue.state import Setting, State
from voicelog.errors import StoreError
from voicelog.records.content import Trial
from voicelog.records.visit import Visit
from voicelog.store.base import Store

TAKE_UP_WITHIN = timedelta(hours=6)
"""A visit that broke off and began longer ago than this is not taken up again by itself."""


@dataclass(frozen=True, slots=True)
class Opened:
    """The visit, and whether it had broken off and is taken up again."""

    visit: Visit
    taken_up: bool


def open_visit(store: Store, client: str, at: datetime, *, anew: bool = False) -> Opened:
    """The client's visit that broke off a short while ago, or a new one. Raises StoreError."""
    if not anew:
        for visit in reversed(store.visits(client)):
            # One that began later than now broke off before the clock was set back.
            if visit.ended_at is None and at - visit.started_at < TAKE_UP_WITHIN:
                return Opened(visit, taken_up=True)
    return Opened(store.open_visit(client, at), taken_up=False)


def state_of(store: Store, visit: Visit, setting: Callable[[Visit], Setting]) -> State:
    """Where the dialogue of a visit stands after what the store has of it. Raises StoreError."""
    records = store.records(visit.visit_id)
    aside = store.unconfirmed(visit.visit_id)
    by_saving = tuple(sorted(records, key=lambda entry: entry.at))
    trials = [e.content for e in by_saving if isinstance(e.content, Trial)]
    known = {entry.entry_id for entry in (*records, *aside)}
    return State(
        setting(visit),
        records=by_saving,
        aside=aside,
        carried=trials[-1] if trials else None,
        versions={one: store.history(one)[-1].version for one in known},
    )


def newest_moment(visit: Visit, state: State) -> datetime:
    """The latest time that stands in the visit so far."""
    return max((visit.started_at, *(entry.at for entry in (*state.records, *state.aside))))


def began_later(store: Store, at: datetime) -> Visit | None:
    """The newest visit, where it began later than now: the clock was set back since, and what is
    dictated now would come before it. Raises StoreError."""
    newest = store.visits()[-1:]
    return newest[0] if newest and newest[0].started_at > at else None


def find_visit(store: Store, wanted: str) -> Visit:
    """The visit of that id; "last" is the newest; a client's code is that client's newest.

    Raises StoreError, naming the newest visits, when there is none.
    """
    visits = store.visits()
    for visit in visits:
        if visit.visit_id == wanted:
            return visit
    fitting = [v for v in visits if wanted in ("last", v.client)]
    if fitting:
        return fitting[-1]
    newest = ", ".join(f"{v.visit_id} ({v.client})" for v in visits[-3:])
    raise StoreError(
        f'There is no visit "{wanted}"',
        do=f"The newest are {newest}" if newest else "No visit has been recorded yet",
    )
