"""Where the dialogue stands. Frozen: every step makes a new one."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from voicelog.dialogue.actions import Action
from voicelog.dialogue.defaults import Defaults
from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.language import LanguageData
from voicelog.grammar.posterior import PlausibleRange
from voicelog.records.content import Trial
from voicelog.records.entry import Entry
from voicelog.records.visit import Visit

Mode = Literal["listening", "paused", "closing", "ended"]
ReadBack = Literal["all", "doubtful", "tones"]
"""How much is read back. all: the whole record. doubtful: without the movement where it is that of
the trial before, as doubts are asked about anyway. tones: a tone, and the words only shown."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What stays the same for a whole visit."""

    language: LanguageData
    visit: Visit
    by: str
    """Short name of the practitioner, kept with every version."""
    plausible: PlausibleRange = field(default_factory=dict)
    stop_words: frozenset[str] = frozenset()
    """Qualities at which testing should stop (numb, tingling …)."""
    cautions: Mapping[tuple[str, str | None], str] = field(default_factory=dict)
    """For a phase that the safety screen speaks against, what it says."""
    read_back: ReadBack = "all"
    defaults: Defaults = field(default_factory=dict)
    """Manner, position and instrument that the practice has set, by joint."""


@dataclass(frozen=True, slots=True)
class Draft:
    """The entry that is being talked about.

    `asked` is the slot that was asked for, or None when the whole was read back and waits for a
    yes; `sentence` is how. `doubtful` are slots the recogniser was not sure of, `checked` those she
    has settled since. `kept` is whether the store has this very version, `waits` whether it has an
    earlier one that waits for a yes or no.
    """

    entry: Entry
    asked: str | None = None
    sentence: str = ""
    doubtful: tuple[str, ...] = ()
    checked: frozenset[str] = frozenset()
    kept: bool = False
    waits: bool = False


@dataclass(frozen=True, slots=True)
class State:
    """Where the dialogue stands.

    `carried` is the last trial, from which side, joint and motion carry over. `said` is the
    sentence that waits for an answer, or else the last one. `records` are the standing records of
    the visit, the one saved last at the end. `aside` are entries left unconfirmed. `versions` is
    the newest version number that the store has of each entry. `warned` are stop words and phases
    already prompted for. `unsure` is whether the tool has just asked for a yes or no again, as it
    could not tell which was said.
    """

    setting: Setting
    mode: Mode = "listening"
    draft: Draft | None = None
    carried: Trial | None = None
    said: str = ""
    records: tuple[Entry, ...] = ()
    aside: tuple[Entry, ...] = ()
    versions: Mapping[str, int] = field(default_factory=dict)
    warned: frozenset[str] = frozenset()
    unsure: bool = False

    def newest(self, entry_id: str) -> int:
        """The number of the newest version the store has of an entry; 0 when it has none."""
        return self.versions.get(entry_id, 0)

    def is_saved(self, entry_id: str) -> bool:
        """Whether the entry is a record already."""
        return any(record.entry_id == entry_id for record in self.records)

    def is_kept(self, entry: Entry) -> bool:
        """Whether the store has this version."""
        return self.newest(entry.entry_id) >= entry.version

    @property
    def unaffirmed(self) -> tuple[Entry, ...]:
        """What was dictated and neither affirmed nor dropped, the open draft last."""
        return (*self.aside, *((self.draft.entry,) if self.draft else ()))

    @property
    def unkept(self) -> tuple[Entry, ...]:
        """What of it the store has not: the writing failed, or was not tried yet."""
        return tuple(entry for entry in self.unaffirmed if not self.is_kept(entry))

    @property
    def waits_with(self) -> str:
        """The sentence that waits for an answer, or nothing."""
        return self.said if self.draft is not None or self.mode == "closing" else ""

    @property
    def last(self) -> Entry | None:
        """The record saved last."""
        return self.records[-1] if self.records else None

    @property
    def corrected(self) -> Trial | None:
        """The trial that a correction would be of."""
        entry = self.last if self.draft is None else self.draft.entry
        return entry.content if entry is not None and isinstance(entry.content, Trial) else None

    @property
    def taken_on(self) -> Trial | None:
        """The trial whose side, joint and motion hold for what is said next without them: of the
        draft that is asked about, or else of the last one."""
        asks = self.draft is not None and self.draft.asked is not None
        return self.corrected if asks else self.carried

    @property
    def trials(self) -> tuple[Trial, ...]:
        """What was found in the trials whose records stand."""
        return tuple(r.content for r in self.records if isinstance(r.content, Trial))

    @property
    def expect(self) -> Expect:
        """What may be said next."""
        if self.mode == "paused":
            return "command"
        asked = self.draft.asked if self.draft else None
        if asked is None:
            return "any"
        return _EXPECT.get(asked, "answer")


Step = tuple[State, tuple[Action, ...]]
"""A new state, and what to do in order."""

_EXPECT: Mapping[str, Expect] = {
    "pain": "pain",
    "result": "pain",
    "range_deg": "range",
    "onset_deg": "range",
}
