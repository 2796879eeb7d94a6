"""Which frame of a phrase belongs to which state of the model: forced alignment by the engine.

The engine writes the cepstra that it computes into a folder, the only way in which it gives them:
one that is readable by its owner alone and is emptied after each phrase.
"""

import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from pocketsphinx import Decoder, get_model_path

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.highs import HighsOfUtterance
from voicelog.errors import RecogniserError
from voicelog.recognisers.acoustic_model import Floats
from voicelog.recognisers.decoding import Decoding
from voicelog.recognisers.mllr import Spoken
from voicelog.recognisers.verification import ratios

MODEL_FOLDER = Path(get_model_path("en-us/en-us"))
_WIDE = 1e-200
"""Beams, wide as it is known what was said: only where is asked."""
_PHRASE, _PHONES = "phrase", "phones"
_CEPSTRA = 13
_BLOCK = RATE_HZ * 3 // 100
_WINDOW, _FULL = 500, 800
"""The engine lets its cepstral mean follow: it weighs as much as so many frames, and moves on when
it has so many (cmn.h of its source)."""


@dataclass(frozen=True, slots=True)
class Aligned:
    """A phrase as it was said: its frames, pauses too, and how far its words fall short of freely
    decoded phones, in nats per frame (see `verification`)."""

    spoken: Spoken
    ratio: float


class Aligner:
    """Aligns phrases with the model as it comes. `sounds` has the pronunciations of all words; each
    may be said in any of its ways.

    Raises RecogniserError when the engine fails.
    """

    def __init__(self, sounds: Mapping[str, Sequence[str]]) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="voicelog-")
        beams = dict.fromkeys(("beam", "wbeam", "pbeam"), _WIDE)
        usual = {"lm": None, "dict": None, "loglevel": "FATAL", "bestpath": False}
        self._decoder = Decoder(mfclogdir=self._folder.name, **usual, **beams)
        for word, said in sorted(sounds.items()):
            for count, phones in enumerate(said, start=1):
                self._decoder.add_word(word if count == 1 else f"{word}({count})", phones, False)
        self._words = Decoding(self._decoder)
        loop = Decoder(**usual)
        loop.add_allphone_file(_PHONES, get_model_path("en-us/en-us-phone.lm.bin"))
        self._phones = Decoding(loop)

    def close(self) -> None:
        """Remove its folder."""
        self._folder.cleanup()

    def align(self, words: Sequence[str], samples: Samples) -> Aligned | None:
        """A phrase of these words, with some silence around; None when they do not fit at all."""
        samples = HighsOfUtterance().whole(samples)
        steps = [(place, place + 1, 1.0, word) for place, word in enumerate(words)]
        network = self._decoder.create_fsg(_PHRASE, 0, len(words), steps)
        self._words.rest()
        self._do(lambda: self._decoder.add_fsg(_PHRASE, network))
        path = self._words.whole(_PHRASE, samples)
        if len(path) != len(words):
            return None
        found = ratios(path, self._phones.whole(_PHONES, samples))
        self._do(self._decoder.set_alignment)
        spoken = self._states(self._words.mean, samples)
        return Aligned(spoken, sum(found) / len(found))

    def _states(self, mean: str, samples: Samples) -> Spoken:
        """The second pass, which finds the states, block by block as while listening."""
        for file in self._logged():
            file.unlink()
        self._do(self._decoder.reinit_feat)
        self._decoder.set_cmn(mean)
        self._do(self._decoder.start_utt)
        for start in range(0, len(samples), _BLOCK):
            block = samples[start : start + _BLOCK].tobytes()
            self._do(partial(self._decoder.process_raw, block))
        self._do(self._decoder.end_utt)
        (file,) = self._logged()
        cepstra = np.frombuffer(file.read_bytes(), ">f4", offset=4).reshape(-1, _CEPSTRA)
        frames = features(levelled(cepstra.astype(np.float64), np.array(mean.split(","), float)))
        senones = [
            int(state.name)
            for word in self._decoder.get_alignment()
            for phone in word
            for state in phone
            for _ in range(state.duration)
        ][: len(frames)]
        return Spoken(frames[: len(senones)], np.array(senones, dtype=np.intp))

    def _logged(self) -> list[Path]:
        return list(Path(self._folder.name).glob("*.mfc"))

    @staticmethod
    def _do(work: Callable[[], object]) -> None:
        try:
            work()
        except RuntimeError as error:
            raise RecogniserError(
                f"The speech engine could not align a phrase ({error})",
                kept="Nothing of the voice was learnt or changed",
                do="Enrol once more; if it fails again, run `voicelog check`",
            ) from error


def levelled(cepstra: Floats, mean: Floats) -> Floats:
    """Cepstra, (frames, 13), less their mean, which starts as `mean` and follows as the engine lets
    it (cmn_live.c of its source)."""
    total, count = mean * _WINDOW, _WINDOW
    found = cepstra.copy()
    for row in found:
        if row[0] < 0:  # no energy at all
            continue
        total = total + row
        row -= mean
        count += 1
        if count > _FULL:
            mean = total / count
            total, count = mean * _WINDOW, _WINDOW
    return found


def features(cepstra: Floats) -> Floats:
    """Levelled cepstra with their first and second differences, (frames, 3, 13), over two frames to
    each side and one more, as the engine's feature type 1s_c_d_dd has it."""
    count = len(cepstra)
    padded = np.concatenate([cepstra[:1]] * 3 + [cepstra] + [cepstra[-1:]] * 3)

    def shifted(by: int) -> Floats:
        return padded[3 + by : 3 + by + count]

    change = shifted(2) - shifted(-2)
    change_of_change = (shifted(3) - shifted(-1)) - (shifted(1) - shifted(-3))
    return np.stack([cepstra, change, change_of_change], axis=1)
