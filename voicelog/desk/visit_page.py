"""One visit as a page: its records as cards, with what the numbers say beside them."""

from collections.abc import Mapping
from dataclasses import dataclass

from voicelog.analysis.findings import Findings
from voicelog.analysis.numbering import (
    Names,
    name_caveat,
    name_direction,
    numbered,
)
from voicelog.corrections.changes import before_first_affirmation, before_last_change
from voicelog.corrections.history import Slot, Step, differences, steps
from voicelog.corrections.look import Look, looks
from voicelog.corrections.proposals import picks
from voicelog.corrections.room import Room
from voicelog.desk.fields import Field, as_sent, fields
from voicelog.desk.waveform import waveform
from voicelog.dialogue import prompts
from voicelog.errors import AudioError
from voicelog.exports import wording
from voicelog.grammar.language import LanguageData
from voicelog.handover import Wish, hand_over
from voicelog.records.content import Note, Trial
from voicelog.records.entry import Entry
from voicelog.records.visit import Visit
from voicelog.shorthand import Suggestion
from voicelog.store.base import Clip, Parcel, Store
from voicelog.telling.comparisons import comparison_words
from voicelog.telling.directions import direction_words
from voicelog.telling.doubts import caveat_words
from voicelog.telling.slots import label, value_words
from voicelog.telling.stops import stop_event_words

Opened = Mapping[str, Mapping[str, list[str]]]
"""The entry whose slots are shown as lists, with what was chosen in them already."""


@dataclass(frozen=True, slots=True)
class Sound:
    """One clip: its place among those of the entry, its words and its picture.

    `picture` is empty when the clip is damaged.
    """

    number: int
    text: str
    seconds: float
    picture: str


@dataclass(frozen=True, slots=True)
class Pick:
    """An alternative with its key and what it would change."""

    number: int
    text: str
    changed: tuple[Slot, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """All that the page shows of one entry. `fields` is empty unless its lists are open."""

    look: Look
    name: str
    sentence: str
    read_back: str
    slots: tuple[tuple[str, str, float | None], ...]
    sounds: tuple[Sound, ...]
    picks: tuple[Pick, ...]
    steps: tuple[Step, ...]
    earlier: Entry | None
    unaffirmed: Entry | None
    told: tuple[str, ...]
    suggestions: tuple[Suggestion, ...]
    asks_what_was_done: bool = False
    """Whether it met a stop event and no note says what was done."""
    fields: tuple[Field, ...] = ()

    @property
    def is_note(self) -> bool:
        """Whether it is free words."""
        return isinstance(self.look.shown.content, Note)


@dataclass(frozen=True, slots=True)
class VisitPage:
    """A visit with its cards in the order to look at them."""

    visit: Visit
    cards: tuple[Card, ...]
    gone: tuple[Card, ...]
    directions: tuple[str, ...]
    caveats: tuple[str, ...]
    plots: tuple[str, ...]
    to_do: int


@dataclass(frozen=True, slots=True)
class _Beside:
    """The numbers of the entries, and the sentences of comparison, by entry id."""

    names: Names
    told: dict[str, list[str]]
    undone: frozenset[str]
    """The trials after whose stop event no note was put down."""


def visit_page(room: Room, store: Store, visit_id: str, opened: Opened) -> VisitPage:
    """The page of a visit. Raises StoreError."""
    parcel = store.parcel(visit_id)
    house, visit, language = room.house, parcel.visit, room.house.language
    found = house.findings(store, visit, waiting=True)
    every = looks(parcel, language)
    names = numbered(sorted((look.shown for look in every), key=lambda e: e.spoken_at))
    undone = frozenset(event.trial for event in found.stop_events if not event.noted)
    beside = _Beside(names, _comparisons(found, names, language), undone)
    cards = [_card(room, parcel, look, beside, opened) for look in every]
    return VisitPage(
        visit=visit,
        cards=tuple(card for card in cards if not card.look.gone),
        gone=tuple(card for card in cards if card.look.gone),
        directions=tuple(
            direction_words(name_direction(d, names), language) for d in found.directions
        ),
        caveats=(
            *(caveat_words(name_caveat(c, names), language) for c in found.compared.caveats),
            *(stop_event_words(event, names, language) for event in found.stop_events),
        ),
        plots=hand_over(house, store, visit, Wish()).plots,
        to_do=sum(look.waits or look.doubtful for look in every),
    )


def _card(room: Room, parcel: Parcel, look: Look, beside: _Beside, opened: Opened) -> Card:
    entry, language = look.shown, room.house.language
    sent = opened.get(entry.entry_id)
    return Card(
        look=look,
        name=beside.names[entry.entry_id],
        sentence=wording.sentence(entry.content, language),
        read_back=prompts.read_back(language, entry.content),
        slots=_slots(look, language),
        sounds=tuple(sound(n, clip) for n, clip in enumerate(clips_of(parcel, entry.entry_id))),
        picks=_picks(room, look),
        steps=steps(look.history, language),
        earlier=before_last_change(look.history),
        unaffirmed=before_first_affirmation(look.history),
        told=tuple(beside.told.get(entry.entry_id, ())),
        suggestions=room.suggest(entry.content.text) if isinstance(entry.content, Note) else (),
        asks_what_was_done=entry.entry_id in beside.undone,
        fields=() if sent is None else as_sent(fields(entry.content, language), sent),
    )


def clips_of(parcel: Parcel, entry_id: str) -> tuple[Clip, ...]:
    """The sound of an entry in the order spoken."""
    own = sorted(key for key in parcel.clips if key[0] == entry_id)
    return tuple(clip for key in own for clip in parcel.clips[key])


def sound(number: int, clip: Clip) -> Sound:
    """A clip with its picture, or without one when it is damaged."""
    try:
        picture = waveform(clip.flac)
    except AudioError:
        picture = ""
    return Sound(number, clip.text, clip.duration_s, picture)


def _picks(room: Room, look: Look) -> tuple[Pick, ...]:
    language = room.house.language
    return tuple(
        Pick(number, other.text, differences(look.shown.content, other.content, language))
        for number, other in enumerate(picks(room, look), start=1)
    )


def _slots(look: Look, language: LanguageData) -> tuple[tuple[str, str, float | None], ...]:
    """Every slot that has a value, with how sure the engine was where that is not enough."""
    content, unsure = look.shown.content, dict(look.unsure)
    if not isinstance(content, Trial):
        return ()
    values = content.model_dump(exclude={"kind", "by_default"})
    return tuple(
        (
            label(name, language),
            wording.marked(content, name, value_words(name, value, language), language),
            unsure.get(name),
        )
        for name, value in values.items()
        if value not in (None, ())
    )


def _comparisons(found: Findings, names: Names, language: LanguageData) -> dict[str, list[str]]:
    told: dict[str, list[str]] = {}
    for comparison in found.compared.comparisons:
        caveats = tuple(name_caveat(caveat, names) for caveat in comparison.caveats)
        text = comparison_words(comparison._replace(caveats=caveats), language)
        told.setdefault(comparison.trial, []).append(text)
    return told
