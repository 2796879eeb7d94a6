"""A practice's own words: drills, faults, cues and pronunciations, laid over a language's."""

import hashlib
import re
import unicodedata
from typing import Literal, get_args

from pydantic import BaseModel, ConfigDict, field_validator

from voicelog.grammar.language import Forms, LanguageData, Names
from voicelog.grammar.phones import PHONES

Kind = Literal["drill", "fault", "cue"]
KINDS: tuple[Kind, ...] = get_args(Kind)
TABLES: dict[Kind, Literal["drills", "faults", "cues"]] = {
    "drill": "drills",
    "fault": "faults",
    "cue": "cues",
}
"""For each kind its table, as in the files of a language."""
MOST_WORDS, MOST_LETTERS = 6, 40
WhyNot = Literal["no word", "too long", "signs"]
"""Why a text cannot be a way to say something."""
_WHY_NOT: dict[WhyNot, str] = {
    "no word": "has no word in it",
    "too long": f"is longer than {MOST_WORDS} words or {MOST_LETTERS} letters",
    "signs": "has signs or digits in it: write every word in letters, as it is said",
}
_WORD = re.compile(r"[^\W\d_]+('[^\W\d_]+)*")


class OwnWords(BaseModel):
    """What the practice has added: names with their ways to say them, and how words sound."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    drills: Names = {}
    faults: Names = {}
    cues: Names = {}
    pronunciations: dict[str, Forms] = {}
    """For a word its pronunciations, each as phones of the CMU Pronouncing Dictionary."""

    @field_validator("drills", "faults", "cues")
    @classmethod
    def _can_be_said(cls, names: Names) -> Names:
        for name, forms in names.items():
            for text in (name, *forms):
                reason = why_not(text)
                if reason:
                    raise ValueError(f'"{text}" {_WHY_NOT[reason]}')
        return names

    @field_validator("pronunciations")
    @classmethod
    def _can_sound(cls, sounds: dict[str, Forms]) -> dict[str, Forms]:
        """An engine that is given a phone it does not know starts no more."""
        for word, said in sounds.items():
            if len(word.split()) != 1:
                raise ValueError(f'"{word}" is more than one word')
            for phones in said:
                strange = [phone for phone in phones.split() if phone not in PHONES]
                if strange or not phones.split():
                    what = f"{', '.join(strange)} is no phone" if strange else "there are no phones"
                    raise ValueError(f'"{word}" cannot sound like that: {what}')
        return sounds

    def names(self, kind: Kind) -> Names:
        """The names of one kind with their ways to say them."""
        names: Names = getattr(self, TABLES[kind])
        return names

    def with_names(self, kind: Kind, names: Names) -> "OwnWords":
        """The same with other names of one kind."""
        return self.model_copy(update={TABLES[kind]: names})

    def with_sounds(self, sounds: dict[str, list[str]]) -> "OwnWords":
        """The same with these pronunciations as well."""
        return self.model_copy(update={"pronunciations": {**self.pronunciations, **sounds}})

    def without_idle_sounds(self, once_said: frozenset[str]) -> "OwnWords":
        """Without the pronunciations of words in `once_said` that no name uses any more."""
        forms = (form for kind in KINDS for said in self.names(kind).values() for form in said)
        used = {word for form in forms for word in form.split()}
        kept = {w: s for w, s in self.pronunciations.items() if w in used or w not in once_said}
        return self.model_copy(update={"pronunciations": kept})

    @property
    def is_empty(self) -> bool:
        """Whether nothing was added."""
        return self == OwnWords()


def composed(text: str) -> str:
    """The text with each letter as one sign of its usual width, and one space between words."""
    return " ".join(unicodedata.normalize("NFKC", text).split())


def why_not(text: str) -> WhyNot | None:
    """Why a text cannot be a way to say something; None if it can."""
    words = text.split()
    if not words:
        return "no word"
    if len(words) > MOST_WORDS or len(text) > MOST_LETTERS:
        return "too long"
    return None if all(_WORD.fullmatch(word) for word in words) else "signs"


def with_own(language: LanguageData, own: OwnWords) -> LanguageData:
    """The language with the practice's words.

    Where both have a name, the practice's ways to say it come first. A way to say something that
    the practice gave to a name of its own means that name, whatever the language says.
    """
    if own.is_empty:
        return language
    changes: dict[str, object] = {
        TABLES[kind]: _laid_over(own.names(kind), language, kind) for kind in KINDS
    }
    mark = hashlib.sha256(own.model_dump_json().encode()).hexdigest()[:8]
    changes["version"] = f"{language.version}+{mark}"
    return language.model_copy(update=changes)


def _laid_over(own: Names, language: LanguageData, kind: Kind) -> Names:
    shipped: Names = getattr(language, TABLES[kind])
    taken = {form.lower() for forms in own.values() for form in forms}
    names: Names = {}
    for name, forms in shipped.items():
        kept = [form for form in forms if form.lower() not in taken]
        if name in own:
            names[name] = [*own[name], *kept]
        elif kept:
            names[name] = kept
    return names | {name: forms for name, forms in own.items() if name not in shipped}
