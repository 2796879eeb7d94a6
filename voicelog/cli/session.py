"""One visit from opening to summary, shared by `listen` and `demo`."""

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console
from rich.table import Table

from voicelog.analysis.numbering import numbered
from voicelog.audio.base import Source
from voicelog.audio.endpointer import Endpointer
from voicelog.cli.screen import Screen
from voicelog.cli.tables import show_table
from voicelog.clock import Clock, not_before
from voicelog.dialogue import prompts
from voicelog.dialogue.defaults import HABITS
from voicelog.dialogue.state import State
from voicelog.exports import wording
from voicelog.grammar.language import LanguageData
from voicelog.listening.edges import Edges
from voicelog.listening.happenings import Happening
from voicelog.listening.hearing import Hearing
from voicelog.listening.live import Live
from voicelog.records.content import AnyContent, Trial
from voicelog.speech.base import Voice
from voicelog.speech.printed import PrintedVoice
from voicelog.store.base import Store
from voicelog.telling.names import named
from voicelog.telling.screen import (
    care_lines,
    caution_lines,
    cautions,
    screen_lines,
)
from voicelog.telling.stops import stop_event_words
from voicelog.visits import newest_moment, open_visit, state_of
from voicelog.wiring import House


@dataclass(frozen=True, slots=True)
class Way:
    """How a visit is recorded. `voice` is None to show what would be said instead of saying it;
    `clock` gives the time of a place in the sound, in seconds from its start; `ends_with` says of
    what happens whether the visit ends with it."""

    clock: Clock
    voice: Voice | None
    events: bool = False
    anew: bool = False
    engine: str | None = None
    ends_with: Callable[[Happening], bool] = lambda happening: False


class Session:
    """Builds the live loop for one client, runs it, and tells what was kept.

    `hearing` waits for an engine that was begun before; else one is begun here.
    """

    def __init__(
        self,
        house: House,
        store: Store,
        client: str,
        way: Way,
        hearing: Callable[[], Hearing] | None = None,
    ) -> None:
        hearing = hearing or house.hearing_ahead(way.engine)
        self._house = house
        self._store = store
        self._way = way
        self._text = house.language.texts.listening
        self._console = Console(stderr=True, highlight=False)
        self.unwatched = False
        """Whether nobody can read any more what it says; the visit breaks off then."""
        self.screen = None if way.events else Screen(self._console, client, self._text)
        ear = self._ready(hearing)  # no visit is begun that nobody can hear
        opened = open_visit(store, client, way.clock(0), anew=way.anew)
        self.visit = opened.visit
        if opened.taken_up:
            self._console.print(self._text.taken_up.format(visit=self.visit.visit_id))
        screen = house.screen(store, client)
        for line in care_lines(screen, house.language):
            self._console.print(line, style="yellow")
        against = cautions(screen, house.language)
        state = state_of(store, self.visit, lambda visit: house.setting(visit, against))
        edges = Edges(
            hearing=ear,
            store=store,
            voice=way.voice or PrintedVoice(lambda text: None),
            clock=not_before(way.clock, newest_moment(self.visit, state)),
            watch=self._watch,
            deaf=way.voice is not None,
            prior=house.prior,
            remark=house.remark,
        )
        if self.screen is not None:
            edges.level = self.screen.level
        self.live = Live(state, edges, Endpointer())

    def _ready(self, hearing: Callable[[], Hearing]) -> Hearing:
        if self.screen is None:
            return hearing()
        with self._console.status(self._text.getting_ready):
            return hearing()

    def _watch(self, happening: Happening) -> None:
        try:
            (print_event if self.screen is None else self.screen.watch)(happening)
        except OSError:  # the terminal was closed, or whoever read the events is gone
            self.unwatched = True
            self.live.keys.put("break off")
        if self._way.ends_with(happening):
            self.live.keys.put("stop")

    def run(self, source: Source) -> State:
        """Listen to the end; see `Live.run`."""
        if self.screen is None:
            return self.live.run(source)
        with self.screen:
            return self.live.run(source)

    def summary(self) -> None:
        """Show the records as a table, and what was not affirmed."""
        state, language, text = self.live.state, self._house.language, self._text
        console = Console(highlight=False)
        if state.records:
            show_table(console, records_table(state, language))
        elif not state.unaffirmed:
            console.print(text.nothing_heard)
        for entry in state.unaffirmed:
            told = text.not_affirmed if state.is_kept(entry) else text.not_kept
            record = prompts.read_back(language, entry.content)
            console.print(told.format(record=record), style="yellow")
        found = self._house.findings(self._store, self._store.visit(self.visit.visit_id))
        for line in (*screen_lines(found.screened, language), *caution_lines(found, language)):
            console.print(text.screen.format(line=line))
        names = numbered(sorted(state.records, key=lambda record: record.spoken_at))
        for event in found.stop_events:
            if not event.noted:
                console.print(stop_event_words(event, names, language), style="yellow")
                key = f"r {language.kinds['note'][0]}:"
                console.print(text.type_done.format(command="voicelog review last", key=key))

    def kept_in(self, file: Path) -> str:
        """In which file the visit is."""
        return self._text.kept_in.format(visit=self.visit.visit_id, file=file)

    def broke_off(self, why: str) -> str:
        """That the visit broke off, and what was kept. `why` is empty when nobody reads any more
        what it says."""
        return self._text.broke_off.format(why=why or self._text.unread, kept=self.what_was_kept())

    def what_was_kept(self) -> str:
        """How much of a visit that broke off was kept, and how it is taken up again."""
        state = self.live.state
        aside = len(state.unaffirmed) - len(state.unkept)
        text = self._text.kept_aside if aside else self._text.kept
        kept = text.format(saved=len(state.records), aside=aside)
        records = (prompts.read_back(self._house.language, e.content) for e in state.unkept)
        return ". ".join((*(self._text.not_kept.format(record=r) for r in records), kept))


