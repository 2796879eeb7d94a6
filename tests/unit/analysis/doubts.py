"""What the tests of comparisons share: the language, and what one says is doubtful in it."""

from collections.abc import Callable

from voicelog.analysis.caveats import Doubt
from voicelog.analysis.comparison import Comparison
from voicelog.data_files.languages import language_folder, load_language
from voicelog.records.entry import Entry

ENGLISH = load_language(language_folder())


Make = Callable[..., Entry]


Compare = Callable[..., tuple[Comparison, ...]]


def doubts(comparison: Comparison) -> set[Doubt]:
    return {caveat.doubt for caveat in comparison.caveats}
