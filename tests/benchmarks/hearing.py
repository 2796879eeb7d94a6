"""How well the fixtures are heard: prints a table for each engine and voice.

    python tests/benchmarks/hearing.py [ENGINE]

Every recording of `audio_fixtures` goes through the same endpointer, engine and interpreter as
the microphone's sound. A record is right when every slot is; error rates of words by jiwer; shares
with their 95 % Wilson interval by statsmodels. None of these voices' sentences was used to fit the
curves; the voice of piper `joe` was, slowed down and with other sentences.
Meetings of people, which must never become a proposal, are added when they lie in `speech` of the
folder named by VOICELOG_SHARED, or of ../shared. Digits of people are a set of `only_dictated.py`,
the start is measured by `starting.py`.
"""

import resource
import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import jiwer
import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from audio_fixtures.manifest import Utterance as Sentence  # noqa: E402
from audio_fixtures.manifest import load_manifest, words  # noqa: E402
from tests.benchmarks.following import follow  # noqa: E402
from tests.benchmarks.sounding import share, shared_speech  # noqa: E402
from voicelog.audio.base import RATE_HZ, Block, Samples, Utterance  # noqa: E402
from voicelog.audio.endpointer import Endpointer, SpeechEnded  # noqa: E402
from voicelog.audio.sound_file import SoundFile  # noqa: E402
from voicelog.dialogue.draft import begin  # noqa: E402
from voicelog.grammar.interpret import Interpretation  # noqa: E402
from voicelog.grammar.language import LanguageData  # noqa: E402
from voicelog.grammar.posterior import Prior  # noqa: E402
from voicelog.listening.hearing import Hearing  # noqa: E402
from voicelog.settings.fields import Settings  # noqa: E402
from voicelog.wiring import House  # noqa: E402


@dataclass
class Tally:
    """What happened to the recordings of one voice."""

    records: list[bool] = field(default_factory=list)
    asked_or_dropped: int = 0
    wrong: int = 0
    commands: list[bool] = field(default_factory=list)
    slots: list[bool] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    heard: list[str] = field(default_factory=list)
    latencies_s: list[float] = field(default_factory=list)
    audio_s: float = 0.0
    compute_s: float = 0.0
    misses: list[str] = field(default_factory=list)


def utterances(samples: Samples) -> Iterator[Utterance]:
    """The utterances that the endpointer finds, with half a second of faint noise around."""
    endpointer = Endpointer()
    events = [*endpointer.feed(Block(in_room(samples), 0.0)), *endpointer.flush()]
    yield from (event.utterance for event in events if isinstance(event, SpeechEnded))


