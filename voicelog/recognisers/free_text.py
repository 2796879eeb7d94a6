"""Free words, for notes, by the transcriber: always the likeliest next piece, until it ends."""

from collections.abc import Sequence

from voicelog.audio.base import Samples
from voicelog.recognisers.transcriber import END, LEAST, START, Transcriber, most_pieces
from voicelog.recognisers.word_pieces import WordPieces

_TURNS = 4
"""Pieces that come so many times in a row are no words any more: in noise and in the talk of many
it writes the same for ever. Nobody says the same phrase as often."""
_NOBODY = "You"
"""What it writes where nobody speaks: it did of silence, noise, clicks and a tone."""


class FreeText:
    """Writes with a transcriber and its pieces, which may be shared: nothing is kept from one sound
    to the next."""

    def __init__(self, transcriber: Transcriber, pieces: WordPieces) -> None:
        self._transcriber, self._pieces = transcriber, pieces

    def in_sound(self, samples: Samples) -> str:
        """What was said, with capitals and stops, as well as it can; nothing when it hears no
        words. For sound of a minute at most, far more than an utterance is."""
        if len(samples) < LEAST:
            return ""
        written = "".join(
            letter if letter.isprintable() else " "
            for letter in self._pieces.text(self._written(samples))
        )
        text = " ".join(written.split())
        return "" if text.rstrip(".") == _NOBODY else text

    def _written(self, samples: Samples) -> list[int]:
        heard = self._transcriber.heard(samples)
        writing = self._transcriber.writing(heard, at_once=1)
        found: list[int] = []
        last = START
        while len(found) < most_pieces(heard):
            last = int(writing.go_on([last], [0])[0].argmax())
            if last == END:
                break
            found.append(last)
            turn = _turn(found)
            if turn:
                return found[: len(found) - (_TURNS - 1) * turn]
        return found


def _turn(pieces: Sequence[int]) -> int:
    """How many pieces are said over and over at the end; 0 where none are."""
    for size in range(1, len(pieces) // _TURNS + 1):
        end = pieces[-_TURNS * size :]
        if all(end[at] == end[at - size] for at in range(size, len(end))):
            return size
    return 0
