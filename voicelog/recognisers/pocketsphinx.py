"""PocketSphinx: the embedded engine. Its wheel carries the English model, so nothing is fetched."""

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
from voicelog.grammar.template import Choice, Node, Rule, free_branches, vocabulary
from voicelog.recognisers.decoding import FRAME_MS, Decoding
from voicelog.recognisers.lexicon import PHONES, lexicon
from voicelog.recognisers.network_cache import NetworkCache
from voicelog.recognisers.verification import (
    MOST_LEFT_OUT,
    Segment,
    in_grammar,
    left_out,
    ratios,
    word_confidence,
)

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
_IDLE = "idle"
_PHONES = "phones"
_NOTE = "note"
_PHONE = "@"
_TALK = 0.5
"""Below this it was rather no dictation of words that are known; then it may be a note."""
FREE_WORDS = "..."
"""Stands in a reading for sound that is any words at all."""


def _branches(tree: Node) -> tuple[Node, ...]:
    """The alternatives at the top of a tree, without those that need free words."""
    if isinstance(tree, Choice):
        return tuple(branch for option in tree.options for branch in _branches(option))
    return () if free_branches(tree) is not None else (tree,)


def _heard(part: Segment, confidence: float) -> HeardWord:
    return HeardWord(part.name, part.first * FRAME_MS, (part.last + 1) * FRAME_MS, confidence)


def _phone_loop() -> Decoder:
    """A decoder of its own: 5 MB, as the large part of the model is shared."""
    decoder = Decoder(lm=None, dict=None, **SETTINGS)
    decoder.add_allphone_file(_PHONES, get_model_path("en-us/en-us-phone.lm.bin"))
    return decoder


