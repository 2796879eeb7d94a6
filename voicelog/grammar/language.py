"""A spoken language as data: what its files say, checked against each other."""

from collections.abc import Collection
from typing import Annotated, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, model_validator

from voicelog.grammar.abbreviations import Abbreviations
from voicelog.grammar.finding_texts import Filled, for_each_of
from voicelog.grammar.numbers import NumberWords
from voicelog.grammar.texts import Texts
from voicelog.records.content import Trial

EngineName = Literal["pocketsphinx", "vosk"]
"""Every speech engine there is; `voicelog.engines` builds them."""
Part = Literal[
    "joint", "manner", "motion", "position", "phase", "range", "pain", "quality", "end feel",
    "outcome", "instrument",
]  # fmt: skip
"""A part of a trial as it is read back; the side goes with the joint."""
HEADINGS = (
    "title", "examples", "commands", "joints", "lists", "numbers", "drills", "faults", "cues",
    "side", "phase", "manner", "position", "instrument", "quality", "end_feel", "outcome", "band",
    "plane", "direction",
)  # fmt: skip
"""What stands on the cheat sheet."""
Forms = Annotated[list[str], Field(min_length=1)]
"""Ways to say one thing, in lower or upper case; the first is what the tool says itself."""
Names = dict[str, Forms]


class _Data(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Joint(_Data):
    """One joint: how it is said, its motions, and what a side word means for it."""

    spoken: Forms
    side: Literal["needed", "direction", "none"]
    motions: list[str]
    sided: list[str] = []
    """Motions that go to a side, where `side` is "direction"."""
    also: Names = {}
    """More ways to say a motion, at this joint only, such as "bending" of a knee."""


class RepsLimits(_Data):
    """Limits of the second number of "three sets of eight"."""

    low: int
    high: int


class Measure(_Data):
    """A slot that holds a number: its limits, and phrases in which NUMBER stands for it."""

    low: int
    high: int
    spoken: Forms
    fixed: dict[str, int] = {}
    """Phrases with a fixed value, such as "no pain"."""
    reps: RepsLimits | None = None
    row: Annotated[int, Field(ge=2, le=4)] | None = None
    """So many single digits one after the other, each a value of its own."""


class Slots(_Data):
    """Slots that are chosen from a list."""

    side: Names
    phase: Names
    manner: Names
    position: Names
    instrument: Names
    quality: Names
    end_feel: Names
    outcome: Names
    band: Names
    plane: Names = {}
    direction: Names = {}


Weight = Annotated[float, Field(gt=0, le=10)]


class Usual(_Data):
    """How usual a form is against the other forms in the same place, which count 1."""

    rules: dict[str, Weight] = {}
    """By the name of the rule in `phrases`."""
    words: dict[str, Weight] = {}


class Example(_Data):
    """A sentence of the language for the cheat sheet, and what it shows."""

    says: str
    means: str


class LanguageData(_Data):
    """Everything that the files of one language folder say."""

    name: str
    code: str
    version: str
    voice: str
    """The voice of eSpeak NG that reads back."""
    engines: list[EngineName]
    """Engines that have a model for this language."""
    read_back_order: list[Part] = list(get_args(Part))
    """All parts of a trial in the order in which they are read back."""
    fillers: Forms
    """Small words that may stand between two parts of a dictation and mean nothing."""
    usual: Usual = Usual()
    everyday: list[str] = []
    """Words and short phrases of talk. What is said alone must fit the sound better than these."""
    numbers: NumberWords
    slots: Slots
    measures: dict[
        Literal["pain", "range_deg", "onset_deg", "sets_reps", "hold_s", "effort", "tempo"],
        Measure,
    ]
    joints: dict[str, Joint]
    motions: Names
    commands: Names
    kinds: dict[Literal["drill", "fault", "cue", "note"], Forms]
    drills: Names
    faults: Names
    cues: Names
    prompts: dict[str, str]
    texts: Texts
    shorthand: Abbreviations
    examples: list[Example]
    meanings: dict[str, Filled]
    """What each spoken command does, for the cheat sheet."""
    headings: Annotated[dict[str, Filled], for_each_of(*HEADINGS)]
    """Headings of the cheat sheet, and the slots that it lists."""

    @model_validator(mode="after")
    def _motions_are_known(self) -> "LanguageData":
        for name, joint in self.joints.items():
            for motion in (*joint.motions, *joint.sided):
                if motion not in self.motions:
                    raise ValueError(
                        f'joint "{name}" has the motion "{motion}", not in motions.toml'
                    )
            for motion in joint.also:
                if motion not in joint.motions:
                    raise ValueError(
                        f'joint "{name}" says "{motion}", which is none of its motions'
                    )
        return self

    @model_validator(mode="after")
    def _every_command_is_explained(self) -> "LanguageData":
        apart = set(self.commands) ^ set(self.meanings)
        if apart:
            raise ValueError(f"commands and their meanings differ in {', '.join(sorted(apart))}")
        return self

    @model_validator(mode="after")
    def _every_part_is_read_back(self) -> "LanguageData":
        if sorted(self.read_back_order) != sorted(get_args(Part)):
            raise ValueError("read_back_order must hold every part of a trial once")
        return self

    @model_validator(mode="after")
    def _short_forms_mean_something(self) -> "LanguageData":
        known: dict[str, Collection[str]] = {
            **{slot: getattr(self.slots, slot) for slot in Slots.model_fields},
            "joint": self.joints,
            "motion": self.motions,
            "kind": self.kinds,
            "drill": self.drills,
            "fault": self.faults,
            "cue": self.cues,
        }
        for form, slot, value in self.shorthand.meanings():
            if value not in known.get(slot, ()):
                raise ValueError(
                    f'the short form "{form}" means {slot} "{value}", which is not in the language'
                )
        return self

    def __repr__(self) -> str:
        """Which language it is; all that it says would fill pages."""
        return f"LanguageData({self.code!r}, version={self.version!r})"

    def takes_side(self, joint: str, motion: str | None) -> bool:
        """Whether a record of this joint and motion needs a side."""
        rule = self.joints[joint]
        return rule.side == "needed" or (rule.side == "direction" and motion in rule.sided)

    def joins(self, joint: str, motion: str) -> bool:
        """Whether the trade uses this motion at this joint."""
        return joint in self.joints and motion in self.joints[joint].motions

    def said_at(self, joint: str, motion: str) -> Forms:
        """Every way to say a motion of this joint; the first is what the tool says."""
        return [*self.motions[motion], *self.joints[joint].also.get(motion, ())]

    def missing(self, trial: Trial) -> tuple[str, ...]:
        """Slots that must still be said before the trial is whole, most telling first.

        "result" stands for any of pain, range, quality, end feel or outcome.
        """
        wanted: list[str] = []
        if trial.joint is None:
            wanted.append("joint")
        if trial.motion is None:
            wanted.append("motion")
        if trial.joint and trial.side is None and self.takes_side(trial.joint, trial.motion):
            wanted.append("side")
        if trial.phase is None:
            wanted.append("phase")
        results = (trial.pain, *trial.angles, trial.end_feel, trial.outcome)
        if all(result is None for result in results) and not trial.quality:
            wanted.append("result")
        return tuple(wanted)
