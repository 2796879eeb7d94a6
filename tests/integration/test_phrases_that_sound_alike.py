"""The audit of the English language: every pair that sounds alike has an answer that holds."""

from itertools import islice, product

import pytest

from voicelog.dialogue.prompts import values_read_back
from voicelog.grammar.alike import BAR, Sounds, close_to
from voicelog.grammar.parse import parse
from voicelog.grammar.phones import distance
from voicelog.grammar.template import vocabulary
from voicelog.settings.fields import Settings
from voicelog.wiring import House
from voicelog.words.auditing import Finding, findings_of, load_answers, sounds

HOUSE = House(Settings(language="en"))
FOLDER = HOUSE.language_folder


@pytest.fixture(scope="module")
def found() -> tuple[Finding, ...]:
    return findings_of(HOUSE.phrases, FOLDER)


def sentences_apart(first: str, second: str, known: Sounds) -> float:
    """How far apart two sentences sound, at the closest of their pronunciations."""
    one, other = (
        [" ".join(said).split() for said in islice(product(*(known[w] for w in plain(text))), 8)]
        for text in (first, second)
    )
    return min(distance(a, b) for a in one for b in other)


def plain(text: str) -> list[str]:
    return [word.strip(",.?").lower() for word in text.split()]


def known_sounds(texts: list[str]) -> Sounds:
    return sounds({word for text in texts for word in plain(text)}, FOLDER)


def test_every_pair_that_sounds_alike_has_an_answer(found: tuple[Finding, ...]) -> None:
    open_pairs = [f"{f.pair.first} / {f.pair.second}" for f in found if f.answer is None]
    assert open_pairs == [], "answer each in grammar/en/alike.toml"


def test_the_audit_finds_what_listeners_and_engines_confuse(found: tuple[Finding, ...]) -> None:
    """-teen and -ty, three and free, abduction and adduction: the classic pairs of dictation
    (the first two as in ICAO Annex 10 Volume II, 5.2.1.4.1, which spells digit by digit)."""
    pairs = {(f.pair.first, f.pair.second) for f in found}
    teens = [("thirteen", "thirty"), ("forty", "fourteen"), ("fifteen", "fifty"),
             ("sixteen", "sixty"), ("seventeen", "seventy"), ("eighteen", "eighty"),
             ("nineteen", "ninety")]  # fmt: skip
    named = [("free", "three"), ("abduction", "adduction"), ("eight", "eighty")]
    assert {*teens, *named} <= pairs


def test_no_answer_is_left_over_from_words_that_are_gone(found: tuple[Finding, ...]) -> None:
    pairs = {(f.pair.first, f.pair.second) for f in found}
    unused = [a.pair for a in load_answers(FOLDER).answer if tuple(sorted(a.pair)) not in pairs]
    assert unused == []


def test_read_backs_of_values_that_sound_alike_do_not_sound_alike(
    found: tuple[Finding, ...],
) -> None:
    texts = {
        (values_read_back(HOUSE.language, one), values_read_back(HOUSE.language, other))
        for finding in found
        for one, other in finding.pair.meanings
    }
    spoken = [(one, other) for one, other in texts if one and other]
    assert len(spoken) > 100
    known = known_sounds([text for pair in spoken for text in pair])
    close = [pair for pair in spoken if sentences_apart(*pair, known) <= BAR]
    assert close == []


def test_longer_forms_mean_the_same_and_do_not_sound_alike(found: tuple[Finding, ...]) -> None:
    for finding in found:
        if finding.answer is None or finding.answer.say is None:
            continue
        known = known_sounds(list(finding.answer.say))
        assert sentences_apart(*finding.answer.say, known) > BAR, finding.answer.say
        for text in finding.answer.say:
            said = f"gap trial {text}" if text != "gap trial" else "gap trial pain four"
            assert parse(HOUSE.phrases.trees["answer"], tuple(plain(said))) is not None, said


def test_at_eight_and_eighty_are_told_apart_by_the_read_back() -> None:
    read = [values_read_back(HOUSE.language, frozenset({("range_deg", n)})) for n in (8, 80)]
    assert read == ["eight degrees", "eighty degrees, eight zero"]
    assert sentences_apart(read[0], read[1], known_sounds(read)) > BAR


def test_a_new_phrase_is_warned_of_when_it_sounds_like_one_that_is_there() -> None:
    trees = tuple(HOUSE.phrases.trees.values())
    known = sounds(frozenset().union(*map(vocabulary, trees)) | {"wool"}, FOLDER)
    close = close_to("wool slide", "name", trees, known)
    assert ("wall", "wool") in {(pair.first, pair.second) for pair in close}
