"""From sound to meaning: an engine, and the gatekeeper behind it."""

from dataclasses import replace
from types import MappingProxyType

from voicelog.audio.base import RATE_HZ, Samples, Utterance
from voicelog.grammar.hypothesis import Expect, Hypothesis
from voicelog.grammar.interpret import Bars, Interpretation, interpret
from voicelog.grammar.phrases import TEXT, Phrases
from voicelog.grammar.posterior import Prior
from voicelog.recognisers.base import Recogniser
from voicelog.records.entry import Evidence


class Hearing:
    """Hears one utterance at a time and says what it means.

    `begin`, `more`, `pause` and `end` follow an utterance as it is spoken; `whole` takes one that
    is complete. All raise RecogniserError when the engine fails.
    """

    def __init__(self, recogniser: Recogniser, phrases: Phrases, bars: Bars) -> None:
        self.recogniser = recogniser
        self.phrases = phrases
        self._bars = bars
        self._expect: Expect = "any"

    def begin(self, expect: Expect) -> None:
        """An utterance starts, while the dialogue waits for `expect`."""
        self._expect = expect
        self.recogniser.begin(expect)

    def more(self, samples: Samples) -> None:
        """More sound of the utterance."""
        self.recogniser.hear(samples)

    def pause(self) -> None:
        """She has fallen silent and may be done: a chance to work ahead."""
        self.recogniser.pause()

    def end(self, utterance: Utterance, prior: Prior) -> tuple[Interpretation, Hypothesis]:
        """The utterance is over: what it means, and what the engine made of it."""
        hypothesis = self.recogniser.end(utterance.cleaned is not None)
        tree = self.phrases.trees[self._expect]
        bars = self._bars if utterance.cleaned is None else self._bars.in_loud_room()
        meant = interpret(hypothesis, tree, bars, prior, self._expect)
        if meant.intent is not None and meant.intent.kind == "note":
            from_ms = meant.words[meant.intent.spans[TEXT][0]].start_ms
            text = self.recogniser.transcribe(utterance.samples[from_ms * RATE_HZ // 1000 :])
            slots = MappingProxyType({TEXT: text})
            meant = replace(meant, intent=replace(meant.intent, slots=slots))
        return meant, hypothesis

    def whole(
        self, utterance: Utterance, expect: Expect, prior: Prior
    ) -> tuple[Interpretation, Hypothesis]:
        """The same for a complete utterance."""
        self.begin(expect)
        self.more(utterance.for_engine)
        return self.end(utterance, prior)

    def evidence(self, meant: Interpretation, hypothesis: Hypothesis) -> Evidence:
        """What stays with a record of how it was heard."""
        return Evidence(
            text=meant.text,
            confidence=meant.confidence,
            slot_confidence=dict(meant.slot_confidence),
            alternatives=tuple(reading.text for reading in hypothesis.readings[1:]),
            engine=hypothesis.engine,
            model=hypothesis.model,
            grammar_version=self.phrases.language.version,
        )
