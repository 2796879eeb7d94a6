"""Single utterances, heard as the microphone's sound is heard, and what they led to."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cache
from typing import Literal

from audio_fixtures.casting import SEEDS, Split, cast, said
from audio_fixtures.chat import Chat
from audio_fixtures.clinician import Room
from audio_fixtures.fresh import Writer
from audio_fixtures.manifest import Voice
from audio_fixtures.rooms import Sound
from tests.benchmarks.following import follow
from tests.benchmarks.sounding import background, placed
from voicelog.audio.base import Utterance
from voicelog.dialogue.draft import begin
from voicelog.dialogue.events import Heard as Event
from voicelog.dialogue.state import Draft, State
from voicelog.dialogue.step import step
from voicelog.grammar.interpret import Interpretation
from voicelog.listening.hearing import Hearing
from voicelog.records.content import AnyContent, Trial
from voicelog.records.entry import Entry
from voicelog.records.visit import Visit
from voicelog.settings.fields import Settings
from voicelog.wiring import House

Result = Literal["right", "asked", "wrong", "dropped", "quiet", "proposed", "saved"]
AT = datetime(2026, 1, 5, 9, 0, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Heard:
    """What became of one utterance. `third`: right among the first three meanings. `late_s`: from
    the end of the utterance to its meaning."""

    kind: str
    voice: str
    said: str
    heard: str
    result: Result
    third: bool = False
    audio_s: float = 0.0
    compute_s: float = 0.0
    late_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Step:
    """One accepted or refused utterance and what it cost."""

    utterance: Utterance
    meant: Interpretation
    text: str
    evidence: Event
    compute_s: float
    late_s: float


@cache
def house() -> House:
    """The house of this process."""
    return House(Settings())


@cache
def hearing() -> Hearing:
    """The engine of this process, loaded once."""
    return house().hearing()


def listened(speech: Sound, room: Room, state: State) -> list[Step]:
    """Every utterance found in the speech, with room before and behind it, fed block by block."""
    found = []
    for one in follow(placed(speech, room), hearing(), state.expect, house().prior(state)):
        evidence = hearing().evidence(one.meant, one.hypothesis)
        event = Event(one.meant, evidence, fresh_id="1", at=AT)
        text, compute_s = one.hypothesis.text, one.hypothesis.compute_s
        found.append(Step(one.utterance, one.meant, text, event, compute_s, one.late_s))
    return found


def listening(draft: AnyContent | None = None, asked: str | None = None) -> State:
    """A dialogue that waits for anything, or with a draft read back or asked about."""
    visit = Visit(visit_id="bench", client="C-014", started_at=AT)
    state = State(house().setting(visit))
    if draft is None:
        return state
    entry = Entry(
        entry_id="0",
        visit_id="bench",
        client="C-014",
        status="unconfirmed",
        content=draft,
        spoken_at=AT,
        at=AT,
        by="bench",
        why="dictated",
    )
    return State(state.setting, draft=Draft(entry, asked=asked, kept=True))


def records(split: Split, name: str, condition: str, count: int) -> list[Heard]:
    """Fresh dictations by one voice under one condition."""
    voice, place = named(split, name)
    language = house().language
    writer = Writer(language, house().plausible, SEEDS[split] + 7 * place)
    room, state = background(condition, SEEDS[split]), listening()
    found = []
    for _ in range(count):
        wanted = writer.dictation()
        steps = listened(said(voice, wanted.text), room, state)
        drafts = [after.draft for s in steps if (after := step(state, s.evidence)[0]).draft]
        heard = "; ".join(s.text for s in steps)
        third = any(
            begin(intent, None, language) == wanted.content
            for s in steps if s.meant.intent is not None and s.meant.intent.kind != "command"
            for intent in (s.meant.intent, *s.meant.alternatives[:2]) if intent.kind != "command"
        )  # fmt: skip
        result: Result = "dropped"
        if drafts and drafts[0] is not None:
            right = len(drafts) == 1 and drafts[0].entry.content == wanted.content
            result = "asked" if drafts[0].asked else "right" if right else "wrong"
        found.append(_scored("record", voice, wanted.text, heard, result, steps, third=third))
    return found


def commands(split: Split, name: str, condition: str) -> list[Heard]:
    """Each form of each command by one voice, after a read-back."""
    voice, _ = named(split, name)
    room = background(condition, SEEDS[split])
    state = listening(Trial(side="left", joint="knee", motion="flexion", phase="gap", pain=4))
    found = []
    for command, forms in house().language.commands.items():
        for form in forms if command != "correction" else ():
            steps = listened(said(voice, form), room, state)
            got = [s.meant.intent.command for s in steps if s.meant.intent is not None]
            result: Result = "right" if got == [command] else "wrong" if got else "dropped"
            if not got and any(s.meant.reason == "unsure command" for s in steps):
                result = "asked"
            found.append(_scored(form, voice, form, " ".join(map(str, got)), result, steps))
    return [*found, *(replace(heard, kind="all commands") for heard in found)]


def inside(split: Split, name: str, condition: str) -> list[Heard]:
    """Sentences with a command in them, while a read-back waits: none may act."""
    voice, _ = named(split, name)
    room = background(condition, SEEDS[split])
    state = listening(Trial(side="left", joint="knee", motion="flexion", phase="gap", pain=4))
    forms = [f for forms in house().language.commands.values() for f in forms]
    chat = Chat(house().language, split, SEEDS[split])
    talk = [line.text for line in (*chat.round(), *chat.asides())]
    lines = [text for text in talk if any(f" {form} " in _plain(text) for form in forms)]
    found = []
    for text in lines:
        steps = listened(said(voice, text), room, state)
        got = [s.meant.intent for s in steps if s.meant.intent is not None]
        acted = [i.command for i in got if i.kind == "command"]
        result: Result = "wrong" if acted else "quiet"
        heard = f"{acted} {[s.text for s in steps]}"
        found.append(_scored("command inside a sentence", voice, text, heard, result, steps))
    return found


def named(split: Split, name: str) -> tuple[Voice, int]:
    """The voice of that name, and its place among the voices of its part."""
    voices = cast(split)
    place = [voice.name for voice in voices].index(name)
    return voices[place], place


def _plain(text: str) -> str:
    return f" {''.join(c for c in text.lower() if c.isalpha() or c == ' ')} "


def _scored(
    kind: str, voice: Voice, text: str, heard: str, result: Result, steps: list[Step], *,
    third: bool = False,
) -> Heard:  # fmt: skip
    return Heard(
        kind, voice.name, text, heard, result, third,
        audio_s=sum(s.utterance.duration_s for s in steps),
        compute_s=sum(s.compute_s for s in steps),
        late_s=max((s.late_s for s in steps), default=0.0),
    )  # fmt: skip
