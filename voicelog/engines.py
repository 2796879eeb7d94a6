"""Which speech engine hears, and how each is made."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from random import Random
from typing import get_args

import platformdirs

from voicelog.errors import ConfigurationError
from voicelog.grammar.language import EngineName, LanguageData
from voicelog.grammar.phrases import Phrases
from voicelog.grammar.samples import phrase_lists
from voicelog.recognisers.base import Recogniser

ENGINES: tuple[EngineName, ...] = get_args(EngineName)


@dataclass(frozen=True)
class Spoken:
    """What an engine is to hear, where its model may be, the file of an enrolled voice, and whom to
    tell what it has to do without."""

    phrases: Phrases
    pronunciations: Mapping[str, tuple[str, ...]]
    vosk_folder: Path | None
    models_folder: Path
    voice: Path | None
    tell: Callable[[str], None]


def engine_name(wanted: str, language: LanguageData, *, vosk_installed: bool) -> EngineName:
    """The engine wanted; for "auto" Vosk where its model is installed, else PocketSphinx.

    Raises ConfigurationError when the language has no such engine.
    """
    engines = language.engines
    if wanted == "auto":
        return "vosk" if vosk_installed or "pocketsphinx" not in engines else "pocketsphinx"
    for name in engines:
        if name == wanted:
            return name
    has_none = f"The engine {wanted} has no model for {language.name}"
    what = has_none if wanted in ENGINES else f'There is no engine "{wanted}"'
    raise ConfigurationError(what, do=f"Choose one of {', '.join(engines)}")


def networks_folder() -> Path:
    """Where compiled networks are kept between runs."""
    return platformdirs.user_cache_path("voicelog") / "networks"


# An engine is made from what is small to send: it may be made in another process.
def _pocketsphinx(spoken: Spoken) -> Callable[[], Recogniser]:
    from voicelog.recognisers.embedded import Kept, pocketsphinx
    from voicelog.recognisers.usable_transcriber import usable_weights

    phrases = spoken.phrases
    kept = Kept(networks_folder(), spoken.voice, usable_weights(spoken.tell))
    made_of = (phrases.trees, spoken.pronunciations, phrases.weights, kept)
    language = phrases.language
    return partial(pocketsphinx, *made_of, everyday=language.everyday, fillers=language.fillers)


def _vosk(spoken: Spoken) -> Callable[[], Recogniser]:
    from voicelog.recognisers.vosk import VoskRecogniser

    if spoken.vosk_folder is None:
        raise ConfigurationError(
            f"No Vosk model for {spoken.phrases.language.name} is installed",
            do="Run `voicelog model install` for English; for another language put the folder of"
            f" a model into {spoken.models_folder}, or name it as vosk_model in the settings",
        )
    draw = Random(0).random  # the same list every time
    lists = phrase_lists(spoken.phrases.trees, spoken.phrases.weights, draw)
    return partial(VoskRecogniser, spoken.vosk_folder, lists)


BUILDERS: dict[EngineName, Callable[[Spoken], Callable[[], Recogniser]]] = {
    "pocketsphinx": _pocketsphinx,
    "vosk": _vosk,
}
"""What makes each engine: called with what is to be heard, it gives what starts the engine."""
