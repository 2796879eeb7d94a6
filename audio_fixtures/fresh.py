"""Sentences nobody has heard before: dictations drawn with a seed, and their truth.

They follow how records are dictated, not how the tree could be walked at random: usual forms more
often than rare ones, angles that the movement can have. The truth is what was drawn, never parsed.
"""

import random
from collections.abc import Mapping
from dataclasses import dataclass

from voicelog.grammar.language import LanguageData, Names
from voicelog.grammar.numbers import spoken_digits, spoken_number
from voicelog.records.content import AnyContent, Cue, Drill, Fault, Trial

Ranges = Mapping[tuple[str, str], tuple[int, int]]
"""For a joint and motion, the lowest and highest angle to draw, in degrees."""


@dataclass(frozen=True, slots=True)
class Dictation:
    """What is said, with commas as short pauses, and the record it must become.

    `short` says the same with the movement left out, for when it carries over.
    """

    text: str
    content: AnyContent
    short: str = ""


class Writer:
    """Draws dictations. The same language, ranges and seed give the same sentences."""

    def __init__(self, language: LanguageData, ranges: Ranges, seed: int) -> None:
        self._language = language
        self._ranges = ranges
        self._chance = random.Random(seed)

    def dictation(self) -> Dictation:
        """One dictation: mostly trials."""
        kind = self._chance.choices(("trial", "drill", "fault", "cue"), (80, 12, 4, 4))[0]
        language = self._language
        if kind == "fault":
            name, said = self._named(language.faults)
            return Dictation(f"fault, {said}", Fault(name=name))
        if kind == "cue":
            name, said = self._named(language.cues)
            return Dictation(f"cue, {said}", Cue(name=name))
        return self._drill() if kind == "drill" else self.trial()

    def series(self, count: int) -> list[Dictation]:
        """Trials of one movement, one after the other."""
        first = self.trial()
        assert isinstance(first.content, Trial)
        others = [self.trial(first.content) for _ in range(count - 1)]
        return [first, *others]

    def trial(self, of: Trial | None = None) -> Dictation:
        """A trial of any movement, or of the movement of another one."""
        language, chance = self._language, self._chance
        joint = of.joint if of and of.joint else chance.choice(list(language.joints))
        motion = of.motion if of and of.motion else chance.choice(language.joints[joint].motions)
        sided = language.takes_side(joint, motion)
        side = (of.side if of else chance.choice(("left", "right"))) if sided else None
        phase, phase_said = self._chosen(language.slots.phase)
        values, said = self._results(joint, motion)
        if not values:
            return self.trial(of)
        words = (
            side,
            self._form(language.joints[joint].spoken),
            self._form(language.motions[motion]),
        )
        movement = " ".join(word for word in words if word)
        start = f"{movement}{self._pause()}{phase_said}"
        if chance.random() < 0.1:
            start = f"{phase_said}, {movement}"
        content = Trial.model_validate(
            {"side": side, "joint": joint, "motion": motion, "phase": phase, **values}
        )
        return Dictation(", ".join((start, *said)), content, ", ".join((phase_said, *said)))

    def _results(self, joint: str, motion: str) -> tuple[dict[str, object], list[str]]:
        chance, language = self._chance, self._language
        values: dict[str, object] = {}
        said: list[str] = []
        if chance.random() < 0.7:
            low, high = self._ranges.get((joint, motion), (0, 90))
            degrees = chance.randint(low, high)
            degrees = degrees // 5 * 5 if chance.random() < 0.4 else degrees
            values["range_deg"] = degrees
            said.append(chance.choice(("{} degrees", "{} degrees", "{} degrees", "range {}"))
                        .format(self._number(degrees)))  # fmt: skip
        if chance.random() < 0.85:
            pain = chance.randint(0, 10)
            values["pain"] = pain
            said.append(self._pain(pain))
        if chance.random() < 0.2:
            name, form = self._chosen(language.slots.quality)
            values["quality"] = (name,)
            said.append(form)
        if chance.random() < 0.07:
            values["end_feel"], form = self._chosen(language.slots.end_feel)
            said.append(form)
        return values, said

    def _drill(self) -> Dictation:
        chance, language = self._chance, self._language
        name, form = self._named(language.drills)
        values: dict[str, object] = {"name": name}
        said = [f"drill, {form}"]
        if chance.random() < 0.85:
            values |= {"sets": chance.randint(1, 6), "reps": chance.randint(3, 20)}
            said.append("{} sets of {}".format(*(self._number(int(str(values[k])), digits=False)
                                                 for k in ("sets", "reps"))))  # fmt: skip
        if chance.random() < 0.4:
            values["band"], form = self._chosen(language.slots.band)
            said.append(form)
        return Dictation(", ".join(said), Drill.model_validate(values))

    def _pain(self, pain: int) -> str:
        number = spoken_number(self._language.numbers, pain)
        if pain == 0 and self._chance.random() < 0.6:
            return self._chance.choice(("no pain", "pain free"))
        return self._chance.choice((f"pain {number}",) * 7 + (f"pain {number} out of ten",))

    def _number(self, value: int, *, digits: bool = True) -> str:
        if digits and value >= 10 and self._chance.random() < 0.1:
            return spoken_digits(self._language.numbers, value)
        return spoken_number(self._language.numbers, value)

    def _named(self, names: Names) -> tuple[str, str]:
        name = self._chance.choice(list(names))
        return name, names[name][0]

    def _chosen(self, names: Names) -> tuple[str, str]:
        name = self._chance.choice(list(names))
        return name, self._form(names[name])

    def _form(self, forms: list[str]) -> str:
        return forms[0] if self._chance.random() < 0.8 else self._chance.choice(forms)

    def _pause(self) -> str:
        return self._chance.choice((", ", " "))
