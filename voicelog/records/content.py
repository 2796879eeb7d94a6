"""What one dictation says: a trial, a drill, a fault, a cue or a note.

Joints, motions and names are data of the language (`grammar/`), so they are plain strings here;
whether a joint has a motion is decided where the language is known. Units stand in the names.
"""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

Side = Literal["left", "right", "both"]
Phase = Literal["baseline", "gap", "compression", "retest"]
Direction = Literal["gap", "compression"]
Outcome = Literal["pain free rep", "unable"]
Habit = Literal["manner", "position", "instrument"]
"""How a movement is tried and measured: what a practice may set once for all its records."""

Pain = Annotated[int, Field(ge=0, le=10)]
"""Numeric rating scale: 0 no pain, 10 the worst pain that can be imagined."""
Degrees = Annotated[int, Field(ge=0, le=180)]


class Content(BaseModel):
    """Common rules of everything dictated: strict types, no unknown fields, never changed."""

    model_config = ConfigDict(strict=True, frozen=True, extra="forbid")


class Trial(Content):
    """One movement tried once: a baseline, a gap trial, a compression trial or a retest.

    All slots may be absent while the dictation is still being asked about; what a whole record
    needs is decided by `voicelog.grammar.language.LanguageData.missing`.
    """

    kind: Literal["record"] = "record"
    side: Side | None = None
    joint: str | None = None
    motion: str | None = None
    phase: Phase | None = None
    range_deg: Degrees | None = None
    """Angle at the end of the range."""
    onset_deg: Degrees | None = None
    """Angle where pain starts."""
    pain: Pain | None = None
    quality: tuple[str, ...] = ()
    end_feel: str | None = None
    outcome: Outcome | None = None
    manner: str | None = None
    """active, passive, resisted or weight bearing; values of different manners do not compare."""
    position: str | None = None
    instrument: str | None = None
    by_default: tuple[Habit, ...] = ()
    """Slots that nobody said: their values are those the practice has set as its defaults."""

    @property
    def angles(self) -> tuple[int, ...]:
        """The angles that were said."""
        return tuple(a for a in (self.onset_deg, self.range_deg) if a is not None)

    @model_validator(mode="before")
    @classmethod
    def _as_kept_before(cls, values: object) -> object:
        """Trials once kept one angle, and `onset` said whether it is where pain starts.

        What comes from JSON has lists here, which strict fields would not take for tuples.
        """
        if not isinstance(values, dict):
            return values
        kept = {n: tuple(v) if isinstance(v, list) else v for n, v in values.items()}
        if isinstance(kept.get("onset"), bool) and kept.pop("onset"):
            kept["onset_deg"] = kept.pop("range_deg", None)
        return kept

    @model_validator(mode="after")
    def _defaults_have_values(self) -> "Trial":
        if any(getattr(self, slot) is None for slot in self.by_default):
            raise ValueError("a slot that holds a default needs a value")
        return self


class Drill(Content):
    """An exercise given, with its dose."""

    kind: Literal["drill"] = "drill"
    name: str
    side: Side | None = None
    sets: Annotated[int, Field(ge=1, le=20)] | None = None
    reps: Annotated[int, Field(ge=1, le=100)] | None = None
    hold_s: Annotated[int, Field(ge=1, le=180)] | None = None
    band: str | None = None
    """Resistance as light, medium or heavy; colours differ between makers."""
    effort: Annotated[int, Field(ge=0, le=10)] | None = None
    """Effort on a 0 to 10 scale; a slot of its own, never mixed with pain."""
    tempo: Annotated[str, Field(pattern=r"^\d(-\d){3}$")] | None = None
    """Seconds to lower, to pause, to lift and to pause, such as 3-1-1-0 (from memory)."""
    plane: str | None = None
    direction: Direction | None = None
    """Whether the joint is gapped or pressed together while it is done."""


class Fault(Content):
    """A fault seen in the set-up of a movement."""

    kind: Literal["fault"] = "fault"
    name: str


class Cue(Content):
    """What the client was told, to mend a fault."""

    kind: Literal["cue"] = "cue"
    name: str


class Note(Content):
    """Free words. The text is the engine's best guess; the sound beside it is what counts."""

    kind: Literal["note"] = "note"
    text: str
    checked: bool = False
    """True once a person has compared the text with its sound."""


AnyContent = Annotated[Trial | Drill | Fault | Cue | Note, Field(discriminator="kind")]
