"""The trees of single slots: what may be said for a side, a phase, a measure."""

from functools import cached_property

from voicelog.grammar.language import LanguageData, Measure, Names
from voicelog.grammar.numbers import digit_row, number
from voicelog.grammar.template import (
    Choice,
    Mark,
    Node,
    Optional,
    Rule,
    Sequence,
    Several,
    one_of,
    phrase,
)


def chosen(slot: str, names: Names, rule: str = "") -> Node:
    """One of the names in `slot`, under a rule called as the slot is or otherwise."""
    options = tuple(Mark(slot, name, one_of(forms)) for name, forms in names.items())
    return Rule(rule or slot, Choice(options))


class SlotTrees:
    """The slots of one language, each as a tree."""

    def __init__(self, language: LanguageData) -> None:
        self._language = language
        self._numbers = language.numbers

    @cached_property
    def gap(self) -> Node:
        """Nothing, or a small word that means nothing."""
        return Optional(Rule("filler", one_of(self._language.fillers)))

    def spaced(self, options: tuple[Node, ...], once: int = 0) -> Node:
        """One or more of the options in any order, with fillers between; the first `once` of them
        at most once."""
        return Several(self.gap, options, once)

    @cached_property
    def side(self) -> Node:
        """Left, right or both."""
        return chosen("side", self._language.slots.side)

    @cached_property
    def manner(self) -> Node:
        """How it was moved: actively or passively, say."""
        return chosen("manner", self._language.slots.manner)

    @cached_property
    def phase(self) -> Node:
        """The phase of a trial."""
        return chosen("phase", self._language.slots.phase)

    @cached_property
    def outcome(self) -> Node:
        """How a movement ended, where no number says it."""
        return chosen("outcome", self._language.slots.outcome)

    @cached_property
    def measured(self) -> tuple[Node, ...]:
        """What a trial measured or how it ended, a tree for each slot; pain and range first."""
        measures = self._language.measures
        numbers = (
            self._measured(name, measures[name]) for name in ("pain", "range_deg", "onset_deg")
        )
        return (*numbers, self.outcome)

    @cached_property
    def results(self) -> tuple[Node, ...]:
        """What a trial found, a tree for each slot; pain and range first."""
        slots = self._language.slots
        return (
            *self.measured,
            chosen("quality", slots.quality),
            chosen("end_feel", slots.end_feel),
            chosen("position", slots.position),
            chosen("instrument", slots.instrument),
            self.manner,
        )

    @cached_property
    def doses(self) -> tuple[Node, ...]:
        """The dose of an exercise, a tree for each slot that the language has."""
        measures, slots = self._language.measures, self._language.slots
        measured = [
            self._measured(name, measures[name])
            for name in ("sets_reps", "hold_s", "effort", "tempo")
            if name in measures
        ]
        lists = {"band": slots.band, "plane": slots.plane, "direction": slots.direction}
        listed = [chosen(name, names) for name, names in lists.items() if names]
        return (*measured, *listed)

    def _measured(self, slot: str, measure: Measure) -> Node:
        if measure.row:
            one = digit_row(self._numbers, slot, measure.row)
        else:
            one = number(self._numbers, slot, measure.low, measure.high)
        numbers: dict[str, Node] = {"NUMBER": Rule(f"{slot}_number", one)}
        if measure.reps:
            reps = number(self._numbers, "reps", measure.reps.low, measure.reps.high)
            numbers["REPS"] = Rule("reps_number", reps)
        options = [self._around_numbers(spoken, numbers) for spoken in measure.spoken]
        options += [Mark(slot, value, phrase(spoken)) for spoken, value in measure.fixed.items()]
        return Rule(slot, Choice(tuple(options)))

    def _around_numbers(self, spoken: str, numbers: dict[str, Node]) -> Node:
        """ "pain NUMBER" as a tree; a filler may stand before a number inside a phrase."""
        parts: list[Node] = []
        for word in spoken.split():
            if word not in numbers:
                parts.append(phrase(word))
            elif parts:
                parts += [self.gap, numbers[word]]
            else:
                parts.append(numbers[word])
        return Sequence(tuple(parts))
