"""How the practice's words sound: as she gave it, as the dictionary has it, or as proposed.

A pronunciation holds for a word wherever it is said, also in a command: one that is that of another
word would have the one heard for the other, a yes for a no.
"""

import math
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from voicelog.errors import ConfigurationError
from voicelog.grammar.alike import BAR, Alike
from voicelog.grammar.own_words import MOST_LETTERS, MOST_WORDS, OwnWords, why_not
from voicelog.grammar.phones import distance
from voicelog.grammar.template import vocabulary
from voicelog.recognisers.lexicon import PHONES, entries
from voicelog.telling.refusals import refusal
from voicelog.wiring import House

Source = Literal["given", "practice", "language", "dictionary", "proposed", "spelling"]
"""Where a pronunciation is from: she gave it; it was on file; the language's own file; the engine's
dictionary; the rules of the read-back voice; or only its letters, where no engine needs more."""


@dataclass(frozen=True, slots=True)
class Sound:
    """A word with its pronunciations and where they are from."""

    word: str
    phones: tuple[str, ...]
    source: Source


def pronounced(
    house: House, word: str, given: Sequence[str]
) -> tuple[OwnWords, Sound, tuple[Alike, ...]]:
    """The practice's words with her pronunciation of one word, before those known already, and what
    it would sound like. Raises ConfigurationError or SpeechError."""
    if "pocketsphinx" not in house.language.engines:
        raise ConfigurationError(
            f"No engine for {house.language.name} is told how a word sounds",
            kept="Nothing was changed",
            do="Add the word in a name, and other spellings of it with --also",
        )
    if len(word.split()) > 1:
        raise ConfigurationError(f'"{word}" is more than one word', do="Give one word in letters")
    check_text(house, word)
    word = word.lower()
    (known,) = sounds_of(house, (word,), ())
    if not given:
        return house.own_words.with_sounds({word: list(known.phones)}), known, ()
    said = [phones_given(word, text) for text in given]
    earlier = () if known.source == "proposed" else known.phones
    sound = Sound(word, tuple(dict.fromkeys((*said, *earlier))), "given")
    mistaken = sounding_alike(house, {word: said})
    return house.own_words.with_sounds({word: list(sound.phones)}), sound, mistaken


def sounding_alike(house: House, given: Mapping[str, Sequence[str]]) -> tuple[Alike, ...]:
    """Pairs of a word that can be said already and another, where a pronunciation given for the one
    is that of the other or close to it, nearest first. Words that are as close anyway count as
    known; those that are new are looked at where they stand in a name."""
    if "pocketsphinx" not in house.language.engines:
        return ()
    spoken = sorted(set().union(*(vocabulary(tree) for tree in house.phrases.trees.values())))
    changed = given.keys() & set(spoken)
    if not changed:
        return ()
    known = {sound.word: sound.phones for sound in sounds_of(house, spoken, ())}
    usual = {**known, **entries(changed)}
    found: list[Alike] = []
    for word in changed:
        for other in known.keys() - {word}:
            near = _apart(given[word], known[other])
            if near <= BAR and near < _apart(usual[word], known[other]):
                found.append(Alike(word, other, near, "sound", ()))
    return tuple(sorted(found, key=lambda pair: (pair.distance, pair.first, pair.second)))


def _apart(first: Sequence[str], second: Sequence[str]) -> float:
    """The least distance of two pronunciations; infinite, or much, beyond the bar."""
    pairs = ((one.split(), other.split()) for one in first for other in second)
    return min((distance(one, other, BAR) for one, other in pairs), default=math.inf)


def sounds_of(house: House, words: Sequence[str], given: Sequence[str]) -> list[Sound]:
    """How each word sounds: as given, else on file, else in the dictionary, else proposed.

    Raises ConfigurationError when what is given is no pronunciation, SpeechError.
    """
    if "pocketsphinx" not in house.language.engines:
        letters = ((word, " ".join(unicodedata.normalize("NFD", word))) for word in words)
        return [Sound(word, (spelled,), "spelling") for word, spelled in letters]
    from voicelog.speech.arpabet import propose_phones

    told: dict[str, tuple[str, ...]] = {}
    for text in given:
        word, _, phones = text.strip().partition(" ")
        told[word.lower()] = (*told.get(word.lower(), ()), phones_given(word, phones))
    known = entries(words)
    found = []
    for word in words:
        own = house.own_words.pronunciations.get(word)
        if word in told:
            found.append(Sound(word, told[word], "given"))
        elif own:
            found.append(Sound(word, tuple(own), "practice"))
        elif word in house.pronunciations:
            found.append(Sound(word, house.pronunciations[word], "language"))
        elif word in known:
            found.append(Sound(word, known[word], "dictionary"))
        else:
            found.append(Sound(word, (propose_phones(word),), "proposed"))
    return found


def phones_given(word: str, text: str) -> str:
    """Phones as they were typed, checked. Raises ConfigurationError."""
    phones = text.upper().split()
    strange = [phone for phone in phones if phone not in PHONES]
    if strange or not phones:
        what = f"{', '.join(strange)} is no phone" if strange else "there are no phones"
        raise ConfigurationError(
            f'"{word}" cannot sound like that: {what}',
            do=f"Use the phones of the CMU Pronouncing Dictionary: {' '.join(PHONES)}",
        )
    return " ".join(phones)


def check_text(house: House, text: str) -> None:
    """Make sure that a text can be a way to say something. Raises ConfigurationError."""
    if reason := why_not(text):
        blanks = {"text": text, "words": MOST_WORDS, "letters": MOST_LETTERS}
        raise refusal(ConfigurationError, reason, house.language, **blanks)
