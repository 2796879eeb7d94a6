"""Free words, for notes: PocketSphinx with the general language model that its wheel carries."""

from pocketsphinx import Decoder

from voicelog.audio.base import Samples


class FreeWords:
    """Loads the model with the first note, as many a visit has none."""

    def __init__(self) -> None:
        self._decoder: Decoder | None = None

    def in_sound(self, samples: Samples) -> str:
        """What was said, as well as it can; nothing when it hears no words."""
        if self._decoder is None:
            self._decoder = Decoder(loglevel="FATAL")
        self._decoder.start_utt()
        self._decoder.process_raw(samples.tobytes(), full_utt=True)
        self._decoder.end_utt()
        found = self._decoder.hyp()
        return "" if found is None else str(found.hypstr)
