"""The sound devices of this machine, and the library that reaches them."""

import importlib
from dataclasses import dataclass
from typing import Any, Literal

from voicelog.errors import AudioError

Direction = Literal["input", "output"]
INSTALL_PORTAUDIO = (
    "Install the PortAudio library: on Debian or Ubuntu `sudo apt install libportaudio2`, "
    "on Fedora `sudo dnf install portaudio`; on macOS and Windows it comes with "
    "`pip install --force-reinstall sounddevice`"
)


@dataclass(frozen=True, slots=True)
class Device:
    """One sound device; `inputs` and `outputs` count its channels."""

    number: int
    name: str
    host: str
    inputs: int
    outputs: int
    default_rate_hz: int
    default_input: bool
    default_output: bool

    @property
    def label(self) -> str:
        """Number and name, as a person chooses it."""
        return f"{self.number}: {self.name} ({self.host})"

    def serves(self, direction: Direction) -> bool:
        """Whether it can listen (input) or play (output)."""
        return (self.inputs if direction == "input" else self.outputs) > 0

    def is_default(self, direction: Direction) -> bool:
        """Whether the machine uses it when nobody chooses."""
        return self.default_input if direction == "input" else self.default_output


def load_sounddevice() -> Any:
    """The sounddevice library, imported late because it needs PortAudio. Raises AudioError."""
    try:
        return importlib.import_module("sounddevice")
    except (ImportError, OSError) as error:
        what = "This machine cannot reach its sound card: PortAudio is missing"
        kept = "Everything that works on sound files still works"
        raise AudioError(what, kept=kept, do=INSTALL_PORTAUDIO) from error


def list_devices(sounddevice: Any = None) -> list[Device]:
    """Every sound device of this machine. Raises AudioError."""
    library = sounddevice or load_sounddevice()
    try:
        found, hosts = library.query_devices(), library.query_hostapis()
    except library.PortAudioError as error:
        what = f"The sound devices cannot be listed ({error})"
        raise AudioError(what, do="Check that the sound system is running") from error
    default_input, default_output = library.default.device
    return [
        Device(
            number=number,
            name=str(device["name"]),
            host=str(hosts[device["hostapi"]]["name"]),
            inputs=int(device["max_input_channels"]),
            outputs=int(device["max_output_channels"]),
            default_rate_hz=round(device["default_samplerate"]),
            default_input=number == default_input,
            default_output=number == default_output,
        )
        for number, device in enumerate(found)
    ]


def look_again(sounddevice: Any = None) -> None:
    """Have PortAudio find out anew which devices there are: it looks only when it is started.

    No stream may be open. Raises AudioError when the sound system does not answer.
    """
    library = sounddevice or load_sounddevice()
    try:
        library._terminate()
        library._initialize()
    except library.PortAudioError as error:
        what = f"The sound system cannot be reached ({error})"
        raise AudioError(what, do="Check that the sound system is running") from error


def choose_device(devices: list[Device], wanted: int | str | None, direction: Direction) -> Device:
    """The device meant by a number or by words of its name; the usual one for None.

    Raises AudioError when none fits, or more than one does.
    """
    fitting = [device for device in devices if device.serves(direction)]
    noun = "microphone" if direction == "input" else "output"
    if not fitting:
        raise AudioError(f"No {noun} was found", do=f"Plug in a {noun} and try again")
    if wanted is None:
        return next((device for device in fitting if device.is_default(direction)), fitting[0])
    named = _matching(fitting, wanted)
    if len(named) == 1:
        return named[0]
    problem = "More than one" if named else "No"
    choices = "; ".join(device.label for device in named or fitting)
    raise AudioError(f'{problem} {noun} fits "{wanted}"', do=f"Choose one of these: {choices}")


def _matching(devices: list[Device], wanted: int | str) -> list[Device]:
    if isinstance(wanted, int) or wanted.strip().isdecimal():
        return [device for device in devices if device.number == int(wanted)]
    exact = [device for device in devices if device.name.casefold() == wanted.strip().casefold()]
    words = wanted.casefold().split()
    return exact or [
        device
        for device in devices
        if words and all(word in f"{device.name} {device.host}".casefold() for word in words)
    ]
