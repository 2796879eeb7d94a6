"""A simulated visit: a therapist who dictates and answers each read-back, and a client to talk to.

She affirms exactly when the read-back equals what she meant; says the slot that is asked for; where
something is wrong that she can put right in a few words says "correction" and these, else
"disregard". Now and then she corrects herself. What she does depends on what the tool made of her
words, so the sound is made as it goes along; it is continuous, with noise and echo all through.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from types import TracebackType
from typing import Literal, Protocol, Self

import numpy as np

from audio_fixtures.casting import said
from audio_fixtures.chat import Line
from audio_fixtures.fresh import Dictation
from audio_fixtures.manifest import RATE_HZ, Voice
from audio_fixtures.rooms import Sound, echo, through_microphone
from audio_fixtures.sound import gain
from voicelog.audio.base import Block
from voicelog.dialogue.state import State
from voicelog.grammar.language import LanguageData, Names
from voicelog.grammar.numbers import spoken_number
from voicelog.records.content import AnyContent, Drill, Trial

First = Literal["right", "asked", "wrong", "dropped"]
PAUSE_S = 1.4
TURNS = 4
NEAR_DB, FAR_DB = 2.0, -4.0
"""Direct sound over reverberation, for the therapist with a microphone at her collar and for the
client a metre off, in a small room (by the critical distance of such a room; from memory)."""
BLOCK = 480


class Listener(Protocol):
    """What the clinician can tell of the tool: where the dialogue stands."""

    state: State


@dataclass(frozen=True, slots=True)
class Amended:
    """A dictation that she takes back in part: first `said`, then corrected to `meant`."""

    said: Dictation
    correction: str
    meant: AnyContent


Item = Line | Dictation | Amended


@dataclass
class Record:
    """What became of one dictation: at first, and how she answered."""

    meant: AnyContent
    first: First
    said: str
    heard: str
    turns: int = 0


@dataclass
class Told:
    """What happened in a visit, as she saw it. `affirms` holds, for each affirmation to a right
    read-back, whether it saved."""

    records: list[Record] = field(default_factory=list)
    affirms: list[bool] = field(default_factory=list)
    lines: int = 0
    talk_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Room:
    """Echo and noise of a visit, and the microphone in it. `noise` is as that microphone hears it,
    and goes on, from its start again where it ends; her voice lies `over_echo_db` above its own
    echo."""

    noise: Sound
    rt60_s: float = 0.0
    over_echo_db: float = NEAR_DB
    rate_hz: int = RATE_HZ


class SimulatedVisit:
    """The sound of the visit, block by block: a source like a microphone.

    `listener` is set before the visit begins. `talking` tells whether the last line was talk. `yes`
    is how she affirms.
    """

    def __init__(
        self,
        script: list[Item],
        voices: tuple[Voice, Voice],
        room: Room,
        language: LanguageData,
        yes: str,
    ) -> None:
        self.listener: Listener
        self.told = Told()
        self.talking = False
        self._script = script
        self._therapist, self._client = voices
        self._room = room
        self._language = language
        self._yes_form = yes
        self._chance = random.Random(len(script))
        self._place = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        pass

    def drop_unread(self) -> None:
        """Nothing to throw away: she waits until the tool has spoken."""

    def __iter__(self) -> Iterator[Block]:
        for sound in self._sounds():
            for first in range(0, len(sound), BLOCK):
                yield self._block(sound[first : first + BLOCK])

    def _block(self, sound: Sound) -> Block:
        start_s = self._place / RATE_HZ
        noise = np.take(self._room.noise, range(self._place, self._place + len(sound)), mode="wrap")
        self._place += len(sound)
        samples = np.rint((sound + noise) * 32_768)
        return Block(np.clip(samples, -32_768, 32_767).astype(np.int16), start_s)

    def _sounds(self) -> Iterator[Sound]:
        yield _quiet(3.0)
        for item in self._script:
            match item:
                case Line(who, text):
                    self.talking = True
                    self.told.lines += 1
                    sound = self._speech(self._client if who == "client" else self._therapist, text)
                    self.told.talk_s += len(sound) / RATE_HZ
                    yield sound
                    yield _quiet(self._chance.uniform(0.3, 1.2))
                case Dictation():
                    yield _quiet(0.8)
                    self.talking = False
                    yield from self._dictate(item, item.content)
                case Amended(dictation, correction, meant):
                    yield _quiet(0.8)
                    self.talking = False
                    yield from self._dictate(dictation, meant, correction)
        yield _quiet(2.0)

    def _dictate(
        self, dictation: Dictation, meant: AnyContent, correction: str = ""
    ) -> Iterator[Sound]:
        before = self.listener.state.draft
        text = dictation.short if self._carries(dictation) else dictation.text
        yield self._therapist_says(text)
        draft = self.listener.state.draft
        if draft is None or (before and draft.entry.entry_id == before.entry.entry_id):
            self.told.records.append(Record(meant, "dropped", text, ""))
            return
        equal = draft.entry.content == dictation.content
        first: First = "asked" if draft.asked else "right" if equal else "wrong"
        record = Record(meant, first, text, _values(draft.entry.content))
        self.told.records.append(record)
        if correction and equal and not draft.asked:
            yield self._therapist_says(correction)
        while record.turns < TURNS and (answer := self._answer(meant)):
            record.turns += 1
            yield self._therapist_says(answer)
            if self._was_right:
                self.told.affirms.append(self.listener.state.draft is None)

    def _answer(self, meant: AnyContent) -> str:
        """What she says to a read-back or a question; nothing when neither is open."""
        draft = self.listener.state.draft
        self._was_right = False
        if draft is None:
            return ""
        content, asked = draft.entry.content, draft.asked
        if asked is not None:
            there = getattr(content, asked, None)
            if there is not None and there == getattr(meant, asked, None):
                return self._yes()
            return self._words(meant, asked) or "disregard"
        if content == meant:
            self._was_right = True
            return self._yes()
        if type(content) is not type(meant):
            return "disregard"
        wrong = [s for s in type(meant).model_fields if getattr(content, s) != getattr(meant, s)]
        mended = [self._words(meant, slot) for slot in wrong]
        return f"correction, {', '.join(mended)}" if all(mended) and len(wrong) < 3 else "disregard"

    def _yes(self) -> str:
        """The form that the tool asks for, where it could not tell what was said."""
        return "save record" if self.listener.state.unsure else self._yes_form

    def _words(self, meant: AnyContent, slot: str) -> str:
        """A slot as she would say it; nothing where it has no value or no short way to say it."""
        language = self._language
        if slot == "result":
            slot = next(
                (s for s in ("pain", "range_deg") if getattr(meant, s, None) is not None), slot
            )
        value = getattr(meant, slot, None)
        if isinstance(value, int):
            number = spoken_number(language.numbers, value)
            ways = {"pain": f"pain {number}", "range_deg": f"{number} degrees"}
            if isinstance(meant, Drill) and slot in ("sets", "reps") and meant.sets and meant.reps:
                sets, reps = (spoken_number(language.numbers, n) for n in (meant.sets, meant.reps))
                return f"{sets} sets of {reps}"
            return ways.get(slot, "")
        if isinstance(value, tuple):
            return " ".join(language.slots.quality[name][0] for name in value)
        if slot == "joint" and isinstance(value, str):
            return language.joints[value].spoken[0]
        names: Names = language.motions if slot == "motion" else getattr(language.slots, slot, {})
        return names[value][0] if isinstance(value, str) and value in names else ""

    def _carries(self, dictation: Dictation) -> bool:
        meant, carried = dictation.content, self.listener.state.carried
        if not dictation.short or not isinstance(meant, Trial) or carried is None:
            return False
        return all(
            getattr(meant, slot) == getattr(carried, slot) for slot in ("side", "joint", "motion")
        )

    def _therapist_says(self, text: str) -> Sound:
        return np.concatenate((self._speech(self._therapist, text), _quiet(PAUSE_S)))

    def _speech(self, voice: Voice, text: str) -> Sound:
        far = voice is self._client
        sound = said(voice, text) * np.float32(gain(-6.0 if far else 0.0))
        if self._room.rt60_s:
            over_echo_db = FAR_DB if far else self._room.over_echo_db
            sound = echo(sound, self._room.rt60_s, over_echo_db, seed=1 + far)
        return through_microphone(sound, self._room.rate_hz)


def _quiet(seconds: float) -> Sound:
    return np.zeros(round(seconds * RATE_HZ), dtype=np.float32)


def _values(content: AnyContent) -> str:
    kept = content.model_dump(exclude_defaults=True, exclude_none=True)
    return ", ".join(f"{slot} {value}" for slot, value in kept.items())
