"""`voicelog demo`: a recorded visit, from sound to note, on the very path of the microphone."""

import tempfile
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.markdown import Markdown

from voicelog.audio.base import Source
from voicelog.audio.paced import Paced
from voicelog.audio.sound_file import SoundFile, length_s
from voicelog.cli.options import Engine, house
from voicelog.cli.session import Session, Way
from voicelog.clock import of_recording
from voicelog.data_files.package import package_path
from voicelog.dialogue.safety_screen import Answer
from voicelog.exports import markdown as note
from voicelog.exports.base import VisitRecords
from voicelog.exports.files import write_file
from voicelog.safety_screen import Answers, keep_answers

CLIENT = "C-014"
RECORDING = "audio_fixtures/visit.flac"


def demo(
    real_time: Annotated[
        bool, typer.Option("--real-time", help="At the speed at which it was spoken.")
    ] = False,
    folder: Annotated[
        Path | None,
        typer.Option("--folder", help="Where to keep the files. Default: a new temporary folder."),
    ] = None,
    engine: Engine = None,
) -> None:
    """Play a recorded visit and watch it become records and a note.

    The visit, the client and all values are made up.

    Example: voicelog demo
    """
    folder = folder or Path(tempfile.mkdtemp(prefix="voicelog-demo-"))
    built = house(folder, encrypted=False)
    recording = package_path(RECORDING)
    clock = of_recording(length_s(recording))
    way = Way(clock, None, anew=True, engine=engine)
    source: Source = SoundFile(recording)
    store = built.store()
    try:
        asked: dict[str, Answer] = {item.id: "no" for item in built.tables.screen}
        keep_answers(store, CLIENT, Answers(asked), built.settings.practitioner, clock(0.0))
        session = Session(built, store, CLIENT, way)
        session.run(Paced(source) if real_time else source)
        console = Console(highlight=False)
        console.print()
        session.summary()
        visit = store.visit(session.visit.visit_id)
        records, found = store.records(visit.visit_id), built.findings(store, visit)
        text = note.render(VisitRecords(visit, records, findings=found, language=built.language))
    finally:
        store.close()
    path = folder / f"{visit.visit_id}{note.SUFFIX}"
    write_file(path, text)
    console.print("\n[bold]The note[/]\n")
    console.print(Markdown(text))
    console.print("\n[bold]The files[/]")
    for name, file in (
        ("sound", recording),
        ("records", f"{built.settings.store_file} (not encrypted, as all of it is made up)"),
        ("note", path),
    ):
        console.print(f"  {name:<8} {file}", soft_wrap=True)
    console.print("\nAll of this is made up. Your own visit: voicelog listen --client C-014")
