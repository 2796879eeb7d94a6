"""One visit from opening to summary, shared by `listen` and `demo`."""

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass

from rich.console import Console
from rich.table import Table

from voicelog.analysis.numbering import numbered
from voicelog.audio.base import Source
from voicelog.audio.endpointer import Endpointer
from voicelog.cli.screen import Screen
from voicelog.clock import Clock, not_before
from voicelog.dialogue import prompts
from voicelog.dialogue.defaults import HABITS
from voicelog.dialogue.state import State
from voicelog.edges import Edges
from voicelog.exports import wording
from voicelog.grammar.language import LanguageData
from voicelog.happenings import Happening
from voicelog.hearing import Hearing
from voicelog.live import Live
from voicelog.records.content import AnyContent, Trial
from voicelog.speech.base import Voice
from voicelog.speech.printed import PrintedVoice
from voicelog.store.base import Store
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
        self._console = Console(stderr=True, highlight=False)
        self.unwatched = False
        """Whether nobody can read any more what it says; the visit breaks off then."""
        opened = open_visit(store, client, way.clock(0), anew=way.anew)
        self.visit = opened.visit
        if opened.taken_up:
            self._console.print(f"Taking up visit {self.visit.visit_id}, which broke off.")
        screen = house.screen(store, client)
        for line in care_lines(screen, house.language):
            self._console.print(line, style="yellow")
        against = cautions(screen, house.language)
        state = state_of(store, self.visit, lambda visit: house.setting(visit, against))
        self.screen = None if way.events else Screen(self._console, client)
        edges = Edges(
            hearing=self._ready(hearing),
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
        with self._console.status("Getting ready; the first time takes longer."):
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
        state, language = self.live.state, self._house.language
        console = Console(highlight=False)
        console.print(records_table(state, language))
        open_entries = (*state.aside, *((state.draft.entry,) if state.draft else ()))
        for entry in open_entries:
            what = prompts.read_back(language, entry.content)
            console.print(f"Not affirmed, so no record: {what}", style="yellow")
        found = self._house.findings(self._store, self._store.visit(self.visit.visit_id))
        for line in (*screen_lines(found.screened, language), *caution_lines(found, language)):
            console.print(f"Safety screen: {line}")
        names = numbered(sorted(state.records, key=lambda record: record.spoken_at))
        for event in found.stop_events:
            if not event.noted:
                console.print(stop_event_words(event, names, language), style="yellow")
                console.print("Type it with: voicelog review last, there r note: and the words.")


def records_table(state: State, language: LanguageData) -> Table:
    """The records of the visit in the order spoken."""
    table = Table("Time", "What", "Trial", "Range", "Pain", "More", title="Records")
    for entry in sorted(state.records, key=lambda record: record.spoken_at):
        time = entry.spoken_at.astimezone().strftime("%H:%M:%S")
        table.add_row(time, *_cells(entry.content, language))
    return table


def _cells(content: AnyContent, language: LanguageData) -> tuple[str, str, str, str, str]:
    if not isinstance(content, Trial):
        return prompts.read_back(language, content), "", "", "", ""
    place = " ".join(part for part in (content.side, content.joint, content.motion) if part)
    onset = "" if content.onset_deg is None else f"pain from {content.onset_deg}°"
    end = "" if content.range_deg is None else f"{content.range_deg}°"
    degrees = ", ".join(part for part in (onset, end) if part)
    habits = (
        wording.marked(content, slot, value, language)
        for slot in HABITS
        if (value := getattr(content, slot))
    )
    more = (
        *content.quality,
        f"end feel {content.end_feel}" if content.end_feel else "",
        content.outcome or "",
        *habits,
    )
    pain = "" if content.pain is None else str(content.pain)
    return place, content.phase or "", degrees, pain, ", ".join(part for part in more if part)


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
