"""Every error a person can meet, drawn as one tree.

    VoicelogError
    ├── ConfigurationError   a setting, or the way a command was called, cannot be used
    ├── GrammarError         a file of the spoken language has a mistake (file, line)
    ├── AudioError           sound cannot be read, captured or played
    ├── RecogniserError      the speech engine or its model cannot be used
    ├── SpeechError          the read-back voice cannot be used
    ├── StoreError           records cannot be read or kept
    │   └── StaleVersion     somebody else wrote a newer version first
    ├── SafetyError          the safety screen stands against trials, or is not on file
    └── ExportError          a note cannot be written

Silence, a mishearing and a value out of range are no errors: they are values of the dialogue.
Each adapter turns the exceptions of its own library into these and keeps the cause.
"""

from collections.abc import Iterator
from pathlib import Path, PurePath
from traceback import TracebackException


class VoicelogError(Exception):
    """Something went wrong; says what happened, what was kept, and what to do next.

    `what`, `kept` and `do` are whole sentences without their full stop.
    """

    def __init__(self, what: str, *, kept: str = "", do: str = "") -> None:
        self.what = what
        self.kept = kept
        self.do = do
        super().__init__(" ".join(f"{part}." for part in (what, kept, do) if part))


class ConfigurationError(VoicelogError):
    """A setting, or the way a command was called, cannot be used."""


class GrammarError(VoicelogError):
    """A file of the spoken language has a mistake; carries the file and, when known, the line."""

    def __init__(self, what: str, *, file: Path, line: int | None = None, do: str = "") -> None:
        self.file = file
        self.line = line
        place = f"{file}, line {line}" if line is not None else str(file)
        super().__init__(f"{place}: {what}", do=do)


class AudioError(VoicelogError):
    """Sound cannot be read, captured or played."""


class RecogniserError(VoicelogError):
    """The speech engine or its model cannot be used."""


class SpeechError(VoicelogError):
    """The read-back voice cannot be used."""


class StoreError(VoicelogError):
    """Records cannot be read or kept."""


class StaleVersion(StoreError):
    """Somebody else wrote a newer version of the entry first; nothing was overwritten."""


class SafetyError(VoicelogError):
    """The safety screen stands against trials, or is not on file."""


class ExportError(VoicelogError):
    """A note cannot be written."""


def account_of(error: BaseException) -> str:
    """Where an error that nobody expected came from, a line for each kind and place.

    It is for somebody else to read: messages and values are left out, as they may hold what was
    said or whose record it is, and so are folders, which may hold a name.
    """
    return "".join(f"{line}\n" for line in _lines(TracebackException.from_exception(error)))


def _lines(error: TracebackException) -> Iterator[str]:
    before = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
    if before is not None:
        yield from _lines(before)
        yield "and from that"
    yield error.exc_type.__name__ if error.exc_type else "an error"
    for frame in error.stack:
        place = "/".join(PurePath(frame.filename).parts[-3:])
        yield f"  {place}, line {frame.lineno}, {frame.name}"
