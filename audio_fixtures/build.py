"""Makes the recordings from `manifest.toml` and `visit.toml`.

    python -m audio_fixtures.build             everything
    python -m audio_fixtures.build slt visit   only some voices, or the visit
    python -m audio_fixtures.build --check     only compare the files with the manifest

Run it from the top of a working copy. Exit status 0 when done, 1 when something is missing.
"""

import argparse
import sys

import tomlkit

from audio_fixtures.manifest import HERE, RATE_HZ, Manifest, Voice, load_manifest, load_visit
from audio_fixtures.sound import SPEECH_DBFS, prepared, room, write
from audio_fixtures.voices import VoiceMissing, check, speak

VISIT = "visit"
THERAPIST, CLIENT = "slt", "joe"
CLIENT_DBFS = SPEECH_DBFS - 6
"""The client sits further from the microphone."""
ROOM_DBFS = -60.0
QUIET_DBFS = -75.0
QUIET_S = 0.4
LEAD_S = 2.0


def build_voice(manifest: Manifest, voice: Voice) -> None:
    """All sentences of one voice, each in a file of its own with quiet on both sides."""
    for recording in manifest.recordings():
        if recording.voice == voice.name:
            speech = prepared(speak(voice, recording.text))
            whole = room(2 * QUIET_S + len(speech) / RATE_HZ, QUIET_DBFS, recording.path.stem)
            start = round(QUIET_S * RATE_HZ)
            whole[start : start + len(speech)] += speech
            write(recording.path, whole)


def build_visit(manifest: Manifest) -> None:
    """The visit in one piece, and the places of its lines in `visit.toml`."""
    voices = {voice.name: voice for voice in manifest.voice}
    placed, now_s = [], LEAD_S
    for line in load_visit().line:
        told = line.who == "client"
        voice = voices[CLIENT if told else THERAPIST]
        speech = prepared(speak(voice, line.text), CLIENT_DBFS if told else SPEECH_DBFS)
        placed.append((round(now_s * RATE_HZ), speech))
        now_s += len(speech) / RATE_HZ + line.pause_s
    whole = room(now_s, ROOM_DBFS, VISIT)
    for start, speech in placed:
        whole[start : start + len(speech)] += speech
    write(HERE / "visit.flac", whole)

    script = tomlkit.parse((HERE / "visit.toml").read_text(encoding="utf-8"))
    for line, (start, speech) in zip(script["line"], placed, strict=True):
        line["start_s"] = round(start / RATE_HZ, 2)
        line["end_s"] = round((start + len(speech)) / RATE_HZ, 2)
    (HERE / "visit.toml").write_text(tomlkit.dumps(script), encoding="utf-8")


def differences(manifest: Manifest) -> list[str]:
    """Files that the manifest names and are not there, and the other way round."""
    wanted = {recording.path for recording in manifest.recordings()} | {HERE / "visit.flac"}
    there = set(HERE.rglob("*.flac"))
    found = [("missing", path) for path in wanted - there] + [
        ("not in the manifest", path) for path in there - wanted
    ]
    return sorted(f"{path.relative_to(HERE)}: {what}" for what, path in found)


def main(arguments: list[str] | None = None) -> int:
    """Do what the command line asks for."""
    manifest = load_manifest()
    names = [voice.name for voice in manifest.voice]
    parser = argparse.ArgumentParser(description="Makes the recordings from the manifest.")
    parser.add_argument("part", nargs="*", help=f"{', '.join(names)} or {VISIT}; default all")
    parser.add_argument("--check", action="store_true", help="only compare files with the manifest")
    asked = parser.parse_args(arguments)
    unknown = [part for part in asked.part if part not in (*names, VISIT)]
    if unknown:
        parser.error(f"there is no part {', '.join(unknown)}")
    if not asked.check:
        parts = asked.part or [*names, VISIT]
        needed = {*parts, *((THERAPIST, CLIENT) if VISIT in parts else ())}
        try:
            for voice in manifest.voice:
                if voice.name in needed:
                    check(voice)
            for voice in manifest.voice:
                if voice.name in parts:
                    build_voice(manifest, voice)
            if VISIT in parts:
                build_visit(manifest)
        except VoiceMissing as missing:
            print(missing, file=sys.stderr)
            return 1
    wrong = differences(manifest)
    print("\n".join(wrong) or "Every recording of the manifest is there, and no other.")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
