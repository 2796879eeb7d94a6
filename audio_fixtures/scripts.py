"""What is said in a simulated visit, drawn with a seed: trials, drills, cues, and talk."""

import random

from audio_fixtures.casting import SEEDS, Split
from audio_fixtures.chat import Chat, Line
from audio_fixtures.clinician import Amended, Item
from audio_fixtures.fresh import Dictation, Ranges, Writer
from voicelog.grammar.language import LanguageData
from voicelog.grammar.numbers import spoken_number
from voicelog.records.content import Trial

SECONDS_A_LINE = 4.2
"""About how long a line of talk takes with the pause behind it."""


def visit(language: LanguageData, ranges: Ranges, split: Split, number: int) -> list[Item]:
    """The script of one visit: some thirty dictations, and about as many lines of talk."""
    seed = SEEDS[split] * 1000 + number
    chance, writer, chat = (
        random.Random(seed),
        Writer(language, ranges, seed),
        Chat(language, split, seed),
    )
    script: list[Item] = []
    for _ in range(7):
        script += [chat.line() for _ in range(chance.randint(1, 3))]
        for trial in writer.series(chance.randint(3, 4)):
            script.append(_amended(trial, language, chance) if chance.random() < 0.12 else trial)
            script += [chat.line() for _ in range(chance.choice((0, 0, 1, 2)))]
        script.append(writer.dictation())
    return script


def talk(language: LanguageData, split: Split, minutes: float, number: int) -> list[Line]:
    """Talk and nothing else, about so many minutes of it."""
    chat = Chat(language, split, SEEDS[split] * 1000 + number)
    return [chat.line() for _ in range(round(minutes * 60 / SECONDS_A_LINE))]


def _amended(trial: Dictation, language: LanguageData, chance: random.Random) -> Item:
    content = trial.content
    if not isinstance(content, Trial) or content.pain is None:
        return trial
    pain = (content.pain + chance.randint(1, 9)) % 11
    correction = f"correction, pain {spoken_number(language.numbers, pain)}"
    return Amended(trial, correction, content.model_copy(update={"pain": pain}))
