"""What a comparison says when a value is a default of the practice."""

from collections.abc import Callable
from typing import Any

from voicelog.analysis.caveats import Doubt
from voicelog.analysis.comparison import Comparer
from voicelog.analysis.progress import progress
from voicelog.analysis.side_difference import side_differences
from voicelog.analysis.sift import Occasion
from voicelog.data_files.languages import language_folder, load_language
from voicelog.telling.doubts import caveat_words

ENGLISH = load_language(language_folder())


def test_a_comparison_says_what_rests_on_a_default(
    trial: Callable[..., Any], compare: Callable[..., Any]
) -> None:
    used = {"manner": "active", "by_default": ("manner",)}
    (found,) = compare(
        trial("a", 0, "baseline", pain=6, **used), trial("b", 1, "gap", pain=3, **used)
    )
    (caveat,) = [c for c in found.caveats if c.doubt is Doubt.BY_DEFAULT]
    words = caveat_words(caveat, ENGLISH)
    assert words == "Nobody said active in a and b: the default of the practice was taken."


def test_progress_and_sides_say_what_rests_on_a_default(
    trial: Callable[..., Any], comparer: Comparer, occasion: Occasion
) -> None:
    used = {"manner": "active", "by_default": ("manner",), "range_deg": 60}
    days = [trial("a", 0, "baseline", visit="1", **used), trial("b", 9, "baseline", visit="2")]
    (movement,) = progress("C-014", days, comparer).movements
    assert movement.since_last is not None
    sides = [
        trial("l", 0, "baseline", side="left", **used),
        trial("r", 1, "baseline", side="right", range_deg=50),
    ]
    (found,) = side_differences(occasion, sides, comparer.errors)
    told = [c.about for c in movement.since_last.caveats if c.doubt is Doubt.BY_DEFAULT]
    told += [c.about for c in found.caveats if c.doubt is Doubt.BY_DEFAULT]
    assert told == [("a",), ("l",)]


def test_a_default_against_another_manner_does_not_compare(
    trial: Callable[..., Any], compare: Callable[..., Any]
) -> None:
    default = {"manner": "active", "by_default": ("manner",)}
    (found,) = compare(
        trial("a", 0, "baseline", pain=6, **default), trial("b", 1, "gap", pain=3, manner="passive")
    )
    assert found.pain is None
    assert Doubt.DIFFERENT_MANNER in {c.doubt for c in found.caveats}
