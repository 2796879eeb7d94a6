"""From what an engine heard to what was meant, or why nothing was."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Literal, Self

from voicelog.grammar.hypothesis import Expect, HeardWord, Hypothesis, Reading
from voicelog.grammar.parse import Intent, parse
from voicelog.grammar.posterior import Prior
from voicelog.grammar.template import Node

Reason = Literal["silence", "talk", "no match", "unsure command"]
_MODES = frozenset({"stand by", "go ahead"})
"""Commands that stop listening or start it again; the one that ends it is asked back anyway."""
_YES_OR_NO = frozenset({"affirm", "negative"})
_ASKED_BACK = frozenset({"record", "drill"})
_NUMBERS = frozenset({"pain", "range_deg", "onset_deg", "outcome"})
_ASKED: Mapping[Expect, frozenset[str]] = {
    "answer": frozenset(),
    "pain": frozenset({"pain", "outcome"}),
    "range": frozenset({"range_deg", "onset_deg", "outcome"}),
}
"""What answers the question that is open; "answer" is for all questions but those for a number."""


@dataclass(frozen=True, slots=True)
class Bars:
    """How sure it must be, as probabilities from 0 to 1.

    `talk`: that it was dictated at all. `answer`: the same for a single slot while a question is
    open, which makes one likely; below `talk` it is asked back. `number`: the same where it is one
    for a number; of 122 digits of people in `tune` 8 are dropped with 0.25, and of 639 words that
    are none and ends of talk 85 are taken or asked back, where pain is asked for. `bare`: the
    same for a trial without any number, for one in bits, which talk resembles most, and for slots
    other than the number that was asked for. `note`: that the one word which opens a note was said.
    `command`: that a word of command was one; `mode`: the same for those that stop or resume
    listening; `again`: the same for a yes or no that was just asked for, as the one before could
    not be told. `slot`: that a slot need not be asked back.

    Those on `_loud` stand in for theirs where the room is loud: of 39 minutes of talk in echo and
    babble 9 pieces were proposed while nothing was open, 6 of them between 0.5 and 0.7, and the
    questions they opened took more talk for answers; of 400 dictations there and in babble 1 that
    was heard right lies there. Of 160 lines of talk one was heard as "affirmative", 0.80 sure, and
    of 62 commands heard right none lies between 0.8 and 0.9; of 160 dictations 124 were right and
    10 wrong with 0.7 for a slot, 121 and 6 with 0.75, 110 and 4 with 0.85 (all on `tune`).
    """

    talk: float = 0.5
    answer: float = 0.02
    number: float = 0.25
    bare: float = 0.95
    note: float = 0.998
    command: float = 0.8
    mode: float = 0.97
    again: float = 0.5
    slot: float = 0.7
    talk_loud: float = 0.7
    command_loud: float = 0.9
    again_loud: float = 0.8
    slot_loud: float = 0.75

    def in_loud_room(self) -> Self:
        """Those for sound with others talking in it."""
        return replace(
            self,
            talk=self.talk_loud,
            command=self.command_loud,
            again=self.again_loud,
            slot=self.slot_loud,
        )


@dataclass(frozen=True, slots=True)
class Interpretation:
    """What an utterance meant.

    `intent` is None exactly when it was not accepted; `reason` says why. `confidence` and
    `slot_confidence` go from 0 to 1. `doubtful` are slots to ask back, `words` are what it
    was taken from. `alternatives` are other meanings of the same sound, likeliest first.
    """

    accepted: bool
    reason: Reason | None
    intent: Intent | None
    confidence: float
    text: str
    words: tuple[HeardWord, ...] = ()
    slot_confidence: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    doubtful: tuple[str, ...] = ()
    alternatives: tuple[Intent, ...] = ()


@dataclass(frozen=True, slots=True)
class _Meaning:
    """One meaning, its probability among all meanings, and the best reading that gives it."""

    intent: Intent
    probability: float
    reading: Reading


def interpret(
    hypothesis: Hypothesis, tree: Node, bars: Bars, prior: Prior, expect: Expect = "any"
) -> Interpretation:
    """The likeliest meaning of what was heard, by sound and by what is known.

    `expect` is what the dialogue waits for: while a question is open a single word is an answer as
    likely as not.
    """
    sure = hypothesis.in_grammar
    if not hypothesis.readings:
        return Interpretation(False, "no match", None, sure, "")
    meanings = _meanings(hypothesis, tree, prior)
    if not meanings:
        return Interpretation(False, "no match", None, sure, hypothesis.text)
    best = _with_likely_slots(meanings, bars)
    reason = _refusal(best.intent, sure, bars, expect, prior)
    if reason is not None:
        return Interpretation(False, reason, None, sure, hypothesis.text)
    slots = _slot_confidence(best, meanings)
    faint = best.intent.kind == "record" and sure < bars.talk
    doubtful = tuple(slot for slot, sound in slots.items() if faint or sound < bars.slot)
    return Interpretation(
        accepted=True,
        reason=None,
        intent=best.intent,
        confidence=sure * best.probability,
        text=best.reading.text,
        words=best.reading.words,
        slot_confidence=MappingProxyType(slots),
        doubtful=doubtful if best.intent.kind in _ASKED_BACK else (),
        alternatives=tuple(meaning.intent for meaning in meanings if meaning is not best),
    )


def _with_likely_slots(meanings: Sequence[_Meaning], bars: Bars) -> _Meaning:
    """The likeliest meaning that has every slot that may well have been said. What lacks a slot has
    nothing there to ask back, and a side that was not heard would carry over from before."""
    kind = meanings[0].intent.kind
    if kind not in _ASKED_BACK:
        return meanings[0]
    same = [meaning for meaning in meanings if meaning.intent.kind == kind]
    said = {slot for meaning in same for slot in meaning.intent.slots}
    likely = {
        slot
        for slot in said
        if sum(m.probability for m in same if slot in m.intent.slots) > 1 - bars.slot
    }
    return next((m for m in same if m.intent.slots.keys() >= likely), meanings[0])


def _refusal(
    intent: Intent, sure: float, bars: Bars, expect: Expect, prior: Prior
) -> Reason | None:
    if intent.kind == "command" and intent.command != "correction":
        bar = bars.mode if intent.command in _MODES else bars.command
        bar = bars.again if prior.yes_or_no and intent.command in _YES_OR_NO else bar
        return None if sure >= bar else "unsure command"
    if intent.kind == "note":
        bar = bars.note
    elif intent.kind == "record" and expect in _ASKED:
        asked = _ASKED[expect]
        alone = bars.number if asked else bars.answer
        bar = alone if len(intent.slots) == 1 else bars.talk
        bar = bar if not asked or asked & set(intent.slots) else bars.bare
    elif intent.kind == "record" and (not _NUMBERS & set(intent.slots) or _in_bits(intent)):
        bar = bars.bare
    else:
        bar = bars.talk
    return None if sure >= bar else "talk"


def _in_bits(intent: Intent) -> bool:
    """Whether it names a part of a movement or several qualities, as talk pressed into the tree
    does ("hip ten degrees firm"); of 285 dictations of `tune` none does."""
    slots = intent.slots
    qualities = slots.get("quality")
    return ("joint" in slots) != ("motion" in slots) or (
        isinstance(qualities, tuple) and len(qualities) > 1
    )


def _meanings(hypothesis: Hypothesis, tree: Node, prior: Prior) -> list[_Meaning]:
    """The meanings of all readings that the tree allows, likeliest first."""
    weights: dict[str, float] = {}
    found: dict[str, tuple[Intent, Reading]] = {}
    for reading in hypothesis.readings:
        intent = parse(tree, tuple(word.text for word in reading.words))
        if intent is None:
            continue
        key = repr((intent.kind, intent.command, sorted(intent.slots.items())))
        found.setdefault(key, (intent, reading))
        weight = math.exp(reading.log_weight + prior.log_weight(intent))
        weights[key] = weights.get(key, 0.0) + weight
    total = sum(weights.values())
    meanings = [_Meaning(found[k][0], w / total, found[k][1]) for k, w in weights.items() if w]
    return sorted(meanings, key=lambda meaning: -meaning.probability)


def _slot_confidence(best: _Meaning, meanings: list[_Meaning]) -> dict[str, float]:
    """For each slot: the share of the meanings that agree, and the least sure of its words."""
    return {
        slot: sum(m.probability for m in meanings if m.intent.slots.get(slot) == value)
        * _least_sure(best, slot)
        for slot, value in best.intent.slots.items()
    }


def _least_sure(best: _Meaning, slot: str) -> float:
    start, end = best.intent.spans.get(slot, (0, 0))
    return min((word.confidence for word in best.reading.words[start:end]), default=1.0)
