"""The rules every store keeps alike, so that the real one and the fake cannot drift apart."""

from collections.abc import Iterable
from datetime import datetime
from itertools import groupby
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from voicelog.errors import StoreError
from voicelog.records.entry import Entry, check_follows
from voicelog.records.visit import Visit

History = tuple[Entry, ...]
Model = TypeVar("Model", bound=BaseModel)


def as_kept(model: Model) -> Model:
    """A visit, an entry or a fact as it will be read back.

    A time in a zone with rules becomes the same time with a fixed offset (ISO 8601 knows only
    those). Without this, a time in the hour that a change of the clocks repeats would never equal
    its own kept copy: Python calls such times unequal across zones (PEP 495).
    """
    return type(model).model_validate_json(model.model_dump_json())


def is_new(entry: Entry, history: History, visit: Visit | None) -> bool:
    """Whether the entry may be added (True), or is kept already, to the letter (False).

    Raises StoreError, or its StaleVersion, when it is neither.
    """
    if visit is None:
        raise no_such_visit(entry.visit_id)
    if entry.client != visit.client:
        raise StoreError(
            f"Visit {visit.visit_id} belongs to another client than entry {entry.entry_id}",
            kept="Nothing was written",
            do="Open a visit for this client",
        )
    if entry in history:
        return False
    check_follows(history[-1] if history else None, entry)
    return True


def last_confirmed(history: History) -> int:
    """The newest confirmed version; 0 when there is none. A drop takes the sound after it."""
    return max((v.version for v in history if v.status == "confirmed"), default=0)


def histories(versions: Iterable[Entry]) -> tuple[History, ...]:
    """Versions of many entries, in any order, as one history each, in the order spoken.

    Entries spoken at the same moment stand in the order of their ids.
    """
    ordered = sorted(versions, key=lambda v: (v.spoken_at, v.entry_id, v.version))
    return tuple(tuple(group) for _, group in groupby(ordered, key=lambda v: v.entry_id))


def new_visit(client: str, at: datetime, taken: Iterable[str]) -> Visit:
    """A visit whose id is the day of `at`, where it takes place, and the first number after
    those `taken` that day. Raises StoreError when `client` is no client code."""
    day = at.date().isoformat()
    numbers = (int(i.removeprefix(f"{day}-")) for i in taken if i.startswith(f"{day}-"))
    visit_id = f"{day}-{max(numbers, default=0) + 1}"
    try:
        return as_kept(Visit(visit_id=visit_id, client=client, started_at=at))
    except ValidationError as error:
        if all(detail["loc"] != ("client",) for detail in error.errors()):
            raise
        raise StoreError(
            f"{client!r} is no client code",
            kept="No visit was opened",
            do="Use up to 32 letters, digits, dots, dashes and underscores, such as C-014",
        ) from error


def ended(visit: Visit, at: datetime) -> Visit:
    """The visit with its end; one that has ended already keeps its first end."""
    return visit if visit.ended_at else as_kept(visit.model_copy(update={"ended_at": at}))


def merged(there: Visit | None, coming: Visit) -> Visit:
    """The visit to keep when one comes from another store.

    The end may be known on one side only. Raises StoreError when the two are not the same visit.
    """
    if there is None:
        return coming
    ends = {visit.ended_at for visit in (there, coming)} - {None}
    begun = [visit.model_copy(update={"ended_at": None}) for visit in (there, coming)]
    if begun[0] != begun[1] or len(ends) > 1:
        raise StoreError(
            f"Another visit {coming.visit_id} is here already",
            kept="Nothing was written, and what was saved before is still there",
            do="Take it in where no other visit has this number, such as an empty data folder",
        )
    return there if there.ended_at else coming


def no_such_visit(visit_id: str) -> StoreError:
    """The error for an unknown visit id."""
    return StoreError(
        f"There is no visit {visit_id}",
        kept="Nothing was changed",
        do="Look at the list of visits for the right one",
    )


def no_such_client(client: str) -> StoreError:
    """The error for a client of whom nothing is kept."""
    return StoreError(
        f"Nothing is on record for {client}",
        kept="Nothing was changed",
        do="Look at the list of clients with: voicelog visits",
    )
