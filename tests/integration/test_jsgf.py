"""The written grammar against its specification and a reader that others made.

Sources: JSpeech Grammar Format (W3C Note, 5 June 2000), sections 2.1 to 2.3 for the header and the
shape of a rule; the JSGF parser of the PocketSphinx library for what the rules mean.
"""

import random
import re
from pathlib import Path

import pytest
from pocketsphinx import FsgModel, Jsgf, LogMath

from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.jsgf import PUBLIC_RULE, to_jsgf
from voicelog.grammar.parse import parse
from voicelog.grammar.phrases import Phrases
from voicelog.grammar.template import Node, sample

EXPECTED: tuple[Expect, ...] = ("record", "command")


def read_by_the_engine(tree: Node, folder: Path) -> FsgModel:
    path = folder / "grammar.jsgf"
    path.write_text(to_jsgf("grammar", tree), encoding="utf-8")
    grammar = Jsgf(str(path))
    return grammar.build_fsg(grammar.get_rule(f"grammar.{PUBLIC_RULE}"), LogMath(), 1.0)


def dictations(tree: Node, count: int) -> list[tuple[str, ...]]:
    """Sentences of a tree without notes, whose words are free."""
    rng = random.Random(4)
    drawn = (sample(tree, rng.randrange) for _ in range(3 * count))
    return [words for words in drawn if words and words[0] != "note"][:count]


@pytest.mark.parametrize("expect", EXPECTED)
def test_the_engines_own_reader_takes_what_we_take_and_nothing_else(
    phrases: Phrases, expect: Expect, tmp_path: Path
) -> None:
    tree = phrases.trees[expect]
    network = read_by_the_engine(tree, tmp_path)
    rng = random.Random(5)
    taken = refused = 0
    for words in dictations(tree, 300):
        assert network.accept(" ".join(words)), words
        broken = list(words)
        broken[rng.randrange(len(words))] = words[rng.randrange(len(words))]
        rng.shuffle(broken)
        ours = parse(tree, tuple(broken)) is not None
        assert network.accept(" ".join(broken)) == ours, broken
        taken, refused = taken + 1, refused + (not ours)
    assert taken == 300
    assert refused > 100


@pytest.mark.parametrize("expect", ["any", "record", "command", "answer", "pain", "range"])
def test_every_rule_is_defined_once_and_the_header_is_as_specified(
    phrases: Phrases, expect: Expect
) -> None:
    header, name, *rules = to_jsgf("grammar", phrases.trees[expect]).splitlines()
    assert re.fullmatch(r"#JSGF V1\.0( [\w-]+)?( [\w-]+)?;", header)
    assert name == "grammar grammar;"
    shapes = [re.fullmatch(r"(public )?<(\w+)> = (.+);", rule) for rule in rules]
    assert all(shapes)
    defined = [shape[2] for shape in shapes if shape]
    assert len(set(defined)) == len(defined)
    used = set(re.findall(r"<(\w+)>", " ".join(shape[3] for shape in shapes if shape)))
    assert used == set(defined) - {PUBLIC_RULE}
