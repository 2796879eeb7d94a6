"""Learns a voice from phrases that are read out, and finds out whether that helps to hear it."""

import tempfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from types import TracebackType
from typing import Self

import numpy as np

from voicelog.audio.base import RATE_HZ, Samples, Source, Utterance
from voicelog.audio.endpointer import Endpointer, SpeechEnded, SpeechEvent
from voicelog.audio.sound_facts import is_clipped
from voicelog.engines import BUILDERS
from voicelog.engines import Spoken as EngineNeeds
from voicelog.errors import RecogniserError
from voicelog.grammar.interpret import Bars
from voicelog.grammar.parse import parse
from voicelog.grammar.posterior import Prior
from voicelog.grammar.reading import phrases_to_read
from voicelog.grammar.samples import sentences
from voicelog.grammar.template import vocabulary
from voicelog.listening.hearing import Hearing
from voicelog.recognisers import mllr
from voicelog.recognisers.acoustic_model import AcousticModel, load_acoustic_model
from voicelog.recognisers.aligning import MODEL_FOLDER, Aligner
from voicelog.recognisers.embedded import model_name
from voicelog.recognisers.voice_file import written
from voicelog.wiring import House
from voicelog.words.auditing import sounds

DRAWN = 600
"""Dictations of each kind from which those to read are chosen."""
LEAST_RATIO = -4.0
"""Nats per frame by which what was said may fall short of free phones. Of six phrases each by two
voices of `tune` the right ones had -3.0 and more, others in their place -4.6 and less."""
SHORTEST_S = 0.08
"""Speech for each word of a phrase, in seconds: nobody is faster for long (common practice, no
source)."""
FEWEST = 10
"""Phrases to learn from at least."""


@dataclass(frozen=True, slots=True)
class Take:
    """One phrase as it was read: its sound, and where in it each senone is."""

    words: tuple[str, ...]
    samples: Samples
    spoken: mllr.Spoken


@dataclass(frozen=True, slots=True)
class Outcome:
    """How phrases were heard: how many were right without being asked back, how many were taken for
    something else, and how sure the engine was that they were dictated (0 to 1, the mean)."""

    right: int
    wrong: int
    sure: float


@dataclass(frozen=True, slots=True)
class Learnt:
    """A voice, as the content of its file, from so many `phrases`; and how these were heard before
    and with it, each with what was learnt from others of them."""

    content: bytes
    phrases: int
    before: Outcome
    after: Outcome

    @property
    def helps(self) -> bool:
        """Whether more is right, or as much and surer, and no more is wrong."""
        before, after = self.before, self.after
        better = (after.right, after.sure) > (before.right, before.sure)
        return better and after.wrong <= before.wrong


class Enrolment:
    """One enrolment. Open it in a `with` block. Raises GrammarError or RecogniserError."""

    def __init__(self, house: House) -> None:
        self._house = house
        spoken = house.phrases
        trees = (spoken.trial, spoken.drill)
        words = frozenset().union(*map(vocabulary, trees))
        said = sounds(words, house.language_folder, house.pronunciations)
        self.phrases = phrases_to_read(_drawn(house), said)
        """What is to be read out."""
        self._aligner = Aligner(said)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._aligner.close()

    def take(self, phrase: str, samples: Samples) -> Take | str:
        """The phrase as it was read, or else why it cannot be learnt from, in a sentence."""
        words = tuple(phrase.split())
        if len(samples) < SHORTEST_S * len(words) * RATE_HZ:
            return "That was too short"
        if is_clipped(samples):
            return "That was too loud and clipped"
        aligned = self._aligner.align(words, samples)
        if aligned is None or aligned.ratio < LEAST_RATIO:
            return "That did not sound like the phrase"
        return Take(words, samples, aligned.spoken)

    def learn(self, takes: Sequence[Take]) -> Learnt:
        """The voice of these phrases, and whether it helps: each half is heard with what the other
        taught. Raises RecogniserError when there are fewer than `FEWEST`."""
        if len(takes) < FEWEST:
            raise RecogniserError(
                f"Only {len(takes)} of the phrases could be taken, and {FEWEST} are needed",
                kept="Nothing was learnt, and what was there before is as it was",
                do="Read them again, one breath each, in a quiet room",
            )
        model = load_acoustic_model(MODEL_FOLDER)
        halves = takes[::2], takes[1::2]
        before = _outcome(self._heard(takes, None))
        with tempfile.TemporaryDirectory(prefix="voicelog-") as folder:
            file = Path(folder) / "half"
            found: list[_Heard] = []
            for heard, learnt_from in (halves, halves[::-1]):
                file.write_bytes(learnt_voice(model, learnt_from))
                found += self._heard(heard, file)
        return Learnt(learnt_voice(model, takes), len(takes), before, _outcome(found))

    def _heard(self, takes: Iterable[Take], voice: Path | None) -> list["_Heard"]:
        house = self._house
        folders = house.vosk_folder, house.settings.models_folder
        spoken = EngineNeeds(
            house.phrases, house.pronunciations, *folders, voice, house.person.tell
        )
        hearing = Hearing(BUILDERS["pocketsphinx"](spoken)(), house.phrases, Bars())
        return [_hear(hearing, take, house.prior_for(None)) for take in takes]


@dataclass(frozen=True, slots=True)
class _Heard:
    """What became of one phrase."""

    right: bool
    wrong: bool
    sure: float


def speech_of(source: Source) -> Samples:
    """All speech of a source, cut out as it is while listening; nothing when there is none.

    Raises AudioError.
    """
    endpointer = Endpointer()
    events: list[SpeechEvent] = []
    with source:
        for block in source:
            events += endpointer.feed(block)
    events += endpointer.flush()
    found = [event.utterance.for_engine for event in events if isinstance(event, SpeechEnded)]
    return np.concatenate([np.zeros(0, np.int16), *found])


def _hear(hearing: Hearing, take: Take, prior: Prior) -> _Heard:
    whole = Utterance(take.samples, 0.0, len(take.samples) / RATE_HZ)
    meant, hypothesis = hearing.whole(whole, "record", prior)
    wanted = parse(hearing.phrases.trees["record"], take.words)
    same = meant.intent is not None and wanted is not None and (
        (meant.intent.kind, meant.intent.slots) == (wanted.kind, wanted.slots)
    )  # fmt: skip
    taken = meant.intent is not None and not meant.doubtful
    return _Heard(taken and same, taken and not same, hypothesis.in_grammar)


def _outcome(heard: Sequence[_Heard]) -> Outcome:
    sure = sum(one.sure for one in heard) / max(1, len(heard))
    return Outcome(sum(one.right for one in heard), sum(one.wrong for one in heard), sure)


def learnt_voice(model: AcousticModel, takes: Sequence[Take]) -> bytes:
    """The content of a voice's file, learnt from these phrases, whether it helps or not."""
    frames = np.concatenate([take.spoken.frames for take in takes])
    senones = np.concatenate([take.spoken.senones for take in takes])
    return written(mllr.estimate(model, mllr.Spoken(frames, senones)), model_name())


def _drawn(house: House) -> Iterator[str]:
    """Dictations as they are usual, without what is only said while thinking."""
    spoken, fillers = house.phrases, set(house.language.fillers)
    for tree in (spoken.trial, spoken.drill):
        draw = Random(0).random  # the same phrases every time
        for sentence in sentences(tree, spoken.weights, draw, DRAWN)[:DRAWN]:
            if not fillers.intersection(sentence.split()):
                yield sentence
