"""The neural engine, used where a model for it is installed."""

import json
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from weakref import WeakValueDictionary

import numpy as np

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.errors import RecogniserError
from voicelog.grammar.hypothesis import Expect, Hypothesis
from voicelog.recognisers import vosk_result
from voicelog.recognisers.vosk_models import check_model

ANOTHER_MODEL = "Run `voicelog model install` for a working model, or configure another folder"
NOTE_BLOCK = RATE_HZ // 4

# A model takes hundreds of megabytes and never changes, so recognisers of one folder share it.
_models: WeakValueDictionary[Path, Any] = WeakValueDictionary()


class VoskRecogniser:
    """Hears the phrases of the language with a Vosk model.

    `phrases` holds, for each thing the dialogue may wait for, phrases of words in the spelling of
    the model. The engine makes a two-word model of them, so a reading can be a rearrangement that
    the grammar forbids; the parser decides. Phrases with a word that the model doesn't know cannot
    be heard: they are left out, and `missing` names those words.
    Raises RecogniserError when the folder is no usable model or no phrase is left.
    """

    engine = "vosk"

    def __init__(
        self,
        model_folder: Path,
        phrases: Mapping[Expect, Sequence[str]],
        *,
        alternatives: int = 5,
    ) -> None:
        check_model(model_folder)
        self.model = model_folder.resolve().name
        self._model = _load(model_folder)
        words = (
            word for listed in phrases.values() for phrase in listed for word in phrase.split()
        )
        self.missing = self.missing_words(words)
        # The free decoder first: over a damaged graph it fails cleanly, one with phrases crashes.
        self._free = self._ear(1)
        self._ears = {
            expect: self._ear(alternatives, self._heard_phrases(expect, listed))
            for expect, listed in phrases.items()
        }
        self._listening: _Ear | None = None
        self._compute_s = 0.0

    def missing_words(self, words: Iterable[str]) -> tuple[str, ...]:
        """Which of the words are not in the model's vocabulary, each once, in their order."""
        return _unknown(self._model, words)

    def begin(self, expect: Expect) -> None:
        """Start an utterance; one that was not ended is forgotten. Raises RecogniserError."""
        if self._listening is not None:
            self.end()
        if expect not in self._ears:
            raise RecogniserError(
                f"The recogniser was given no phrases for '{expect}'", do="Start listening again"
            )
        self._listening = self._ears[expect]
        self._compute_s = 0.0

    def hear(self, samples: Samples) -> None:
        """Decode the sound as it comes, with the phrases and freely. Raises RecogniserError."""
        ear = self._begun()
        with self._computing():
            ear.hear(samples)
            self._free.hear(samples)

    def pause(self) -> None:
        """Nothing is left to do ahead: both decodes follow the sound. Raises RecogniserError."""
        self._begun()

    def end(self, cleaned: bool = False) -> Hypothesis:
        """Give what was heard since `begin`. Raises RecogniserError."""
        ear = self._begun()
        self._listening = None
        with self._computing():
            paths, free = ear.finish(), self._free.finish()
        return Hypothesis(
            readings=vosk_result.readings(paths),
            in_grammar=vosk_result.in_grammar(paths, free),
            engine=self.engine,
            model=self.model,
            compute_s=self._compute_s,
        )

    def transcribe(self, samples: Samples) -> str:
        """Write down free speech of any length as well as the model can. Raises RecogniserError."""
        texts = []
        with _engine_at_work():
            writer = _library().KaldiRecognizer(self._model, RATE_HZ)
            for start in range(0, len(samples), NOTE_BLOCK):
                if writer.AcceptWaveform(_raw(samples[start : start + NOTE_BLOCK])):
                    texts.append(json.loads(writer.Result())["text"])
            texts.append(json.loads(writer.FinalResult())["text"])
        return " ".join(filter(None, texts))

    def _heard_phrases(self, expect: Expect, phrases: Sequence[str]) -> list[str]:
        missing = set(self.missing)
        known = [phrase for phrase in phrases if missing.isdisjoint(phrase.split())]
        if not any(known):
            raise RecogniserError(
                f"The model {self.model} knows none of the phrases for '{expect}'",
                do="Choose a model of the language that is spoken",
            )
        has_unknown = not self.missing_words([vosk_result.UNKNOWN])
        return [*known, vosk_result.UNKNOWN] if has_unknown else known

    def _ear(self, alternatives: int, phrases: Sequence[str] = ()) -> "_Ear":
        # The engine reads the list as it stands: escaped letters would be words it doesn't know.
        grammar = (json.dumps(phrases, ensure_ascii=False),) if phrases else ()
        with _engine_at_work():
            decoder = _library().KaldiRecognizer(self._model, RATE_HZ, *grammar)
            decoder.SetMaxAlternatives(alternatives)
            decoder.SetWords(True)
        return _Ear(decoder)

    def _begun(self) -> "_Ear":
        if self._listening is None:
            raise RecogniserError(
                "Sound arrived before an utterance was begun", do="Call begin first"
            )
        return self._listening

    @contextmanager
    def _computing(self) -> Iterator[None]:
        start = time.thread_time()
        with _engine_at_work():
            yield
        self._compute_s += time.thread_time() - start


