"""`voicelog enrol`: learns a voice from phrases that are read out, and keeps it if it helps."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.console import Console
from rich.text import Text

from voicelog.audio.sound_file import SoundFile
from voicelog.cli.options import DataFolder, Practitioner, counted, house
from voicelog.enrolment.kept_voice import forget_voice, keep_voice, voice_file
from voicelog.errors import ConfigurationError
from voicelog.wiring import House

if TYPE_CHECKING:
    from voicelog.enrolment.learning import Enrolment, Learnt, Take

SUFFIXES = (".wav", ".flac")
_console = Console(highlight=False)


def enrol(
    from_folder: Annotated[
        Path | None,
        typer.Option(
            "--from", help="A folder of WAV or FLAC files, one for each phrase.", metavar="FOLDER"
        ),
    ] = None,
    show: Annotated[
        bool, typer.Option("--list", help="Show the phrases, and listen to nothing.")
    ] = False,
    forget: Annotated[bool, typer.Option("--forget", help="Remove the voice on file.")] = False,
    practitioner: Practitioner = None,
    data: DataFolder = None,
) -> None:
    """Let voicelog learn your voice from some twenty phrases that you read out.

    It takes some minutes, and is kept only if you are heard better with it. Files given with
    --from are named by the number of their phrase (7.wav), or taken in the order of their names.
    The sound is not kept.

    Example: voicelog enrol --list
    """
    built = house(data, practitioner)
    file = voice_file(built.settings)
    if forget:
        removed = "Your voice is removed; listening takes you as anybody again."
        _console.print(removed if forget_voice(file) else "No voice is on file.")
        return
    _must_be_embedded(built)
    _learn(built, file, from_folder, show=show)


def _learn(built: House, file: Path, folder: Path | None, *, show: bool) -> None:
    from voicelog.enrolment.learning import Enrolment

    with Enrolment(built) as enrolment:
        if show:
            for number, phrase in enumerate(enrolment.phrases, start=1):
                typer.echo(f"{number:>3}  {phrase}")
            return
        try:
            takes = list(_read(enrolment, folder) if folder else _spoken(built, enrolment))
            _tell(enrolment, takes, file)
        except KeyboardInterrupt:
            _console.print("\nStopped. Nothing was learnt, and what was there before is as it was.")
            raise typer.Exit(1) from None


def _tell(enrolment: "Enrolment", takes: Sequence["Take"], file: Path) -> None:
    """Learn, keep it if it helps, and say so."""
    with _console.status("Learning your voice, and trying whether it helps: some minutes."):
        learnt = enrolment.learn(takes)
    _console.print(_measured(learnt))
    if learnt.helps:
        keep_voice(file, learnt.content)
        _console.print(Text("Your voice is kept, and in use from the next start.", "green"))
        _console.print(f"It is in {file}; it holds no sound and no words.", soft_wrap=True)
        _console.print("If talk is read back more often than before: voicelog enrol --forget")
        return
    _console.print(Text("It would not hear you better, so it was not kept.", "yellow"))
    _console.print("What was there before is as it was.")


def _measured(learnt: "Learnt") -> str:
    """What came of the trial, in a sentence or two."""
    before, after, count = learnt.before, learnt.after, learnt.phrases
    wrong = f"; taken for something else {before.wrong}, then {after.wrong}"
    return (
        f"Of your {count} phrases, each heard with what the others taught:"
        f" right at once {before.right} without, {after.right} with your voice{wrong}."
    )


def _read(enrolment: "Enrolment", folder: Path) -> Iterator["Take"]:
    """The phrases from files. Raises AudioError, or ConfigurationError for a folder without."""
    from voicelog.enrolment.learning import speech_of

    files = _files(folder, len(enrolment.phrases))
    for number, phrase in enumerate(enrolment.phrases, start=1):
        if number not in files:
            continue
        take = enrolment.take(phrase, speech_of(SoundFile(files[number])))
        if isinstance(take, str):
            _console.print(Text(f"{files[number].name} is left out: {take}.", "yellow"))
        else:
            yield take


def _files(folder: Path, phrases: int) -> dict[int, Path]:
    """The file of each phrase by its number. Raises ConfigurationError."""
    try:
        found = sorted(p for p in folder.iterdir() if p.suffix.lower() in SUFFIXES)
    except OSError as error:
        raise ConfigurationError(
            f"The folder {folder} cannot be read ({error.strerror or error})",
            kept="Nothing was learnt or changed",
            do="Name a folder of WAV or FLAC files",
        ) from error
    named = {int(p.stem): p for p in found if p.stem.isdecimal()}
    files = named or dict(enumerate(found, start=1))
    if not named and len(found) != phrases:
        files_there = counted(len(found), "WAV or FLAC file")
        raise ConfigurationError(
            f"{folder} holds {files_there}, and there are {phrases} phrases",
            kept="Nothing was learnt or changed",
            do="Name each file by the number of its phrase, such as 7.wav; `voicelog enrol --list`"
            " shows them",
        )
    return files


def _spoken(built: House, enrolment: "Enrolment") -> Iterator["Take"]:
    from voicelog.cli.enrol_room import ReadingRoom

    return ReadingRoom(built, built.microphone(), _console).takes(enrolment)


def _must_be_embedded(built: House) -> None:
    name = built.engine_name()
    if name != "pocketsphinx":
        raise ConfigurationError(
            f"The engine {name} is in use, and it takes no enrolled voice",
            kept="Nothing was learnt or changed",
            do="Go on without; or set engine to pocketsphinx in the settings, and enrol then",
        )
