"""What counts as heard hangs on the room as well as on the engine."""

import numpy as np
import pytest

from voicelog.audio.base import Utterance
from voicelog.grammar.hypothesis import HeardWord, Hypothesis, Reading
from voicelog.grammar.interpret import Bars
from voicelog.grammar.phrases import Phrases
from voicelog.grammar.posterior import Prior
from voicelog.listening.hearing import Hearing
from voicelog.recognisers.scripted import ScriptedRecogniser

SOUND = np.ones(16_000, np.int16)
WAITING, ASKED_AGAIN = Prior(), Prior(yes_or_no=True)


@pytest.mark.parametrize(
    ("prior", "sure", "in_quiet_room", "in_loud_room"),
    [
        (WAITING, 0.85, True, False),
        (WAITING, 0.95, True, True),
        (ASKED_AGAIN, 0.6, True, False),
        (ASKED_AGAIN, 0.85, True, True),
    ],
)
def test_where_others_talk_a_yes_must_be_surer(
    phrases: Phrases, prior: Prior, sure: float, in_quiet_room: bool, in_loud_room: bool
) -> None:
    yes = Reading((HeardWord("affirmative", 0, 900, 1.0),))
    hypothesis = Hypothesis((yes,), sure, "scripted", "script", 0.0)
    hearing = Hearing(ScriptedRecogniser([hypothesis, hypothesis]), phrases, Bars())
    for cleaned, wanted in ((None, in_quiet_room), (SOUND // 2, in_loud_room)):
        utterance = Utterance(SOUND, 0.0, 1.0, cleaned=cleaned)
        meant, _ = hearing.whole(utterance, "command", prior)
        assert meant.accepted is wanted
        assert meant.reason == (None if wanted else "unsure command")


@pytest.mark.parametrize(("sure", "in_loud_room"), [(0.6, False), (0.8, True)])
def test_where_others_talk_a_dictation_must_be_surer(
    phrases: Phrases, sure: float, in_loud_room: bool
) -> None:
    words = tuple(HeardWord(w, 0, 300, 1.0) for w in ["gap", "trial", "pain", "four"])
    hypothesis = Hypothesis((Reading(words),), sure, "scripted", "script", 0.0)
    hearing = Hearing(ScriptedRecogniser([hypothesis, hypothesis]), phrases, Bars())
    for cleaned, wanted in ((None, True), (SOUND // 2, in_loud_room)):
        utterance = Utterance(SOUND, 0.0, 1.0, cleaned=cleaned)
        meant, _ = hearing.whole(utterance, "any", Prior())
        assert meant.accepted is wanted


@pytest.mark.parametrize(
    ("lead", "in_quiet_room", "in_loud_room"), [(1.0, (), ("pain",)), (1.5, (), ())]
)
def test_where_others_talk_a_slot_must_be_surer(
    phrases: Phrases, lead: float, in_quiet_room: tuple[str, ...], in_loud_room: tuple[str, ...]
) -> None:
    """A lead of 1 nat makes 0.73 (1 / (1 + 1 / e)), one of 1.5 makes 0.82."""
    four, five = (
        Reading(tuple(HeardWord(w, 0, 300, 1.0) for w in f"gap trial pain {n}".split()), weight)
        for n, weight in (("four", 0.0), ("five", -lead))
    )
    hypothesis = Hypothesis((four, five), 0.99, "scripted", "script", 0.0)
    hearing = Hearing(ScriptedRecogniser([hypothesis, hypothesis]), phrases, Bars())
    for cleaned, wanted in ((None, in_quiet_room), (SOUND // 2, in_loud_room)):
        utterance = Utterance(SOUND, 0.0, 1.0, cleaned=cleaned)
        meant, _ = hearing.whole(utterance, "record", Prior())
        assert meant.doubtful == wanted
