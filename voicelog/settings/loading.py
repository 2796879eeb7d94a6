"""Reads the settings in force, and tells a mistake with its place and what is allowed there."""

import os
import re

from pydantic import ValidationError
from pydantic_settings import SettingsError

from voicelog.errors import ConfigurationError
from voicelog.settings.fields import Settings
from voicelog.settings.places import own_settings_file, settings_file, where_set
from voicelog.settings.wording import allowed, plainly

REMOVE_IT = "; remove it to use the default"


def load_settings(practitioner: str | None = None) -> Settings:
    """The settings in force, for this practitioner when one is named.

    Raises ConfigurationError with file, line and what is allowed.
    """
    given = {} if practitioner is None else {"practitioner": practitioner}
    who = practitioner or os.environ.get("VOICELOG_PRACTITIONER", "")
    try:
        return Settings(**given)  # type: ignore[arg-type]
    except ValidationError as error:
        mistake = error.errors()[0]
        raise _explained(mistake["loc"], mistake["type"], plainly(mistake), who) from error
    except SettingsError as error:
        named = re.search(r'field "(\w+)"', str(error))
        raise _explained((named[1] if named else "",), "json", "it is no JSON", who) from error
    except OSError as error:
        raise ConfigurationError(
            f"The settings in {settings_file().parent} cannot be read: {error.strerror}",
            do="Give yourself the right to read them, or name others in VOICELOG_SETTINGS",
        ) from error
    except ValueError as error:
        raise ConfigurationError(
            f"{_readable(who)} cannot be read as settings: {error}",
            do="Mend the file, or remove it to use the defaults",
        ) from error


def _readable(practitioner: str) -> str:
    """The settings files there are, in words."""
    files = (own_settings_file(practitioner), settings_file())
    return " or ".join(str(file) for file in files if file.is_file())


def refusal(name: str, what: str, choices: str) -> ConfigurationError:
    """The error for a value that only shows itself to be wrong when it is put to use."""
    where = where_set((name,), os.environ.get("VOICELOG_PRACTITIONER", ""))
    return ConfigurationError(
        f"{where}: {name} cannot be used: {what}",
        do=f"Allowed is {choices}{REMOVE_IT}",
    )


def _explained(
    place: tuple[int | str, ...], kind: str, message: str, practitioner: str
) -> ConfigurationError:
    """What is wrong with a value, where it stands, and what may stand there."""
    names = tuple(step for step in place if isinstance(step, str) and step != "[key]")
    name = ".".join(names) or "settings"
    where = where_set(names, practitioner)
    properties = Settings.model_json_schema()["properties"]
    if kind == "extra_forbidden" and len(names) == 1:
        return ConfigurationError(
            f"{where}: there is no setting {name}",
            do=f"The settings are {', '.join(properties)}",
        )
    told = allowed(Settings.model_json_schema(), names)
    return ConfigurationError(
        f"{where}: {name} cannot be used: {message}",
        do=f"Allowed is {told}{REMOVE_IT}",
    )
