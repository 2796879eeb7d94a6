"""How a word that no dictionary has is probably said, by the rules of eSpeak NG.

Its IPA for American English is rewritten in the phones of the CMU Pronouncing Dictionary
(correspondence: the dictionary's own phone table and the IPA chart). How often that is right:
`python tests/benchmarks/pronunciations.py`.
"""

import re
import unicodedata

from voicelog.errors import SpeechError
from voicelog.speech.espeak import to_ipa

VOICE = "en-us"
_TABLE = """
aɪɚ AY ER | aʊɚ AW ER | ɜːɹ ER | ɚɹ ER | əl AH L | n̩ AH N | l̩ AH L | m̩ AH M
aɪ AY | aʊ AW | eɪ EY | oʊ OW | əʊ OW | ɔɪ OY | tʃ CH | dʒ JH
iː IY | uː UW | ɑː AA | ɔː AO | ɜː ER | oː AO
ɐ AH | ə AH | ʌ AH | ɪ IH | i IY | ᵻ IH | ɚ ER | ɛ EH | e EH | æ AE | a AA | ɑ AA | ɒ AA | ɔ AO
o OW | ʊ UH | u UW
ɹ R | r R | ɾ T | ʔ T | θ TH | ð DH | ʃ SH | ʒ ZH | ŋ NG | ɡ G | j Y | x K | ɬ L
b B | d D | f F | h HH | k K | l L | m M | n N | p P | s S | t T | v V | w W | z Z
"""
_PHONES = {
    sound: phones
    for sound, _, phones in (
        entry.strip().partition(" ") for line in _TABLE.splitlines() for entry in line.split("|")
    )
    if sound
}
_LONGEST_FIRST = "|".join(sorted(map(re.escape, _PHONES), key=len, reverse=True))
_SOUND = re.compile(_LONGEST_FIRST)
_BEFORE_VOWEL = re.compile(r"ɪ(?=[ˌˈ]?[əɐoɑæaʊuɛe])")
"""A short i before a vowel, as in "radio", is a long one in the dictionary."""
_UNSAID = re.compile(r"[ˈˌ\s]")


def propose_phones(word: str) -> str:
    """The phones of a word, with spaces between. Raises SpeechError when the voice cannot be loaded
    or gives nothing for the word, or its letters are of another script."""
    letters = (unicodedata.name(letter, "") for letter in word if letter.isalpha())
    if not all(letter.startswith("LATIN") for letter in letters):
        raise _not_found(word)  # the voice would say what each letter is called
    ipa = _UNSAID.sub("", _BEFORE_VOWEL.sub("i", to_ipa(word, VOICE)))
    phones = " ".join(_PHONES[sound] for sound in _SOUND.findall(ipa))
    if not phones:
        raise _not_found(word)
    return phones


def _not_found(word: str) -> SpeechError:
    return SpeechError(
        f'No pronunciation was found for "{word}"', do='Give it in phones: --phones "D AO R S IY"'
    )
