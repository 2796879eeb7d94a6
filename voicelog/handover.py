"""Gathers from the store all that an export is made from, and leaves out what was not asked for."""

from collections.abc import Iterable
from dataclasses import dataclass

from voicelog.analysis.findings import OnFile, findings
from voicelog.analysis.progress import Progress, progress
from voicelog.errors import ConfigurationError
from voicelog.exports.base import Practice, VisitRecords
from voicelog.exports.pseudonym import Pseudonym
from voicelog.grammar.language import LanguageData
from voicelog.plots import dose_plots, plots
from voicelog.records.coding import Codes
from voicelog.records.entry import Entry
from voicelog.records.visit import Visit
from voicelog.safety_screen import on_file
from voicelog.store.base import Store
from voicelog.wiring import House


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked for: what was not confirmed too, another name for the client, no codes."""

    unconfirmed: bool = False
    pseudonym: str | None = None
    codes: bool = True


def hand_over(house: House, store: Store, visit: Visit, wish: Wish) -> VisitRecords:
    """A visit as every export takes it.

    Raises StoreError, and ConfigurationError when the pseudonym is itself a client's code.
    """
    records = store.records(visit.visit_id)
    kept = on_file(store, house.tables.screen, visit.client)
    gathered = _Gathered(
        visit,
        records,
        store.unconfirmed(visit.visit_id) if wish.unconfirmed else (),
        tuple(_earlier(store, records)),
        tuple(_until(store, visit)),
        kept,
    )
    if wish.pseudonym is not None:
        gathered = gathered.named(wish.pseudonym, store.clients())
    found = findings(gathered.visit, gathered.records, gathered.kept, house.comparer)
    course = progress(gathered.visit.client, gathered.course, house.comparer)
    return VisitRecords(
        gathered.visit,
        gathered.records,
        gathered.unconfirmed,
        findings=found,
        earlier=gathered.earlier,
        plots=tuple(_plots(course, gathered.visit.visit_id, house.language)),
        codes=house.codes if wish.codes else Codes(),
        practice=Practice(house.settings.practice_name, house.settings.practice_phone),
        language=house.language,
    )


@dataclass(frozen=True, slots=True)
class _Gathered:
    """What the store has: `course` is every record of the client up to the end of this visit."""

    visit: Visit
    records: tuple[Entry, ...]
    unconfirmed: tuple[Entry, ...]
    earlier: tuple[Entry, ...]
    course: tuple[Entry, ...]
    kept: OnFile

    def named(self, name: str, codes: Iterable[str]) -> "_Gathered":
        """The same under another name. Raises ConfigurationError when a client has that code."""
        if name.lower() in {code.lower() for code in codes}:
            raise ConfigurationError(
                f'"{name}" is itself a client\'s code of this practice',
                kept="Nothing was written",
                do="Choose another pseudonym",
            )
        other = Pseudonym(name, self.visit.client, codes)
        return _Gathered(
            other.of(self.visit),
            tuple(map(other.of, self.records)),
            tuple(map(other.of, self.unconfirmed)),
            tuple(map(other.of, self.earlier)),
            tuple(map(other.of, self.course)),
            OnFile(
                self.kept.items,
                tuple(map(other.of, self.kept.answers)),
                tuple(map(other.of, self.kept.clearances)),
            ),
        )


def _earlier(store: Store, records: Iterable[Entry]) -> Iterable[Entry]:
    """Confirmed versions that a later one has taken the place of."""
    for record in records:
        for version in store.history(record.entry_id):
            if version.status == "confirmed" and version.version < record.version:
                yield version


def _until(store: Store, visit: Visit) -> Iterable[Entry]:
    for other in store.visits(visit.client):
        if other.started_at <= visit.started_at:
            yield from store.records(other.visit_id)


def _plots(course: Progress, visit_id: str, language: LanguageData) -> Iterable[str]:
    """Pictures of the movements and drills of this visit that one before it had too."""
    for movement in course.movements:
        if len(movement.points) > 1 and movement.points[-1].visit_id == visit_id:
            yield from (picture for _, picture in plots(movement, language))
    for _, given, picture in dose_plots(course.drills, language):
        if len({each.visit_id for each in given}) > 1 and given[-1].visit_id == visit_id:
            yield picture
