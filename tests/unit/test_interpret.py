"""From readings to one meaning. Expected probabilities are worked out by hand: the weight of a
reading is exp(log_weight), an angle outside the plausible range costs 3 nats, and a meaning's
probability is its share of all weights (Bayes' rule)."""

import math
from dataclasses import replace

import pytest

from voicelog.grammar.hypothesis import HeardWord, Hypothesis, Reading
from voicelog.grammar.interpret import Bars, interpret
from voicelog.grammar.phrases import Phrases
from voicelog.grammar.posterior import Prior
from voicelog.records.content import Trial

NO_PRIOR = Prior()
ELBOW = Prior(plausible={("elbow", "flexion"): (90, 160)})


def heard(*readings: tuple[str, float], sure: float = 0.99, words: float = 1.0) -> Hypothesis:
    def spoken(text: str) -> tuple[HeardWord, ...]:
        return tuple(
            HeardWord(w, 400 * n, 400 * n + 300, words) for n, w in enumerate(text.split())
        )

    return Hypothesis(
        tuple(Reading(spoken(text), weight) for text, weight in readings), sure, "test", "test", 0.0
    )


def test_a_likelier_angle_wins_where_the_sound_hardly_differs(phrases: Phrases) -> None:
    close = heard(
        ("right elbow flexion baseline fourteen degrees pain two", 0.0),
        ("right elbow flexion baseline one hundred and forty degrees pain two", -1.0),
    )
    meant = interpret(close, phrases.trees["any"], Bars(), ELBOW)
    assert meant.intent is not None
    assert meant.intent.slots["range_deg"] == 140
    expected = math.exp(-1) / (math.exp(-1) + math.exp(-3))
    assert meant.slot_confidence["range_deg"] == pytest.approx(expected)


def test_a_rare_but_real_angle_wins_when_it_was_said_clearly(phrases: Phrases) -> None:
    clear = heard(
        ("right elbow flexion baseline forty degrees pain two", 0.0),
        ("right elbow flexion baseline one hundred and forty degrees pain two", -8.0),
    )
    meant = interpret(clear, phrases.trees["any"], Bars(), ELBOW)
    assert meant.intent is not None
    assert meant.intent.slots["range_deg"] == 40
    assert meant.doubtful == ()


KNEE = Trial(side="left", joint="knee", motion="flexion", phase="baseline", range_deg=58, pain=6)


@pytest.mark.parametrize(
    ("earlier", "lead", "angle"),
    [
        ((KNEE,), 1.0, 60),
        ((KNEE,), 2.0, 16),
        ((), 1.0, 16),
        ((KNEE.model_copy(update={"side": "right"}),), 1.0, 16),
        ((KNEE, KNEE.model_copy(update={"range_deg": 20})), 1.0, 16),
    ],
)
def test_an_angle_like_another_of_the_visit_wins_where_the_sound_hardly_differs(
    phrases: Phrases, earlier: tuple[Trial, ...], lead: float, angle: int
) -> None:
    close = heard(("gap trial sixteen degrees", 0.0), ("gap trial sixty degrees", -lead))
    meant = interpret(close, phrases.trees["any"], Bars(), Prior(KNEE, earlier))
    assert meant.intent is not None
    assert meant.intent.slots["range_deg"] == angle
    far = math.exp(-1.5)  # one whose sound leads, but which lies far from all others
    sure = {60: 1 / (1 + far * math.e), 16: 1 / (1 + math.exp(-lead))}[angle]
    if lead == 1:
        assert meant.slot_confidence["range_deg"] == pytest.approx(sure)


def test_pain_is_never_drawn_towards_the_pain_before(phrases: Phrases) -> None:
    close = heard(("gap trial pain two", 0.0), ("gap trial pain six", -0.1))
    meant = interpret(close, phrases.trees["any"], Bars(), Prior(KNEE, (KNEE,)))
    assert meant.intent is not None
    assert meant.intent.slots["pain"] == 2
    assert meant.slot_confidence["pain"] == pytest.approx(1 / (1 + math.exp(-0.1)))


