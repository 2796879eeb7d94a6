"""How PocketSphinx is made where it is to run: its library is loaded nowhere else."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from voicelog.grammar.automaton import Weights
from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.template import Node
from voicelog.recognisers.base import Recogniser


def pocketsphinx(
    trees: Mapping[Expect, Node],
    pronunciations: Mapping[str, tuple[str, ...]],
    weights: Weights,
    cache: Path,
    rivals: Mapping[str, Sequence[str]],
) -> Recogniser:
    """The engine for these trees, with its networks kept in the folder `cache`.

    Raises RecogniserError.
    """
    from voicelog.recognisers.network_cache import NetworkCache
    from voicelog.recognisers.pocketsphinx import PocketSphinxRecogniser

    return PocketSphinxRecogniser(trees, pronunciations, weights, NetworkCache(cache), rivals)
