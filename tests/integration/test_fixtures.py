"""The recordings and the language, held against what the manifests say by hand."""

from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any, cast

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray
from pydantic import ValidationError

from voicelog.audio.base import RATE_HZ
from voicelog.grammar.language import LanguageData
from voicelog.grammar.parse import Intent, parse
from voicelog.grammar.phrases import Phrases
from voicelog.grammar.template import Choice, Node

if TYPE_CHECKING:
    from audio_fixtures.manifest import Manifest, Visit

RECORD_NAME = {"sets_reps": "sets"}
"""Where the parser's name for a slot differs from the one in a record."""
SPEECH_DBFS = (-24.0, -19.0)
SILENCE_DBFS = -65.0
MEGABYTE = 1_000_000


@pytest.fixture(scope="module")
def manifest(recordings: ModuleType) -> "Manifest":
    return cast("Manifest", recordings.load_manifest())


@pytest.fixture(scope="module")
def visit(recordings: ModuleType) -> "Visit":
    return cast("Visit", recordings.load_visit())


@pytest.fixture(scope="module")
def tree(language: LanguageData) -> Node:
    return Phrases(language).trees["any"]


@pytest.fixture(scope="module")
def answers(language: LanguageData) -> Node:
    """All that may be said while a question is open, or while she is standing by."""
    trees = Phrases(language).trees
    return Choice((trees["answer"], trees["command"]))


def slots_of(intent: Intent) -> dict[str, Any]:
    return {
        RECORD_NAME.get(slot, slot): list(value) if isinstance(value, tuple) else value
        for slot, value in intent.slots.items()
    }


def speech_dbfs(samples: NDArray[np.float32]) -> float:
    """Mean power of the 10 ms frames within 30 dB of the loudest, in dB re full scale."""
    frame = RATE_HZ // 100
    whole = len(samples) // frame * frame
    power = (samples[:whole].astype(np.float64).reshape(-1, frame) ** 2).mean(axis=1)
    return float(10 * np.log10(power[power > power.max() / 1000].mean()))


def rms_dbfs(samples: NDArray[np.float32]) -> float:
    return float(10 * np.log10((samples.astype(np.float64) ** 2).mean()))


def test_every_sentence_means_what_the_manifest_says_by_hand(
    recordings: ModuleType, manifest: "Manifest", tree: Node
) -> None:
    for said in manifest.utterance:
        intent = parse(tree, recordings.words(said.text))
        assert intent is not None, said.text
        assert (intent.kind, intent.command) == (said.kind, said.command), said.text
        assert slots_of(intent) == said.slots.said(), said.text


def test_talk_is_outside_the_language(
    recordings: ModuleType, manifest: "Manifest", visit: "Visit", tree: Node
) -> None:
    talk = [said.text for said in manifest.talk]
    talk += [line.text for line in visit.line if line.kind == "talk"]
    assert len(talk) > 30
    for text in talk:
        assert parse(tree, recordings.words(text)) is None, text


def test_the_sentences_name_every_joint_command_phase_and_kind(
    manifest: "Manifest", language: LanguageData
) -> None:
    said = manifest.utterance
    assert {u.slots.joint for u in said} >= set(language.joints)
    assert {u.command for u in said} >= set(language.commands)
    assert {u.slots.phase for u in said} >= set(language.slots.phase)
    assert {u.kind for u in said} == {"record", "drill", "fault", "cue", "note", "command"}
    for u in said:
        if u.slots.joint and u.slots.motion:
            assert language.joins(u.slots.joint, u.slots.motion), u.text


def test_every_recording_of_the_manifest_is_there_and_no_other(
    recordings: ModuleType, manifest: "Manifest"
) -> None:
    folder: Path = recordings.HERE
    there = set(folder.rglob("*.flac"))
    assert there == {r.path for r in manifest.recordings()} | {folder / "visit.flac"}
    assert sum(path.stat().st_size for path in there) < 18 * MEGABYTE


