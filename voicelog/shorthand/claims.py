"""What the words found say once their neighbours are heard: denied, hedged, or sure."""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, replace
from enum import IntEnum

from voicelog.grammar.abbreviations import Doubtful
from voicelog.shorthand.finder import Found
from voicelog.shorthand.lexicon import CONTROLS, FILLERS, PAIN, Choice
from voicelog.shorthand.words import LOOSE_DASH, Word

_DENIABLE = frozenset({"quality", "outcome", "end_feel", "joining", PAIN})
_OF_PAIN = frozenset({"quality", "pain", "onset_deg"})
_MEASURED = frozenset({"pain", "range_deg", "onset_deg"})
_FELT = frozenset({"quality"})
_NEED_ALL_WORDS = _MEASURED | {"outcome"}
_PAUSES = frozenset({",", ";", ".", "|", LOOSE_DASH})


@dataclass(frozen=True, slots=True)
class Claim:
    """That words `[start, end)` give a slot a value: one choice, or several to pick from.

    `slot` is what the claim is about even where there is no choice that a record could hold.
    """

    start: int
    end: int
    slot: str
    choices: tuple[Choice, ...]
    doubt: Doubtful | None = None


class Gap(IntEnum):
    """What stands between two things found; the higher, the further apart they are."""

    NOTHING = 0
    PAUSE = 1
    WORDS = 2
    BOTH = 3


class Neighbours:
    """The things found in a line, and how near they stand to each other."""

    def __init__(
        self, found: list[Found], words: tuple[Word, ...], fillers: Set[str], most_sets: int
    ) -> None:
        self._most_sets = most_sets
        self.found = [one for one in found if _control(one) != FILLERS]
        self.words = words
        self.used = {at for one in found if _control(one) == FILLERS for at in _places(one)}
        self._quiet = self.used | {
            at for at, word in enumerate(words) if word.text.lower() in fillers
        }
        self._doubts: dict[int, Doubtful] = {}
        self._denied: set[int] = set()
        self._widened: dict[int, tuple[int, int]] = {}
        for at, one in enumerate(self.found):
            self._hear(at, one)
        self._carry_on()
        self._use_pain_words()

    def gap(self, left: int, right: int) -> Gap | None:
        """What stands between two things found, or None where there is no such thing."""
        if left < 0 or right >= len(self.found):
            return None
        return self._gap_or_end(left, right)

    def _gap_or_end(self, left: int, right: int, bare: Set[int] = frozenset()) -> Gap:
        """The same, where the ends of the line are things found; bare numbers are passed over."""
        start = self.found[left].end if left >= 0 else 0
        end = self.found[right].start if right < len(self.found) else len(self.words)
        between = range(start, end)
        words = any(at not in self._quiet and at not in bare for at in between)
        return Gap(2 * words + any(self.words[at].text in _PAUSES for at in between))

    @property
    def covered(self) -> set[int]:
        """The words that belong to something found, whatever became of it."""
        return {at for one in self.found if one.slots != {"joining"} for at in _places(one)}

    def claims(
        self, limits: Mapping[str, tuple[int, int]], bare: Set[int] = frozenset()
    ) -> list[Claim]:
        """What is said, without what was denied; `bare` are words read as numbers of their own."""
        claims: list[Claim] = []
        for at, one in enumerate(self.found):
            if _control(one) or at in self._denied or not one.slots:
                continue
            start, end = self._widened.get(at, (one.start, one.end))
            doubt = (
                self._doubts.get(at) or self._own_doubt(at, one) or self._strangers(at, one, bare)
            )
            for claim in _doses(list(_said(one, limits)), self._most_sets, limits):
                claims.append(replace(claim, start=start, end=end, doubt=claim.doubt or doubt))
        return claims

    def _own_doubt(self, at: int, one: Found) -> Doubtful | None:
        if one.doubt or one.beside is None:
            return one.doubt
        near = [at + step for step in (-1, 1) if self.gap(*sorted((at, at + step))) == Gap.NOTHING]
        sure = any(self.found[other].slots & set(one.beside) for other in near)
        return None if sure else "wary"

    def _strangers(self, at: int, one: Found, bare: Set[int]) -> Doubtful | None:
        """Words of which nothing was made may change the result beside them."""
        sides = {"before": (at - 1, at), "after": (at, at + 1)}
        if not one.slots & _NEED_ALL_WORDS:
            sides.pop("after")
        strange = any(self._gap_or_end(*pair, bare) == Gap.WORDS for pair in sides.values())
        return "strange" if strange and one.slots & (_NEED_ALL_WORDS | _FELT) else None

    def _hear(self, at: int, one: Found) -> None:
        control = _control(one)
        before, after = self.gap(at - 1, at), self.gap(at, at + 1)
        if control == "denials" or (control == "denials_after" and before != Gap.NOTHING):
            self._deny(at + 1, after)
        elif control == "denials_after":
            self._deny(at - 1, before)
        elif control == "hedges":
            if after == Gap.NOTHING:
                self._hedge(at, at + 1)
            elif at and self.found[at - 1].slots & (_MEASURED | _FELT):
                self._hedge(at, at - 1)
        elif control == "hedges_after":
            for other in self._hedged(at):
                self._hedge(at, other)

    def _hedged(self, at: int) -> tuple[int, ...]:
        """The thing that a hedge is written on to, as in "IR?", or those on both sides."""
        one = self.found[at]
        if one.start and self.words[one.start - 1].end == self.words[one.start].start:
            return (at - 1,)
        if one.end < len(self.words) and self.words[one.end].start == self.words[one.end - 1].end:
            return (at + 1,)
        near = [o for o in (at - 1, at + 1) if self.gap(*sorted((at, o))) == Gap.NOTHING]
        return tuple(o for o in near if self.found[o].slots & (_MEASURED | _FELT)) or (at - 1,)

    def _deny(self, at: int, gap: Gap | None) -> None:
        if gap == Gap.NOTHING:
            self._denied.add(at)
        elif gap == Gap.WORDS:
            self._doubts[at] = "denied"

    def _hedge(self, hedge: int, at: int) -> None:
        if self.gap(*sorted((hedge, at))) != Gap.NOTHING or _control(self.found[at]):
            return
        if not (self.found[at].choices or self.found[at].numbers):
            return  # nothing is made of it, so nothing is made of the hedge either
        self._doubts[at] = "hedged"
        one = self.found[hedge]
        start, end = self._widened.get(at, (self.found[at].start, self.found[at].end))
        self._widened[at] = (min(start, one.start), max(end, one.end))
        self.used.update(_places(one))

    def _carry_on(self) -> None:
        """A denial goes on over "or"; after a comma it may."""
        for at in range(1, len(self.found)):
            two_back = at - 2 in self._denied and self.gap(at - 1, at) == Gap.NOTHING
            if two_back and _control(self.found[at - 1]) == "joining":
                self._denied.add(at)
            elif self._may_be_denied(at - 1) and self.found[at].slots <= _DENIABLE:
                self._doubts.setdefault(at, "denied")

    def _may_be_denied(self, at: int) -> bool:
        return at in self._denied or self._doubts.get(at) == "denied"

    def _use_pain_words(self) -> None:
        for at, one in enumerate(self.found):
            near = [o for o in (at - 1, at + 1) if self.gap(*sorted((at, o))) == Gap.NOTHING]
            near = [other for other in near if other not in self._denied]
            if _control(one) == PAIN and any(self.found[o].slots & _OF_PAIN for o in near):
                self.used.update(_places(one))


