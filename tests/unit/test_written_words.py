"""Words that a transcriber writes, held to a network: both are made up, so that what is likeliest
follows from Bayes' rule with the shares that stand in each test."""

from collections.abc import Mapping, Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.made_up_pieces import FIRST, ScriptedTranscriber, vocabulary
from voicelog.recognisers.networks import Step
from voicelog.recognisers.transcriber import END
from voicelog.recognisers.word_pieces import SPACE, WordPieces
from voicelog.recognisers.written_words import Words, Written, WrittenWords

WORDS = ("gap", "pain", "four", "five", "one")
LAST = 5
STEPS: list[Step] = [
    (0, 1, 1.0, "gap"),
    (0, 1, 0.3),
    (1, 2, 1.0, "pain"),
    (2, 3, 1.0, "four"),
    (2, 3, 0.5, "five"),
    (2, 2, 1.0, "one"),
    (3, LAST, 1.0),
]
ROUND: list[Step] = [(0, 0, 1.0, "gap"), (0, 0, 1.0, "pain"), (0, LAST, 1.0)]
SCALE = 0.7
COUNT = 600
"""More than there are pieces."""


@pytest.fixture(scope="module")
def pieces(tmp_path_factory: pytest.TempPathFactory) -> WordPieces:
    whole = [SPACE + word for word in (*WORDS, *map(str.capitalize, WORDS))] + ["pain"]
    joined = dict.fromkeys(word[:end] for word in whole for end in range(2, len(word) + 1))
    return vocabulary(tmp_path_factory.mktemp("pieces"), list(joined))


def writes(pieces: WordPieces, texts: Mapping[str, float]) -> ScriptedTranscriber:
    """One that writes each of these texts with this share, and nothing else."""
    shares = {(*pieces.of(SPACE + t.replace(" ", SPACE)), END): s for t, s in texts.items()}

    def rule(so_far: tuple[int, ...]) -> dict[int, float]:
        after: dict[int, float] = {}
        for text, share in shares.items():
            if text[: len(so_far)] == so_far and len(text) > len(so_far):
                after[text[len(so_far)]] = after.get(text[len(so_far)], 0.0) + share
        return {piece: float(np.log(s / sum(after.values()))) for piece, s in after.items()}

    return ScriptedTranscriber(COUNT, rule)


def written(
    pieces: WordPieces,
    by: ScriptedTranscriber,
    also: Sequence[Words] = (),
    steps: Sequence[Step] = STEPS,
    seconds: int = 3,
) -> Written:
    searched = WrittenWords((LAST, steps), pieces, SCALE)
    return searched.in_sound(by, by.heard(np.zeros(16_000 * seconds, np.int16)), also)  # type: ignore[arg-type]


def apart(found: Written, one: str, other: str) -> float:
    return found.nats[tuple(one.split())] - found.nats[tuple(other.split())]


def test_the_likeliest_words_come_first(pieces: WordPieces) -> None:
    found = written(pieces, writes(pieces, {"gap pain five": 0.8, "gap pain four": 0.2}))
    assert found.best == ("gap", "pain", "five")
    assert list(found.nats.values()) == sorted(found.nats.values(), reverse=True)


def test_rare_words_cost_what_the_network_says(pieces: WordPieces) -> None:
    found = written(pieces, writes(pieces, {"gap pain four": 0.45, "gap pain five": 0.55}))
    assert apart(found, "gap pain four", "gap pain five") == pytest.approx(
        np.log(0.45 / 0.55) - SCALE * np.log(0.5), abs=1e-3
    )
    assert found.best == ("gap", "pain", "four")


@pytest.mark.parametrize(
    "text",
    ["gap pain four", "Gap pain four.", "Gap, pain, four", "Gap. Pain. Four.", "gap-pain Four"],
)
def test_words_are_the_same_however_they_are_written(pieces: WordPieces, text: str) -> None:
    found = written(pieces, writes(pieces, {text: 0.6, "gap pain five": 0.4}))
    assert found.best == ("gap", "pain", "four")
    assert max(found.short_of[found.best]) < 0.1


def test_the_ways_to_write_words_count_together(pieces: WordPieces) -> None:
    several = {"gap pain four": 0.3, "gap pain four.": 0.25, "pain four": 0.45}
    found = written(pieces, writes(pieces, several))
    alone = written(pieces, writes(pieces, {"gap pain four": 0.55, "pain four": 0.45}))
    assert apart(found, "gap pain four", "pain four") == pytest.approx(
        apart(alone, "gap pain four", "pain four"), abs=1e-3
    )


def test_a_silent_step_is_taken_and_costs_what_the_network_says(pieces: WordPieces) -> None:
    by = writes(pieces, {"pain four": 0.5, "gap pain four": 0.5})
    found = written(pieces, by)
    free: list[Step] = [(0, 1, 1.0) if len(step) == 3 and step[0] == 0 else step for step in STEPS]
    without = written(pieces, by, steps=free)
    cost = apart(without, "pain four", "gap pain four") - apart(found, "pain four", "gap pain four")
    assert cost == pytest.approx(-SCALE * np.log(0.3), abs=1e-3)


def test_words_end_only_where_the_network_ends(pieces: WordPieces) -> None:
    found = written(pieces, writes(pieces, {"gap pain": 0.98, "gap pain four": 0.02}))
    assert found.best == ("gap", "pain", "four")
    assert ("gap", "pain") not in found.nats


