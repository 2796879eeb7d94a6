"""Which of the records handed in count, and why the others do not."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from voicelog.analysis.caveats import Caveat, Doubt
from voicelog.records.content import Trial
from voicelog.records.entry import Entry, standing


@dataclass(frozen=True, slots=True)
class Sifted:
    """The standing versions that count, in the order of their times, and what was left out."""

    entries: tuple[Entry, ...]
    caveats: tuple[Caveat, ...]


@dataclass(frozen=True, slots=True)
class Occasion:
    """One client's visit. Results for others never carry the client's code."""

    client: str
    visit_id: str


def by_occasion(entries: Iterable[Entry]) -> dict[Occasion, list[Entry]]:
    """The entries of each client's visits, in the order given.

    Raises TypeError when something else than an Entry is handed in.
    """
    found: dict[tuple[str, str], list[Entry]] = {}
    for entry in entries:
        if not isinstance(entry, Entry):
            raise TypeError(f"Entries are wanted here, not {type(entry).__name__}")
        found.setdefault((entry.client, entry.visit_id), []).append(entry)
    return {Occasion(*key): own for key, own in found.items()}


def sift_visit(occasion: Occasion, entries: Iterable[Entry]) -> Sifted:
    """The entries of one visit that count, whatever else was handed in with them.

    Several versions of one entry may be among them; the newest confirmed one counts.
    """
    own: list[Entry] = []
    caveats: list[Caveat] = []
    for place, found in by_occasion(entries).items():
        if place == occasion:
            own = found
            continue
        doubt = Doubt.OTHER_CLIENT if place.client != occasion.client else Doubt.OTHER_VISIT
        caveats.extend(
            Caveat(doubt, (name,)) for name in dict.fromkeys(entry.entry_id for entry in found)
        )
    sifted = sift(own)
    return Sifted(sifted.entries, sifted.caveats + _sorted(caveats))


def sift(entries: Iterable[Entry]) -> Sifted:
    """The entries that count: the newest confirmed version of each, in the order of their times.

    Of entries of the very same time a baseline comes first, then trials: a note that was typed
    beside a trial has its time, and follows it.
    """
    counted: list[Entry] = []
    caveats: list[Caveat] = []
    for versions in _histories(entries):
        newest = versions[-1]
        kept = newest if newest.status == "confirmed" else standing(tuple(versions))
        if kept is None:
            if newest.status == "unconfirmed":
                caveats.append(Caveat(Doubt.NOT_CONFIRMED, (newest.entry_id,)))
            continue
        if newest.status == "unconfirmed":
            caveats.append(Caveat(Doubt.CORRECTION_WAITS, (newest.entry_id,)))
        doubt = _unusable(kept)
        if doubt is not None:
            caveats.append(Caveat(doubt, (kept.entry_id,)))
        if doubt is None or doubt is Doubt.CLOCK:
            counted.append(kept)
    counted.sort(key=_order)
    return Sifted(tuple(counted), _sorted(caveats))


def _order(entry: Entry) -> tuple[datetime, int, str]:
    content = entry.content
    rank = 2
    if isinstance(content, Trial):
        rank = 0 if content.phase == "baseline" else 1
    return (entry.spoken_at, rank, entry.entry_id)


def _histories(entries: Iterable[Entry]) -> Iterable[list[Entry]]:
    """The versions of each entry, oldest first."""
    histories: dict[str, list[Entry]] = {}
    for entry in entries:
        histories.setdefault(entry.entry_id, []).append(entry)
    for versions in histories.values():
        if len(versions) > 1:
            versions.sort(key=lambda entry: entry.version)
    return histories.values()


def _unusable(entry: Entry) -> Doubt | None:
    """Why a record cannot be used as it stands; records read without checks may hold anything."""
    content = entry.content
    if isinstance(content, Trial):
        if content.joint is None or content.motion is None:
            return Doubt.NO_MOVEMENT
        if content.phase is None:
            return Doubt.NO_PHASE
        if content.pain is not None and not 0 <= content.pain <= 10:
            return Doubt.IMPOSSIBLE_PAIN
        end, onset = content.range_deg, content.onset_deg
        impossible_end = end is not None and not 0 <= end <= 180
        if impossible_end or (onset is not None and not 0 <= onset <= 180):
            return Doubt.IMPOSSIBLE_RANGE
    if entry.at < entry.spoken_at:
        return Doubt.CLOCK
    return None


def _sorted(caveats: Iterable[Caveat]) -> tuple[Caveat, ...]:
    return tuple(sorted(caveats, key=lambda caveat: (caveat.about, caveat.doubt)))
