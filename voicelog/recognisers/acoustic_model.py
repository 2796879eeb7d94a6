"""The Gaussians of the embedded engine's model, read from its files.

A phonetically tied model: each phone has a codebook of Gaussians for each stream of features, and a
senone (a tied state of the phone in its neighbourhood) has weights over the codebook of its phone.
File layouts as PocketSphinx reads them (ms_gauden.c, ptm_mgau.c and bin_mdef.c of its source); a
test holds the likelihoods computed here against the scores that the engine logs.
"""

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from voicelog.errors import RecogniserError

Floats = NDArray[np.float64]
_LOG_BASE, _LOG_SHIFT = 1.0001, 10
_WEIGHT_NATS = float(np.log(_LOG_BASE)) * 2**_LOG_SHIFT
"""One step of a kept mixture weight: the engine counts in powers of its base, shifted."""
_LEAST_VARIANCE = 1e-4
_BYTE_ORDER = 0x11223344


@dataclass(frozen=True, slots=True)
class AcousticModel:
    """Gaussians with diagonal covariances, and how senones share them.

    `means` and `variances` have the shape (codebooks, streams, densities, length of a stream);
    `log_weights`, in nats, (senones, streams, densities); `codebook` gives the codebook of each
    senone, and `silent` the codebooks of what is no speech.
    """

    means: Floats
    variances: Floats
    log_weights: Floats
    codebook: NDArray[np.intp]
    silent: frozenset[int]

    def moved(self, means: Floats) -> "AcousticModel":
        """The same with other means."""
        return replace(self, means=means)

    def densities(self, senone: int, frames: Floats) -> Floats:
        """Log-likelihoods of each weighted Gaussian of a senone in nats, for `frames` of the shape
        (frames, streams, length): (frames, streams, densities)."""
        book = self.codebook[senone]
        means, variances = self.means[book], self.variances[book]
        away = (frames[:, :, None, :] - means) ** 2 / variances
        peaks = self.log_weights[senone] - 0.5 * np.log(2 * np.pi * variances).sum(axis=-1)
        return np.asarray(peaks - 0.5 * away.sum(axis=-1))


def load_acoustic_model(folder: Path) -> AcousticModel:
    """The model in a folder. Raises RecogniserError when it is damaged or of another kind."""
    try:
        names, codebook = _senones((folder / "mdef").read_bytes())
        means = _gaussians((folder / "means").read_bytes())
        variances = _gaussians((folder / "variances").read_bytes())
        steps = _weights((folder / "sendump").read_bytes(), means.shape[1])
    except (OSError, ValueError, IndexError) as error:
        raise RecogniserError(
            f"The model in {folder} cannot be read ({error})",
            kept="Listening is not touched by this",
            do="Install voicelog again",
        ) from error
    return AcousticModel(
        means,
        np.maximum(variances, _LEAST_VARIANCE),
        steps.transpose(2, 0, 1) * -_WEIGHT_NATS,
        codebook,
        frozenset(i for i, name in enumerate(names) if name == "SIL" or name.startswith("+")),
    )


def _gaussians(raw: bytes) -> Floats:
    start = raw.index(b"endhdr\n") + len(b"endhdr\n")
    order, books, streams, densities = np.frombuffer(raw, "<i4", 4, start)
    lengths = np.frombuffer(raw, "<i4", streams, start + 16)
    if order != _BYTE_ORDER or len(set(lengths)) != 1:
        raise ValueError("another byte order, or streams of several lengths")
    shape = (books, streams, densities, lengths[0])
    found = np.frombuffer(raw, "<f4", int(np.prod(shape)), start + 16 + 4 * streams + 4)
    return found.reshape(shape).astype(np.float64)


def _weights(raw: bytes, streams: int) -> NDArray[np.uint8]:
    at = 0
    while length := int(np.frombuffer(raw, "<i4", 1, at)[0]):
        at += 4 + length
    rows, columns = np.frombuffer(raw, "<i4", 2, at + 4)
    found = np.frombuffer(raw, np.uint8, streams * rows * columns, at + 12)
    return found.reshape(streams, rows, columns)


def _senones(raw: bytes) -> tuple[list[str], NDArray[np.intp]]:
    """The names of the phones, each of which has a codebook, and the codebook of each senone."""
    if raw[:4] != b"BMDF":
        raise ValueError("mdef is no binary model definition of this machine's byte order")
    at = 12 + int(np.frombuffer(raw, "<i4", 1, 8)[0])
    counts = np.frombuffer(raw, "<i4", 10, at)
    ci_phones, phones, states, _, senones, _, sequences, _, nodes, _ = (int(n) for n in counts)
    names_at = at + 40
    names = raw[names_at:].split(b"\0", ci_phones)[:ci_phones]
    length = sum(len(name) + 1 for name in names)
    phones_at = names_at + (length + 3) // 4 * 4 + 8 * nodes
    entry = np.dtype([("sequence", "<i4"), ("transitions", "<i4"), ("context", "u1", 4)])
    table = np.frombuffer(raw, entry, phones, phones_at)
    held = np.frombuffer(raw, "<u2", sequences * states, phones_at + entry.itemsize * phones + 4)
    base = table["context"][:, 1].astype(np.intp)
    base[:ci_phones] = np.arange(ci_phones)
    codebook = np.zeros(senones, dtype=np.intp)
    codebook[held.reshape(sequences, states)[table["sequence"]]] = base[:, None]
    return [name.decode() for name in names], codebook
