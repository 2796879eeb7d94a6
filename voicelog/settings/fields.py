"""What can be set: the defaults, then the settings file, then a practitioner's own file of the same
shape, then the environment (VOICELOG_…).

One commented TOML file, looked for in the user's configuration folder or where VOICELOG_SETTINGS
points to. What stands under each setting here is what `voicelog settings` says of it.
"""

from pathlib import Path
from typing import Literal

import platformdirs
from pydantic import BaseModel, ConfigDict, Field, field_validator
from pydantic_settings import (
    BaseSettings,
    PydanticBaseSettingsSource,
    SettingsConfigDict,
    TomlConfigSettingsSource,
)

from voicelog.dialogue.state import ReadBack
from voicelog.grammar.language import EngineName, Part
from voicelog.settings.places import own_settings_file, settings_file

ThresholdName = Literal[
    "pain_error_floor", "pain_important", "pain_small_start", "pain_stop_rise", "pain_ceiling",
    "plausible_sd", "plausible_extra",
]  # fmt: skip
_NAMED_KEYS = (*(f"F{number}" for number in range(1, 13)), "PAGE UP", "PAGE DOWN")


class OwnThreshold(BaseModel):
    """A figure of the practice in the place of a published one."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    value: float = Field(gt=0, le=180)
    why: str = Field(min_length=8, max_length=160)


class Defaults(BaseModel):
    """What a record holds where nothing else was said; empty for nothing."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    manner: str = ""
    position: str = ""
    instrument: str = ""


class Settings(BaseSettings):
    """How this practice works. Every value has a default, so that no file is needed."""

    model_config = SettingsConfigDict(
        env_prefix="VOICELOG_", extra="forbid", use_attribute_docstrings=True
    )

    data_folder: Path = Field(default_factory=lambda: platformdirs.user_data_path("voicelog"))
    """Where records and speech models are kept."""
    practitioner: str = Field(default="practitioner", min_length=1, max_length=40)
    """Short name kept with every version of a record. A file practitioners/NAME.toml beside this
    one holds what one practitioner wants otherwise."""
    encrypted: bool = True
    """Encrypt the records when their file is made; false only for what may be read by anybody."""
    keep_audio: str = Field(default="", pattern=r"^(\d{1,5}[dw])?$", examples=["30d", "12w"])
    """How long sound is kept, such as 30d or 12w; empty keeps it with its record."""
    practice_name: str = Field(default="", max_length=80, examples=["Practice at the Mill"])
    """Stands on the client's home sheet; empty leaves a line to write on."""
    practice_phone: str = Field(default="", max_length=40, examples=["020 555 0142"])
    """Whom the client calls; empty leaves a line to write on."""
    language: str = "en"
    """The language spoken: the name of a folder of grammar files."""
    engine: Literal["auto", EngineName] = "auto"
    """The speech engine. auto takes Vosk when a model is installed or named, else PocketSphinx."""
    vosk_model: Path | None = Field(default=None, examples=["/home/me/models/english"])
    """Folder of a Vosk model; left out, the installed one is used."""
    microphone: int | str | None = Field(default=None, examples=["lapel"])
    """Number, or words of the name, as `voicelog devices` lists them; left out, the usual one."""
    speaker: int | str | None = Field(default=None, examples=["earpiece"])
    """Loudspeaker or earpiece, named the same way."""
    spoken: bool = True
    """Read back by voice; false shows it only."""
    speech_rate_wpm: int = Field(default=190, ge=80, le=450)
    """How fast the voice speaks, in words a minute."""
    joints: list[str] = Field(default=[], examples=[["shoulder", "hip", "knee", "ankle"]])
    """Joints listened for, by their names in `voicelog phrases`; empty listens for all.
    Records of other joints stay as they are, and can be typed at the desk."""
    commands: list[str] = Field(
        default=[], examples=[["correction", "disregard", "say again", "close visit"]]
    )
    """Spoken commands listened for, besides affirm and negative, which always are; empty listens
    for all."""
    read_back: ReadBack = "all"
    """How much is read back. all: the whole record. doubtful: what was heard unsurely is asked,
    then one line leaves out the movement where it is that of the record before. tones: a tone
    instead of words, for who reads the screen; questions and warnings are still spoken."""
    read_back_order: list[Part] = Field(
        default=[], examples=[["phase", "joint", "motion", "pain", "range"]]
    )
    """Parts of a trial in the order in which they are read back and shown; those left out follow
    in the usual order. What you say yourself may come in any order."""
    defaults: dict[str, Defaults] = Field(
        default={},
        examples=[
            {
                "all": {"manner": "active", "instrument": "goniometer"},
                "ankle": {"manner": "weight bearing", "instrument": "inclinometer"},
            }
        ],
    )
    """Manner, position and instrument of a trial where you say none, so that a dictation stays
    short: for all joints, and for single ones, which go first. A record shows them as defaults, and
    they are read back as such; an instrument counts only where degrees were said."""
    tell_changes: bool = True
    """After a save, say in one sentence what changed against the baseline and what eased."""
    foot_switch_key: str = Field(default="", max_length=12, examples=["F9"])
    """The key that a foot switch types while listening: one character, F1 to F12, page up or page
    down. It goes before what the key means otherwise. Empty: none."""
    foot_switch_does: Literal["affirm", "negative", "pause"] = "affirm"
    """What the foot switch does."""
    thresholds: dict[ThresholdName, OwnThreshold] = Field(
        default={},
        examples=[{"pain_error_floor": {"value": 3, "why": "our own wider margin for children"}}],
    )
    """Your own figures in the place of the published ones, each with a reason, which then stands
    beside every result that rests on it. Leave them out unless you know why: `voicelog settings`
    lists the published figures with their sources."""

    @field_validator("foot_switch_key")
    @classmethod
    def _is_a_key(cls, key: str) -> str:
        if len(key) > 1 and key.upper() not in _NAMED_KEYS:
            raise ValueError(f"it is neither one character nor one of {', '.join(_NAMED_KEYS)}")
        return key

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
        """Arguments first, then the environment, then the practitioner's file, then that of all."""
        given = {**env_settings(), **init_settings()}
        own = own_settings_file(str(given.get("practitioner", "")))
        return (
            init_settings,
            env_settings,
            TomlConfigSettingsSource(settings_cls, toml_file=own),
            TomlConfigSettingsSource(settings_cls, toml_file=settings_file()),
        )
