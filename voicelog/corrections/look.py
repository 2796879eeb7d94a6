"""Which entries of a visit need a second look: what was not affirmed, or heard unsurely."""

from collections.abc import Sequence
from dataclasses import dataclass

from voicelog.corrections.changes import History, missing
from voicelog.grammar.interpret import Bars
from voicelog.grammar.language import LanguageData
from voicelog.records.content import Note
from voicelog.records.entry import Entry, standing, waiting
from voicelog.store.base import Parcel

_SURE = Bars().slot


@dataclass(frozen=True, slots=True)
class Look:
    """An entry as it is looked at. `shown` is what waits to be affirmed, else what stands.

    `unsure` are slots with how sure the engine was of them, 0 to 1, where that is not enough.
    `missing` are slots without which it cannot be affirmed.
    """

    history: History
    shown: Entry
    stands: Entry | None
    unsure: tuple[tuple[str, float], ...]
    missing: tuple[str, ...]

    @property
    def waits(self) -> bool:
        """Whether it waits to be affirmed."""
        return self.shown.status == "unconfirmed"

    @property
    def gone(self) -> bool:
        """Whether it counts no more."""
        return self.shown.status in ("dropped", "withdrawn")

    @property
    def unheard(self) -> bool:
        """Whether it is a note that nobody has compared with its sound."""
        content = self.shown.content
        return isinstance(content, Note) and not content.checked and not self.gone

    @property
    def sureness(self) -> float | None:
        """How sure the engine was of the utterance it was least sure of; None when typed."""
        return min((e.confidence for e in self.shown.evidence), default=None)

    @property
    def doubtful(self) -> bool:
        """Whether it was heard unsurely and nobody has looked at it since."""
        return bool(self.unsure) or self.unheard

    @property
    def settled(self) -> bool:
        """Whether it is a record to which an affirmation would add nothing; a note, too, is
        compared with its sound instead."""
        heard_surely = isinstance(self.shown.content, Note) or not self.doubtful
        return self.shown.status == "confirmed" and heard_surely


def look_at(history: History, language: LanguageData) -> Look:
    """The entry with that history, which must not be empty."""
    stands = standing(history)
    shown = waiting(history) or stands or history[-1]
    return Look(
        history=history,
        shown=shown,
        stands=stands,
        unsure=_unsure(shown),
        missing=missing(language, shown.content),
    )


def looks(parcel: Parcel, language: LanguageData, before: Sequence[Look] = ()) -> tuple[Look, ...]:
    """The entries of a visit: first what waits, then what is doubtful, then the rest as spoken,
    and at the end what counts no more. Those looked at `before` stay in their places, ahead of
    what is new, so that a number means the same entry as long as somebody looks."""
    histories: dict[str, list[Entry]] = {}
    for version in parcel.versions:
        histories.setdefault(version.entry_id, []).append(version)
    found = (look_at(tuple(history), language) for history in histories.values())
    places = {look.shown.entry_id: at for at, look in enumerate(before)}
    in_order = sorted(found, key=_order)
    return tuple(sorted(in_order, key=lambda at: places.get(at.shown.entry_id, len(places))))


def _order(look: Look) -> tuple[int, object, str]:
    group = 3 if look.gone else 0 if look.waits else 1 if look.doubtful else 2
    return group, look.shown.spoken_at, look.shown.entry_id


def _unsure(entry: Entry) -> tuple[tuple[str, float], ...]:
    """What was heard last of each slot counts; a person at the desk settles it."""
    if entry.affirmed is not None and entry.affirmed.by == "desk":
        return ()
    sure: dict[str, float] = {}
    for evidence in entry.evidence:
        if evidence.slot_confidence:
            sure |= evidence.slot_confidence
        elif evidence.confidence < _SURE:
            sure["all"] = evidence.confidence
    return tuple((slot, value) for slot, value in sure.items() if value < _SURE)
