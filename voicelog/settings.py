"""Settings: the defaults, then the settings file, then the environment (VOICELOG_…).

One commented TOML file, looked for in the user's configuration folder or where VOICELOG_SETTINGS
points to.
"""

import os
import re
from pathlib import Path
from typing import Literal

import platformdirs
from pydantic import Field, ValidationError
from pydantic_settings import (
    BaseSettings,
    PydanticBaseSettingsSource,
    SettingsConfigDict,
    TomlConfigSettingsSource,
)

from voicelog.errors import ConfigurationError


def settings_file() -> Path:
    """Where the settings file is, or would be."""
    named = os.environ.get("VOICELOG_SETTINGS")
    return Path(named) if named else platformdirs.user_config_path("voicelog") / "settings.toml"


class Settings(BaseSettings):
    """How this practice works. Every value has a default, so that no file is needed."""

    model_config = SettingsConfigDict(env_prefix="VOICELOG_", extra="forbid")

    data_folder: Path = Field(default_factory=lambda: platformdirs.user_data_path("voicelog"))
    """Where records and speech models are kept."""
    practitioner: str = Field(default="practitioner", min_length=1, max_length=40)
    """Short name kept with every version of a record."""
    encrypted: bool = True
    """Encrypt the records when their file is made; false only for what may be read by anybody."""
    language: str = "en"
    engine: Literal["auto", "pocketsphinx", "vosk"] = "auto"
    """auto: Vosk when a model is installed or named, else PocketSphinx."""
    vosk_model: Path | None = None
    """Folder of a Vosk model; empty to use the installed one."""
    microphone: int | str | None = None
    """Number or words of the name, as `voicelog devices` lists them; empty for the usual one."""
    speaker: int | str | None = None
    spoken: bool = True
    """Read back by voice; false to show it only."""
    tell_changes: bool = True
    """After a save, say in one sentence what changed against the baseline and what eased."""
    practice_name: str = Field(default="", max_length=80)
    """Stands on the client's home sheet; empty leaves a line to write on."""
    practice_phone: str = Field(default="", max_length=40)
    """Whom the client calls; empty leaves a line to write on."""
    speech_rate_wpm: int = Field(default=190, ge=80, le=450)

    @property
    def store_file(self) -> Path:
        """The file that holds the records."""
        return self.data_folder / "records.sqlite"

    @property
    def models_folder(self) -> Path:
        """The folder that holds installed speech models."""
        return self.data_folder / "models"

    @classmethod
    def settings_customise_sources(
        cls,
        settings_cls: type[BaseSettings],
        init_settings: PydanticBaseSettingsSource,
        env_settings: PydanticBaseSettingsSource,
        dotenv_settings: PydanticBaseSettingsSource,
        file_secret_settings: PydanticBaseSettingsSource,
    ) -> tuple[PydanticBaseSettingsSource, ...]:
        """Arguments first, then the environment, then the file."""
        return (
            init_settings,
            env_settings,
            TomlConfigSettingsSource(settings_cls, toml_file=settings_file()),
        )


def load_settings() -> Settings:
    """The settings in force. Raises ConfigurationError with file, line and what is allowed."""
    file = settings_file()
    try:
        return Settings()
    except ValidationError as error:
        mistake = error.errors()[0]
        name = str(mistake["loc"][0]) if mistake["loc"] else "settings"
        line = _line_of(file, name)
        where = f"{file}, line {line}" if line else f"the environment (VOICELOG_{name.upper()})"
        raise ConfigurationError(
            f"{where}: {name} cannot be used: {mistake['msg']}",
            do="Change the value, or remove it to use the default",
        ) from error
    except (OSError, ValueError) as error:
        raise ConfigurationError(
            f"{file} cannot be read as settings: {error}",
            do="Mend the file, or remove it to use the defaults",
        ) from error


def _line_of(file: Path, name: str) -> int | None:
    try:
        lines = file.read_text(encoding="utf-8").splitlines()
    except OSError:
        return None
    pattern = re.compile(rf"^\s*{re.escape(name)}\s*=")
    return next((n for n, line in enumerate(lines, start=1) if pattern.match(line)), None)
