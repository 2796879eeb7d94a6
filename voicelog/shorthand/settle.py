"""From single claims to one reading: what fits together stays, what does not is doubtful."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import get_args

from voicelog.grammar.abbreviations import Doubtful
from voicelog.grammar.language import LanguageData
from voicelog.grammar.parse import MANY, SlotValue
from voicelog.records.content import Direction, Trial
from voicelog.shorthand.claims import Claim
from voicelog.shorthand.lexicon import Choice
from voicelog.shorthand.reading import Kind

NAMED = ("drill", "fault", "cue")
_DOSE = frozenset({"sets_reps", "reps", "hold_s", "effort", "band", "tempo", "plane", "direction"})
_TRIAL = frozenset(Trial.model_fields) - {"kind"}
_WAYS = get_args(Direction)
_RESULTS = frozenset({"phase", "pain", "range_deg", "onset_deg", "quality", "end_feel", "outcome"})
_FITS: Mapping[Kind, frozenset[str]] = {
    "record": _TRIAL,
    "drill": _DOSE | {"name", "side"},
    "fault": frozenset({"name"}),
    "cue": frozenset({"name"}),
}


@dataclass(slots=True)
class Settled:
    """Slots with their values and, for each slot in doubt, the reason, choices and claim."""

    kind: Kind | None
    slots: dict[str, SlotValue] = field(default_factory=dict)
    doubts: list[tuple[str, Doubtful, tuple[SlotValue, ...], Claim]] = field(default_factory=list)
    claims: list[Claim] = field(default_factory=list)

    def doubt(self, slot: str, reason: Doubtful, claim: Claim, drop: bool = False) -> None:
        """Mark a slot; with `drop`, its value becomes a mere choice."""
        value = self.slots.pop(slot, None) if drop else self.slots.get(slot)
        if slot not in {known for known, *_ in self.doubts}:
            self.doubts.append((slot, reason, () if value is None else (value,), claim))


def settle(claims: list[Claim], bare: list[Claim], language: LanguageData) -> Settled:
    """One reading of all the claims; those of bare numbers count in a trial only."""
    claims = [_clearer(claim, claims, language) for claim in claims]
    if _kind(claims) in (None, "record"):
        claims = sorted([*claims, *bare], key=lambda claim: claim.start)
    settled = Settled(_kind(claims))
    settled.claims = [_named(claim, settled.kind) for claim in claims]
    for slot in dict.fromkeys(slot for claim in settled.claims for slot in _about(claim)):
        if slot != "kind":
            _settle_slot(slot, settled)
    _check_movement(settled, language)
    _check_kind(settled)
    return settled


def sure(claims: list[Claim], slot: str) -> SlotValue | None:
    """The one value that the claims give the slot without doubt, if it is one."""
    values = {c.choices[0][1] for c in claims if c.slot == slot and c.choices and not c.doubt}
    return values.pop() if len(values) == 1 else None


def _clearer(claim: Claim, claims: list[Claim], language: LanguageData) -> Claim:
    """Without the meanings that the rest of the line leaves no room for."""
    if claim.doubt != "unclear":
        return claim
    others = [other for other in claims if other is not claim]
    joint, kind = sure(others, "joint"), _kind([o for o in others if o.doubt != "unclear"])
    left = [c for c in claim.choices if _has_room(c, others, joint, kind, language)]
    if joint is not None and any(slot == "motion" for slot, _ in left):
        left = [choice for choice in left if choice[0] == "motion"]
    if len(left) == 1:
        return replace(claim, slot=left[0][0], choices=(left[0],), doubt=None)
    return replace(claim, choices=tuple(left) or claim.choices)


def _has_room(
    choice: Choice,
    others: list[Claim],
    joint: SlotValue | None,
    kind: Kind | None,
    language: LanguageData,
) -> bool:
    slot, value = choice
    if sure(others, slot) is not None:
        return False
    if kind is not None and slot not in _FITS.get(kind, ()):
        return False
    if slot != "motion" or not isinstance(joint, str):
        return True
    seldom = language.shorthand.seldom.get(joint, ())
    return language.joins(joint, str(value)) and value not in seldom


def _kind(claims: list[Claim]) -> Kind | None:
    about = {slot for claim in claims for slot in _about(claim)}
    said = sure(claims, "kind")
    said = None if said == "note" else said  # it opens a note only where it comes first
    for kind in NAMED:
        if said == kind or (said is None and kind in about):
            return kind  # type: ignore[return-value]
    if about & _RESULTS or (about & _TRIAL and not about & _DOSE):
        return "record"
    return "drill" if about & _DOSE else None


def _about(claim: Claim) -> tuple[str, ...]:
    return tuple(dict.fromkeys(slot for slot, _ in claim.choices)) or (claim.slot,)


def _named(claim: Claim, kind: Kind | None) -> Claim:
    """The name of a drill, fault or cue goes to the slot "name". A trial is of gap or compression,
    and a drill is done with either: the words for one are sure of the other only in a trial."""
    if kind in NAMED and claim.slot == kind:
        return replace(claim, slot="name", choices=tuple(("name", v) for _, v in claim.choices))
    other = {"record": ("direction", "phase"), "drill": ("phase", "direction")}.get(kind or "")
    ways = {("phase", way) for way in _WAYS} | {("direction", way) for way in _WAYS}
    if other is None or claim.slot != other[0] or not set(claim.choices) <= ways:
        return claim
    choices = tuple((other[1], value) for _, value in claim.choices)
    doubt = claim.doubt or ("wary" if kind == "drill" else None)
    return replace(claim, slot=other[1], choices=choices, doubt=doubt)


def _settle_slot(slot: str, settled: Settled) -> None:
    mine = [claim for claim in settled.claims if slot in _about(claim)]
    values: list[SlotValue] = []
    for claim in mine:
        values += [value for known, value in claim.choices if known == slot]
    first_doubt = next((claim for claim in mine if claim.doubt), None)
    if slot in MANY:
        flat = [v for value in values for v in (value if isinstance(value, tuple) else (value,))]
        settled.slots[slot] = tuple(dict.fromkeys(str(value) for value in flat))
        if first_doubt and all(v not in _sure_words(mine, slot) for v in _words(first_doubt)):
            settled.doubt(slot, first_doubt.doubt or "unclear", first_doubt)
        return
    values = list(dict.fromkeys(values))
    open_claims = [c for c in mine if len(c.choices) != 1]
    if len(values) == 1 and not open_claims:
        settled.slots[slot] = values[0]
        if all(claim.doubt for claim in mine) and first_doubt and first_doubt.doubt:
            settled.doubt(slot, first_doubt.doubt, first_doubt)
        return
    claim = first_doubt if first_doubt and len(mine) == 1 else mine[-1]
    settled.doubts.append((slot, (len(mine) == 1 and claim.doubt) or "twice", tuple(values), claim))


def _words(claim: Claim) -> tuple[str, ...]:
    value = claim.choices[0][1]
    return value if isinstance(value, tuple) else (str(value),)


def _sure_words(claims: list[Claim], slot: str) -> set[str]:
    return {word for claim in claims if not claim.doubt for word in _words(claim)}


def _last(settled: Settled, slot: str) -> Claim:
    return [claim for claim in settled.claims if slot in _about(claim)][-1]


def _check_movement(settled: Settled, language: LanguageData) -> None:
    """Joint and motion must belong together, and the motion take the side."""
    joint, motion = settled.slots.get("joint"), settled.slots.get("motion")
    if isinstance(joint, str) and isinstance(motion, str):
        if not language.joins(joint, motion):
            settled.doubt("motion", "misfit", _last(settled, "motion"), drop=True)
        elif "side" in settled.slots and not language.takes_side(joint, motion):
            settled.doubt("side", "midline", _last(settled, "side"), drop=True)


def _check_kind(settled: Settled) -> None:
    if settled.kind is None:
        return
    for slot in [s for s in settled.slots if s not in _FITS[settled.kind]]:
        settled.doubt(slot, "other_kind", _last(settled, slot), drop=True)