def test_the_voices_are_of_five_makes_and_both_sexes(manifest: "Manifest") -> None:
    assert len({voice.program for voice in manifest.voice}) >= 5
    assert {voice.sex for voice in manifest.voice} == {"female", "male"}


def test_every_recording_is_clean_speech_between_two_silences(manifest: "Manifest") -> None:
    for recording in manifest.recordings():
        samples, rate_hz = soundfile.read(recording.path, dtype="float32", always_2d=True)
        assert (rate_hz, samples.shape[1]) == (RATE_HZ, 1), recording.path
        sound = samples[:, 0]
        assert np.abs(sound).max() < 0.95, recording.path
        assert SPEECH_DBFS[0] <= speech_dbfs(sound) <= SPEECH_DBFS[1], recording.path
        for end in (sound[: RATE_HZ * 3 // 10], sound[-RATE_HZ * 3 // 10 :]):
            assert rms_dbfs(end) < SILENCE_DBFS, recording.path


def test_the_visit_lies_where_its_lines_say(recordings: ModuleType, visit: "Visit") -> None:
    sound, rate_hz = soundfile.read(recordings.HERE / "visit.flac", dtype="float32")
    assert (rate_hz, sound.ndim) == (RATE_HZ, 1)
    assert 240 < len(sound) / RATE_HZ < 360
    assert np.abs(sound).max() < 0.95
    quiet_from = 0.0
    for line in visit.line:
        before = sound[round(quiet_from * RATE_HZ) : round(line.start_s * RATE_HZ)]
        assert len(before) >= 0.8 * RATE_HZ, line.text
        assert -66 < rms_dbfs(before) < -54, line.text
        spoken = sound[round(line.start_s * RATE_HZ) : round(line.end_s * RATE_HZ)]
        low = -24 if line.who == "therapist" else -30
        assert low < speech_dbfs(spoken) < low + 6, line.text
        quiet_from = line.end_s


def test_the_visit_says_what_its_records_hold(
    recordings: ModuleType, visit: "Visit", answers: Node
) -> None:
    """Replays the lines with the few rules that the visit needs, apart from the real dialogue."""
    kept: list[dict[str, Any]] = []
    waiting: dict[str, Any] | None = None
    carried: dict[str, Any] = {}
    for line in visit.line:
        intent = parse(answers, recordings.words(line.text)) if line.kind != "talk" else None
        if intent is None:
            assert line.kind == "talk", line.text
        elif intent.kind == "command":
            assert line.kind == "command", line.text
            if intent.command == "correction":
                assert waiting is not None, line.text
                waiting |= slots_of(intent)
            elif intent.command == "affirm" and waiting is not None:
                kept.append(waiting)
                waiting = None
            elif intent.command == "disregard":
                waiting = None
        else:
            assert line.kind == intent.kind, line.text
            slots = {"kind": intent.kind} | slots_of(intent)
            if waiting is not None:
                waiting |= slots
            elif intent.kind == "record":
                waiting = carried | slots
            else:
                waiting = slots
            if intent.kind == "record":
                carried = {
                    slot: waiting[slot] for slot in ("side", "joint", "motion") if slot in waiting
                }
    assert waiting is None
    assert kept == [record.said() for record in visit.record]


@pytest.mark.parametrize(
    "change",
    [
        {"kind": "command"},
        {"slots": {"pian": 4}},
        {"slots": {"pain": "4"}},
        {"text": "pain 4"},
    ],
)
def test_a_slip_in_the_manifest_is_refused(recordings: ModuleType, change: dict[str, Any]) -> None:
    good = {"id": "r01", "text": "gap trial, pain four", "kind": "record", "slots": {"pain": 4}}
    recordings.Utterance.model_validate(good)
    with pytest.raises(ValidationError):
        recordings.Utterance.model_validate(good | change)
