"""The audit of a language: which phrases sound alike, and what is done about each."""

import tomllib
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from voicelog.data_files.languages import load_pronunciations
from voicelog.dialogue.prompts import values_read_back
from voicelog.errors import GrammarError
from voicelog.grammar.alike import Alike, Sounds, audit
from voicelog.grammar.alike_answers import Answer, Answers
from voicelog.grammar.phrases import Phrases
from voicelog.grammar.template import vocabulary
from voicelog.recognisers.lexicon import lexicon

FILE = "alike.toml"


@dataclass(frozen=True, slots=True)
class Finding:
    """One pair, the answer to it if there is one, and how two of its values are read back (nothing
    for commands)."""

    pair: Alike
    answer: Answer | None
    read_back: tuple[str, str]


def findings_of(
    phrases: Phrases, folder: Path, pronunciations: Mapping[str, tuple[str, ...]] | None = None
) -> tuple[Finding, ...]:
    """Every pair that sounds alike in the language of `folder`, worst first. `pronunciations` are
    those beyond the engine's dictionary, if they are not only those of the folder.

    Raises GrammarError when its file of answers is wrong, RecogniserError when a word has no
    pronunciation.
    """
    answers = load_answers(folder)
    trees = tuple(phrases.trees.values())
    words = frozenset().union(*map(vocabulary, trees))
    pairs = audit(trees, sounds(words, folder, pronunciations))
    return tuple(
        Finding(
            pair,
            answers.to(pair),
            (
                values_read_back(phrases.language, pair.meanings[0][0]),
                values_read_back(phrases.language, pair.meanings[0][1]),
            ),
        )
        for pair in pairs
    )


def sounds(
    words: Collection[str],
    folder: Path,
    pronunciations: Mapping[str, tuple[str, ...]] | None = None,
) -> Sounds:
    """The pronunciations of the words, as the embedded engine knows them. Raises RecogniserError
    naming those that have none."""
    own = load_pronunciations(folder) if pronunciations is None else pronunciations
    return lexicon(words, own)


def load_answers(folder: Path) -> Answers:
    """The answers of a language; none where it has no such file. Raises GrammarError."""
    path = folder / FILE
    if not path.exists():
        return Answers()
    try:
        return Answers.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except (OSError, tomllib.TOMLDecodeError, ValidationError) as error:
        do = "Mend what is named there, or put the file back from a fresh copy of voicelog"
        raise GrammarError(f"cannot be used: {error}", file=path, do=do) from error
