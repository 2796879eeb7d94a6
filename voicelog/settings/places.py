"""Where settings stand: in the file of all, in that of one practitioner, in the environment."""

import os
import re
from collections.abc import Sequence
from pathlib import Path

import platformdirs

from voicelog.data_files.toml_lines import line_of


def settings_file() -> Path:
    """Where the settings file is, or would be."""
    named = os.environ.get("VOICELOG_SETTINGS")
    return Path(named) if named else platformdirs.user_config_path("voicelog") / "settings.toml"


def own_settings_file(practitioner: str) -> Path:
    """Where a practitioner's own settings are, or would be: they go before those of all."""
    plain = practitioner if re.fullmatch(r"[\w.-]{1,40}", practitioner) else ""
    return settings_file().parent / "practitioners" / f"{plain}.toml"


def where_set(names: Sequence[str], practitioner: str) -> str:
    """Where a setting stands, in words; `names` lead to it."""
    own = place_of(own_settings_file(practitioner), names)
    return own if own != "default" else place_of(settings_file(), names)


def place_of(file: Path, names: Sequence[str]) -> str:
    """Where a setting stands: "…/settings.toml, line 3", "the environment (…)" or "default".

    `names` lead to it: the setting, and what stands inside it.
    """
    variable = f"VOICELOG_{names[0].upper()}" if names else ""
    if variable in os.environ:
        return f"the environment ({variable})"
    line = _line_of(file, names)
    return f"{file}, line {line}" if line else "default"


def _line_of(file: Path, names: Sequence[str]) -> int | None:
    try:
        return line_of(file.read_text(encoding="utf-8"), names)
    except (OSError, UnicodeDecodeError):
        return None
