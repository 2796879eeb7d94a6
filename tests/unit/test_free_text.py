"""Free words of a transcriber that is made up: where they end, and what is fit to be kept."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from tests.made_up_pieces import FIRST, ScriptedTranscriber, vocabulary
from voicelog.audio.base import RATE_HZ, Samples
from voicelog.recognisers.free_text import FreeText
from voicelog.recognisers.transcriber import END
from voicelog.recognisers.word_pieces import SPACE, WordPieces

WHOLE = (SPACE + "no", SPACE + "pain", ".\r", SPACE * 2, SPACE + "You")
JOINED = list(dict.fromkeys(part[:end] for part in WHOLE for end in range(2, len(part) + 1)))
SURE = -0.01
Next = Callable[[tuple[int, ...]], dict[int, float]]


def sound(seconds: float) -> Samples:
    return np.zeros(round(seconds * RATE_HZ), np.int16)


@pytest.fixture
def pieces(tmp_path: Path) -> WordPieces:
    return vocabulary(tmp_path, JOINED)


def heard(pieces: WordPieces, rule: Next, seconds: float = 3.0) -> tuple[str, int]:
    """The text, and how many pieces were asked for."""
    by = ScriptedTranscriber(600, rule)
    return FreeText(by, pieces).in_sound(sound(seconds)), by.steps  # type: ignore[arg-type]


def reading(*text: int) -> Next:
    """Writes these pieces, and has ended."""
    whole = (*text, END)
    return lambda so_far: {whole[len(so_far)]: SURE}


def test_the_likeliest_piece_is_written_until_the_end(pieces: WordPieces) -> None:
    no, pain = (pieces.of(SPACE + word)[0] for word in ("no", "pain"))
    rule = reading(no, pain, *pieces.of("."))
    found = heard(pieces, lambda so_far: {no: -5.0, **rule(so_far)})
    assert found == ("no pain.", 4)


def test_a_text_is_fit_to_be_kept(pieces: WordPieces) -> None:
    """No control characters, no spaces at its ends or side by side, no marks, no single bytes."""
    no, pain = (pieces.of(SPACE + word)[0] for word in ("no", "pain"))
    spaces = pieces.of(SPACE * 2)[0]
    line = FIRST + JOINED.index(".\r")
    text, _ = heard(pieces, reading(spaces, no, 0, 40, spaces, pain, line, spaces))
    assert text == "no pain."
    assert text.isprintable()


@pytest.mark.parametrize("seconds", [0, 0.05])
def test_what_is_too_short_has_no_words(pieces: WordPieces, seconds: float) -> None:
    assert heard(pieces, reading(*pieces.of("a")), seconds) == ("", 0)


def test_where_nobody_speaks_nothing_is_written(pieces: WordPieces) -> None:
    you = pieces.of(SPACE + "You")
    assert heard(pieces, reading(END))[0] == ""
    assert heard(pieces, reading(*you))[0] == ""
    assert heard(pieces, reading(*you, *pieces.of(".")))[0] == ""
    assert heard(pieces, reading(*you, *pieces.of(SPACE + "no")))[0] == "You no"


def test_the_same_over_and_over_is_written_once(pieces: WordPieces) -> None:
    """Of noise the real one writes the same phrase for ever; what came before stays."""
    no, pain = (pieces.of(SPACE + word)[0] for word in ("no", "pain"))
    text, steps = heard(
        pieces, lambda so_far: {no if len(so_far) % 2 or not so_far else pain: SURE}, seconds=15
    )
    assert text == "no no pain"
    assert steps < 15


def test_a_word_may_come_three_times(pieces: WordPieces) -> None:
    (no,) = pieces.of(SPACE + "no")
    assert heard(pieces, reading(no, no, no))[0] == "no no no"


def test_a_text_has_an_end_where_the_transcriber_knows_none(pieces: WordPieces) -> None:
    letters = pieces.of("abcdefghijklmnopqrstuvwxyz")
    for seconds in (1, 4):
        text, steps = heard(
            pieces, lambda so_far: {letters[len(so_far) ** 2 % 23]: SURE}, seconds=seconds
        )
        assert len(text) == steps
        assert 7 * seconds <= steps <= 7 * seconds + 10
