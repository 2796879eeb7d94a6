"""A key that stands beside a figure leads to the publication."""

from csv import DictReader
from importlib.resources import files

from tests.end_to_end.practice import Practice, a_day
from voicelog.data_files.reference_tables import load_tables


def test_the_key_beside_a_figure_names_its_publication(practice: Practice) -> None:
    a_day(practice)
    assert "(CHILDS2005, source seen)" in practice.type("compare", "last").out
    told = practice.type("sources", "childs2005", "AAOS1965").out
    # Spine 2005;30(11):1331-1334, as its publisher cites it (from memory).
    assert "CHILDS2005 Childs JD, Piva SR, Fritz JM." in told
    assert "Spine 2005;30(11):1331-1334" in told
    assert "change of pain (low back pain in physical therapy), looked up" in told
    assert "AAOS1965 Joint Motion: Method of Measuring and Recording. AAOS, 1965. Taken" in told
    assert "range of motion (hip, ankle, neck), from memory" in told


def test_what_is_told_is_plain_and_how_it_was_collected_stays_in_the_table(
    practice: Practice,
) -> None:
    told = practice.type("sources").out
    for rough in ("stored", "retrieved", "`", "abstract seen", "seen second-hand", "(a)", " ; "):
        assert rough not in told
    assert "Its column of Walker 1984, looked up there and not in the original" in told
    assert told.count("Taken from it: ") == len(load_tables().sources)
    table = files("voicelog").joinpath("reference", "sources.csv").read_text(encoding="utf-8")
    rows = {row["source_key"]: row for row in DictReader(table.splitlines())}
    assert "columns were split by hand" in rows["WALKER1984_NW"]["provenance"]
    assert rows["WALKER1984_NW"]["status"].startswith("seen, a column")


def test_without_a_key_all_are_listed_and_an_unknown_one_is_said(practice: Practice) -> None:
    told = practice.type("sources").out
    assert "FARRAR2001" in told
    assert "ZWERUS2019" in told
    unknown = practice.type("sources", "NOBODY1900")
    assert unknown.code == 2
    assert "no figure stands on 'NOBODY1900'" in unknown.err
