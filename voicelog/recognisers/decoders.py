"""The decoders of the embedded engine, each with what it was set to and why."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from pocketsphinx import Decoder, get_model_path

from voicelog.grammar.hypothesis import Expect
from voicelog.grammar.template import Node, vocabulary
from voicelog.recognisers.lexicon import PHONES, lexicon
from voicelog.recognisers.networks import PHONE

PHONE_LOOP = "phones"
"""The search of `phone_loop`."""
_SETTINGS: dict[str, object] = {
    "bestpath": False,
    "beam": 1e-60,
    "wbeam": 1e-40,
    "pbeam": 1e-60,
    "lpbeam": 1e-45,
    "lw": 2.0,
    "silprob": 0.5,  # a pause between words is as good as none
    "wip": 0.05,  # but a word more must be heard clearly
    "loglevel": "FATAL",
}
_JUDGING: dict[str, object] = {**_SETTINGS, "compallsen": True, "topn": 1}
"""All acoustic scores, by the nearest Gaussian alone: on 38 digits the margins were as wide as with
four, in half the time."""


def sounds_of(
    trees: Mapping[Expect, Node],
    pronunciations: Mapping[str, tuple[str, ...]],
    everyday: Sequence[str],
) -> dict[str, tuple[str, ...]]:
    """The pronunciations of all words of the trees and of everyday ones."""
    words: set[str] = set().union(*(vocabulary(tree) for tree in trees.values()))
    words.update(word for text in everyday for word in text.split())
    return lexicon(words, pronunciations)


def word_decoder(sounds: Mapping[str, tuple[str, ...]], voice: Path | None) -> Decoder:
    """Hears words."""
    return _decoder(sounds, {**_SETTINGS, **_moved(voice)})


def judging_decoder(sounds: Mapping[str, tuple[str, ...]], voice: Path | None) -> Decoder:
    """Tells how well given words fit a piece of sound."""
    return _decoder(sounds, {**_JUDGING, **_moved(voice)})


def _decoder(sounds: Mapping[str, tuple[str, ...]], settings: Mapping[str, object]) -> Decoder:
    decoder = Decoder(lm=None, dict=None, **settings)
    for word, said in sorted(sounds.items()):
        for count, phones in enumerate(said, start=1):
            decoder.add_word(word if count == 1 else f"{word}({count})", phones, False)
    for phone in PHONES:
        decoder.add_word(PHONE + phone, phone, False)
    return decoder


def phone_loop(voice: Path | None) -> Decoder:
    """A decoder of its own: 5 MB, as the large part of the model is shared."""
    decoder = Decoder(lm=None, dict=None, **_SETTINGS, **_moved(voice))
    decoder.add_allphone_file(PHONE_LOOP, get_model_path("en-us/en-us-phone.lm.bin"))
    return decoder


def _moved(voice: Path | None) -> dict[str, object]:
    """The setting that moves the model towards an enrolled voice, if there is one."""
    return {} if voice is None else {"mllr": str(voice)}