def records_table(state: State, language: LanguageData) -> Table:
    """The records of the visit in the order spoken."""
    text = language.texts.tables.records
    table = Table(*text.columns, title=text.title)
    for entry in sorted(state.records, key=lambda record: record.spoken_at):
        time = entry.spoken_at.strftime("%H:%M:%S")
        table.add_row(time, *_cells(entry.content, language))
    return table


def _cells(content: AnyContent, language: LanguageData) -> tuple[str, str, str, str, str]:
    if not isinstance(content, Trial):
        return prompts.read_back(language, content), "", "", "", ""
    text, onset_deg = language.texts, content.onset_deg
    onset = "" if onset_deg is None else text.tables.cells.onset.format(degrees=onset_deg)
    end = "" if content.range_deg is None else f"{content.range_deg}°"
    degrees = ", ".join(part for part in (onset, end) if part)
    feel = named("end_feel", content.end_feel, language)
    habits = (
        wording.marked(content, slot, named(slot, value, language), language)
        for slot in HABITS
        if (value := getattr(content, slot))
    )
    more = (
        *wording.qualities(content, language),
        text.record.end_feel.format(value=feel) if feel else "",
        named("outcome", content.outcome, language),
        *habits,
    )
    pain = "" if content.pain is None else str(content.pain)
    place, phase = wording.movement(content, language), named("phase", content.phase, language)
    return place, phase, degrees, pain, ", ".join(part for part in more if part)


def print_event(happening: Happening) -> None:
    """One JSON object a line for one thing that happened."""
    row: dict[str, object] = {"event": happening.kind, "at": happening.at.isoformat()}
    if happening.text:
        row["text"] = happening.text
    if happening.entry is not None:
        row["entry_id"] = happening.entry.entry_id
        row["version"] = happening.entry.version
        row["content"] = happening.entry.content.model_dump(mode="json")
    sys.stdout.write(json.dumps({**row, **happening.facts}) + "\n")
    sys.stdout.flush()
