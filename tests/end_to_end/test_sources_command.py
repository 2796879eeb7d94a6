"""A key that stands beside a figure leads to the publication."""

from tests.end_to_end.practice import Practice, a_day


def test_the_key_beside_a_figure_names_its_publication(practice: Practice) -> None:
    a_day(practice)
    assert "(CHILDS2005, source seen)" in practice.type("compare", "last").out
    told = practice.type("sources", "childs2005", "AAOS1965").out
    # Spine 2005;30(11):1331-1334, as its publisher cites it (from memory).
    assert "CHILDS2005 (seen) Childs JD, Piva SR, Fritz JM." in told
    assert "Spine 2005;30(11):1331-1334" in told
    assert "AAOS1965 (memory)" in told


def test_without_a_key_all_are_listed_and_an_unknown_one_is_said(practice: Practice) -> None:
    told = practice.type("sources").out
    assert "FARRAR2001" in told
    assert "ZWERUS2019" in told
    unknown = practice.type("sources", "NOBODY1900")
    assert unknown.code == 2
    assert "no figure stands on 'NOBODY1900'" in unknown.err
