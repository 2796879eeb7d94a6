"""From the slots of an utterance to what a record would hold."""

from collections.abc import Iterable, Mapping
from typing import TypeVar

from voicelog.dialogue.defaults import HABITS, Defaults, defaults_for
from voicelog.grammar.language import LanguageData
from voicelog.grammar.parse import Intent, SlotValue
from voicelog.records.content import AnyContent, Content, Cue, Drill, Fault, Note, Trial

_TRIAL = frozenset(Trial.model_fields) - {"kind", "by_default"}
C = TypeVar("C", bound=Content)
_ANGLES = {"range_deg": "onset_deg", "onset_deg": "range_deg"}
_NONE: Defaults = {}


def begin(
    intent: Intent, carried: Trial | None, language: LanguageData, defaults: Defaults = _NONE
) -> AnyContent:
    """The content of a new dictation; for a trial, with what carries over from the last one and
    then with the practice's defaults."""
    if intent.kind == "record":
        said = change(Trial(), intent.slots, language)
        assert isinstance(said, Trial)
        return _with_defaults(_carry_over(said, carried, language), defaults)
    if intent.kind == "note":
        return Note(text=str(intent.slots["text"]))
    name = str(intent.slots["name"])
    if intent.kind == "fault":
        return Fault(name=name)
    if intent.kind == "cue":
        return Cue(name=name)
    drill = change(Drill(name=name), intent.slots, language)
    assert isinstance(drill, Drill)
    return drill


def change(
    content: AnyContent,
    slots: Mapping[str, SlotValue],
    language: LanguageData,
    defaults: Defaults = _NONE,
) -> AnyContent:
    """The content with the slots replaced; slots that the kind does not have are passed over.

    The practice's defaults fill a trial only when its joint or its first angle has just come.
    """
    values = dict(slots)
    if isinstance(content, Trial):
        trial = _change_trial(content, values, language)
        if trial.joint != content.joint:
            return _with_defaults(_forget(trial, trial.by_default), defaults)
        first_angle = not content.angles and trial.angles
        return _with_defaults(trial, defaults) if first_angle else trial
    if isinstance(tempo := values.get("tempo"), int):
        values["tempo"] = "-".join(f"{tempo:04d}")
    said = {field_of(content, slot): value for slot, value in values.items()}
    return _with(content, **{k: v for k, v in said.items() if k in _own(content)})


def answered(slots: Mapping[str, SlotValue], asked: str | None) -> Mapping[str, SlotValue]:
    """The slots of an answer: a mere angle is the one that was asked for."""
    if asked != "onset_deg" or "range_deg" not in slots or "onset_deg" in slots:
        return slots
    return {asked if slot == "range_deg" else slot: value for slot, value in slots.items()}


def fits(content: AnyContent, slots: Iterable[str]) -> bool:
    """Whether every slot is one that this kind of content has."""
    return {field_of(content, slot) for slot in slots} <= _own(content)


def field_of(content: AnyContent, slot: str) -> str:
    """The field of this content that a slot of an utterance fills: it has other names for some."""
    return {"sets_reps": "sets", f"{content.kind}_name": "name"}.get(slot, slot)


def names_as(
    content: AnyContent, slots: Mapping[str, SlotValue], language: LanguageData
) -> Mapping[str, SlotValue]:
    """The slots of a correction, with a name of another kind taken for one of this kind where both
    are said alike: a practice may call a drill and a fault the same."""
    tables = {"drill": language.drills, "fault": language.faults, "cue": language.cues}
    own = tables.get(content.kind, {})
    meant: dict[str, SlotValue] = {}
    for slot, value in slots.items():
        forms = tables.get(slot.removesuffix("_name"), {}).get(str(value), [])
        alike = next((name for name, said in own.items() if not set(said).isdisjoint(forms)), None)
        meant |= {slot: value} if alike is None else {f"{content.kind}_name": alike}
    return meant


def _own(content: AnyContent) -> frozenset[str]:
    """The fields that slots can fill; a note is free words and has none."""
    if isinstance(content, Note):
        return frozenset()
    return frozenset(type(content).model_fields) - {"kind", "by_default"}


