"""How exactly the endpointer finds speech: run `python tests/benchmarks/endpointing.py [FOLDER]`.

Dictations in four synthetic voices, and single words by real people from FOLDER if one is given
(any WAV or FLAC files below it, a word each), are laid into noise at known times. "merged" counts
words that ended up in one utterance, "early" the lead before the first sound, "late" the wait
after the last, both in milliseconds (5th, 50th, 95th percentile).
"""

import sys
from pathlib import Path

import numpy as np
import soxr
from numpy.typing import NDArray

from voicelog.audio.base import RATE_HZ, Block, Samples
from voicelog.audio.endpointer import Endpointer, SpeechEnded
from voicelog.audio.sound_file import SoundFile
from voicelog.speech.espeak import synthesise

VOICES = ("en-us", "en-us+f2", "en-us+m3", "en-gb-x-rp")
TEXTS = (
    "affirm",
    "negative",
    "six",
    "say again",
    "correction, pain six",
    "left ankle, dorsiflexion, gap trial, sixteen degrees, pain three",
    "right shoulder internal rotation gap trial pain four",
    "drill, banded heel glide, three sets of eight, light band",
)
SPEECH_RMS = 1640.0
Sound = NDArray[np.float64]
Span = tuple[float, float]


def words_alone(sound: Sound) -> Sound:
    """Cut to within 35 dB of the loudest 10 ms and brought to one level."""
    step = RATE_HZ // 100
    levels = np.mean(sound[: len(sound) // step * step].reshape(-1, step) ** 2, axis=1)
    loud = np.flatnonzero(levels > levels.max() * 10**-3.5)
    words = sound[loud[0] * step : (loud[-1] + 1) * step]
    return np.asarray(words * SPEECH_RMS / np.sqrt(np.mean(words**2)))


def clips(folder: Path | None) -> list[Sound]:
    """Every dictation, and every word of the folder."""
    found = []
    for voice in VOICES:
        for text in TEXTS:
            samples, rate_hz = synthesise(text, voice=voice, rate_wpm=165)
            found.append(words_alone(soxr.resample(samples.astype(float), rate_hz, RATE_HZ)))
    for path in sorted(folder.rglob("*.*")) if folder else []:
        if path.suffix in {".wav", ".flac"}:
            with SoundFile(path) as source:
                sound = np.concatenate([block.samples for block in source])
            found.append(words_alone(sound.astype(float)))
    return found


def laid_out(clips: list[Sound], rng: np.random.Generator) -> tuple[Sound, list[Span]]:
    """One stream with pauses of 1.2 to 2.5 seconds, and where each clip lies in it."""
    parts, spans, at_s = [np.zeros(3 * RATE_HZ)], [], 3.0
    for number in rng.permutation(len(clips)):
        words, pause = clips[number], np.zeros(round(rng.uniform(1.2, 2.5) * RATE_HZ))
        spans.append((at_s, at_s + len(words) / RATE_HZ))
        parts += [words, pause]
        at_s += (len(words) + len(pause)) / RATE_HZ
    return np.concatenate(parts), spans


def noise(kind: str, count: int, rng: np.random.Generator) -> Sound:
    """White or pink noise at the level of the speech."""
    spectrum = np.fft.rfft(rng.standard_normal(count))
    if kind == "pink":
        spectrum /= np.sqrt(np.maximum(1, np.arange(len(spectrum))))
    sound = np.fft.irfft(spectrum, count)
    return np.asarray(sound * SPEECH_RMS / np.sqrt(np.mean(sound**2)))


def found_in(samples: Samples) -> list[Span]:
    """Start and end of every utterance."""
    endpointer = Endpointer()
    events = []
    for first in range(0, len(samples), 480):
        events += endpointer.feed(Block(samples[first : first + 480], first / RATE_HZ))
    events += endpointer.flush()
    ended = [event.utterance for event in events if isinstance(event, SpeechEnded)]
    return [(utterance.start_s, utterance.end_s) for utterance in ended]


def row(found: list[Span], truth: list[Span]) -> str:
    """What was missed, split, merged or made up, and the errors in milliseconds."""
    hits = [[f for f in found if f[1] > start and f[0] < end] for start, end in truth]
    real = {span for hit in hits for span in hit}
    missed = sum(not hit for hit in hits)
    split = sum(len(hit) > 1 for hit in hits)
    merged = len(truth) - missed + sum(len(hit) - 1 for hit in hits if hit) - len(real)
    pairs = [(span, hit) for span, hit in zip(truth, hits, strict=True) if hit]
    early = np.percentile([1000 * (s[0] - h[0][0]) for s, h in pairs], [5, 50, 95])
    late = np.percentile([1000 * (h[-1][1] - s[1]) for s, h in pairs], [5, 50, 95])
    errors = "".join(f"{value:7.0f}" for value in (*early, *late))
    return f"{missed:7}{split:6}{merged:7}{len(found) - len(real):7} {errors}"


def main() -> None:
    """Print the table."""
    rng = np.random.default_rng(1)
    stream, truth = laid_out(clips(Path(sys.argv[1]) if len(sys.argv) > 1 else None), rng)
    print(f"{len(truth)} clips in {len(stream) / RATE_HZ:.0f} s")
    print(f"{'noise':18} missed split merged madeup  early: 5 %  50 %  95 %  late: 5 %  50 %  95 %")
    for kind, below_db in [("white", 60), ("white", 30), ("white", 15), ("pink", 20), ("pink", 10)]:
        loud = noise(kind, len(stream), rng) * 10 ** (-below_db / 20)
        samples = np.clip(stream + loud, -32_768, 32_767).astype(np.int16)
        print(f"{kind + f' {below_db} dB below':18} {row(found_in(samples), truth)}")


if __name__ == "__main__":
    main()