class PocketSphinxRecogniser:
    """Hears with a network for each thing the dialogue may wait for, and checks what it heard
    against a second, free decode of the same sound (a loop of phones). Both follow the utterance
    while it is spoken."""

    engine = "pocketsphinx"

    def __init__(
        self,
        trees: Mapping[Expect, Node],
        pronunciations: Mapping[str, tuple[str, ...]],
        weights: Weights | None = None,
        cache: NetworkCache | None = None,
    ) -> None:
        self.model = f"en-us {version('pocketsphinx')}"
        self._trees = trees
        self._weights = weights or Weights()
        self._cache = cache or NetworkCache(None)
        self._compiled: dict[Rule, Automaton] = {}
        self._networks: dict[int, Automaton] = {}
        self._words = Decoding(self._load(pronunciations))
        self._phones = Decoding(_phone_loop())
        self._writer: Decoder | None = None
        self._note_is_loaded = False
        self._heard: list[Samples] = []
        self._listening = False
        self._compute_s = 0.0
        for tree in trees.values():
            self._branch_networks(tree)
        self._load_search("any")

    def begin(self, expect: Expect) -> None:
        """Waits for one utterance."""
        if expect != self._loaded:
            self._words.begin(_IDLE)
            self._words.decoder.remove_search(self._loaded)
            self._load_search(expect)
        self._words.begin(expect)
        self._phones.begin(_PHONES)
        self._heard = []
        self._listening = True
        self._compute_s = 0.0

    def hear(self, samples: Samples) -> None:
        """Decodes the sound at once, as words and as phones."""
        self._must_listen()
        started = time.process_time()
        self._heard.append(samples)
        self._words.hear(samples)
        self._phones.hear(samples)
        self._compute_s += time.process_time() - started

    def end(self) -> Hypothesis:
        """What was heard since `begin`."""
        self._must_listen()
        self._listening = False
        started = time.process_time()
        words, phones = self._words.end(), self._phones.end()
        heard, sure = self._verified(words, phones)
        if sure < _TALK and self._notes and phones:
            note, sure_note = self._hear_note(phones)
            heard, sure = (note, sure_note) if sure_note > sure else (heard, sure)
        return Hypothesis(
            readings=(Reading(heard),) if heard else (),
            in_grammar=sure,
            engine=self.engine,
            model=self.model,
            compute_s=self._compute_s + time.process_time() - started,
        )

    def transcribe(self, samples: Samples) -> str:
        """Free words with the general language model that the wheel carries, loaded with the first
        note. A best guess, far from sure."""
        if self._writer is None:
            self._writer = Decoder(loglevel="FATAL")
        self._writer.start_utt()
        self._writer.process_raw(samples.tobytes(), full_utt=True)
        self._writer.end_utt()
        found = self._writer.hyp()
        return "" if found is None else str(found.hypstr)

    def _must_listen(self) -> None:
        if not self._listening:
            raise RecogniserError(
                "Sound came before an utterance was begun",
                kept="What was saved before stays",
                do="Start listening again",
            )

    @staticmethod
    def _verified(
        words: tuple[Segment, ...], phones: tuple[Segment, ...]
    ) -> tuple[tuple[HeardWord, ...], float]:
        if not words:
            return (), 0.0
        found = ratios(words, phones)
        heard = tuple(_heard(w, word_confidence(r)) for w, r in zip(words, found, strict=True))
        inside_talk = left_out(words, phones) > MOST_LEFT_OUT
        return heard, 0.0 if inside_talk else in_grammar(found)

    def _hear_note(self, phones: tuple[Segment, ...]) -> tuple[tuple[HeardWord, ...], float]:
        """The word that opens a note, and anything at all behind it. Only that word is verified."""
        path = self._words.whole(_NOTE, np.concatenate(self._heard))
        words = [part for part in path if not part.name.startswith(_PHONE)]
        if not words or len(words) == len(path):
            return (), 0.0
        found = ratios(words, phones)
        rest = Segment(FREE_WORDS, words[-1].last + 1, path[-1].last, 0.0)
        heard = [_heard(w, word_confidence(r)) for w, r in zip(words, found, strict=True)]
        return (*heard, _heard(rest, 0.0)), in_grammar(found)

    def _load(self, pronunciations: Mapping[str, tuple[str, ...]]) -> Decoder:
        words: set[str] = set().union(*(vocabulary(tree) for tree in self._trees.values()))
        dictionary = Path(get_model_path("en-us/cmudict-en-us.dict"))
        decoder = Decoder(lm=None, dict=None, **SETTINGS)
        for word, said in sorted(lexicon(words, pronunciations, dictionary).items()):
            for count, phones in enumerate(said, start=1):
                decoder.add_word(word if count == 1 else f"{word}({count})", phones, False)
        for phone in PHONES:
            decoder.add_word(_PHONE + phone, phone, False)
        decoder.add_fsg(_IDLE, decoder.create_fsg(_IDLE, 0, 1, [(0, 1, 1.0)]))
        return decoder

    def _load_search(self, expect: Expect) -> None:
        """Load the search for `expect`. One at a time: each takes some 60 MB."""
        self._add(expect, self._branch_networks(self._trees[expect]))
        self._loaded = expect
        free = free_branches(self._trees[expect])
        self._notes = free is not None
        if free is not None and not self._note_is_loaded:
            anything = tuple(_PHONE + phone for phone in PHONES)
            self._add(_NOTE, [self._network(free, anything)])
            self._note_is_loaded = True

    def _branch_networks(self, tree: Node) -> list[Automaton]:
        return [self._network(branch, ()) for branch in _branches(tree)]

    def _network(self, part: Node, free: tuple[str, ...]) -> Automaton:
        """The network of one branch; branches that several trees share are compiled once."""
        if id(part) not in self._networks:
            rules = None if free else self._compiled
            self._networks[id(part)] = self._cache.get(
                (part, free, dict(self._weights.rules), dict(self._weights.words)),
                lambda: automaton(part, free, self._weights, rules),
            )
        return self._networks[id(part)]

    def _add(self, name: str, branches: list[Automaton]) -> None:
        """One search over all the branches side by side, joined by silent steps."""
        last = 1 + sum(network.states for network in branches)
        steps: list[tuple[int, int, float] | tuple[int, int, float, str]] = []
        first = 1
        for network in branches:
            steps.append((0, first, 1.0))
            steps += [
                (first + a, first + b, usual**USUAL_SCALE, word)
                for a, b, word, usual in network.arcs
            ]
            steps += [(first + f, last, u**USUAL_SCALE) for f, u in network.finals.items()]
            first += network.states
        decoder = self._words.decoder
        decoder.add_fsg(name, decoder.create_fsg(name, 0, last, steps))