def unknown_words(model_folder: Path, words: Iterable[str]) -> tuple[str, ...]:
    """Which of the words a model does not have. Raises RecogniserError when it is no model."""
    check_model(model_folder)
    return _unknown(_load(model_folder), words)


def two_known_words(model_folder: Path, word: str) -> tuple[str, ...]:
    """Ways to spell a word as two that a model has, the most even ones first. Raises
    RecogniserError when it is no model."""
    cuts = [(word[:at], word[at:]) for at in range(2, len(word) - 1)]
    lacking = set(unknown_words(model_folder, [part for cut in cuts for part in cut]))
    known = [cut for cut in cuts if lacking.isdisjoint(cut)]
    return tuple(" ".join(cut) for cut in sorted(known, key=lambda cut: -min(map(len, cut)))[:3])


def _unknown(model: Any, words: Iterable[str]) -> tuple[str, ...]:
    return tuple(word for word in dict.fromkeys(words) if model.vosk_model_find_word(word) < 0)


class _Ear:
    """One decoder of the engine. Its clock runs on over all utterances; this keeps count."""

    def __init__(self, decoder: Any) -> None:
        self._decoder = decoder
        self._begun_at = 0
        self._heard = 0

    def hear(self, samples: Samples) -> None:
        self._decoder.AcceptWaveform(_raw(samples))
        self._heard += len(samples)

    def finish(self) -> tuple[vosk_result.Path, ...]:
        paths = vosk_result.read_paths(self._decoder.FinalResult(), self._begun_at / RATE_HZ)
        self._begun_at = self._heard
        return paths


def _raw(samples: Samples) -> bytes:
    return samples.astype(np.dtype("<i2")).tobytes()


def _load(folder: Path) -> Any:
    place = folder.resolve()
    model = _models.get(place)
    if model is None:
        try:
            model = _library().Model(str(place))
        except RecogniserError:
            raise
        except Exception as error:
            raise RecogniserError(
                f"The model in {folder} could not be loaded; a file in it is damaged",
                do=ANOTHER_MODEL,
            ) from error
        _models[place] = model
    return model


def _library() -> Any:
    try:
        import vosk
    except (ImportError, OSError, TypeError) as error:
        raise RecogniserError(
            "The library of the Vosk engine cannot be loaded on this computer",
            do="Use the other engine: `--engine pocketsphinx`",
        ) from error
    vosk.SetLogLevel(-1)
    return vosk


@contextmanager
def _engine_at_work() -> Iterator[None]:
    """Translate what the engine raises: bare Exceptions, known by no class of their own."""
    try:
        yield
    except RecogniserError:
        raise
    except Exception as error:
        raise RecogniserError(
            f"The Vosk engine stopped ({error})", kept="Nothing was saved", do=ANOTHER_MODEL
        ) from error
