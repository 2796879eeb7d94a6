"""A conversation in words: what she says goes in as text, what the tool does comes out."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest

from voicelog.data_files.languages import language_folder, load_language
from voicelog.dialogue.actions import Action, Drop, EndVisit, Keep, Save, Say, Signal
from voicelog.dialogue.events import (
    Ended,
    Event,
    Heard,
    KeyPressed,
    NotEnded,
    NotStored,
    Stopped,
    Stored,
)
from voicelog.dialogue.state import Setting, State
from voicelog.dialogue.step import step
from voicelog.errors import StoreError
from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.interpret import Interpretation
from voicelog.grammar.language import LanguageData
from voicelog.grammar.parse import parse
from voicelog.grammar.phrases import Phrases
from voicelog.records.content import AnyContent
from voicelog.records.entry import Entry, Evidence
from voicelog.store.memory import MemoryStore

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def language() -> LanguageData:
    return load_language(language_folder())


@pytest.fixture(scope="session")
def phrases(language: LanguageData) -> Phrases:
    return Phrases(language)


@dataclass
class Conversation:
    """Drives the dialogue by words and keeps what it does in a real store."""

    phrases: Phrases
    state: State
    store: MemoryStore
    actions: list[Action] = field(default_factory=list)
    broken: bool = False
    """While true, the store refuses to keep anything."""
    remark: str = ""
    """What there is to say about each record that is saved."""
    _count: int = 0

    def say(
        self, words: str, doubtful: tuple[str, ...] = (), begun: Expect | None = None
    ) -> "Conversation":
        """She says the words; the dialogue gets what they mean there, or nothing. `begun` is what
        was expected when she began, where a key has changed it since."""
        self._count += 1
        intent = parse(self.phrases.trees[begun or self.state.expect], tuple(words.lower().split()))
        meant = Interpretation(
            accepted=intent is not None,
            reason=None if intent else "talk",
            intent=intent,
            confidence=0.9,
            text=words,
            doubtful=doubtful,
        )
        evidence = Evidence(
            text=words, confidence=0.9, engine="words", model="none", grammar_version="test"
        )
        return self.feed(Heard(meant, evidence, f"entry-{self._count}", self.now))

    def feed(self, event: Event) -> "Conversation":
        """Let an event happen and do what follows."""
        self.state, actions = step(self.state, event)
        for action in actions:
            self.actions.append(action)
            if isinstance(action, Keep | Save | Drop):
                self._keep(action.entry)
            elif isinstance(action, EndVisit):
                self._end(action)
        return self

    def press(self, command: str) -> "Conversation":
        """She presses a key."""
        return self.feed(KeyPressed(command, self.now))  # type: ignore[arg-type]

    def stop(self) -> "Conversation":
        """The sound ends."""
        return self.feed(Stopped(self.now))

    @property
    def now(self) -> datetime:
        return START + timedelta(seconds=10 * self._count)

    @property
    def answer(self) -> str:
        """The last sentence of the tool."""
        return next(reversed(self.answers), "")

    @property
    def answers(self) -> list[str]:
        """All that the tool said."""
        return [action.text for action in self.actions if isinstance(action, Say)]

    @property
    def tones(self) -> list[str]:
        return [action.tone for action in self.actions if isinstance(action, Signal)]

    @property
    def records(self) -> list[AnyContent]:
        visit = self.state.setting.visit.visit_id
        return [entry.content for entry in self.store.records(visit)]

    @property
    def unconfirmed(self) -> list[AnyContent]:
        visit = self.state.setting.visit.visit_id
        return [entry.content for entry in self.store.unconfirmed(visit)]

    def _end(self, action: EndVisit) -> None:
        if self.broken:
            self.feed(NotEnded("The disk is full."))
        else:
            self.store.end_visit(self.state.setting.visit.visit_id, action.at)
            self.feed(Ended())

    def _keep(self, entry: Entry) -> None:
        try:
            if self.broken:
                raise StoreError("The disk is full")
            self.store.append(entry)
        except StoreError as error:
            self.feed(NotStored(entry, f"{error.what}."))
        else:
            self.feed(Stored(entry, self.remark if entry.status == "confirmed" else ""))


def _started(phrases: Phrases) -> Conversation:
    store = MemoryStore()
    setting = Setting(
        phrases.language,
        store.open_visit("C-014", START),
        by="test",
        plausible={("ankle", "dorsiflexion"): (0, 60)},
        stop_words=frozenset({"numb", "tingling"}),
    )
    return Conversation(phrases, State(setting), store)


@pytest.fixture(scope="session")
def make_talk(phrases: Phrases) -> Callable[[], Conversation]:
    """Starts a conversation at the start of a visit."""
    return lambda: _started(phrases)


@pytest.fixture
def talk(make_talk: Callable[[], Conversation]) -> Conversation:
    """A conversation at the start of a visit."""
    return make_talk()


@pytest.fixture
def talk_in() -> Callable[[LanguageData], Conversation]:
    """Starts a conversation in a language of the test's own."""
    return lambda language: _started(Phrases(language))


@pytest.fixture
def korean_talk() -> Conversation:
    """A conversation in Korean at the start of a visit."""
    return _started(Phrases(load_language(language_folder("ko"))))
