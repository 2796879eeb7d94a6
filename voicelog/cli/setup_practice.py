"""The last step of `voicelog setup`: one record from dictation to the store, marked as practice."""

from rich.console import Console
from rich.text import Text

from voicelog.audio.sound_file import SoundFile, length_s
from voicelog.cli.listen import keys_of, run_session
from voicelog.cli.session import Session, Way
from voicelog.cli.setup_steps import TEST_PHRASE, Walk
from voicelog.clock import WallClock, of_recording
from voicelog.data_files.package import package_path
from voicelog.listening.happenings import Happening
from voicelog.records.visit import PRACTICE

RECORDING = "audio_fixtures/visit.flac"


def practice(walk: Walk) -> None:
    """Dictate, hear it read back, affirm: the first record, which counts in no caseload."""
    built = walk.house
    live = walk.audio is None and walk.has_microphone
    recording = walk.audio or package_path(RECORDING)
    source = walk.source() if live else SoundFile(recording)
    _explain(walk.console, live=live, own=walk.audio is not None)
    spoken = built.voice() if live and built.settings.spoken else None
    clock = WallClock() if live else of_recording(length_s(recording))
    way = Way(clock, spoken, anew=True, ends_with=_first_record)
    store = built.store()
    try:
        session = Session(built, store, PRACTICE, way)
        run_session(session, source, keys_of(built.settings) if live else {})
        session.summary()
    finally:
        store.close()
    if session.live.state.records:
        text = f"One record is saved, under {PRACTICE} in the place of a client's code."
        walk.console.print(Text(text, "bold green"))
        walk.console.print("It counts in no caseload. Put it right: voicelog review last")
    else:
        walk.console.print(Text("Nothing was affirmed, so there is no record.", "yellow"))


def _first_record(happening: Happening) -> bool:
    return happening.kind == "saved"


def _explain(console: Console, *, live: bool, own: bool) -> None:
    if live:
        console.print("Say this in one breath, wait until it is read back, then say: affirm")
        console.print(Text(f"    {TEST_PHRASE}", "bold cyan"))
        console.print("If it heard wrongly, say: correction, and the right part. Ctrl-C stops.")
    elif not own:
        console.print("There is no microphone, so a recorded visit is listened to in its place.")
