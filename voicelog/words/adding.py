"""Adds to a practice's own words: how they sound, what they could be mistaken for, what they cost.

`propose` finds all that out and changes nothing; `keep` puts the words on file.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from voicelog.data_files.languages import load_language
from voicelog.errors import ConfigurationError
from voicelog.grammar.alike import Alike, Sounds, alone, close_to
from voicelog.grammar.own_words import (
    TABLES,
    Kind,
    OwnWords,
    composed,
)
from voicelog.grammar.parse import COMMAND
from voicelog.grammar.phrases import NAME, Phrases
from voicelog.grammar.template import vocabulary
from voicelog.telling.names import name_in
from voicelog.telling.refusals import refusal
from voicelog.wiring import House
from voicelog.words.file import ANOTHER_FILE, load_own_words, save_own_words
from voicelog.words.sounds import Sound, check_text, sounding_alike, sounds_of


@dataclass(frozen=True, slots=True)
class Proposal:
    """What would be added. `alike` are phrases that it could be mistaken for, nearest first;
    `unheard` are words that the neural model does not have, each with spellings that it has."""

    kind: Kind
    name: str
    forms: tuple[str, ...]
    own: OwnWords
    sounds: tuple[Sound, ...]
    alike: tuple[Alike, ...]
    unheard: dict[str, tuple[str, ...]]


def propose(
    house: House, kind: Kind, name: str, forms: Sequence[str] = (), given: Sequence[str] = ()
) -> Proposal:
    """What adding a name would mean. `forms` are ways to say it, the name itself if there are none;
    `given` are pronunciations as "word PH PH".

    Raises ConfigurationError when it cannot be said or means something already, SpeechError when
    a word has no pronunciation.
    """
    name, texts = composed(name), tuple(composed(text).lower() for text in (forms or (name,)))
    _check_texts(house, kind, name, texts)
    words = tuple(dict.fromkeys(word for text in texts for word in text.split()))
    sounds = tuple(sounds_of(house, words, given))
    spoken = {s.word: list(s.phones) for s in sounds if s.source in ("given", "proposed")}
    names = {**house.own_words.names(kind), name: list(texts)}
    own = house.own_words.with_names(kind, names).with_sounds(spoken)
    told = {sound.word: sound.phones for sound in sounds if sound.source == "given"}
    alike = (*_alike(house, kind, name, texts, sounds), *sounding_alike(house, told))
    return Proposal(kind, name, texts, own, sounds, alike, unheard(house, words))


def keep(house: House, own: OwnWords) -> House:
    """Put the words on file and give a house that uses them. Raises ConfigurationError."""
    save_own_words(house.own_words_file, own)
    return replace(house, trial_words=None)


def without(house: House, kind: Kind, name: str) -> OwnWords:
    """The practice's words without a name. Raises ConfigurationError when it is none of them."""
    names = dict(house.own_words.names(kind))
    if name not in names:
        why = "shipped" if name in getattr(house.language, TABLES[kind]) else "not own"
        said = house.language.texts.corrections.kinds[kind]
        raise refusal(ConfigurationError, why, house.language, kind=said, name=name)
    words = frozenset(word for form in names.pop(name) for word in form.split())
    return house.own_words.with_names(kind, names).without_idle_sounds(words)


@dataclass(frozen=True, slots=True)
class Merged:
    """The practice's words with those of a file. `changed` are names that were said otherwise here;
    `alike` are pairs in which a name that is new could be mistaken for something, nearest first."""

    own: OwnWords
    changed: tuple[str, ...]
    alike: tuple[Alike, ...]


