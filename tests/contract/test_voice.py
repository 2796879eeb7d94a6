"""Every voice takes the same sentences and tones, in order, as often as asked."""

from collections.abc import Callable
from typing import Any, get_args

import numpy as np
import pytest

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.audio.player import SpeakerPlayer
from voicelog.errors import AudioError, SpeechError
from voicelog.speech.base import Tone, Voice
from voicelog.speech.printed import PrintedVoice
from voicelog.speech.spoken import SpokenVoice
from voicelog.speech.tones import tone_samples

TONES: tuple[Tone, ...] = get_args(Tone)


class KeepingPlayer:
    """Keeps what it is given to play."""

    def __init__(self) -> None:
        self.played: list[tuple[Samples, int]] = []

    def play(self, samples: Samples, rate_hz: int) -> None:
        self.played.append((samples, rate_hz))


class BrokenPlayer:
    """A loudspeaker that was pulled out."""

    def play(self, samples: Samples, rate_hz: int) -> None:
        raise AudioError("Nothing can be played", kept="Records are safe", do="Plug it in")


Make = Callable[[list[object]], Voice]


def spoken(given: list[object]) -> Voice:
    player = KeepingPlayer()
    player.played = given  # type: ignore[assignment]
    return SpokenVoice(player)


VOICES: dict[str, Make] = {
    "printed": lambda given: PrintedVoice(given.append),
    "spoken": spoken,
}


@pytest.mark.parametrize("make", VOICES.values(), ids=VOICES.keys())
def test_each_sentence_and_tone_comes_out_once_and_in_order(make: Make) -> None:
    given: list[object] = []
    voice = make(given)
    voice.say("pain three")
    for tone in TONES:
        voice.tone(tone)
    voice.say("saved")
    assert len(given) == len(TONES) + 2


@pytest.mark.parametrize("make", VOICES.values(), ids=VOICES.keys())
def test_umlauts_and_signs_do_not_upset_it(make: Make) -> None:
    given: list[object] = []
    make(given).say("Façade, naïve, 16°, −2 & “quoted” <b>")
    assert len(given) == 1


def test_the_printed_voice_shows_the_words_and_names_the_tone() -> None:
    lines: list[object] = []
    voice = PrintedVoice(lines.append)
    voice.say("Pain three. Affirm?")
    voice.tone("saved")
    assert lines == ["Pain three. Affirm?", "(saved)"]


def test_the_spoken_voice_plays_the_tone_as_it_was_made() -> None:
    player = KeepingPlayer()
    SpokenVoice(player).tone("ask")
    samples, rate_hz = player.played[0]
    assert rate_hz == RATE_HZ
    np.testing.assert_array_equal(samples, tone_samples("ask"))


def test_a_failing_player_is_a_speech_error_that_keeps_the_advice() -> None:
    with pytest.raises(SpeechError) as caught:
        SpokenVoice(BrokenPlayer()).say("saved")
    assert caught.value.do == "Plug it in"
    assert isinstance(caught.value.__cause__, AudioError)


def test_the_speaker_plays_every_sample_at_the_rate_of_the_voice(sound_card: Any) -> None:
    samples = tone_samples("saved")
    SpeakerPlayer(sounddevice=sound_card).play(samples, RATE_HZ)
    played, rate_hz = sound_card.played[0]
    assert rate_hz == RATE_HZ
    np.testing.assert_array_equal(played, samples)


def test_the_speaker_converts_to_the_only_rate_the_card_offers(sound_card: Any) -> None:
    sound_card.rates_hz = {48_000}
    samples = tone_samples("saved")
    SpeakerPlayer("ear", sounddevice=sound_card).play(samples, RATE_HZ)
    played, rate_hz = sound_card.played[0]
    assert rate_hz == 48_000
    assert len(played) == pytest.approx(3 * len(samples), abs=2)


def test_a_speaker_that_fails_says_what_to_do(sound_card: Any) -> None:
    sound_card.broken = True
    with pytest.raises(AudioError, match=r"Earpiece.*plugged in"):
        SpeakerPlayer(sounddevice=sound_card).play(tone_samples("heard"), RATE_HZ)
