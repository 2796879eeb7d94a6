"""Says a new word, and listens to it being said."""

from pathlib import Path

import typer

from voicelog.audio.base import Source
from voicelog.audio.endpointer import Endpointer, SpeechEnded
from voicelog.audio.sound_file import SoundFile
from voicelog.cli.terminal import say
from voicelog.errors import ConfigurationError, VoicelogError
from voicelog.grammar.interpret import Interpretation
from voicelog.grammar.posterior import Prior
from voicelog.wiring import House

LONGEST_S = 20.0


def say_back(house: House, text: str) -> None:
    """Say the words as they will be read back; a missing loudspeaker is no obstacle."""
    try:
        house.voice().say(text)
    except VoicelogError as error:
        say(f"It could not be said aloud: {error.what}.")


def said_as(house: House, kind: str, name: str, audio: Path | None) -> None:
    """Listen to it being said once, from a file or at the microphone.

    Raises ConfigurationError when something else was heard, AudioError, RecogniserError.
    """
    opened = house.language.kinds.get(kind, [""])[0]  # type: ignore[call-overload]
    if audio is None:
        say(f'Say: "{" ".join(f"{opened} {name}".split())}"')
    source: Source = house.microphone() if audio is None else SoundFile(audio)
    heard = _first_utterance(house, source)
    if heard is not None and _is_it(heard, kind, name):
        typer.echo(f'Heard: "{heard.text}"')
        return
    what = f'heard "{heard.text}"' if heard is not None and heard.text else "heard nothing of it"
    raise ConfigurationError(
        f'When "{name}" was said, voicelog {what}',
        kept="Nothing was added",
        do="Say it once more, or give its sound with --phones",
    )


def _first_utterance(house: House, source: Source) -> Interpretation | None:
    hearing, endpointer = house.hearing(), Endpointer()
    with source:
        for block in source:
            for event in endpointer.feed(block):
                if isinstance(event, SpeechEnded):
                    return hearing.whole(event.utterance, "any", Prior())[0]
            if block.start_s > LONGEST_S:
                return None
    for event in endpointer.flush():
        if isinstance(event, SpeechEnded):
            return hearing.whole(event.utterance, "any", Prior())[0]
    return None


def _is_it(heard: Interpretation, kind: str, name: str) -> bool:
    if heard.intent is None:
        return False
    if kind == "word":
        return name.lower() in heard.text.split()
    return (heard.intent.kind, heard.intent.slots.get("name")) == (kind, name)
