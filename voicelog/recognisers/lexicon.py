"""How each word sounds: the language's own pronunciations over the engine's dictionary."""

from collections.abc import Iterable, Mapping
from pathlib import Path

from pocketsphinx import get_model_path

from voicelog.errors import RecogniserError

_PHONES = """
AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W Y Z ZH
"""
PHONES = tuple(_PHONES.split())
"""The phones of the CMU Pronouncing Dictionary, which are those of the engine's model."""
DICTIONARY = Path(get_model_path("en-us/cmudict-en-us.dict"))
"""That of the embedded engine, in the form of the CMU Pronouncing Dictionary."""


def lexicon(words: Iterable[str], own: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    """Phone strings of each of the words: `own` where it has the word, else the dictionary. Raises
    RecogniserError naming words that neither has."""
    wanted = set(words)
    found = {word: own[word] for word in wanted if word in own}
    found |= _looked_up(wanted - found.keys())
    missing = sorted(wanted - found.keys())
    if missing:
        raise RecogniserError(
            f"the speech engine does not know how to say: {', '.join(missing)}",
            do="Add a line for each of these words to pronunciations.dict in the language's folder",
        )
    return found


def entries(words: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Phone strings of those of the words that are in the dictionary. Raises RecogniserError when
    it cannot be read."""
    return _looked_up(set(words))


def _looked_up(wanted: set[str]) -> dict[str, tuple[str, ...]]:
    try:
        text = DICTIONARY.read_text(encoding="utf-8")
    except OSError as error:
        raise RecogniserError(
            f"the speech engine's dictionary {DICTIONARY} cannot be read",
            do="Install voicelog again",
        ) from error
    found: dict[str, tuple[str, ...]] = {}
    for line in text.splitlines():
        word, _, phones = line.partition(" ")
        if word.endswith(")"):  # "tear(2)" is another way to say "tear"
            word = word.partition("(")[0]
        if word in wanted:
            found[word] = (*found.get(word, ()), phones.strip())
    return found
