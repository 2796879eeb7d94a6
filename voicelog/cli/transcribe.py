"""`voicelog transcribe`: what is heard in sound files, for scripts and benchmarks."""

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, cast, get_args

import typer

from voicelog.audio.base import RATE_HZ, Utterance
from voicelog.audio.endpointer import Endpointer, SpeechEnded
from voicelog.audio.sound_facts import describe
from voicelog.audio.sound_file import SoundFile
from voicelog.cli.options import Engine, house, one_of
from voicelog.cli.terminal import say
from voicelog.dialogue.draft import begin
from voicelog.grammar.hypothesis import Expect, Hypothesis
from voicelog.grammar.interpret import Interpretation
from voicelog.grammar.language import LanguageData
from voicelog.grammar.parse import Intent, parse
from voicelog.grammar.phrases import Phrases
from voicelog.listening.hearing import Hearing
from voicelog.records.content import Trial
from voicelog.wiring import House

TRIAL_SLOTS = ("side", "joint", "motion", "phase", "range_deg", "pain", "quality", "end_feel")


def transcribe(
    files: Annotated[list[Path], typer.Argument(help="WAV or FLAC files.", metavar="FILE...")],
    as_json: Annotated[
        bool, typer.Option("--json", help="One JSON object a line for each utterance.")
    ] = False,
    expect: Annotated[
        str,
        typer.Option("--expect", help=f"What is waited for: {', '.join(get_args(Expect))}."),
    ] = "any",
    context: Annotated[
        str, typer.Option("--context", help='What is carried over: "left ankle dorsiflexion".')
    ] = "",
    engine: Engine = None,
) -> None:
    """Say what is heard in sound files. Nothing is saved.

    Example: voicelog transcribe dictation.wav --json
    """
    one_of(expect, get_args(Expect), "--expect")
    built = house()
    carried = _carried(context, built.phrases, built.language)
    hearing = built.hearing(engine)
    for path in files:
        for row in _rows(path, hearing, cast(Expect, expect), carried, built):
            if as_json:
                sys.stdout.write(json.dumps(row) + "\n")
            else:
                what = row["text"] if row["accepted"] else f"({row['reason']})"
                sys.stdout.write(f"{path}: {what}\n")
            sys.stdout.flush()


def _rows(
    path: Path, hearing: Hearing, expect: Expect, carried: Trial | None, built: House
) -> Iterator[dict[str, object]]:
    for remark in describe(path).remarks:
        say(f"{path}: {remark}.")
    found = False
    for utterance in _utterances(path):
        found = True
        meant, hypothesis = hearing.whole(utterance, expect, built.prior_for(carried))
        yield _row(path, utterance, meant, hypothesis, carried, built.language)
    if not found:
        engine = hearing.recogniser.engine
        yield {
            "file": str(path), "engine": engine, "accepted": False, "reason": "silence",
            "kind": None, "text": "", "slots": {}, "confidence": 0.0, "alternatives": [],
            "audio_s": 0.0, "compute_s": 0.0,
        }  # fmt: skip


def _utterances(path: Path) -> Iterator[Utterance]:
    endpointer = Endpointer()
    with SoundFile(path) as source:
        for block in source:
            for event in endpointer.feed(block):
                if isinstance(event, SpeechEnded):
                    yield event.utterance
        for event in endpointer.flush():
            if isinstance(event, SpeechEnded):
                yield event.utterance


def _row(
    path: Path,
    utterance: Utterance,
    meant: Interpretation,
    hypothesis: Hypothesis,
    carried: Trial | None,
    language: LanguageData,
) -> dict[str, object]:
    intent = meant.intent
    return {
        "file": str(path),
        "engine": hypothesis.engine,
        "accepted": meant.accepted,
        "reason": meant.reason,
        "kind": intent.kind if intent else None,
        "text": meant.text,
        "slots": _slots(intent, carried, language) if intent else {},
        "confidence": round(meant.confidence, 4),
        "slot_confidence": {s: round(c, 4) for s, c in meant.slot_confidence.items()},
        "doubtful": list(meant.doubtful),
        "alternatives": [_alternative(other, carried, language) for other in meant.alternatives],
        "start_s": round(utterance.start_s, 3),
        "audio_s": round(len(utterance.samples) / RATE_HZ, 3),
        "compute_s": round(hypothesis.compute_s, 4),
    }


def _alternative(
    intent: Intent, carried: Trial | None, language: LanguageData
) -> dict[str, object]:
    return {"kind": intent.kind, "slots": _slots(intent, carried, language)}


def _slots(intent: Intent, carried: Trial | None, language: LanguageData) -> dict[str, object]:
    """The slots as they would be kept: for a trial all of them, with null for what is absent."""
    if intent.kind == "command":
        said = {name: list(v) if isinstance(v, tuple) else v for name, v in intent.slots.items()}
        return {"command": intent.command, **said}
    content = begin(intent, carried, language)
    kept = content.model_dump(mode="json", exclude={"kind"})
    if isinstance(content, Trial):
        return {slot: kept.pop(slot) for slot in TRIAL_SLOTS} | kept
    return kept


def _carried(context: str, phrases: Phrases, language: LanguageData) -> Trial | None:
    if not context:
        return None
    said = tuple(context.lower().replace(",", " ").split())
    intent = parse(phrases.moved, said) or parse(phrases.trees["record"], said)
    content = begin(intent, None, language) if intent else None
    if not isinstance(content, Trial):
        raise typer.BadParameter(
            f"{context!r} is not a movement; say it as in a dictation: left ankle dorsiflexion",
            param_hint="--context",
        )
    return content
