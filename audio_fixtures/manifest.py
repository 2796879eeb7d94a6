"""The recordings as data: reads `manifest.toml` and `visit.toml`, and refuses what is not whole.

Needs only pydantic, so that tests and benchmarks can load this file by its path.
"""

import re
import tomllib
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

HERE = Path(__file__).parent
RATE_HZ = 16_000

Kind = Literal["record", "drill", "fault", "cue", "note", "command"]
Id = Annotated[str, Field(pattern=r"^[a-z]\d\d$")]
Text = Annotated[str, Field(pattern=r"^[A-Za-z][A-Za-z ,.?']*$")]


class _Data(BaseModel):
    model_config = ConfigDict(strict=True, frozen=True, extra="forbid")


class Voice(_Data):
    """A synthetic voice: who made it, how, its licence, and how to have it again."""

    name: Annotated[str, Field(pattern=r"^[a-z]+$")]
    sex: Literal["female", "male"]
    program: Literal["flite", "festival", "espeak-ng", "piper", "hibari"]
    voice: str
    """The program's own name for it."""
    version: str
    make: str
    maker: str
    licence: str
    install: str
    respell: dict[str, str] = {}
    """Word or phrase to letters that this voice says right."""


class Slots(_Data):
    """What a sentence says, by slot; None (or an empty list) for what it does not say."""

    side: Literal["left", "right", "both"] | None = None
    joint: str | None = None
    motion: str | None = None
    phase: Literal["baseline", "gap", "compression", "retest"] | None = None
    range_deg: int | None = None
    onset_deg: int | None = None
    """The angle where pain starts."""
    pain: int | None = None
    quality: list[str] = []
    end_feel: str | None = None
    outcome: str | None = None
    manner: str | None = None
    position: str | None = None
    instrument: str | None = None
    name: str | None = None
    sets: int | None = None
    reps: int | None = None
    hold_s: int | None = None
    effort: int | None = None
    band: str | None = None
    text: str | None = None
    """The words of a note."""

    def said(self) -> dict[str, str | int | list[str]]:
        """Only the slots that have a value."""
        return self.model_dump(exclude_none=True, exclude_defaults=True)


class Sentence(_Data):
    """Words as they are spoken; commas are short pauses."""

    id: Id
    text: Text


class Utterance(Sentence):
    """A sentence of the language and its meaning. Spoken by every voice."""

    kind: Kind
    slots: Slots = Slots()
    command: str | None = None

    @model_validator(mode="after")
    def _command_exactly_for_commands(self) -> "Utterance":
        if (self.kind == "command") != (self.command is not None):
            raise ValueError(f"{self.id}: a command names its command, and nothing else does")
        return self


class Talk(Sentence):
    """A sentence to the client, spoken by some voices; it means nothing to the tool."""

    voices: Annotated[list[str], Field(min_length=1)]


class Recording(Sentence):
    """One file of one sentence."""

    voice: str

    @property
    def path(self) -> Path:
        """Where the file lies."""
        return HERE / self.voice / f"{self.id}.flac"


class Manifest(_Data):
    """All voices and sentences."""

    voice: list[Voice]
    utterance: list[Utterance]
    talk: list[Talk]

    @model_validator(mode="after")
    def _names_fit(self) -> "Manifest":
        names = [voice.name for voice in self.voice]
        ids = [said.id for said in self.sentences()]
        for all_of in (names, ids):
            for one in all_of:
                if all_of.count(one) > 1:
                    raise ValueError(f'"{one}" is there twice')
        for talk in self.talk:
            for name in talk.voices:
                if name not in names:
                    raise ValueError(f'{talk.id}: there is no voice "{name}"')
        return self

    def sentences(self) -> list[Utterance | Talk]:
        """All that is said, in order."""
        return [*self.utterance, *self.talk]

    def recordings(self) -> list[Recording]:
        """Every file there should be, voice by voice."""
        return [
            Recording(voice=voice.name, id=said.id, text=said.text)
            for voice in self.voice
            for said in self.sentences()
            if isinstance(said, Utterance) or voice.name in said.voices
        ]


class Line(_Data):
    """One thing said in the visit, and where it lies in the recording."""

    who: Literal["therapist", "client"]
    kind: Kind | Literal["talk"]
    text: Text
    pause_s: Annotated[float, Field(ge=0.8)]
    """Quiet after it; a word of command needs quiet on both sides."""
    start_s: float
    end_s: float


class Record(Slots):
    """What must be on file at the end, with every slot that has a value."""

    kind: Literal["record", "drill", "fault", "cue", "note"]


class Visit(_Data):
    """A visit recorded in one piece."""

    client: str
    line: list[Line]
    record: list[Record]


def words(text: str) -> tuple[str, ...]:
    """The words of a sentence as the language knows them: lower case, no punctuation."""
    return tuple(re.sub(r"[,.?]", " ", text.lower()).split())


def load_manifest(path: Path = HERE / "manifest.toml") -> Manifest:
    """The manifest. Raises OSError, tomllib.TOMLDecodeError or pydantic.ValidationError."""
    return Manifest.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))


def load_visit(path: Path = HERE / "visit.toml") -> Visit:
    """The visit. Raises as `load_manifest` does."""
    return Visit.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
