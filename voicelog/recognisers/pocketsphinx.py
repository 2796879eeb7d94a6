"""PocketSphinx: the embedded engine. Its wheel carries the English model, so nothing is fetched."""

import time
from collections.abc import Mapping, Sequence

import numpy as np

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.highs import HighsOfUtterance
from voicelog.errors import RecogniserError
from voicelog.grammar.automaton import Weights
from voicelog.grammar.hypothesis import Expect, HeardWord, Hypothesis, Reading
from voicelog.grammar.neighbours import Neighbours
from voicelog.grammar.parse import parse
from voicelog.grammar.template import Node
from voicelog.recognisers.decoders import (
    PHONE_LOOP,
    judging_decoder,
    phone_loop,
    sounds_of,
    word_decoder,
)
from voicelog.recognisers.decoding import FRAME_MS, Decoding
from voicelog.recognisers.embedded import Kept, model_name
from voicelog.recognisers.everyday import Everyday
from voicelog.recognisers.last_number import LastNumber
from voicelog.recognisers.network_cache import NetworkCache
from voicelog.recognisers.networks import PHONE, Networks, Step, side_by_side
from voicelog.recognisers.rescoring import Judge, Scored, usual_words
from voicelog.recognisers.second_hearing import SecondHearing
from voicelog.recognisers.sureness import heard_word, with_sureness
from voicelog.recognisers.transcriber import transcriber_name
from voicelog.recognisers.verification import (
    MOST_LEAD,
    MOST_LEFT_OUT,
    NOTE_LEAD,
    NOTE_PAUSE,
    SHORT,
    Segment,
    answer_in_grammar,
    in_grammar,
    is_short,
    left_out,
    number_in_grammar,
    pause_behind,
    short_in_grammar,
)
from voicelog.recognisers.whole_hearing import WholeHearing
from voicelog.recognisers.written_hearing import WrittenHearing

_NOTE = "note"
_TALK = 0.5
"""Below this it was rather no dictation of words that are known; then it may be a note."""
FREE_WORDS = "..."
"""Stands in a reading for sound that is any words at all."""
_OPENING_S = 1.5
"""The word that opens a note and its pause are looked for in so many seconds of the beginning, as
the whole would be decoded once more just when she waits for an answer."""
_FEW, _MANY = 4, 8
"""So many neighbours a longer reading and a short one are weighed against; each costs 20 ms."""