def test_words_do_not_end_behind_a_hyphen(pieces: WordPieces) -> None:
    found = written(pieces, writes(pieces, {"gap pain four-": 0.98, "gap pain five": 0.02}))
    assert found.best == ("gap", "pain", "five")


@pytest.mark.parametrize("order", [1, -1])
def test_of_two_steps_with_one_word_the_usual_one_counts(pieces: WordPieces, order: int) -> None:
    twice: list[Step] = [*STEPS, *[(2, 3, 0.5, "four"), (2, 3, 1.0, "five")][::order]]
    found = written(
        pieces, writes(pieces, {"gap pain four": 0.5, "gap pain five": 0.5}), steps=twice
    )
    assert apart(found, "gap pain four", "gap pain five") == pytest.approx(0, abs=1e-3)


def test_what_the_engine_heard_is_followed_however_unlikely(pieces: WordPieces) -> None:
    heard: Words = ("pain", "one", "five")
    by = writes(pieces, {"gap pain four": 1.0})
    assert heard not in written(pieces, by).nats
    found = written(pieces, by, also=[heard])
    assert found.best == ("gap", "pain", "four")
    assert found.nats[heard] < found.nats[found.best] - 10
    assert max(found.short_of[heard]) > 5


def test_what_falls_short_is_told_of_the_word_that_does(pieces: WordPieces) -> None:
    heard = ("gap", "pain", "five")
    found = written(pieces, writes(pieces, {"gap pain one": 0.9, "gap pain five": 0.1}), [heard])
    assert found.short_of[heard] == pytest.approx((0, 0, np.log(9), 0), abs=1e-3)


def test_what_an_end_falls_short_of_is_told_by_itself(pieces: WordPieces) -> None:
    ends_sooner: list[Step] = [*STEPS, (2, LAST, 1.0)]
    by = writes(pieces, {"gap pain four": 0.9, "gap pain": 0.1})
    found = written(pieces, by, steps=ends_sooner)
    assert found.short_of["gap", "pain"] == pytest.approx((0, 0, np.log(9)), abs=1e-3)


def test_a_word_is_not_written_for_ever(pieces: WordPieces) -> None:
    one, pain, four = (pieces.of(SPACE + word)[0] for word in ("one", "pain", "four"))

    def rule(so_far: tuple[int, ...]) -> dict[int, float]:
        if four in so_far or not so_far:
            return {END if so_far else pain: -0.01}
        return {one: float(np.log(0.9)), four: float(np.log(0.09))}

    found = written(pieces, ScriptedTranscriber(COUNT, rule), seconds=15)
    assert {words.count("one") for words in found.nats} == {0, 1, 2, 3}


def test_talk_is_given_up_after_its_first_words(pieces: WordPieces) -> None:
    """Though the network goes round and would take words for ever."""
    talk = writes(pieces, {"so where did you say that it began to hurt you then": 1.0})
    assert written(pieces, talk, steps=ROUND[:2], seconds=15).best == ()
    assert talk.steps < 12


def test_a_text_has_an_end_where_the_transcriber_knows_none(pieces: WordPieces) -> None:
    """A network that goes round, and words that come by turns."""
    gap, pain = (pieces.of(SPACE + word)[0] for word in ("gap", "pain"))
    by = ScriptedTranscriber(
        COUNT, lambda text: {gap if not text or text[-1] == pain else pain: -0.01, END: -5.0}
    )
    written(pieces, by, steps=ROUND, seconds=4)
    assert 10 < by.steps < 60


def steps_of(draw: st.DrawFn) -> list[Step]:
    states = st.integers(0, LAST)
    weights = st.sampled_from((1.0, 0.5, 0.1))
    spoken = st.tuples(states, states, weights, st.sampled_from(WORDS))
    silent = st.tuples(states, states, weights)
    return [*draw(st.lists(spoken, min_size=3, max_size=12)), *draw(st.lists(silent, max_size=4))]


NETWORKS = st.composite(steps_of)()


def leads_through(steps: Sequence[Step], words: Words) -> bool:
    """Whether the words are a way from the first state to the last; before each word, and at the
    end, one silent step may be taken."""

    def quietly(states: set[int]) -> set[int]:
        return states | {step[1] for step in steps if len(step) == 3 and step[0] in states}

    states = {0}
    for word in words:
        on = quietly(states)
        states = {step[1] for step in steps if len(step) == 4 and step[3] == word and step[0] in on}
    return LAST in quietly(states)


@given(NETWORKS, st.integers(0, 10_000), st.lists(st.sampled_from(WORDS), max_size=4))
@settings(deadline=None, max_examples=60)
def test_whatever_is_found_is_a_way_through_the_network(
    pieces: WordPieces, steps: list[Step], seed: int, also: list[str]
) -> None:
    starts = [pieces.of(SPACE + word)[0] for word in (*WORDS, *map(str.capitalize, WORDS))]
    places = [END, *starts, *pieces.of(",.-"), *range(FIRST, FIRST + 20)]

    def rule(so_far: tuple[int, ...]) -> dict[int, float]:
        found = np.random.default_rng([seed, *so_far]).normal(0, 2, len(places))
        found -= np.logaddexp.reduce(found)
        return dict(zip(places, map(float, found), strict=True))

    found = written(pieces, ScriptedTranscriber(COUNT, rule), [tuple(also)], steps, seconds=1)
    assert found.nats.keys() == found.short_of.keys()
    for words, short_of in found.short_of.items():
        assert leads_through(steps, words)
        assert len(short_of) - 1 == len(words) > 0
        assert min(short_of) >= 0
