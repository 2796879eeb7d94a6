"""The slots of a content as fields of a form, and back."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from pydantic import ValidationError

from voicelog.dialogue import draft as drafts
from voicelog.errors import StoreError
from voicelog.exports import wording
from voicelog.grammar.correction_texts import SLOTS
from voicelog.grammar.language import LanguageData, Names
from voicelog.grammar.parse import SlotValue
from voicelog.records.content import AnyContent, Cue, Drill, Fault, Note, Trial
from voicelog.telling.names import joint_name
from voicelog.telling.refusals import refusal
from voicelog.telling.slots import label

MOVEMENT = "movement"
_JOIN = " | "
_LISTS = ("side", "phase", "manner", "position", "end_feel", "outcome", "instrument")


@dataclass(frozen=True, slots=True)
class Option:
    """One choice of a list; `group` is the heading it stands under."""

    value: str
    label: str
    group: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """One field: a list, a number within limits, a row of marks, a tick or lines of text."""

    name: str
    kind: Literal["list", "number", "marks", "tick", "text"]
    value: str | tuple[str, ...] = ""
    options: tuple[Option, ...] = ()
    limits: tuple[int, int] = (0, 0)


def fields(content: AnyContent, language: LanguageData) -> tuple[Field, ...]:
    """The fields for a kind of content, filled with its values."""
    match content:
        case Trial():
            return _trial(content, language)
        case Drill():
            return _drill(content, language)
        case Fault():
            return (_list("name", content.name, language.faults),)
        case Cue():
            return (_list("name", content.name, language.cues),)
        case Note():
            return (Field("text", "text", content.text), _tick("checked", content.checked))


def filled(
    content: AnyContent, form: Mapping[str, list[str]], language: LanguageData
) -> AnyContent:
    """The content as the form says. Raises StoreError when a value is none of those offered."""
    values = {field.name: _value(field, form, language) for field in fields(content, language)}
    try:
        if isinstance(content, Trial):
            return _with_same_defaults(_to_trial(values, language), content)
        if isinstance(content, Note):
            return Note(text=str(values["text"]).strip(), checked=bool(values["checked"]))
        return type(content).model_validate(
            {name: value for name, value in values.items() if value not in (None, "")}
        )
    except ValidationError as error:
        raise _not_offered(str(error.errors()[0]["loc"][-1]), language) from error


def as_sent(shown: tuple[Field, ...], form: Mapping[str, list[str]]) -> tuple[Field, ...]:
    """The fields with what was chosen in them before; as they are when nothing was sent yet."""
    return tuple(replace(field, value=_sent(field, form)) for field in shown) if form else shown


def _sent(field: Field, form: Mapping[str, list[str]]) -> str | tuple[str, ...]:
    given = form.get(field.name, [])
    return tuple(given) if field.kind == "marks" else "".join(given[:1])


def _trial(trial: Trial, language: LanguageData) -> tuple[Field, ...]:
    slots, measures = language.slots, language.measures
    angle, pain = measures["range_deg"], measures["pain"]
    lists = {
        name: _marked(trial, _open(name, getattr(trial, name), language), language)
        for name in _LISTS
    }
    return (
        lists["side"],
        _movements(trial, language),
        lists["phase"],
        _number("range_deg", trial.range_deg, (angle.low, angle.high)),
        _number("onset_deg", trial.onset_deg, (angle.low, angle.high)),
        _number("pain", trial.pain, (pain.low, pain.high)),
        Field("quality", "marks", trial.quality, _options(slots.quality, trial.quality)),
        *(lists[name] for name in ("end_feel", "outcome", "manner", "position", "instrument")),
    )


def _drill(drill: Drill, language: LanguageData) -> tuple[Field, ...]:
    limits = {"sets": (1, 20), "reps": (1, 100), "hold_s": (1, 180), "effort": (0, 10)}
    numbers = {name: _number(name, getattr(drill, name), ends) for name, ends in limits.items()}
    return (
        _list("name", drill.name, language.drills),
        _open("side", drill.side, language),
        numbers["sets"],
        numbers["reps"],
        numbers["hold_s"],
        _open("band", drill.band, language),
        numbers["effort"],
        Field("tempo", "text", drill.tempo or ""),
        _open("plane", drill.plane, language),
        _open("direction", drill.direction, language),
    )


def _movements(trial: Trial, language: LanguageData) -> Field:
    text = language.texts.corrections
    said = {joint: joint_name(joint, language) for joint in language.joints}
    known = [
        Option(f"{joint}{_JOIN}{motion}", f"{name} {language.motions[motion][0]}", name)
        for joint, name in said.items()
        for motion in language.joints[joint].motions
    ]
    alone = [
        Option(f"{joint}{_JOIN}", text.motion_open.format(joint=name), name)
        for joint, name in said.items()
    ]
    options = sorted((*known, *alone), key=lambda option: (option.group, option.label))
    value = f"{trial.joint or ''}{_JOIN}{trial.motion or ''}" if trial.joint or trial.motion else ""
    none = Option("", text.not_said)
    return Field(MOVEMENT, "list", value, _with_present((none, *options), value))


def _list(name: str, value: str | None, names: Names) -> Field:
    return Field(name, "list", value or "", _options(names, (value,) if value else ()))


def _open(name: str, value: str | None, language: LanguageData) -> Field:
    """A list from which nothing need be chosen."""
    field = _list(name, value, getattr(language.slots, name))
    none = Option("", language.texts.corrections.not_said)
    return replace(field, options=(none, *field.options))


def _marked(trial: Trial, field: Field, language: LanguageData) -> Field:
    """The field with the value that is a default of the practice marked as one."""
    options = (
        replace(option, label=wording.marked(trial, field.name, option.label, language))
        if option.value == field.value
        else option
        for option in field.options
    )
    return replace(field, options=tuple(options))


def _number(name: str, value: int | None, limits: tuple[int, int]) -> Field:
    return Field(name, "number", "" if value is None else str(value), limits=limits)


def _tick(name: str, value: bool) -> Field:
    return Field(name, "tick", "yes" if value else "")


def _options(names: Names, present: tuple[str, ...]) -> tuple[Option, ...]:
    """The names of the language, and those present that it no longer has."""
    options = tuple(Option(name, forms[0]) for name, forms in names.items())
    for value in present:
        options = _with_present(options, value)
    return options


def _with_present(options: tuple[Option, ...], value: str) -> tuple[Option, ...]:
    if value in {option.value for option in options}:
        return options
    return (*options, Option(value, value.replace(_JOIN, " ").strip()))


def _value(
    field: Field, form: Mapping[str, list[str]], language: LanguageData
) -> SlotValue | bool | None:
    given = form.get(field.name, [])
    first = given[0] if given else ""
    if field.kind == "tick":
        return bool(first)
    if field.kind == "text":
        return first.strip()
    if field.kind == "number":
        return _whole(field, first.strip(), language)
    if not set(given) <= {option.value for option in field.options}:
        raise _not_offered(field.name, language)
    return tuple(given) if field.kind == "marks" else first or None


def _whole(field: Field, given: str, language: LanguageData) -> int | None:
    if not given:
        return None
    low, high = field.limits
    if not (given.isascii() and given.isdigit() and len(given) <= 3 and low <= int(given) <= high):
        blanks = {"slot": label(field.name, language), "given": given[:20]}
        raise refusal(StoreError, "not in limits", language, **blanks, low=low, high=high)
    return int(given)


def _to_trial(values: dict[str, SlotValue | bool | None], language: LanguageData) -> Trial:
    joint, _, motion = str(values.pop(MOVEMENT) or _JOIN).partition(_JOIN)
    values |= {"joint": joint, "motion": motion}
    slots = {name: value for name, value in values.items() if value not in (None, "", ())}
    trial = drafts.change(Trial(), slots, language)
    assert isinstance(trial, Trial)
    return trial


def _with_same_defaults(trial: Trial, before: Trial) -> Trial:
    """A value that was a default and was left as it is, is still one."""
    same = (s for s in before.by_default if getattr(trial, s) == getattr(before, s))
    return trial.model_copy(update={"by_default": tuple(same)})


def _not_offered(slot: str, language: LanguageData) -> StoreError:
    known = slot if slot in SLOTS else "all"
    return refusal(StoreError, "not offered", language, slot=label(known, language))
