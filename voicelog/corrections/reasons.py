"""Why a version came to be: what is kept with it, and the same in the words of the language.

What is kept is a name, the same in every language, with what was heard or typed where there is
such; a person's own words follow it, or stand alone.
"""

import re

from voicelog.grammar.language import LanguageData

_KEPT = {
    "dictated": "dictated",
    "affirmed": "affirmed",
    "negative": "negative",
    "disregarded": "disregarded",
    "right as it is": "checked, and right as it is",
    "discarded": "discarded at the desk",
    "discard taken back": "discard taken back",
    "affirmation undone": "affirmation undone",
    "lists": "chosen from lists",
    "compared": "compared with its sound",
    "text changed": "text changed",
    "typed at the keyboard": "typed at the keyboard",
    "heard as": 'heard as "{said}" instead',
    "typed": 'typed "{said}"',
    "found in a note": 'found in a note, typed "{said}"',
    "back to version": "undone, back to version {said}",
}
_SAID, _OWN = "(?P<said>.*)", "(: (?P<own>.*))?"
_READ = {
    name: re.compile(re.escape(kept).replace(r"\{said\}", _SAID) + _OWN, re.DOTALL)
    for name, kept in _KEPT.items()
}


def kept_reason(name: str, said: object = "") -> str:
    """What is kept of a reason."""
    return _KEPT[name].format(said=said)


def reason_words(kept: str, language: LanguageData) -> str:
    """A reason that was kept, for people; words of a person's own as they are."""
    for name, pattern in _READ.items():
        found = pattern.fullmatch(kept)
        if found is not None:
            said = found.groupdict().get("said", "")
            told = language.texts.corrections.reasons[name].format(said=said)
            return f"{told}: {found['own']}" if found["own"] else told
    return kept
