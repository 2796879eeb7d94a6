"""The file of a practice's own words: one for each language, in the shape of the language's files.

What she writes into it by hand, comments too, stays when a word is added or removed.
"""

import os
import re
from contextlib import suppress
from pathlib import Path

import tomlkit
from pydantic import ValidationError
from tomlkit.exceptions import ParseError, TOMLKitError

from voicelog.data_files.toml_lines import line_of
from voicelog.errors import ConfigurationError, GrammarError
from voicelog.grammar.own_words import OwnWords

THE_LINE = "Mend the line"
_MEND = f"{THE_LINE}; until then no word of your own is known"
ANOTHER_FILE = f"{THE_LINE}, or give another file; your own words stay as they were"
_TOP = "The practice's own words: name = ways to say it, the first one being what is read back."


def own_words_file(data_folder: Path, code: str) -> Path:
    """Where the words of a practice are kept for the language of that code."""
    return data_folder / "words" / f"{code}.toml"


def load_own_words(file: Path, do: str = _MEND) -> OwnWords:
    """The words in a file; none when there is no such file. Raises GrammarError with the line, and
    what to do about it."""
    document = _document(file, do)
    try:
        return OwnWords.model_validate(document.unwrap())
    except ValidationError as error:
        mistake = error.errors()[0]
        keys = [str(step) for step in mistake["loc"]]
        what = mistake["msg"].removeprefix("Value error, ")
        text = f"{' / '.join(keys)}: {what}"
        keys += re.findall(r'^"(.*?)"', what)
        line = line_of(_text(file), keys)
        raise GrammarError(text, file=file, line=line, do=do) from error


def save_own_words(file: Path, own: OwnWords) -> None:
    """Write the words, all at once or not at all. Raises GrammarError when the file there cannot be
    read, ConfigurationError when it cannot be written."""
    document = _document(file)
    if not document.as_string():
        document.add(tomlkit.comment(_TOP))
    for table, names in own.model_dump().items():
        if table not in document:
            document[table] = tomlkit.table()
        there = document[table]
        for name in [name for name in there if name not in names]:
            del there[name]
        for name, forms in names.items():
            if there.get(name) != forms:
                there[name] = forms
    part = file.with_suffix(f".{os.getpid()}.part")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        part.write_text(tomlkit.dumps(document), encoding="utf-8")
        part.replace(file)
    except OSError as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise ConfigurationError(
            f"The words could not be written to {file} ({error.strerror})",
            kept="The words there before are unchanged",
            do="Make room or allow writing there, then try again",
        ) from error


def _document(file: Path, do: str = _MEND) -> tomlkit.TOMLDocument:
    try:
        return tomlkit.parse(_text(file))
    except (FileNotFoundError, NotADirectoryError):
        return tomlkit.document()
    except UnicodeDecodeError as error:
        do = do.replace(THE_LINE, "Save it as text in UTF-8")
        raise GrammarError("is no text in UTF-8", file=file, do=do) from error
    except OSError as error:
        raise GrammarError(
            f"cannot be read ({error.strerror})", file=file, do="Mend or move the file"
        ) from error
    except ParseError as error:
        raise GrammarError("is not valid TOML", file=file, line=error.line, do=do) from error
    except TOMLKitError as error:  # a name that stands there twice
        raise GrammarError(f"is not valid TOML: {error}", file=file, do=do) from error


def _text(file: Path) -> str:
    """What is in the file, with or without the mark that some editors put before UTF-8."""
    return file.read_text(encoding="utf-8-sig")
