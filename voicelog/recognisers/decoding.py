"""One PocketSphinx decoder that follows an utterance while it is spoken."""

import math
from collections.abc import Callable, Sequence

import numpy as np
from pocketsphinx import Decoder

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.errors import RecogniserError
from voicelog.recognisers.levelling import spoken_part
from voicelog.recognisers.verification import Segment

FRAME_MS = 10
LEVEL_S = 1.0
"""The cepstral mean is taken over so much of the beginning, in seconds. Of 360 dictations of eight
tuning voices 327 were heard right with it, 326 with the mean of 1.5 to 3 s, 323 with that of the
whole utterance, 321 with that of the one before."""
_BEFORE_S = 0.2
"""So much of what comes before a piece, in seconds, tells the noise in it. With 0.5 s, 1 s or all
of it the same of 80 dictations were heard right (clean, and in a loud room); going through all of
it took two thirds of the time."""
_NATS = 1024
"""The engine gives a segment's score as exp(log-likelihood / 1024), so that it fits a number."""
_LEAST = 1e-300
_IDLE, _TRIED = "idle", "tried"


def _any_of(phrases: Sequence[Sequence[str]]) -> list[tuple[int, int, float, str]]:
    """The steps of a network from state 0 to state 1 that is any one of these phrases."""
    steps, fresh = [], 2
    for phrase in phrases:
        at = 0
        for word in phrase[:-1]:
            steps.append((at, fresh, 1.0, word))
            at, fresh = fresh, fresh + 1
        steps.append((at, 1, 1.0, phrase[-1]))
    return steps


def _nats(score: float) -> float:
    return math.log(max(score, _LEAST)) * _NATS


class Decoding:
    """Decodes sound as it comes, over one of the searches of a decoder.

    The first `LEVEL_S` are held back until the mean of their cepstra is known, as the channel
    (microphone, room, voice) must be taken out before anything is compared; from then on each
    block is decoded at once, so that little is left to do when the utterance ends. All methods
    raise RecogniserError when the engine fails.
    """

    def __init__(self, decoder: Decoder) -> None:
        self.decoder = decoder
        decoder.add_fsg(_IDLE, decoder.create_fsg(_IDLE, 0, 1, [(0, 1, 1.0)]))
        self._held: list[Samples] = []
        self._levelled = False
        self._open = False
        self.mean = ""
        """The cepstral mean of the last utterance, as the engine writes it."""

    def begin(self, search: str) -> None:
        """An utterance starts; one in hand is forgotten."""
        if self._open:
            self._do(self.decoder.end_utt)
            self._open = False
        self._do(lambda: self.decoder.activate_search(search))
        self._forget_noise()
        self._held = []
        self._levelled = False

    def hear(self, samples: Samples) -> None:
        """More sound, or none."""
        if not len(samples):
            return
        if self._levelled:
            self._decode(samples)
            return
        self._held.append(samples)
        if sum(map(len, self._held)) >= LEVEL_S * RATE_HZ:
            self._level()

    def rest(self) -> None:
        """Use no search that is worth keeping, so that one can be taken away."""
        self.begin(_IDLE)

    def end(self) -> tuple[Segment, ...]:
        """The best path, without silences; empty when none fits."""
        if not self._levelled and any(map(len, self._held)):
            self._level()
        if not self._open:
            return ()
        self._do(self.decoder.end_utt)
        self._open = False
        return () if self.decoder.hyp() is None else self._segments()

    def so_far(self) -> tuple[Segment, ...]:
        """The best path up to now, without silences; empty while the level is not known yet."""
        return self._segments() if self._open and self.decoder.hyp() is not None else ()

    def whole(self, search: str, samples: Samples) -> tuple[Segment, ...]:
        """The best path of a search through sound that is complete."""
        self.begin(search)
        self.hear(samples)
        return self.end()

    def score(
        self, phrases: Sequence[Sequence[str]], samples: Samples, first: int, mean: str
    ) -> float:
        """The log-likelihood, in nats, of the best of these phrases in the sound from sample
        `first` on, levelled with the `mean` of its utterance; minus infinity when none fits. What
        comes just before tells the noise."""
        network = self.decoder.create_fsg(_TRIED, 0, 1, _any_of(phrases))
        self.rest()
        self._do(lambda: self.decoder.add_fsg(_TRIED, network))
        self._do(lambda: self.decoder.activate_search(_TRIED))
        self.mean = mean
        self._listen_only(samples[max(0, first - round(_BEFORE_S * RATE_HZ)) : first])
        self._open_levelled(samples[first:])
        self._do(self.decoder.end_utt)
        self._open = False
        if self.decoder.hyp() is None:
            return -math.inf
        return sum(_nats(part.ascore) for part in self.decoder.seg())

    def _level(self) -> None:
        """Take the mean of the beginning, then decode what was held back."""
        samples = np.concatenate(self._held)
        self._held = []
        self._listen_only(spoken_part(samples[: round(LEVEL_S * RATE_HZ)]))
        self.mean = self.decoder.get_cmn(False)
        self._forget_noise()
        self._open_levelled(samples)

    def _forget_noise(self) -> None:
        """Start the engine's noise removal anew. Left alone, it takes the noise that it last heard
        into the next utterance, so that what was heard hung on what had been said before."""
        self._do(self.decoder.reinit_feat)

    def _listen_only(self, samples: Samples) -> None:
        """Take the mean of the cepstra, and follow the noise as the engine does."""
        if len(samples):
            sound = samples.tobytes()
            self._do(self.decoder.start_utt)
            self._do(lambda: self.decoder.process_raw(sound, no_search=True, full_utt=True))
            self._do(self.decoder.end_utt)

    def _open_levelled(self, samples: Samples) -> None:
        self.decoder.set_cmn(self.mean)
        self._do(self.decoder.start_utt)
        self._open = self._levelled = True
        self._decode(samples)

    def _decode(self, samples: Samples) -> None:
        self._do(lambda: self.decoder.process_raw(samples.tobytes()))

    def _segments(self) -> tuple[Segment, ...]:
        return tuple(
            Segment(
                part.word.partition("(")[0],
                part.start_frame,
                part.end_frame,
                _nats(part.ascore),
            )
            for part in self.decoder.seg()
            if part.word[0] not in "<[(+" and part.word != "SIL"
        )

    @staticmethod
    def _do(work: Callable[[], object]) -> None:
        try:
            work()
        except RuntimeError as error:
            raise RecogniserError(
                f"The speech engine failed ({error})",
                kept="What was saved before stays",
                do="Start listening again; if it fails once more, run `voicelog check`",
            ) from error
