"""Talk and nothing else, heard as a whole visit: how much of it becomes a proposal."""

import numpy as np
import soundfile
import soxr

from audio_fixtures import scripts
from audio_fixtures.casting import SEEDS, Split
from audio_fixtures.clinician import Room
from audio_fixtures.manifest import RATE_HZ
from audio_fixtures.sound import gain, room, speech_dbfs
from tests.benchmarks.sounding import QUIET_DBFS, background, shared_speech
from tests.benchmarks.utterances import Heard, house, listened, listening
from tests.benchmarks.visits import pair, run


def talk(split: Split, number: int, minutes: int, condition: str) -> list[Heard]:
    """So many minutes of talk by two voices, through a visit with a store of its own."""
    voices = pair(split, number)
    script = scripts.talk(house().language, split, minutes, number)
    out = run(list(script), voices, background(condition, SEEDS[split]))
    names = "/".join(voice.name for voice in voices)
    proposed = [
        Heard("talk", names, "", text, "saved" if n < out.saved_from_talk else "proposed")
        for n, text in enumerate(out.from_talk)
    ]
    quiet = Heard("talk", names, "", "", "quiet", audio_s=out.told.talk_s)
    return [quiet, *proposed]


def meetings() -> list[Heard]:
    """Recorded meetings and people who read: proposals, and commands that would act."""
    folder = shared_speech()
    found: list[Heard] = []
    quiet = Room(room(30.0, QUIET_DBFS, "meetings"))
    for path in sorted((folder / "conversation").glob("*.flac")) if folder else []:
        samples, rate_hz = soundfile.read(path, dtype="float32", always_2d=True)
        mono = np.asarray(soxr.resample(samples.mean(axis=1), rate_hz, RATE_HZ), dtype=np.float32)
        mono *= np.float32(gain(-20 - speech_dbfs(mono)))
        steps = listened(mono, quiet, listening())
        got = [s for s in steps if s.meant.intent is not None and s.meant.intent.kind != "command"]
        found.append(Heard("talk", path.stem, "", "", "quiet", audio_s=len(mono) / RATE_HZ))
        found += [Heard("talk", path.stem, "", s.text, "proposed") for s in got]
    return found
