"""Why something that a person asked for is not done, as an error in the words of the language."""

from typing import TypeVar

from voicelog.errors import VoicelogError
from voicelog.grammar.language import LanguageData

_Error = TypeVar("_Error", bound=VoicelogError)


def refusal(kind: type[_Error], name: str, language: LanguageData, /, **blanks: object) -> _Error:
    """The error of that kind under that name, its blanks filled in."""
    text = language.texts.corrections.refusals[name]
    kept, do = text.kept.format(**blanks), text.do.format(**blanks)
    return kind(text.what.format(**blanks), kept=kept, do=do)
