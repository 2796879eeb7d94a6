"""What a reading means is worked out once, however often a long visit is looked at."""

from collections.abc import Callable

import pytest

from voicelog.corrections import alternatives
from voicelog.data_files.languages import language_folder, load_language
from voicelog.grammar.parse import Intent, parse
from voicelog.grammar.phrases import Phrases
from voicelog.grammar.template import Node
from voicelog.store.memory import MemoryStore


def test_a_second_look_parses_nothing(
    dictated: Callable[[MemoryStore], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    store, phrases = MemoryStore(), Phrases(load_language(language_folder("en")))
    visit_id = dictated(store)
    parsed: list[tuple[str, ...]] = []

    def counted(tree: Node, words: tuple[str, ...]) -> Intent | None:
        parsed.append(words)
        return parse(tree, words)

    monkeypatch.setattr(alternatives, "parse", counted)
    newest = [store.history(entry.entry_id)[-1] for entry in store.records(visit_id)]

    def look() -> list[int]:
        return [len(alternatives.alternatives(entry, phrases)) for entry in newest]

    assert look() == [0, 2, 0, 0]
    assert {" ".join(words) for words in parsed} == {
        "gap trial sixteen degrees pain free",
        *newest[1].evidence[0].alternatives,
    }
    parsed.clear()
    assert look() == [0, 2, 0, 0]
    assert parsed == []
