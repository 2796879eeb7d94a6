"""Where the enrolled voice of a practitioner is kept, beside the records.

It holds numbers that tell how the model must be moved towards a voice: no sound, and no word of it.
"""

import hashlib
import re
from pathlib import Path

from voicelog.errors import RecogniserError
from voicelog.recognisers.embedded import model_name
from voicelog.recognisers.voice_file import check_voice
from voicelog.safekeeping.unlocking import Person
from voicelog.settings.fields import Settings
from voicelog.store.own_files import make_folder, put_whole

FOLDER = "voices"


def voice_file(settings: Settings) -> Path:
    """Where the voice of the practitioner of these settings is, or would be: under their name, or
    under a digest of one that names no file."""
    name = settings.practitioner
    if not re.fullmatch(r"\w[\w.-]*", name, re.ASCII):
        name = hashlib.sha256(name.encode()).hexdigest()[:16]
    return settings.data_folder / FOLDER / f"{name}.voice"


def usable_voice(settings: Settings, person: Person) -> Path | None:
    """The file of the practitioner's voice; None when there is none, or when it is of no use: then
    the person is told, and listening goes on without."""
    file = voice_file(settings)
    if not file.exists():
        return None
    try:
        check_voice(file, model_name())
    except RecogniserError as error:
        person.tell(str(error))
        return None
    return file


def keep_voice(file: Path, content: bytes) -> None:
    """Put it on file, the whole of it or none. Raises RecogniserError."""
    try:
        make_folder(file.parent)
        put_whole(file, content)
    except OSError as error:
        raise RecogniserError(
            f"The voice could not be written to {file} ({error.strerror or error})",
            kept="What was there before is as it was",
            do="Free some space, or look who may write there, and enrol again",
        ) from error


def forget_voice(file: Path) -> bool:
    """Remove it; false when there was none. Raises RecogniserError."""
    try:
        file.unlink()
    except FileNotFoundError:
        return False
    except OSError as error:
        raise RecogniserError(
            f"The voice {file} could not be removed ({error.strerror or error})",
            kept="It is still in use",
            do="Look who may write there, or remove it by hand",
        ) from error
    return True
