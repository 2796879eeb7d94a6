"""How PocketSphinx is made where it is to run: its library is loaded nowhere else."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

from voicelog.grammar.automaton import Weights
from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.template import Node
from voicelog.recognisers.base import Recogniser


def model_name() -> str:
    """The model that its wheel carries, with the version of the wheel."""
    return f"en-us {version('pocketsphinx')}"


@dataclass(frozen=True, slots=True)
class Kept:
    """What is kept for it on this machine: the folder of its compiled networks, the file of an
    enrolled voice, which must be known to be whole, and the folder of the transcriber's weights."""

    networks: Path | None = None
    voice: Path | None = None
    transcriber: Path | None = None


def pocketsphinx(
    trees: Mapping[Expect, Node],
    pronunciations: Mapping[str, tuple[str, ...]],
    weights: Weights,
    kept: Kept,
    everyday: Sequence[str],
    fillers: Sequence[str],
) -> Recogniser:
    """The engine for these trees, with what is kept for it.

    Raises RecogniserError.
    """
    from voicelog.recognisers.pocketsphinx import PocketSphinxRecogniser

    return PocketSphinxRecogniser(trees, pronunciations, weights, kept, everyday, fillers)
