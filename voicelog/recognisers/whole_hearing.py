"""An utterance heard as whole words beside the engine, while it goes on."""

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.grammar.hypothesis import Expect, HeardWord, Reading
from voicelog.grammar.neighbours import Neighbour
from voicelog.recognisers.free_words import FreeWords
from voicelog.recognisers.last_number import LastNumber, LastNumbers
from voicelog.recognisers.networks import USUAL_SCALE, Networks, side_by_side
from voicelog.recognisers.verification import SHORT
from voicelog.recognisers.whole_words import WholeWords, Words, beside, known_words, whole_words
from voicelog.recognisers.word_paths import WordPaths

_SILENCE = RATE_HZ * 6 // 10
"""Between the last pause, when readings are weighed ahead, and the end of an utterance come so many
more samples at most (0.6 s), all of silence: what was heard as whole words still holds."""

_OUT_OF_THE_QUESTION = 20.0
"""What is less likely than what the engine heard by so many nats of whole words need not be weighed
by the engine, which takes it 20 ms."""


class WholeHearing:
    """Offers what it hears to be weighed with the engine's readings, and weighs all of them; but no
    short phrases, as how sure one is hangs on which it is.

    `networks` are those that the engine searches.
    """

    hears_cleaned = False

    def __init__(self, networks: Networks) -> None:
        self._networks = networks
        self._all_paths: dict[Expect, WordPaths] = {}
        self._free_words = FreeWords()
        self.go_on()

    def begin(self, expect: Expect) -> None:
        """Another utterance starts. What is made for each `expect` once, is made now, when there is
        time for it."""
        if expect not in self._all_paths:
            network = side_by_side(self._networks.of(expect))
            self._all_paths[expect] = WordPaths(network, known_words(), 1 / USUAL_SCALE)
        self._paths = self._all_paths[expect]
        self.go_on()

    def go_on(self) -> None:
        """More of the utterance may have been said."""
        self._heard: tuple[int, WholeWords] | None = None
        self._numbers = LastNumbers()

    def verified(self, heard: tuple[HeardWord, ...], sure: float, sound: Samples) -> float:
        """As sure as the engine is."""
        return sure

    def readings(self, start_ms: int, end_ms: int, sound: Samples) -> tuple[Reading, ...]:
        """None: it hears nothing without the engine."""
        return ()

    def free_words(self, sound: Samples) -> str:
        """By a general language model."""
        return self._free_words.in_sound(sound)

    def last_number(self, heard: tuple[HeardWord, ...], sound: Samples) -> LastNumber | None:
        """What the last word was as a whole, where it was heard as a number."""
        return self._numbers.of(heard, sound)

    def to_weigh(
        self, near: tuple[Neighbour, ...], words: Words, sound: Samples
    ) -> tuple[Neighbour, ...]:
        """The neighbours of what the engine heard that are not out of the question, and the
        likeliest words of the tree where those are neither."""
        if len(words) <= SHORT:
            return near
        whole = self._whole(sound)
        best = whole.best(self._paths)
        other = beside(words, best)
        least = whole.log_likelihood(words) - _OUT_OF_THE_QUESTION
        said = {words[: one.start] + one.instead + words[one.end :]: one for one in near}
        found = tuple(one for text, one in said.items() if whole.log_likelihood(text) > least)
        return found if other is None or best in said else (*found, other)

    def among(self, readings: tuple[Reading, ...], sound: Samples) -> tuple[Reading, ...]:
        """Readings weighed by their words as a whole, too; likeliest first."""
        if max(len(reading.words) for reading in readings) <= SHORT:
            return readings
        return self._whole(sound).among(readings)

    def _whole(self, sound: Samples) -> WholeWords:
        if self._heard is None or len(sound) - self._heard[0] > _SILENCE:
            self._heard = len(sound), whole_words(sound)
        return self._heard[1]
