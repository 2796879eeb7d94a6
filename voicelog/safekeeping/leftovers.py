"""What killed programs have left of words, networks and models, to be removed.

Half copies of records, exports and backups are never among it: each may hold what is nowhere else.
"""

import re
import shutil
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from voicelog.engines import networks_folder
from voicelog.errors import RecogniserError
from voicelog.recognisers.one_install import only_install
from voicelog.settings.fields import Settings
from voicelog.words.file import own_words_file

SURELY_DEAD_S = 24 * 60 * 60.0
"""Each is written in a moment, a model unpacked in minutes."""
_HALF_WRITTEN = re.compile(r".+\.\d+\.part")
_HALF_UNPACKED = re.compile(r"\..+\.unpacking")


def remove_leftovers(settings: Settings) -> int:
    """Remove them; how many there were. What cannot be removed stays."""
    words = own_words_file(settings.data_folder, settings.language).parent
    half_written = [*_old(words, _HALF_WRITTEN), *_old(networks_folder(), _HALF_WRITTEN)]
    for file in half_written:
        with suppress(OSError):
            file.unlink()
    return sum(not file.exists() for file in half_written) + _half_unpacked(settings.models_folder)


def _half_unpacked(models: Path) -> int:
    found = list(_old(models, _HALF_UNPACKED))
    with suppress(OSError, RecogniserError):  # another installation is at work
        if found:
            with only_install(models):
                for folder in found:
                    shutil.rmtree(folder)
    return sum(not folder.exists() for folder in found)


def _old(folder: Path, name: re.Pattern[str]) -> Iterator[Path]:
    """What has such a name and is older than any of its kind that is still at work."""
    with suppress(OSError):
        for place in folder.iterdir():
            age_s = time.time() - place.lstat().st_mtime
            if name.fullmatch(place.name) and age_s > SURELY_DEAD_S and not place.is_symlink():
                yield place