class PocketSphinxRecogniser:
    """Hears with a network for each thing that may be waited for, commands among them, and checks
    what it heard against a second, free decode of the same sound (a loop of phones). Both follow
    the utterance while it is spoken. An enrolled voice that is `kept` moves the model for all
    decodes alike, or they could not be compared. `everyday` are words and phrases that a short one
    must fit better than; `fillers` the small words that talk pressed into the trees is made of.
    """

    engine = "pocketsphinx"

    def __init__(
        self,
        trees: Mapping[Expect, Node],
        pronunciations: Mapping[str, tuple[str, ...]],
        weights: Weights | None = None,
        kept: Kept | None = None,
        everyday: Sequence[str] = (),
        fillers: Sequence[str] = (),
    ) -> None:
        kept = kept or Kept()
        moved = "" if kept.voice is None else ", moved towards a voice"
        second = "" if kept.transcriber is None else f" and {transcriber_name()}"
        self._alone = model_name() + moved
        self.model = model_name() + second + moved
        weights = weights or Weights()
        self._usual = usual_words(weights, fillers)
        self._networks = Networks(trees, weights, NetworkCache(kept.networks))
        sounds = sounds_of(trees, pronunciations, everyday)
        self._everyday = Everyday(everyday, sounds)
        self._fillers = frozenset(fillers)
        self._commands = trees["command"]
        self._neighbours = {expect: Neighbours(tree, sounds) for expect, tree in trees.items()}
        self._words = Decoding(word_decoder(sounds, kept.voice))
        self._judging = Decoding(judging_decoder(sounds, kept.voice))
        self._phones = Decoding(phone_loop(kept.voice))
        self._highs = HighsOfUtterance()
        self._note_is_loaded = False
        self._heard: list[Samples] = []
        self._scored = Scored()
        self._second: SecondHearing = (
            WholeHearing(self._networks)
            if kept.transcriber is None
            else WrittenHearing(self._networks, kept.transcriber)
        )
        self._listening, self._cleaned = False, False
        self._compute_s = 0.0
        self._load_search("any")

    def begin(self, expect: Expect) -> None:
        """Waits for one utterance."""
        if expect != self._expect:
            self._words.rest()
            self._words.decoder.remove_search(self._expect)
            self._load_search(expect)
        self._load_note()
        self._words.begin(expect)
        self._phones.begin(PHONE_LOOP)
        self._highs.begin()
        self._begin_second(expect)
        self._heard, self._scored, self._compute_s = [], Scored(), 0.0
        self._listening, self._cleaned = True, False

    def hear(self, samples: Samples) -> None:
        """Decodes the sound at once, as words and as phones."""
        self._must_listen()
        started = time.process_time()
        self._take(self._highs.hear(samples))
        self._compute_s += time.process_time() - started

    def pause(self) -> None:
        """Weighs what was heard so far, as that is the longest part of what `end` has to do."""
        self._must_listen()
        self._second.go_on()
        started = time.process_time()
        words, phones = self._words.so_far(), self._phones.so_far()
        self._read(*self._verified(words, phones), phones)
        self._compute_s += time.process_time() - started

    def end(self, cleaned: bool = False) -> Hypothesis:
        """What was heard since `begin`. The networks for words know no sound that was `cleaned`."""
        self._must_listen()
        self._listening, self._cleaned = False, cleaned
        started = time.process_time()
        self._take(self._highs.end())
        words, phones = self._words.end(), self._phones.end()
        heard, sure = self._verified(words, phones)
        found, sure = self._read(heard, sure, phones)
        if sure < _TALK and self._answer(heard) is None and self._notes is not None and phones:
            note, sure_note = self._hear_note(phones)
            found, sure = ((Reading(note),), sure_note) if sure_note > sure else (found, sure)
        return Hypothesis(
            readings=found,
            in_grammar=sure,
            engine=self.engine,
            model=self.model,
            compute_s=self._compute_s + time.process_time() - started,
        )

    def transcribe(self, samples: Samples) -> str:
        """A best guess, far from sure."""
        return self._second.free_words(self._highs.whole(samples))

    def _begin_second(self, expect: Expect) -> None:
        try:
            self._second.begin(expect)
        except RecogniserError:  # `voicelog check` tells of it
            self._second, self.model = WholeHearing(self._networks), self._alone
            self._second.begin(expect)

    def _must_listen(self) -> None:
        if not self._listening:
            raise RecogniserError(
                "Sound came before an utterance was begun",
                kept="What was saved before stays",
                do="Start listening again",
            )

    def _take(self, samples: Samples) -> None:
        self._heard.append(samples)
        self._words.hear(samples)
        self._phones.hear(samples)

    def _verified(
        self, words: tuple[Segment, ...], phones: tuple[Segment, ...]
    ) -> tuple[tuple[HeardWord, ...], float]:
        """The words with how sure each is, and the probability that they were dictated. Few words
        have few sounds, so they must also stand against everyday ones."""
        if not words:
            return (), 0.0
        heard, found = with_sureness(words, phones)
        if left_out(words, phones, self._sound()) > MOST_LEFT_OUT:  # inside talk
            return heard, 0.0
        said = tuple(word.text for word in heard)
        fillers = sum(word in self._fillers for word in said)
        if not is_short(words):
            return heard, in_grammar(found, fillers)
        answer = self._answer(heard)
        if answer is not None:
            return heard, number_in_grammar(answer.lead, fillers)
        others = self._everyday.beside(said)
        answers = self._expect in ("pain", "range") and parse(self._commands, said) is None
        if others and answers:
            return heard, answer_in_grammar(self._judge().lead(heard, others), fillers)
        if not others or short_in_grammar(found, MOST_LEAD) < _TALK:
            return heard, short_in_grammar(found)
        return heard, short_in_grammar(found, self._judge().lead(heard, others))

    def _read(
        self, heard: tuple[HeardWord, ...], sure: float, phones: tuple[Segment, ...]
    ) -> tuple[tuple[Reading, ...], float]:
        """The readings, and the probability that they were dictated, by both hearings."""
        if self._answer(heard) is not None:
            return self._weighed(heard), sure
        by_both = self._second.verified(heard, sure, self._sound())
        if sure >= _TALK:
            return self._weighed(heard), by_both
        if by_both >= _TALK and phones:
            start_ms, end_ms = phones[0].first * FRAME_MS, (phones[-1].last + 1) * FRAME_MS
            return self._second.readings(start_ms, end_ms, self._sound()), by_both
        return ((Reading(heard),), by_both) if heard else ((), 0.0)

    def _weighed(self, heard: tuple[HeardWord, ...]) -> tuple[Reading, ...]:
        """The reading among its neighbours, and among all numbers where it ends with one."""
        answer, number = self._answer(heard), self._last_number(heard)
        if answer is not None:
            return answer.readings(heard)
        words = tuple(word.text for word in heard)
        near = self._neighbours[self._expect].of(words, _MANY if len(words) <= SHORT else _FEW)
        if self._cleaned and not self._second.hears_cleaned:
            return self._judge().readings(heard, near)
        near = self._second.to_weigh(near, words, self._sound())
        found = self._second.among(self._judge().readings(heard, near), self._sound())
        return found if number is None else number.among(found)

    def _answer(self, heard: tuple[HeardWord, ...]) -> LastNumber | None:
        """The number that alone says how much pain there is, as was asked."""
        asked = self._expect == "pain" and 0 < len(heard) <= SHORT
        return self._last_number(heard) if asked else None

    def _last_number(self, heard: tuple[HeardWord, ...]) -> LastNumber | None:
        return None if self._cleaned else self._second.last_number(heard, self._sound())

    def _hear_note(self, phones: tuple[Segment, ...]) -> tuple[tuple[HeardWord, ...], float]:
        """The word that opens a note, and anything at all behind it. Only that word is verified."""
        opening = self._sound()[: round(_OPENING_S * RATE_HZ)]
        path = self._words.whole(_NOTE, opening)
        words = [part for part in path if not part.name.startswith(PHONE)]
        if not words or len(words) == len(path) or pause_behind(words[-1], opening) < NOTE_PAUSE:
            return (), 0.0
        heard, found = with_sureness(words, phones)
        others = self._everyday.beside(tuple(word.text for word in heard))
        rest = Segment(FREE_WORDS, words[-1].last + 1, phones[-1].last, 0.0)
        if others and self._judge().lead(heard, others) < NOTE_LEAD:
            return (), 0.0
        return (*heard, heard_word(rest, 0.0)), short_in_grammar(found)

    def _sound(self) -> Samples:
        return np.concatenate(self._heard)

    def _judge(self) -> Judge:
        return Judge(self._judging, self._sound(), self._words.mean, self._usual, self._scored)

    def _load_search(self, expect: Expect) -> None:
        """Load the search for `expect`. One at a time: each takes some 60 MB."""
        self._add(expect, side_by_side(self._networks.of(expect)))
        self._expect = expect
        self._notes = self._networks.notes(expect)

    def _load_note(self) -> None:
        """With the first utterance, so that listening starts sooner."""
        if self._notes is not None and not self._note_is_loaded:
            self._add(_NOTE, side_by_side([self._notes]))
            self._note_is_loaded = True

    def _add(self, name: str, network: tuple[int, list[Step]]) -> None:
        last, steps = network
        decoder = self._words.decoder
        decoder.add_fsg(name, decoder.create_fsg(name, 0, last, steps))
