"""Which pieces of sound are weighed anew."""

from voicelog.recognisers.rescoring import Scored


def test_a_piece_whose_ends_hardly_moved_is_the_one_that_was_weighed_in_the_pause() -> None:
    scored = Scored()
    assert scored.piece(4_000, 20_000) == (4_000, 20_000)
    assert scored.piece(4_160, 20_640) == (4_000, 20_000)


def test_a_piece_with_another_end_is_weighed_anew() -> None:
    scored = Scored()
    scored.piece(4_000, 20_000)
    assert scored.piece(4_000, 21_000) == (4_000, 21_000)
    assert scored.piece(5_000, 20_000) == (5_000, 20_000)
