"""PocketSphinx: the embedded engine. Its wheel carries the English model, so nothing is fetched."""

import math
import time
from collections.abc import Mapping
from importlib.metadata import version
from pathlib import Path

import numpy as np
from pocketsphinx import Decoder, get_model_path

from voicelog.audio.base import Samples
from voicelog.errors import RecogniserError
from voicelog.grammar.automaton import Automaton, Weights, automaton
from voicelog.grammar.hypothesis import Expect, HeardWord, Hypothesis, Reading
from voicelog.grammar.template import Node, vocabulary
from voicelog.recognisers.lexicon import lexicon
from voicelog.recognisers.verification import Segment, in_grammar, ratios, word_confidence

SETTINGS: dict[str, object] = {
    "bestpath": False,
    "beam": 1e-60,
    "wbeam": 1e-40,
    "pbeam": 1e-60,
    "lpbeam": 1e-45,
    "lw": 2.0,
    "silprob": 0.5,  # a pause between words is as good as none
    "wip": 0.05,  # but a word more must be heard clearly
    "loglevel": "FATAL",
}
USUAL_SCALE = 8.0
"""Power on the weights of the language: the engine's acoustic scores overstate what they know."""
FRAME_MS = 10
_NATS = 1024
"""The engine gives a segment's score as exp(log-likelihood / 1024), so that it fits a number."""
_PHONES = "phones"
_LEAST = 1e-300


class PocketSphinxRecogniser:
    """Hears with a network for each thing the dialogue may wait for, and checks what it heard
    against a second, free decode of the same sound (a loop of phones)."""

    engine = "pocketsphinx"

    def __init__(
        self,
        trees: Mapping[Expect, Node],
        pronunciations: Mapping[str, tuple[str, ...]],
        weights: Weights | None = None,
    ) -> None:
        self.model = f"en-us {version('pocketsphinx')}"
        self._trees = trees
        self._weights = weights or Weights()
        self._decoder = self._load(pronunciations)
        self._networks: dict[Expect, Automaton] = {}
        self._expect: Expect = "any"
        self._heard: list[Samples] = []
        self._prepare("any")

    def begin(self, expect: Expect) -> None:
        """Waits for one utterance."""
        self._prepare(expect)
        self._expect = expect
        self._heard = []

    def hear(self, samples: Samples) -> None:
        """Keeps the sound until the utterance ends: levelling by its whole mean is worth more
        than an early start."""
        self._heard.append(samples)

    def end(self) -> Hypothesis:
        """What was heard since `begin`."""
        started = time.process_time()
        samples = np.concatenate(self._heard) if self._heard else np.zeros(0, dtype=np.int16)
        self._heard = []
        words = self._path(self._expect, samples)
        found = ratios(words, self._path(_PHONES, samples)) if words else ()
        heard = tuple(
            HeardWord(
                word.name,
                word.first * FRAME_MS,
                (word.last + 1) * FRAME_MS,
                word_confidence(ratio),
            )
            for word, ratio in zip(words, found, strict=True)
        )
        return Hypothesis(
            readings=(Reading(heard),) if heard else (),
            in_grammar=in_grammar(found),
            engine=self.engine,
            model=self.model,
            compute_s=time.process_time() - started,
        )

    def transcribe(self, samples: Samples) -> str:
        """Free words."""
        return ""

    def _load(self, pronunciations: Mapping[str, tuple[str, ...]]) -> Decoder:
        words = set().union(*(vocabulary(tree) for tree in self._trees.values()))
        dictionary = Path(get_model_path("en-us/cmudict-en-us.dict"))
        decoder = Decoder(lm=None, dict=None, **SETTINGS)
        for word, said in sorted(lexicon(words, pronunciations, dictionary).items()):
            for count, phones in enumerate(said, start=1):
                decoder.add_word(word if count == 1 else f"{word}({count})", phones, False)
        decoder.add_allphone_file(_PHONES, get_model_path("en-us/en-us-phone.lm.bin"))
        return decoder

    def _prepare(self, expect: Expect) -> None:
        if expect in self._networks:
            return
        network = automaton(self._trees[expect], (), self._weights)
        last = network.states
        arcs = [(start, end, usual**USUAL_SCALE, word) for start, end, word, usual in network.arcs]
        ends = [(final, last, usual**USUAL_SCALE) for final, usual in network.finals.items()]
        self._decoder.add_fsg(expect, self._decoder.create_fsg(expect, 0, last, [*arcs, *ends]))
        self._networks[expect] = network

    def _path(self, search: str, samples: Samples) -> tuple[Segment, ...]:
        """The best path of a search through the sound, without silences; empty when none fits."""
        if not len(samples):
            return ()
        try:
            self._decoder.activate_search(search)
            self._decoder.start_utt()
            self._decoder.process_raw(samples.tobytes(), full_utt=True)
            self._decoder.end_utt()
        except RuntimeError as error:
            raise RecogniserError(
                f"The speech engine failed ({error})",
                kept="What was saved before stays",
                do="Start listening again; if it fails once more, run `voicelog check`",
            ) from error
        if self._decoder.hyp() is None:
            return ()
        return tuple(
            Segment(
                part.word.partition("(")[0],
                part.start_frame,
                part.end_frame,
                math.log(max(part.ascore, _LEAST)) * _NATS,
            )
            for part in self._decoder.seg()
            if part.word[0] not in "<[(+" and part.word != "SIL"
        )