def _places(one: Found) -> range:
    return range(one.start, one.end)


def _control(one: Found) -> str | None:
    slot = one.choices[0][0] if one.choices else None
    return slot if slot in CONTROLS else None


def _said(one: Found, limits: Mapping[str, tuple[int, int]]) -> Iterable[Claim]:
    if one.choices:
        doubt: Doubtful | None = "unclear" if len(one.choices) > 1 else None
        yield Claim(one.start, one.end, one.choices[0][0], one.choices, doubt)
    by_slot: dict[str, list[str]] = {}
    for slot, text in one.numbers:
        by_slot.setdefault(slot, []).append(text)
    for slot, texts in by_slot.items():
        yield numeric(one.start, one.end, slot, texts, limits)


def _doses(
    claims: list[Claim], most_sets: int, limits: Mapping[str, tuple[int, int]]
) -> list[Claim]:
    """With sets and repetitions for choice where the sets are too many, as in "10x3"."""
    numbers = {c.slot: c.choices[0][1] for c in claims if len(c.choices) == 1 and not c.doubt}
    sets = numbers.get("sets_reps")
    if not isinstance(sets, int) or sets <= most_sets:
        return claims
    if "reps" not in numbers:
        either: tuple[Choice, ...] = (("sets_reps", sets), ("reps", sets))
        return [
            replace(claim, choices=either, doubt="swapped") if claim.slot == "sets_reps" else claim
            for claim in claims
        ]
    texts = [str(sets), str(numbers["reps"])]
    return [
        replace(numeric(claim.start, claim.end, claim.slot, texts, limits), doubt="swapped")
        if claim.slot in ("sets_reps", "reps")
        else claim
        for claim in claims
    ]


def numeric(
    start: int, end: int, slot: str, texts: list[str], limits: Mapping[str, tuple[int, int]]
) -> Claim:
    """The claim of a slot to the numbers: sure only where there is one, whole and within limits."""
    low, high = limits[slot]
    whole = [int(text) for text in texts if "." not in text]
    held = tuple(dict.fromkeys((slot, n) for n in whole if low <= n <= high))
    doubt: Doubtful | None = None
    if len(texts) > 1:
        doubt = "span"
    elif not held:
        doubt = "limit" if whole else "whole"
    return Claim(start, end, slot, held, doubt)
