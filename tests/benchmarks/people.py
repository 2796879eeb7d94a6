"""Single digits and words by real people, as answers to a question.

Digits of two collections as answers to "Pain?", some also as the end of a dictation; "left" and
"right" as answers to "Which side?"; the other words must be passed over. While a read-back waits no
word of all may act, as it would save or throw away a record. Of the digits' three speakers the
first is for tuning; of each word the recordings 01 and 03.
"""

from pathlib import Path

import numpy as np
import soundfile
import soxr

from audio_fixtures.casting import Split, cast, said
from audio_fixtures.clinician import Room
from audio_fixtures.manifest import RATE_HZ, Voice
from audio_fixtures.rooms import Sound
from audio_fixtures.sound import gain, room, speech_dbfs
from tests.benchmarks.sounding import QUIET_DBFS, shared_speech
from tests.benchmarks.utterances import Heard, Result, listened, listening
from voicelog.dialogue.state import State
from voicelog.dialogue.step import step
from voicelog.records.content import Trial

DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
EVERY, BETWEEN_S = 4, 0.05
"""Of so many digits one is also heard behind a dictation, so long after its last word."""
FADE_S = 0.02
"""The recordings are cut tightly; an edge in their noise would sound like a consonant."""
SAME = {"tree": "three"}
"""A word of the collection that the language takes for another."""


def answers(split: Split) -> list[Heard]:
    """All recordings of a part."""
    folder = shared_speech()
    if folder is None:
        return []
    found = []
    voices = [voice for voice in cast(split) if voice.program != "espeak-ng"]
    for place, path in enumerate(sorted((folder / "human_digits").glob("*/*.flac"))):
        if (path.parent.name == "speaker1") == (split == "tune"):
            found.append(_digit(path, int(path.name[0]), "digits over a telephone"))
            if place % EVERY == 1:
                found.append(_dictated(path, voices[place // EVERY % len(voices)]))
    for path in sorted((folder / "human_words").glob("*/*.flac")):
        if (int(path.stem) <= 3) != (split == "tune"):
            continue
        word = SAME.get(path.parent.name, path.parent.name)
        found.append(_while_read_back(path, word))
        if word in DIGITS:
            found.append(_digit(path, DIGITS.index(word), "digits"))
        elif word in ("left", "right"):
            found.append(_side(path, word))
        else:
            found.append(_other(path, word))
    return found


def _digit(path: Path, digit: int, kind: str) -> Heard:
    content = Trial(side="left", joint="knee", motion="flexion", phase="gap")
    return _answer(read(path), path, kind, str(digit), "pain", digit, listening(content, "result"))


def _dictated(path: Path, voice: Voice) -> Heard:
    """The number that ends a dictation, by a person; the rest of it by a voice."""
    before = said(voice, "left knee flexion, gap trial, pain")
    between = np.zeros(round(BETWEEN_S * RATE_HZ), np.float32)
    sound = np.concatenate([before, between, read(path)])
    digit = int(path.name[0])
    kind = "digits over a telephone, behind a dictation"
    return _answer(sound, path, kind, str(digit), "pain", digit, listening())


def _side(path: Path, word: str) -> Heard:
    content = Trial(joint="knee", motion="flexion", phase="gap", pain=4)
    return _answer(read(path), path, "left, right", word, "side", word, listening(content, "side"))


def _answer(
    sound: Sound, path: Path, kind: str, word: str, slot: str, value: object, state: State
) -> Heard:
    steps = listened(sound, QUIET, state)
    result: Result = "dropped"
    for one in steps:
        intent = one.meant.intent
        if intent is None:
            continue
        draft = step(state, one.evidence)[0].draft
        right = draft is not None and getattr(draft.entry.content, slot, None) == value
        asked = draft is None or draft.asked is not None or intent.kind == "command"
        result = "asked" if asked else "right" if right else "wrong"
    return Heard(kind, path.parent.name, word, "; ".join(s.text for s in steps), result)


def _other(path: Path, word: str) -> Heard:
    content = Trial(side="left", joint="knee", motion="flexion", phase="gap")
    state = listening(content, "result")
    steps = listened(read(path), QUIET, state)
    after = [step(state, s.evidence)[0] for s in steps if s.meant.intent is not None]
    taken = any(s.draft is None or s.draft != state.draft for s in after)
    sure = taken and any(s.draft is not None and s.draft.asked is None for s in after)
    result: Result = "wrong" if sure else "asked" if taken else "quiet"
    text = "; ".join(s.text for s in steps)
    return Heard("other words, to be passed over", path.parent.name, word, text, result)


def _while_read_back(path: Path, word: str) -> Heard:
    state = listening(Trial(side="left", joint="knee", motion="flexion", phase="gap", pain=4))
    steps = listened(read(path), QUIET, state)
    result: Result = "wrong" if any(s.meant.intent is not None for s in steps) else "quiet"
    text = "; ".join(s.text for s in steps)
    return Heard("any word while a read-back waits", path.parent.name, word, text, result)


def read(path: Path) -> Sound:
    samples, rate_hz = soundfile.read(path, dtype="float32", always_2d=True)
    mono = np.asarray(soxr.resample(samples.mean(axis=1), rate_hz, RATE_HZ), dtype=np.float32)
    fade = np.linspace(0, 1, round(FADE_S * RATE_HZ), dtype=np.float32)
    mono[: len(fade)] *= fade
    mono[-len(fade) :] *= fade[::-1]
    return mono * np.float32(gain(-20 - speech_dbfs(mono)))


QUIET = Room(room(30.0, QUIET_DBFS, "people"))
