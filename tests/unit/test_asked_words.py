"""What somebody types to find records, as the names that records keep.

Terms of the trade for the same motion: medial rotation is internal rotation, distraction is what
this project records as a gap trial (AAOS, Joint Motion; Kaltenborn's joint play; from memory).
"""

import pytest

from voicelog.data_files.languages import language_folder, load_language
from voicelog.grammar.language import LanguageData
from voicelog.telling.asked_words import MOST_WAYS, ways_to_ask


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        (["foot"], "ankle"),
        (["left", "Medial", "rotation"], "left internal rotation"),
        (["knee", "distraction"], "knee gap"),
        (["C-014", "slept", "badly"], "c-014 slept badly"),
    ],
)
def test_a_way_to_say_something_is_asked_by_its_name_as_well(
    language: LanguageData, typed: list[str], meant: str
) -> None:
    ways = list(ways_to_ask(typed, language))
    assert ways[0] == " ".join(typed).lower()
    assert meant in ways


def test_korean_words_are_asked_by_the_names_that_records_keep() -> None:
    korean = load_language(language_folder("ko"))
    ways = list(ways_to_ask(["왼쪽 어깨", "안쪽", "돌림"], korean))
    assert ways[0] == "왼쪽 어깨 안쪽 돌림"
    assert "left shoulder internal rotation" in ways


def test_many_words_are_not_asked_in_endless_ways(language: LanguageData) -> None:
    assert len(list(ways_to_ask(["foot"] * 30, language))) == MOST_WAYS
