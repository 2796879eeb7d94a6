"""Settings for people: what is in force and where it stands, and the file with its comments."""

import textwrap
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import reduce
from pathlib import Path

import tomlkit
from pydantic_core import PydanticUndefined
from tomlkit.exceptions import TOMLKitError

from voicelog.errors import ConfigurationError
from voicelog.settings.fields import Settings
from voicelog.settings.loading import REMOVE_IT, load_settings
from voicelog.settings.places import place_of, settings_file, where_set
from voicelog.settings.wording import allowed

_HEAD = """\
Settings of voicelog. Take the sign # away from a line to change it; what is left out keeps its
default. `voicelog settings` shows what is in force and where it comes from."""
_WIDTH = 96


@dataclass(frozen=True, slots=True)
class Shown:
    """One setting: its value as TOML, where that stands, what it does and what may stand there."""

    name: str
    value: str
    origin: str
    what: str
    choices: str


def shown(settings: Settings) -> Iterator[Shown]:
    """Every setting in force, in the order of the file."""
    schema = Settings.model_json_schema()
    for name, field in Settings.model_fields.items():
        yield Shown(
            name,
            toml_value(settings.model_dump(mode="json")[name]),
            where_set((name,), settings.practitioner),
            " ".join((field.description or "").split()),
            allowed(schema, (name,)),
        )


def toml_value(value: object) -> str:
    """A value as it stands in the file; "(none)" for one that is left out."""
    if value is None:
        return "(none)"
    inline = tomlkit.inline_table()
    inline["value"] = value
    return inline.as_string().removeprefix("{value = ").removesuffix("}")


def example() -> str:
    """The whole file with every setting explained and commented out, so that it changes nothing."""
    schema = Settings.model_json_schema()
    parts = [_commented(_HEAD)]
    # In TOML a table takes in every line behind it, so tables go last.
    fields = sorted(Settings.model_fields.items(), key=lambda f: isinstance(f[1].default, dict))
    for name, field in fields:
        what = " ".join((field.description or "").split())
        told = f"{what} Allowed: {allowed(schema, (name,))}."
        value = field.default
        if value is PydanticUndefined or value in (None, "", [], {}):
            value = (field.examples or [Settings.model_construct().data_folder.as_posix()])[0]
        parts.append(f"{_commented(told)}\n{_commented(tomlkit.dumps({name: value}).strip())}")
    return "\n\n".join(parts) + "\n"


def write_example() -> Path:
    """Put the commented file where the settings are looked for. Raises ConfigurationError."""
    file = settings_file()
    if file.exists():
        raise ConfigurationError(
            f"{file} is there already",
            kept="It stays as it is",
            do="Look at the whole list with `voicelog settings --example`",
        )
    _write(file, example())
    return file


def change(values: Mapping[str, str | int | bool]) -> Path:
    """Set values in the settings file, comments kept; the file is made when there is none.

    Raises ConfigurationError, with the file as it was, when a value is not allowed.
    """
    file = settings_file()
    before = file.read_text(encoding="utf-8") if file.exists() else None
    try:
        document = tomlkit.parse(example() if before is None else before)
    except TOMLKitError as error:
        raise ConfigurationError(
            f"{file} cannot be read as settings: {error}", do="Mend the file first"
        ) from error
    for name, value in values.items():
        document[name] = value
    _write(file, tomlkit.dumps(document))
    try:
        load_settings()
    except ConfigurationError as error:
        # A value that was never kept stands in no line, and nobody can remove it there.
        stood = [f"{place_of(file, (name,))}: " for name in values]
        what = reduce(str.removeprefix, stood, error.what)
        do = error.do if what == error.what else error.do.removesuffix(REMOVE_IT)
        if before is None:
            file.unlink()
        else:
            _write(file, before)
        raise ConfigurationError(what, kept="Nothing was changed", do=do) from error
    return file


def _commented(text: str) -> str:
    lines = (
        textwrap.wrap(line, _WIDTH, break_long_words=False, break_on_hyphens=False) or [""]
        for line in text.splitlines()
    )
    return "\n".join(f"# {part}".rstrip() for wrapped in lines for part in wrapped)


def _write(file: Path, text: str) -> None:
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    except OSError as error:
        raise ConfigurationError(
            f"{file} cannot be written: {error.strerror or error}",
            do="Choose another place with the environment variable VOICELOG_SETTINGS",
        ) from error
