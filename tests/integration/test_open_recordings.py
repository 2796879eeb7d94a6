"""People whose words are not ours: the recordings of Debian's package pocketsphinx-testdata.

Card names, digits, robot commands and a read novel (AN4, TIDIGITS, LibriVox; licences in the
package's copyright file) are all talk to this tool. They are looked for where the package puts
them, or in the folder named by VOICELOG_TESTDATA.
"""

import os
from pathlib import Path

import numpy as np
import pytest

from tests.benchmarks.following import follow
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.sound_file import SoundFile
from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.posterior import Prior
from voicelog.listening.hearing import Hearing
from voicelog.settings.fields import Settings
from voicelog.wiring import House

FOLDER = Path(os.environ.get("VOICELOG_TESTDATA", "/usr/share/pocketsphinx/test/data"))
FILES = sorted([*FOLDER.rglob("*.wav"), *FOLDER.rglob("*.raw")])

pytestmark = pytest.mark.skipif(not FILES, reason=f"pocketsphinx-testdata is not in {FOLDER}")


@pytest.fixture(scope="module")
def hearing() -> Hearing:
    return House(Settings()).hearing("pocketsphinx")


def in_quiet(path: Path) -> Samples:
    """The recording between two silences; `.raw` files are 16 kHz, 16 bit, one channel."""
    if path.suffix == ".raw":
        sound: Samples = np.fromfile(path, "<i2")
    else:
        with SoundFile(path) as source:
            sound = np.concatenate([block.samples for block in source])
    quiet = np.zeros(RATE_HZ, np.int16)
    return np.concatenate([quiet, sound, quiet])


@pytest.mark.parametrize("expect", ["any", "pain"])
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_what_strangers_say_is_no_whole_record_and_no_command(
    hearing: Hearing, path: Path, expect: Expect
) -> None:
    meant = [one.meant for one in follow(in_quiet(path), hearing, expect, Prior())]
    accepted = [one for one in meant if one.accepted and not one.doubtful]
    assert [one.text for one in accepted] == []