def merged(house: House, file: Path) -> Merged:
    """What bringing in a file of words would mean; where both have a name, the file counts.

    Raises GrammarError, or ConfigurationError when a way to say something means another already.
    """
    if not file.is_file():
        raise ConfigurationError(f"There is no file {file}", do="Give a file of words")
    there, own = load_own_words(file, ANOTHER_FILE), house.own_words
    changed: list[str] = []
    new: list[tuple[Kind, str, list[str]]] = []
    for kind in TABLES:
        old, names = own.names(kind), there.names(kind)
        new += [(kind, name, forms) for name, forms in names.items() if old.get(name) != forms]
        changed += [name for name, forms in names.items() if old.get(name, forms) != forms]
        own = own.with_names(kind, {**old, **names})
    own = own.with_sounds(there.pronunciations)
    tried = replace(house, trial_words=own)
    words = set().union(*(vocabulary(tree) for tree in tried.phrases.trees.values()))
    sounds = sounds_of(tried, sorted(words), ())
    missing = {s.word: list(s.phones) for s in sounds if s.source == "proposed"}
    mine = house.own_words.pronunciations
    told = {w: said for w, said in there.pronunciations.items() if mine.get(w) != said}
    alike = (*_any_alike(tried, new, sounds), *sounding_alike(house, told))
    return Merged(own.with_sounds(missing), tuple(changed), alike)


def _any_alike(
    house: House, new: Sequence[tuple[Kind, str, list[str]]], sounds: Sequence[Sound]
) -> tuple[Alike, ...]:
    found: dict[frozenset[str], Alike] = {}
    for kind, name, forms in new:
        texts = [form.lower() for form in forms]
        _check_texts(house, kind, name, texts)
        for pair in _alike(house, kind, name, texts, sounds):
            found.setdefault(frozenset((pair.first, pair.second)), pair)
    return tuple(sorted(found.values(), key=lambda pair: pair.distance))


def unheard(house: House, words: Sequence[str]) -> dict[str, tuple[str, ...]]:
    """Words that the neural model lacks, each with spellings in words that it has; nothing while
    that engine is not in use."""
    if house.engine_name() != "vosk" or house.vosk_folder is None:
        return {}
    from voicelog.recognisers.vosk import two_known_words, unknown_words

    lacking = unknown_words(house.vosk_folder, words)
    return {word: two_known_words(house.vosk_folder, word) for word in lacking}


def _check_texts(house: House, kind: Kind, name: str, texts: Sequence[str]) -> None:
    for text in (name, *texts):
        check_text(house, text)
    shipped = getattr(load_language(house.language_folder), TABLES[kind])
    for known, forms in (*shipped.items(), *house.own_words.names(kind).items()):
        taken = [text for text in texts if text in (form.lower() for form in forms)]
        if taken and known != name:
            said = house.language.texts.corrections.kinds[kind]
            blanks = {"kind": said, "name": name_in(shipped, known, house.language)}
            raise refusal(ConfigurationError, "taken", house.language, text=taken[0], **blanks)


def _alike(
    house: House, kind: Kind, name: str, texts: Sequence[str], sounds: Sequence[Sound]
) -> tuple[Alike, ...]:
    """What could be mistaken for one of the texts: dictated, corrected, or heard alone."""
    names = {n: f for n, f in getattr(house.language, TABLES[kind]).items() if n != name}
    phrases = Phrases(house.language.model_copy(update={TABLES[kind]: names}))
    named, corrected = (NAME, getattr(phrases, kind)), (f"{kind}_{NAME}", phrases.correction)
    places = (named, corrected, (COMMAND, phrases.command))
    words = set().union(*(vocabulary(tree) for _, tree in places))
    own = {sound.word: sound.phones for sound in sounds}
    known: Sounds = {s.word: s.phones for s in sounds_of(house, sorted(words - own.keys()), ())}
    found: list[Alike] = []
    for text in texts:
        dictated = f"{house.language.kinds[kind][0]} {text}"  # may be a known name and its dose
        found += alone(dictated, NAME, (named[1],))
        near = (close_to(text, slot, (tree,), {**known, **own}) for slot, tree in places)
        found += alone(text, NAME, phrases.trees.values()) or [p for pairs in near for p in pairs]
    unique = {(pair.first, pair.second): pair for pair in found}
    return tuple(sorted(unique.values(), key=lambda pair: pair.distance))