def test_only_the_slot_on_which_readings_differ_is_asked_back(phrases: Phrases) -> None:
    unsure = heard(
        ("right shoulder internal rotation gap trial pain four", 0.0),
        ("right shoulder internal rotation gap trial pain five", -0.5),
    )
    meant = interpret(unsure, phrases.trees["any"], Bars(), NO_PRIOR)
    assert meant.doubtful == ("pain",)
    assert meant.slot_confidence["pain"] == pytest.approx(1 / (1 + math.exp(-0.5)))
    assert meant.slot_confidence["joint"] == pytest.approx(1)
    assert [other.slots["pain"] for other in meant.alternatives] == [5]


@pytest.mark.parametrize(
    ("less", "more", "slot"),
    [
        ("gap trial hip flexion pain two", "gap trial left hip flexion pain two", "side"),
        ("left hip flexion gap pain two", "left hip flexion gap pain two dull", "quality"),
        ("drill split squat", "drill left split squat", "side"),
    ],
)
def test_a_slot_that_may_have_been_said_is_asked_back_and_not_left_out(
    phrases: Phrases, less: str, more: str, slot: str
) -> None:
    lead = 0.8
    meant = interpret(heard((less, 0.0), (more, -lead)), phrases.trees["any"], Bars(), NO_PRIOR)
    assert meant.intent is not None
    assert meant.intent.slots[slot] in ("left", ("dull",))
    assert meant.slot_confidence[slot] == pytest.approx(1 / (1 + math.exp(lead)))
    assert meant.doubtful == (slot,)
    rare = interpret(heard((less, 0.0), (more, -1.0)), phrases.trees["any"], Bars(), NO_PRIOR)
    assert rare.intent is not None
    assert slot not in rare.intent.slots


def test_readings_of_one_meaning_count_together(phrases: Phrases) -> None:
    two_ways = heard(
        ("gap trial pain three", 0.0),
        ("gap trial pain tree", 0.0),
        ("gap trial pain free", -0.2),
    )
    meant = interpret(two_ways, phrases.trees["any"], Bars(), NO_PRIOR)
    assert meant.intent is not None
    assert meant.intent.slots["pain"] == 3
    assert meant.slot_confidence["pain"] == pytest.approx(2 / (2 + math.exp(-0.2)))


def test_a_word_that_was_heard_badly_makes_its_slot_doubtful(phrases: Phrases) -> None:
    meant = interpret(
        heard(("gap trial pain three", 0.0), words=0.5), phrases.trees["any"], Bars(), NO_PRIOR
    )
    assert set(meant.doubtful) == {"phase", "pain"}


@pytest.mark.parametrize(
    ("text", "sure", "reason"),
    [
        ("gap trial pain three", 0.49, "talk"),
        ("gap trial pain three", 0.51, None),
        ("right knee flexion gap trial", 0.94, "talk"),
        ("right knee flexion gap trial", 0.96, None),
        ("knee gap trial pain three", 0.94, "talk"),
        ("knee gap trial pain three", 0.96, None),
        ("gap trial pain three dull sore", 0.94, "talk"),
        ("gap trial pain three dull sore", 0.96, None),
        ("right knee flexion gap trial pain three dull", 0.51, None),
        ("note ...", 0.997, "talk"),
        ("note ...", 0.999, None),
        ("affirm", 0.79, "unsure command"),
        ("affirm", 0.81, None),
        ("stand by", 0.96, "unsure command"),
        ("stand by", 0.98, None),
        ("close visit", 0.79, "unsure command"),
        ("close visit", 0.81, None),
        ("bananas", 1.0, "no match"),
    ],
)
def test_each_kind_of_utterance_has_a_bar_of_its_own(
    phrases: Phrases, text: str, sure: float, reason: str | None
) -> None:
    meant = interpret(heard((text, 0.0), sure=sure), phrases.trees["any"], Bars(), NO_PRIOR)
    assert meant.reason == reason
    assert meant.accepted == (reason is None)