def in_room(samples: Samples) -> Samples:
    """The sound with half a second of faint noise before it and a second behind."""
    noise = np.random.default_rng(0).normal(0, 4, RATE_HZ // 2).astype(np.int16)
    return np.concatenate([noise, samples, noise, noise])


def read(path: Path) -> Samples:
    """A sound file as the engine gets it."""
    with SoundFile(path) as source:
        return np.concatenate([block.samples for block in source])


def meant_slots(meant: Interpretation, language: LanguageData) -> dict[str, object]:
    """The slots as they would be kept, without the absent ones."""
    if meant.intent is None:
        return {}
    if meant.intent.kind == "command":
        return {"command": meant.intent.command, **meant.intent.slots}
    kept = begin(meant.intent, None, language).model_dump(mode="json", exclude={"kind", "checked"})
    return {s: v for s, v in kept.items() if v is not None and v is not False and v != []}


def wanted_slots(sentence: Sentence) -> dict[str, object]:
    """The hand-written truth in the same form."""
    slots: dict[str, object] = dict(sentence.slots.said())
    if sentence.kind == "command":
        return {"command": sentence.command, **slots}
    if slots.get("outcome") == "pain free rep":
        slots.setdefault("pain", 0)
    return slots


def measure(hearing: Hearing, sentence: Sentence, path: Path, tally: Tally) -> None:
    """Hear one recording and count what became of it."""
    language = hearing.phrases.language
    found = list(follow(in_room(read(path)), hearing, "any", Prior()))
    wanted = wanted_slots(sentence)
    got: dict[str, object] = {}
    doubtful: tuple[str, ...] = ()
    text = ""
    if len(found) == 1:
        meant, hypothesis = found[0].meant, found[0].hypothesis
        tally.latencies_s.append(found[0].late_s)
        tally.audio_s += found[0].utterance.duration_s
        tally.compute_s += hypothesis.compute_s
        got, doubtful, text = meant_slots(meant, language), meant.doubtful, hypothesis.text
    if sentence.kind == "note":
        got = {slot: value for slot, value in got.items() if slot != "text"}
        wanted = {}
        right = len(found) == 1 and meant.intent is not None and text.startswith("note")
    else:
        right = got == wanted
    tally.said.append(" ".join(words(sentence.text)))
    tally.heard.append(text)
    (tally.commands if sentence.kind == "command" else tally.records).append(right)
    tally.slots += [got.get(slot) == value for slot, value in wanted.items()]
    if not right:
        tally.misses.append(f"{path.parent.name} {sentence.id}: {sentence.text} -> {text or '-'}")
        if sentence.kind != "command" and got and not doubtful:
            tally.wrong += 1
        else:
            tally.asked_or_dropped += 1


def voices(hearing: Hearing) -> None:
    """The table over the fixture voices."""
    manifest = load_manifest()
    sentences = {sentence.id: sentence for sentence in manifest.utterance}
    tallies: dict[str, Tally] = defaultdict(Tally)
    for recording in manifest.recordings():
        if recording.id in sentences:
            measure(hearing, sentences[recording.id], recording.path, tallies[recording.voice])
    print(
        "| voice | records right, % | wrong and proposed | dropped or asked | slots wrong, % "
        "| words wrong, % | commands right | computing, s per s | end to meaning, ms: 50th / 95th |"
    )
    print("|---|---|---|---|---|---|---|---|---|")
    for voice, t in tallies.items():
        slots_wrong = 100 * (1 - sum(t.slots) / len(t.slots))
        p50, p95 = np.percentile(np.array(t.latencies_s) * 1000, [50, 95])
        print(
            f"| {voice} | {share(sum(t.records), len(t.records))} | {t.wrong} "
            f"| {t.asked_or_dropped} | {slots_wrong:.1f} "
            f"| {100 * jiwer.wer(t.said, t.heard):.1f} | {sum(t.commands)} of {len(t.commands)} "
            f"| {t.compute_s / t.audio_s:.3f} | {p50:.0f} / {p95:.0f} |"
        )
    print()
    for t in tallies.values():
        for miss in t.misses:
            print(f"  {miss}")


def talk(hearing: Hearing) -> None:
    """What became of talk: proposals by kind, and commands that would have acted if expected."""
    manifest = load_manifest()
    ids = {sentence.id for sentence in manifest.talk}
    files = [r.path for r in manifest.recordings() if r.id in ids]
    shared = shared_speech()
    if shared is not None:
        files += sorted((shared / "conversation").glob("*.flac"))
    seconds, pieces = 0.0, 0
    proposed: list[str] = []
    commands: list[str] = []
    for path in files:
        samples = read(path)
        seconds += len(samples) / RATE_HZ
        for utterance in utterances(samples):
            pieces += 1
            meant, _ = hearing.whole(utterance, "any", Prior())
            if meant.intent is not None:
                row = f"{path.name}: {meant.text} ({meant.confidence:.2f})"
                (commands if meant.intent.kind == "command" else proposed).append(row)
    print(f"\nTalk: {seconds / 60:.1f} minutes in {len(files)} files, {pieces} utterances")
    print(f"proposed as a record: {len(proposed)}, taken for a command: {len(commands)}")
    for row in proposed + commands:
        print(f"  {row}")


def main() -> None:
    """Print everything for one engine."""
    engine = sys.argv[1] if len(sys.argv) > 1 else "pocketsphinx"
    hearing = House(Settings()).hearing(engine)
    print(f"Engine {engine}, model {hearing.recogniser.model}\n")
    voices(hearing)
    talk(hearing)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"Peak memory of this run, with notes written down: {peak_mb:.0f} MB")


if __name__ == "__main__":
    main()