def fields_of(content: AnyContent, slots: Iterable[str]) -> frozenset[str]:
    """The fields of this content that slots of an utterance fill."""
    return frozenset(field_of(content, slot) for slot in slots) & set(type(content).model_fields)


def contradicts(content: AnyContent, slots: Mapping[str, SlotValue], asked: str | None) -> bool:
    """Whether the slots say something else than the content already does, apart from `asked`."""
    values = {field_of(content, slot): value for slot, value in slots.items()}
    assumed = content.by_default if isinstance(content, Trial) else ()
    known = {slot: getattr(content, slot, None) for slot in values if slot not in assumed}
    return any(
        present not in (None, (), values[slot])
        for slot, present in known.items()
        if slot != asked and slot != "quality"
    )


def clear(content: AnyContent, slot: str) -> AnyContent:
    """The content without a value for the slot; a name stays, as nothing goes without one."""
    field = field_of(content, slot)
    if field == "name" or field not in _own(content):
        return content
    if isinstance(content, Trial) and field in HABITS:
        return _forget(content, (field,))
    return _with(content, **{field: () if field == "quality" else None})


def _change_trial(trial: Trial, values: dict[str, SlotValue], language: LanguageData) -> Trial:
    for said, other in _ANGLES.items():  # the same number was right, and its kind was not
        if other not in values and values.get(said) == getattr(trial, other) is not None:
            trial = _with(trial, **{other: None})
    if values.get("outcome") == "pain free rep":
        values.setdefault("pain", 0)
    if values.get("pain") and (values.get("outcome") or trial.outcome) == "pain free rep":
        values.pop("outcome", None)  # it hurt, so it was none
        trial = _with(trial, outcome=None)
    known = {k: v for k, v in values.items() if k in _TRIAL}
    by_default = tuple(slot for slot in trial.by_default if slot not in known)
    return _without_misfits(_with(trial, **known, by_default=by_default), language)


def _with_defaults(trial: Trial, defaults: Defaults) -> Trial:
    found = defaults_for(trial, defaults)
    return _with(trial, **found, by_default=(*trial.by_default, *found)) if found else trial


def _forget(trial: Trial, slots: Iterable[str]) -> Trial:
    """The trial without values for these habits, whoever gave them."""
    gone = set(slots)
    by_default = tuple(slot for slot in trial.by_default if slot not in gone)
    return _with(trial, **dict.fromkeys(gone), by_default=by_default)


def _carry_over(said: Trial, carried: Trial | None, language: LanguageData) -> Trial:
    """Side, joint and motion of the last trial where they were left out.

    A motion carries over only while the joint stays the same; a joint only to a motion it has.
    """
    if carried is None or carried.joint is None:
        return said
    joint, motion = said.joint, said.motion
    if joint is None and (motion is None or language.joins(carried.joint, motion)):
        joint = carried.joint
    if motion is None and joint == carried.joint:
        motion = carried.motion
    fields: dict[str, object] = {"joint": joint, "motion": motion}
    if joint is not None:
        fields["side"] = said.side or carried.side
    if (joint, motion) == (carried.joint, carried.motion):
        kept = tuple(h for h in HABITS if getattr(said, h) is None and getattr(carried, h))
        fields |= {habit: getattr(carried, habit) for habit in kept}
        fields["by_default"] = tuple(h for h in kept if h in carried.by_default)
    return _without_misfits(_with(said, **fields), language)


def _without_misfits(trial: Trial, language: LanguageData) -> Trial:
    """Without a motion that the joint does not have, and without a side on the midline."""
    if trial.joint is None or trial.motion is None:
        return trial
    if not language.joins(trial.joint, trial.motion):
        return _with(trial, motion=None)
    if not language.takes_side(trial.joint, trial.motion):
        return _with(trial, side=None)
    return trial


def _with(content: C, **changes: object) -> C:
    fields = {name: getattr(content, name) for name in type(content).model_fields}
    return type(content)(**{**fields, **changes})
