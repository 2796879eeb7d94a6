"""Words of a path as what was heard, each with how sure it is."""

from collections.abc import Sequence

from voicelog.grammar.hypothesis import HeardWord
from voicelog.recognisers.decoding import FRAME_MS
from voicelog.recognisers.verification import Segment, ratios, word_confidence


def with_sureness(
    words: Sequence[Segment], phones: Sequence[Segment]
) -> tuple[tuple[HeardWord, ...], tuple[float, ...]]:
    """The words with how sure each is, and their ratios."""
    found = ratios(words, phones)
    sure = (heard_word(word, word_confidence(r)) for word, r in zip(words, found, strict=True))
    return tuple(sure), found


def heard_word(part: Segment, confidence: float) -> HeardWord:
    """A word of a path as one that was heard, 0 to 1 sure."""
    return HeardWord(part.name, part.first * FRAME_MS, (part.last + 1) * FRAME_MS, confidence)
