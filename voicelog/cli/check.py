"""`voicelog check`: tries everything the tool needs, and says what to do about each failure."""

import shutil
from collections.abc import Callable
from dataclasses import dataclass

import typer
from rich.console import Console
from rich.markup import escape

from voicelog.cli.model import no_model
from voicelog.cli.options import DataFolder, Engine, house
from voicelog.cli.safe import described
from voicelog.enrolment.kept_voice import voice_file
from voicelog.errors import RecogniserError, StoreError, VoicelogError
from voicelog.recognisers.embedded import model_name
from voicelog.recognisers.transcriber import Transcriber, weights_folder
from voicelog.recognisers.usable_transcriber import absent, check_install, open_now
from voicelog.recognisers.voice_file import check_voice
from voicelog.wiring import House

_ROOM_MB = 200


@dataclass(frozen=True, slots=True)
class _Check:
    name: str
    try_it: Callable[[], str]


def check(engine: Engine = None, data: DataFolder = None) -> None:
    """Try grammar, vocabulary, engine, its second hearing, microphone, voice and store.

    Touches no record. Exit code 1 when something needs mending.

    Example: voicelog check
    """
    built = house(data)
    checks = (
        _Check("grammar", lambda: _grammar(built)),
        _Check("engine", lambda: _engine(built, engine)),
        _Check("model", lambda: _model(built)),
        _Check("second hearing", lambda: second_hearing(built, engine)),
        _Check("your voice", lambda: enrolled(built, engine)),
        _Check("microphone", lambda: _sound("input")),
        _Check("voice", lambda: _voice(built)),
        _Check("store", lambda: _store(built)),
    )
    console = Console(highlight=False)
    failed = 0
    for one in checks:
        try:
            console.print(f"[green]ok  [/] {one.name:<15} {escape(one.try_it())}")
        except VoicelogError as error:
            failed += 1
            console.print(f"[red]FAIL[/] {one.name:<15} {escape(str(error))}")
    if failed:
        raise typer.Exit(1)


def _grammar(built: House) -> str:
    language = built.language
    joints = len(language.joints)
    return f"{language.name}, version {language.version}: {joints} joints, {built.language_folder}"


def _engine(built: House, engine: str | None) -> str:
    recogniser = built.recogniser(engine)
    missing: tuple[str, ...] = getattr(recogniser, "missing", ())
    words = f"; it does not know: {', '.join(missing)}" if missing else "; it knows every word"
    return f"{recogniser.engine} with {recogniser.model}{words}"


def _model(built: House) -> str:
    folder = built.vosk_folder
    if folder is None:
        if "pocketsphinx" not in built.language.engines:
            raise RecogniserError(no_model(built), do="See the engine above")
        return no_model(built)
    return f"Vosk model in {folder}"


def second_hearing(built: House, engine: str | None) -> str:
    """Whether dictations are heard by the transcriber too. Raises RecogniserError when it is here
    and cannot be used."""
    if built.engine_name(engine) != "pocketsphinx":
        return "this engine has none"
    folder = weights_folder()
    if folder is None:
        return absent()
    check_install(folder)
    open_now(Transcriber(folder))
    return "a transcriber hears each dictation too"


def enrolled(built: House, engine: str | None) -> str:
    """Whether there is a voice, and in use. Raises RecogniserError when it cannot be used."""
    if built.engine_name(engine) != "pocketsphinx":
        return "this engine takes no enrolled voice"
    file = voice_file(built.settings)
    if not file.exists():
        return "none is enrolled (voicelog enrol learns yours)"
    check_voice(file, model_name())
    return f"{file} is in use"


def _sound(direction: str) -> str:
    from voicelog.audio.devices import choose_device, list_devices

    return choose_device(list_devices(), None, "input" if direction == "input" else "output").label


def _voice(built: House) -> str:
    from voicelog.speech.espeak import synthesise

    rate_wpm = built.settings.speech_rate_wpm
    word = built.language.commands["affirm"][0]
    samples, rate_hz = synthesise(word, voice=built.language.voice, rate_wpm=rate_wpm)
    return f"speaks at {rate_wpm} words a minute ({len(samples) / rate_hz:.1f} s tried, not played)"


def _store(built: House) -> str:
    file = built.settings.store_file
    store = built.store()
    try:
        trail = store.check().trail
    finally:
        store.close()
    free_mb = shutil.disk_usage(file.parent).free // 1_000_000
    if free_mb < _ROOM_MB:
        raise StoreError(
            f"Only {free_mb} MB are free beside {file}",
            do=f"Make room: a day of visits needs up to {_ROOM_MB} MB",
        )
    return (
        f"{file}, {described(built)}; nothing in it is damaged"
        f" or changed from outside ({trail.links} links); {free_mb} MB free"
    )
