"""What stands on the cheat sheet, from the data of a language and from nothing else."""

from collections.abc import Iterator
from dataclasses import dataclass

from voicelog.grammar.language import LanguageData, Measure, Names

_BLANK = "…"


@dataclass(frozen=True, slots=True)
class Section:
    """A heading, and rows of what is said or named and what belongs to it (either may be empty)."""

    title: str
    rows: tuple[tuple[str, str], ...]


def sections(language: LanguageData) -> tuple[Section, ...]:
    """The whole sheet in reading order: examples and commands first, as they are needed most."""
    slots = language.slots
    lists = {
        name: getattr(slots, name)
        for name in ("side", "phase", "manner", "position", "instrument", "quality", "end_feel",
                     "outcome", "band", "plane", "direction")
    }  # fmt: skip
    own = {"drills": language.drills, "faults": language.faults, "cues": language.cues}
    found = {
        "examples": tuple((e.says, e.means) for e in language.examples),
        "commands": tuple(_commands(language)),
        "joints": tuple(_joints(language)),
        "lists": tuple(
            (_heading(language, n), _said(names)) for n, names in lists.items() if names
        ),
        "numbers": tuple(_number(m) for m in language.measures.values()),
        **{name: (("", _said(names)),) for name, names in own.items() if names},
    }
    return tuple(Section(_heading(language, name), rows) for name, rows in found.items())


def title(language: LanguageData) -> str:
    """The heading of the whole sheet."""
    return _heading(language, "title")


def _heading(language: LanguageData, name: str) -> str:
    return language.headings[name]


def _commands(language: LanguageData) -> Iterator[tuple[str, str]]:
    for name, forms in language.commands.items():
        yield " / ".join(forms), language.meanings[name]


def _joints(language: LanguageData) -> Iterator[tuple[str, str]]:
    for name, joint in language.joints.items():
        motions = (" / ".join(language.said_at(name, motion)) for motion in joint.motions)
        yield " / ".join(joint.spoken), ", ".join(motions)


def _number(measure: Measure) -> tuple[str, str]:
    forms = (said.replace("NUMBER", _BLANK).replace("REPS", _BLANK) for said in measure.spoken)
    return ", ".join((*forms, *measure.fixed)), f"{measure.low}–{measure.high}"


def _said(names: Names) -> str:
    return ", ".join(" / ".join(forms) for forms in names.values())
