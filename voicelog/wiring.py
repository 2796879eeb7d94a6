"""Builds things, and alone does so: the rest of the shell is handed what it works with."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from voicelog.analysis.comparison import Comparer
from voicelog.analysis.findings import Findings, findings
from voicelog.analysis.reference_range import highest_plausible_deg
from voicelog.analysis.safety import Screen
from voicelog.analysis.sift import Occasion
from voicelog.analysis.tables import Tables
from voicelog.audio.base import Source
from voicelog.data_files.languages import language_folder, load_language, load_pronunciations
from voicelog.data_files.reference_tables import load_codes, load_tables
from voicelog.dialogue.state import Setting, State
from voicelog.engines import BUILDERS, Spoken, engine_name
from voicelog.enrolment.kept_voice import usable_voice
from voicelog.grammar.interpret import Bars
from voicelog.grammar.language import EngineName, LanguageData
from voicelog.grammar.own_words import OwnWords, with_own
from voicelog.grammar.phrases import Phrases
from voicelog.grammar.posterior import PlausibleRange, Prior
from voicelog.listening.hearing import Hearing
from voicelog.recognisers.base import Recogniser
from voicelog.records.coding import Codes
from voicelog.records.content import Trial
from voicelog.records.entry import Entry
from voicelog.records.visit import Visit
from voicelog.safekeeping.unlocking import Lock, Nobody, Person, places
from voicelog.safety_screen import on_file, screen_now
from voicelog.settings.fields import Settings
from voicelog.settings.tailoring import listened_for, ordered, own_defaults, own_tables
from voicelog.speech.base import Voice
from voicelog.store.base import Store
from voicelog.store.drivers import FileKey
from voicelog.telling.remark import remark
from voicelog.words.file import load_own_words, own_words_file

if TYPE_CHECKING:
    from voicelog.store.sqlite import SqliteStore


@dataclass(frozen=True)
class House:
    """Everything that is built from the settings, each when first asked for.

    `person` is whoever sits at the terminal and can be asked for a passphrase. `trial_words` are
    own words to try in the place of those on file.
    """

    settings: Settings
    person: Person = field(default_factory=Nobody)
    trial_words: OwnWords | None = None

    @cached_property
    def language_folder(self) -> Path:
        """The folder of the language's files."""
        return language_folder(self.settings.language)

    @cached_property
    def language(self) -> LanguageData:
        """The language spoken, with the practice's own words. Raises GrammarError."""
        return ordered(with_own(load_language(self.language_folder), self.own_words), self.settings)

    @property
    def own_words_file(self) -> Path:
        """Where the practice's own words are kept."""
        return own_words_file(self.settings.data_folder, self.settings.language)

    @cached_property
    def own_words(self) -> OwnWords:
        """The practice's own words. Raises GrammarError."""
        if self.trial_words is not None:
            return self.trial_words
        return load_own_words(self.own_words_file)

    @cached_property
    def pronunciations(self) -> dict[str, tuple[str, ...]]:
        """Those of the language beyond the engine's dictionary, and the practice's over them.

        Raises GrammarError.
        """
        own = self.own_words.pronunciations
        return load_pronunciations(self.language_folder) | {w: tuple(own[w]) for w in own}

    @cached_property
    def phrases(self) -> Phrases:
        """All that may be said. Raises ConfigurationError."""
        return Phrases(listened_for(self.language, self.settings))

    def hearing(self, engine: str | None = None) -> Hearing:
        """An engine with the language loaded. Raises GrammarError or RecogniserError."""
        return Hearing(self.recogniser(engine), self.phrases, Bars())

    def hearing_ahead(self, engine: str | None = None) -> Callable[[], Hearing]:
        """The same with the engine in a watched process of its own, for hours of listening. It is
        begun now; what is returned waits until it is ready."""
        from voicelog.recognisers.guarded import GuardedRecogniser

        recogniser = GuardedRecogniser()  # starts up while the language is loaded here
        recogniser.load_ahead(self._engine(engine))
        return lambda: Hearing(recogniser.ready(), self.phrases, Bars())

    def recogniser(self, engine: str | None = None) -> Recogniser:
        """The engine of that name, or the one the settings lead to."""
        return self._engine(engine)()

    def _engine(self, wanted: str | None) -> Callable[[], Recogniser]:
        folders = self.vosk_folder, self.settings.models_folder
        name = self.engine_name(wanted)
        voice = usable_voice(self.settings, self.person) if name == "pocketsphinx" else None
        spoken = Spoken(self.phrases, self.pronunciations, *folders, voice, self.person.tell)
        return BUILDERS[name](spoken)

    def engine_name(self, wanted: str | None = None) -> EngineName:
        """The engine wanted here, or else in the settings.

        Raises ConfigurationError when the language has no such engine.
        """
        named, installed = wanted or self.settings.engine, self.vosk_folder is not None
        return engine_name(named, self.language, vosk_installed=installed)

    @cached_property
    def vosk_folder(self) -> Path | None:
        """The folder of the Vosk model in use, if any is named, or installed for the language."""
        from voicelog.recognisers.vosk_models import VoskModels

        if self.settings.vosk_model is not None:
            return self.settings.vosk_model
        return VoskModels(self.settings.models_folder).of_language(self.language.code)

    @cached_property
    def plausible(self) -> PlausibleRange:
        """Angles that are taken without asking back, from the reference tables."""
        manners = (None, *self.language.slots.manner)
        found = {}
        for joint, data in self.language.joints.items():
            for motion in data.motions:
                each = (highest_plausible_deg(self.tables, joint, motion, m) for m in manners)
                highs = [high for high in each if high is not None]
                if highs:
                    found[joint, motion] = (0, max(highs))
        return found

    @cached_property
    def tables(self) -> Tables:
        """The published figures, or the practice's own. Raises ConfigurationError."""
        return own_tables(load_tables(), self.settings)

    @cached_property
    def codes(self) -> Codes:
        """The published codes for what a record says. Raises ConfigurationError."""
        return load_codes()

    @cached_property
    def comparer(self) -> Comparer:
        """Compares trials by the published figures."""
        return Comparer(self.tables)

    def remark(self, state: State, entry: Entry) -> str:
        """What a record just saved changes against its baseline, in a short sentence. Where the
        practice does not want that, only a stop event is told."""
        records = [r for r in state.records if r.entry_id != entry.entry_id]
        occasion = Occasion(entry.client, entry.visit_id)
        visit = self.comparer.visit(occasion, [*records, entry])
        return remark(entry, visit, self.language, changes=self.settings.tell_changes)

    def screen(self, store: Store, client: str) -> Screen:
        """The safety screen of a client from all that is on file. Raises StoreError."""
        return screen_now(store, self.tables.screen, client)

    def findings(self, store: Store, visit: Visit, *, waiting: bool = False) -> Findings:
        """What a visit says; with `waiting`, also what waits to be affirmed and is left out.

        Raises StoreError.
        """
        records = store.records(visit.visit_id)
        unconfirmed = store.unconfirmed(visit.visit_id) if waiting else ()
        screen = on_file(store, self.tables.screen, visit.client)
        return findings(visit, (*records, *unconfirmed), screen, self.comparer)

    def setting(
        self, visit: Visit, cautions: Mapping[tuple[str, str | None], str] | None = None
    ) -> Setting:
        """What stays the same for a whole visit; `cautions` is what the screen says against."""
        stop_words = frozenset(word for rule in self.tables.stops for word in rule.qualities)
        return Setting(
            self.language,
            visit,
            self.settings.practitioner,
            self.plausible,
            stop_words,
            cautions or {},
            self.settings.read_back,
            own_defaults(self.language, self.settings),
        )

    def prior(self, state: State) -> Prior:
        """What is known before the next utterance."""
        return Prior(state.taken_on, state.trials, self.plausible, state.unsure, state.corrected)

    def prior_for(self, carried: Trial | None) -> Prior:
        """The same with nothing but the movement that carries over."""
        return Prior(carried, plausible=self.plausible)

    def store(self) -> "SqliteStore":
        """The store of the practice. Raises StoreError."""
        from voicelog.store.sqlite import SqliteStore

        return SqliteStore(self.settings.store_file, key=self.file_key)

    @cached_property
    def lock(self) -> Lock:
        """What the records are locked with."""
        file = self.settings.store_file
        return Lock(file, self.person, places(file))

    @cached_property
    def file_key(self) -> FileKey | None:
        """The key of the records, asked for once; None when they are not encrypted.

        Raises StoreError.
        """
        return self.lock.key(encrypted=self.settings.encrypted)

    def microphone(self, device: int | str | None = None) -> Source:
        """The microphone, opened when listening starts and when it was gone. Raises AudioError."""
        from voicelog.audio.devices import choose_device, list_devices, look_again
        from voicelog.audio.microphone import Microphone
        from voicelog.audio.returning import Returning

        wanted = device if device is not None else self.settings.microphone
        choose_device(list_devices(), wanted, "input")

        def newly_found() -> Source:
            look_again()
            return Microphone(wanted)

        return Returning(newly_found)

    def voice(self) -> Voice:
        """The voice in the ear."""
        from voicelog.audio.player import SpeakerPlayer
        from voicelog.speech.spoken import SpokenVoice

        player = SpeakerPlayer(self.settings.speaker)
        rate_wpm = self.settings.speech_rate_wpm
        return SpokenVoice(player, rate_wpm=rate_wpm, voice=self.language.voice)
