"""Words as somebody types them to find records: as they are, or as the names that records keep."""

from collections.abc import Iterator, Sequence
from itertools import islice, product

from voicelog.grammar.language import LanguageData, Names, Slots

MOST_WAYS = 64
"""So many searches at most, whatever is typed."""
_Said = tuple[str, ...]


def ways_to_ask(typed: Sequence[str], language: LanguageData) -> Iterator[str]:
    """Every way to mean the words: each stretch of them as it was typed, which finds it in notes,
    and as each name that it is a way to say. The words as typed come first."""
    names = _names(language)
    stretches = [(" ".join(part), *names.get(part, ())) for part in _parted(typed, names)]
    yield from islice((" ".join(way) for way in product(*stretches)), MOST_WAYS)


def _parted(typed: Sequence[str], names: dict[_Said, tuple[str, ...]]) -> Iterator[_Said]:
    """The words in the longest stretches that are a way to say something."""
    words = tuple(word.lower() for text in typed for word in text.split())
    longest = max(map(len, names), default=1)
    at = 0
    while at < len(words):
        lengths = range(min(longest, len(words) - at), 0, -1)
        length = next((n for n in lengths if words[at : at + n] in names), 1)
        yield words[at : at + length]
        at += length


def _names(language: LanguageData) -> dict[_Said, tuple[str, ...]]:
    """For each way to say something the names that it says, where those are other words."""
    joints: Names = {name: joint.spoken for name, joint in language.joints.items()}
    slots = (getattr(language.slots, slot) for slot in Slots.model_fields)
    tables = (joints, language.motions, language.drills, language.faults, language.cues, *slots)
    found: dict[_Said, tuple[str, ...]] = {}
    for table in tables:
        for name, forms in table.items():
            for form in forms:
                said = tuple(form.lower().split())
                if form != name and name not in found.get(said, ()):
                    found[said] = (*found.get(said, ()), name)
    return found
