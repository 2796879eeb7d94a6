"""Reads the files of a spoken language."""

import re
import tomllib
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from voicelog.data_files.package import package_path
from voicelog.data_files.toml_lines import line_of
from voicelog.errors import ConfigurationError, GrammarError
from voicelog.grammar.language import LanguageData

_SINGLE = (
    "numbers", "slots", "measures", "joints", "motions", "commands", "kinds", "prompts",
    "shorthand", "texts",
)  # fmt: skip
_NAMED = ("drills", "faults", "cues")
_ON_THE_SHEET = ("headings", "meanings", "examples")
PRONUNCIATIONS = "pronunciations.dict"


def language_folder(code: str = "en") -> Path:
    """The folder of a language. Raises ConfigurationError when there is none of that code."""
    folders = languages_folder()
    if not re.fullmatch(r"[a-z-]+", code) or not (folders / code).is_dir():
        raise ConfigurationError(
            f'There is no language "{code}"',
            do=f"Set language to one of: {', '.join(language_codes())}",
        )
    return folders / code


def languages_folder() -> Path:
    """The folder that holds one folder for each language."""
    return package_path("grammar")


def language_codes() -> tuple[str, ...]:
    """The codes of all languages, in order."""
    found = (file.parent.name for file in languages_folder().glob("*/language.toml"))
    return tuple(sorted(found))


def load_language(folder: Path) -> LanguageData:
    """The language in `folder`. Raises GrammarError with file, line and what was expected."""
    parts: dict[str, Any] = _read(folder / "language.toml")
    for name in (*_SINGLE, *_NAMED):
        parts[name] = _read(folder / f"{name}.toml")
    parts |= _read(folder / "examples.toml")
    try:
        return LanguageData.model_validate(parts)
    except ValidationError as error:
        raise _explained(folder, error) from error


def load_pronunciations(folder: Path) -> dict[str, tuple[str, ...]]:
    """Pronunciations beyond the engine's dictionary: word to phone strings, in CMU Pronouncing
    Dictionary form (`WORD PH PH PH`, further variants as `WORD(2)`). Raises GrammarError."""
    path = folder / PRONUNCIATIONS
    found: dict[str, tuple[str, ...]] = {}
    for line_no, line in enumerate(_text(path).splitlines(), start=1):
        bare = line.split("#", 1)[0].strip()
        if not bare:
            continue
        word, _, phones = bare.partition(" ")
        word = re.sub(r"\(\d+\)$", "", word).lower()
        if not re.fullmatch(r"[A-Z]{1,2}( [A-Z]{1,2})*", phones.strip()):
            raise GrammarError(
                f'expected a word and its phones, such as "duction D AH K SH AH N", got "{bare}"',
                file=path,
                line=line_no,
                do="Mend the line, or take it out",
            )
        found[word] = (*found.get(word, ()), " ".join(phones.split()))
    return found


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise GrammarError(
            f"cannot be read ({error.__class__.__name__})",
            file=path,
            do="Put the file back from a fresh copy of voicelog",
        ) from error


def _read(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(_text(path))
    except tomllib.TOMLDecodeError as error:
        line = re.search(r"at line (\d+)", str(error))
        what = re.sub(r" \(at .*\)$", "", str(error))
        raise GrammarError(
            f"is not valid TOML: {what}",
            file=path,
            line=int(line[1]) if line else None,
            do="Mend the line, or put the file back from a fresh copy of voicelog",
        ) from error


def _explained(folder: Path, error: ValidationError) -> GrammarError:
    """The first mistake, with the file and line where its key stands."""
    mistake = error.errors()[0]
    place = [str(step) for step in mistake["loc"]]
    named = place[0] if place and place[0] in (*_SINGLE, *_NAMED) else "language"
    named = "examples" if place and place[0] in _ON_THE_SHEET else named
    path = folder / f"{named}.toml"
    keys = [step for step in place if step != named and not step.isdigit() and step != "[key]"]
    wanted = " / ".join(keys)
    text = f"{wanted}: {mistake['msg']}" if wanted else mistake["msg"]
    do = "Mend what is named there, or put the file back from a fresh copy of voicelog"
    return GrammarError(text, file=path, line=line_of(_text(path), keys), do=do)
