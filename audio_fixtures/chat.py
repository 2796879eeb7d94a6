"""Talk in the language's own words, drawn with a seed from the lines of `talk.toml`."""

import random
import tomllib
from dataclasses import dataclass
from typing import Literal

from audio_fixtures.casting import Split
from audio_fixtures.manifest import HERE
from voicelog.grammar.language import LanguageData
from voicelog.grammar.numbers import spoken_number

Who = Literal["therapist", "client"]


@dataclass(frozen=True, slots=True)
class Line:
    """One thing said that means nothing to the tool."""

    who: Who
    text: str


class Chat:
    """Draws lines of one part: every second line of the file is for tuning, the rest for tests."""

    def __init__(self, language: LanguageData, split: Split, seed: int) -> None:
        self._language = language
        self._chance = random.Random(seed)
        lines = tomllib.loads((HERE / "talk.toml").read_text(encoding="utf-8"))
        first = 0 if split == "tune" else 1
        self._lines = [Line(who, text) for who in ("therapist", "client")
                       for text in lines[who][first::2]]  # fmt: skip
        self._asides = [Line("therapist", text) for text in lines["asides"][first::2]]
        self._left: list[Line] = []

    def line(self) -> Line:
        """The next line; all come once before one comes again, with other words in it."""
        if not self._left:
            self._left = self.round()
        return self._left.pop()

    def round(self) -> list[Line]:
        """Every line once, in any order."""
        lines = self._chance.sample(self._lines, len(self._lines))
        return [Line(line.who, line.text.format(**self._words())) for line in lines]

    def asides(self) -> list[Line]:
        """Sentences with the longer commands in them, which are no part of a visit's talk."""
        return self._asides

    def _words(self) -> dict[str, str]:
        chance, language = self._chance, self._language
        joint, other = chance.sample(list(language.joints), 2)
        numbers = {name: chance.randint(1, 10) for name in ("n", "m")}
        numbers |= {name: chance.randint(10, 95) for name in ("d", "e")}
        return {
            "side": chance.choice(("left", "right")),
            "joint": language.joints[joint].spoken[0],
            "joint2": language.joints[other].spoken[0],
            "motion": chance.choice(
                language.motions[chance.choice(language.joints[joint].motions)]
            ),
            "quality": chance.choice(list(language.slots.quality)),
            "drill": chance.choice(list(language.drills)),
            "cue": chance.choice(list(language.cues)),
            **{name: spoken_number(language.numbers, value) for name, value in numbers.items()},
        }