@pytest.mark.parametrize(
    ("text", "sure", "doubtful", "reason"),
    [
        ("four", 0.24, (), "talk"),
        ("four", 0.26, ("pain",), None),
        ("four", 0.51, (), None),
        ("pain four", 0.26, ("pain",), None),
        ("pain four dull", 0.49, (), "talk"),
        ("pain four dull", 0.51, (), None),
        ("two four degrees", 0.94, (), "talk"),
        ("two four degrees", 0.96, (), None),
        ("two four degrees pain three", 0.51, (), None),
        ("unable", 0.51, (), None),
    ],
)
def test_a_faint_answer_of_one_slot_is_asked_back_and_a_longer_or_another_one_is_talk(
    phrases: Phrases, text: str, sure: float, doubtful: tuple[str, ...], reason: str | None
) -> None:
    faint = heard((text, 0.0), sure=sure)
    meant = interpret(faint, phrases.trees["pain"], Bars(), NO_PRIOR, "pain")
    assert (meant.reason, meant.doubtful) == (reason, doubtful)


@pytest.mark.parametrize(("sure", "reason"), [(0.019, "talk"), (0.021, None)])
def test_a_faint_answer_that_is_no_number_is_asked_back_sooner(
    phrases: Phrases, sure: float, reason: str | None
) -> None:
    tree = phrases.trees["answer"]
    meant = interpret(heard(("left", 0.0), sure=sure), tree, Bars(), NO_PRIOR, "answer")
    assert meant.reason == reason


@pytest.mark.parametrize(
    ("text", "sure", "accepted"),
    [
        ("affirmative", 0.49, False),
        ("affirmative", 0.51, True),
        ("negative", 0.51, True),
        ("disregard", 0.79, False),
        ("stand by", 0.96, False),
    ],
)
def test_a_yes_or_no_that_was_just_asked_for_may_be_less_sure(
    phrases: Phrases, text: str, sure: float, accepted: bool
) -> None:
    prior = Prior(yes_or_no=True)
    meant = interpret(heard((text, 0.0), sure=sure), phrases.trees["any"], Bars(), prior)
    assert meant.accepted is accepted


def test_nothing_heard_means_nothing(phrases: Phrases) -> None:
    meant = interpret(heard(), phrases.trees["any"], Bars(), NO_PRIOR)
    assert (meant.accepted, meant.intent, meant.reason) == (False, None, "no match")


def test_a_slot_is_as_sure_as_the_least_sure_of_its_words(phrases: Phrases) -> None:
    (reading,) = heard(("right elbow flexion baseline one hundred and forty degrees", 0.0)).readings
    words = tuple(
        replace(word, confidence=0.4 if word.text == "forty" else 1.0) for word in reading.words
    )
    hypothesis = Hypothesis((Reading(words, 0.0),), 0.99, "test", "test", 0.0)
    meant = interpret(hypothesis, phrases.trees["any"], Bars(), NO_PRIOR)
    assert meant.slot_confidence["range_deg"] == pytest.approx(0.4)
    assert meant.doubtful == ("range_deg",)


def test_readings_of_one_meaning_stand_together(phrases: Phrases) -> None:
    """Two ways of saying one thing outweigh a likelier one of another: 0.37 + 0.37 against 0.61."""
    said = heard(
        ("right elbow flexion gap trial pain four", -0.5),
        ("right elbow flexion gap trial pain five", -1.0),
        ("right elbow flexion gap trial pain five out of ten", -1.0),
    )
    meant = interpret(said, phrases.trees["any"], Bars(), NO_PRIOR)
    assert meant.intent is not None
    assert meant.intent.slots["pain"] == 5
