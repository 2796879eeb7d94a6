"""The steps of `voicelog setup` that try the machine and keep what was chosen."""

import math
import sys
from dataclasses import dataclass
from pathlib import Path

import typer
from rich.console import Console
from rich.status import Status
from rich.text import Text

from voicelog.audio.base import Source
from voicelog.audio.sound_file import SoundFile
from voicelog.cli import model, safe, screen_client
from voicelog.cli.asking import agrees, ask
from voicelog.cli.devices import device_table
from voicelog.cli.options import client_code, house
from voicelog.errors import AudioError, SpeechError
from voicelog.records.visit import PRACTICE
from voicelog.settings.sheet import change
from voicelog.sound_check import LONGEST_S, sound_check
from voicelog.store.keys import keys_path, read_keys
from voicelog.wiring import House

TEST_PHRASE = "left ankle dorsiflexion baseline twelve degrees pain six"


@dataclass
class Walk:
    """One walk through the steps: the screen, a sound file in place of the microphone, the folder
    of the records where one was given, and the first client once it is known."""

    console: Console
    audio: Path | None
    data: Path | None
    client: str = ""
    _built: House | None = None

    @property
    def house(self) -> House:
        """The house as the settings stand now; a passphrase is asked for once while they do."""
        if self._built is None:
            self._built = house(self.data)
        return self._built

    @property
    def has_microphone(self) -> bool:
        """Whether this machine has a microphone that can be reached."""
        from voicelog.audio.devices import choose_device, list_devices

        try:
            choose_device(list_devices(), self.house.settings.microphone, "input")
        except AudioError:
            return False
        return True

    def source(self) -> Source:
        """The microphone, or the file in its place."""
        return self.house.microphone() if self.audio is None else SoundFile(self.audio)

    def getting_ready(self) -> Status:
        """Says that the engine is on its way while it is."""
        return self.console.status("Getting the speech engine ready; the first time takes longer.")

    def keep(self, **values: str | int | bool) -> None:
        """Put values into the settings file."""
        self.console.print(f"Kept in {change(values)}", soft_wrap=True)
        self._built = None


def microphone(walk: Walk) -> None:
    """Choose a microphone, and try it with a phrase."""
    if walk.audio is None:
        try:
            _choose_microphone(walk)
        except AudioError as error:
            walk.console.print(Text(str(error), "yellow"))
            walk.console.print(
                "A recording can take its place, here and in `voicelog listen`: --audio FILE"
            )
            return
    with walk.getting_ready():
        hearing = walk.house.hearing()
    if walk.audio is None:
        walk.console.print("Be quiet for two seconds, then say as you would in the room:")
        walk.console.print(Text(f"    {TEST_PHRASE}", "bold cyan"))
    longest_s = LONGEST_S if walk.audio is None else math.inf
    found = sound_check(walk.source(), hearing, longest_s=longest_s)
    if found.speech_dbfs is not None:
        over_db = found.speech_dbfs - found.room_dbfs
        walk.console.print(
            f"You: {found.speech_dbfs:.0f} dBFS. The room: {found.room_dbfs:.0f} dBFS, "
            f"{over_db:.0f} dB below you."
        )
    if found.text:
        walk.console.print(Text(f"Heard: {found.text}", "green"))
    for remark in found.remarks:
        walk.console.print(Text(remark, "yellow"))


def _choose_microphone(walk: Walk) -> None:
    from voicelog.audio.devices import choose_device, list_devices

    found = list_devices()
    usual = choose_device(found, walk.house.settings.microphone, "input")
    walk.console.print(device_table(found))
    wanted = ask(walk.console, f"Which microphone? Enter: {usual.label} >")
    if wanted:
        number: int | str = int(wanted) if wanted.isdigit() else wanted
        choose_device(found, number, "input")
        walk.keep(microphone=number)


def voice(walk: Walk) -> None:
    """Play a read-back and set how it is given."""
    built = walk.house
    said = "left ankle, dorsiflexion, gap trial, sixteen degrees, one six, pain three"
    walk.console.print(f"It says: {said}")
    try:
        built.voice().say(said)
    except SpeechError as error:
        walk.console.print(Text(str(error), "yellow"))
        if agrees(walk.console, "Show what it says instead of saying it?", otherwise=False):
            walk.keep(spoken=False)
        return
    if not agrees(walk.console, "Did you hear it?", otherwise=True):
        walk.console.print("Look at `voicelog devices`, and name the earpiece as `speaker`.")
        return
    usual = built.settings.speech_rate_wpm
    rate = ask(walk.console, f"Words a minute? Enter: {usual} >")
    if rate.isdigit():
        walk.keep(speech_rate_wpm=int(rate))
    elif rate:
        walk.console.print(Text(f"{rate} is no whole number; it stays at {usual}.", "yellow"))


def engine(walk: Walk) -> None:
    """Show the engine in use, and offer the neural model."""
    built = walk.house
    with walk.getting_ready():
        recogniser = built.recogniser()
    walk.console.print(f"In use: {recogniser.engine} with {recogniser.model}.")
    missing: tuple[str, ...] = getattr(recogniser, "missing", ())
    if missing:
        walk.console.print(Text(f"It does not know: {', '.join(missing)}", "yellow"))
    if built.vosk_folder is None and built.language.code == "en":
        walk.console.print(
            "PocketSphinx comes with the installation. The neural engine Vosk copes better with "
            "real voices; its English model (40 MB) is fetched once, from the internet."
        )
        if agrees(walk.console, "Fetch it now?", otherwise=False):
            model.install(walk.data)


def records(walk: Walk) -> None:
    """Open the store, and say who keeps it."""
    if walk.house.settings.practitioner == "practitioner":
        name = ask(walk.console, "Your short name, kept with every record. Enter: later >")
        if name:
            walk.keep(practitioner=name)
    built = walk.house
    file = built.settings.store_file
    if built.settings.encrypted and not file.exists():
        walk.console.print("The records are kept encrypted, and need a key or a passphrase.")
    built.store().close()
    walk.console.print(f"The records are in {file}:", soft_wrap=True)
    walk.console.print(Text(safe.described(built)))
    keys = read_keys(keys_path(file))
    if keys is not None and not keys.typed and sys.stdin.isatty():
        walk.console.print("A passphrase locks them also against whoever sits at this machine.")
        if agrees(walk.console, "Set one now?", otherwise=False):
            safe.passphrase(walk.data)


def client(walk: Walk) -> None:
    """Take the first client's code, and offer the safety screen."""
    walk.console.print("A client has a short code of your own, such as C-014; never a name.")
    typed = ask(walk.console, "The first client's code. Enter: later >")
    if not typed:
        return
    try:
        code = client_code(typed, "CLIENT")
    except typer.BadParameter as error:
        refused = f"{error.message[0].upper()}{error.message[1:]}. No code was taken."
        walk.console.print(Text(refused, "yellow"))
        return
    if code.upper() == PRACTICE:
        walk.console.print(f"{PRACTICE} is the code for practice; take another one.")
        return
    walk.client = code
    screen = walk.house.tables.screen
    if agrees(
        walk.console, f"Ask the safety screen now, {len(screen)} questions?", otherwise=False
    ):
        screen_client.screen(code, data=walk.data)
