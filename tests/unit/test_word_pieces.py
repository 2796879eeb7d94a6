"""Pieces of words, against the worked examples of those who joined them first: Sennrich, Haddow and
Birch 2016, "Neural Machine Translation of Rare Words with Subword Units" (from memory)."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.made_up_pieces import FIRST, vocabulary, written
from voicelog.errors import RecogniserError
from voicelog.recognisers.word_pieces import SPACE, WordPieces

OF_FOUR_WORDS = ("r·", "lo", "low", "er·")
"""Joined of "low", "lowest", "newer" and "wider", whose ends are marked by "·": their figure."""
BY_HOW_USUAL = ("es", "est", "est·", "lo", "low", "ne", "new", "newest·", "low·", "wi")
"""The first ten joined of "low", "lower", "newest" and "widest": their listing."""


def parts(pieces: WordPieces, text: str) -> list[str]:
    return [pieces.text([number]) for number in pieces.of(text)]


@pytest.mark.parametrize(
    ("joined", "text", "wanted"),
    [
        (OF_FOUR_WORDS, "lower·", ["low", "er·"]),
        (BY_HOW_USUAL, "lowest·", ["low", "est·"]),
        (BY_HOW_USUAL, "newest·", ["newest·"]),
        (BY_HOW_USUAL, "widest·", ["wi", "d", "est·"]),
        (BY_HOW_USUAL, "low·", ["low·"]),
        (BY_HOW_USUAL, "lower·", ["low", "e", "r", "·"]),
        (BY_HOW_USUAL, "", []),
    ],
)
def test_letters_are_joined_as_in_the_examples(
    tmp_path: Path, joined: tuple[str, ...], text: str, wanted: list[str]
) -> None:
    assert parts(vocabulary(tmp_path, joined), text) == wanted


def test_of_the_same_pair_the_first_is_joined_first(tmp_path: Path) -> None:
    assert parts(vocabulary(tmp_path, ["oo"]), "ooo") == ["oo", "o"]


def test_a_more_usual_pair_is_joined_before_one_that_comes_earlier(tmp_path: Path) -> None:
    assert parts(vocabulary(tmp_path, ["ai", "pa"]), "pain") == ["p", "ai", "n"]
    assert parts(vocabulary(tmp_path, ["pa", "ai"]), "pain") == ["pa", "i", "n"]


@pytest.fixture(scope="module")
def pieces(tmp_path_factory: pytest.TempPathFactory) -> WordPieces:
    return vocabulary(tmp_path_factory.mktemp("pieces"), BY_HOW_USUAL)


@given(text=st.text("lowernstid·", max_size=12))
def test_every_text_can_be_put_together_again(pieces: WordPieces, text: str) -> None:
    assert pieces.text(pieces.of(text)) == text


def test_a_word_begins_with_its_space(tmp_path: Path) -> None:
    pieces = vocabulary(tmp_path, [SPACE + "l", SPACE + "lo"])
    found = pieces.of(f"{SPACE}low{SPACE}lo")
    assert pieces.text(found) == "low lo"
    assert found[-1] == FIRST + 1


def test_marks_and_single_bytes_are_no_text(tmp_path: Path) -> None:
    pieces = vocabulary(tmp_path, ["low"])
    assert pieces.text([1, 0, FIRST, 40, 258, 2]) == "low"


def test_marks_behind_the_letters_are_no_text_either(tmp_path: Path) -> None:
    many = tmp_path / "tokenizer.bin"
    many.write_bytes(written(["low", *(f"p{n}" for n in range(31_740)), "<<mark>>"]))
    marks = range(32_000, FIRST + 31_742)
    assert len(marks) == 1
    assert WordPieces(many).text([FIRST, *marks]) == "low"


def test_a_long_piece_is_read_whole(tmp_path: Path) -> None:
    """From 128 bytes on its length takes two."""
    long = "l" + "o" * 200
    file = tmp_path / "tokenizer.bin"
    file.write_bytes(written([long, "after"]))
    assert WordPieces(file).text([FIRST]) == long
    assert WordPieces(file).text([FIRST + 1]) == "after"


def test_a_letter_that_it_has_not_is_written_in_bytes(tmp_path: Path) -> None:
    """Byte fallback, as SentencePiece has it: byte n is piece n + 3 (from memory)."""
    assert vocabulary(tmp_path, ["lo", "low"]).of("lowö") == (FIRST + 1, 0xC3 + 3, 0xB6 + 3)


def test_a_file_that_is_cut_off_says_what_to_do(tmp_path: Path) -> None:
    whole = written(["low", "lowest"])
    file = tmp_path / "tokenizer.bin"
    for cut in (whole[:-2], whole[:-6], whole + bytes([200])):
        file.write_bytes(cut)
        with pytest.raises(RecogniserError, match="Install voicelog again") as caught:
            WordPieces(file).of("low")
        assert str(file) in str(caught.value)


def test_a_file_that_is_not_there_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(RecogniserError, match="Install voicelog again"):
        WordPieces(tmp_path / "tokenizer.bin").text([FIRST])
