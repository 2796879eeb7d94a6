"""What the benchmarks say is in the language and means what they hold for the truth; and their room
does to sound what it should."""

import numpy as np
import pytest

from audio_fixtures.casting import SEEDS, Split
from audio_fixtures.chat import Chat
from audio_fixtures.fresh import Writer
from audio_fixtures.manifest import RATE_HZ, words
from audio_fixtures.rooms import babble_of, echo
from audio_fixtures.sound import gain, speech_dbfs
from voicelog.dialogue.draft import begin
from voicelog.grammar.parse import parse
from voicelog.settings.fields import Settings
from voicelog.wiring import House

HOUSE = House(Settings())


@pytest.mark.parametrize("split", ["tune", "test"])
def test_every_fresh_sentence_parses_to_its_truth(split: Split) -> None:
    writer = Writer(HOUSE.language, HOUSE.plausible, SEEDS[split])
    for dictation in (writer.dictation() for _ in range(300)):
        intent = parse(HOUSE.phrases.trees["any"], words(dictation.text))
        assert intent is not None, dictation.text
        assert begin(intent, None, HOUSE.language) == dictation.content, dictation.text


def test_the_parts_for_tuning_and_for_figures_share_no_line_of_talk() -> None:
    chats = [Chat(HOUSE.language, split, 1) for split in ("tune", "test")]
    tune, test = ({line.text for line in (*chat.round(), *chat.asides())} for chat in chats)
    assert len(tune) + len(test) == 90 + 14
    assert not tune & test


def test_no_line_of_talk_is_a_dictation() -> None:
    for split in ("tune", "test"):
        for line in Chat(HOUSE.language, split, 2).round():
            intent = parse(HOUSE.phrases.trees["record"], words(line.text))
            assert intent is None or intent.kind == "note", line.text


def test_an_echo_decays_by_sixty_decibels_in_its_time() -> None:
    """Reverberation time by backward integration: Schroeder 1965, as in ISO 3382-1; taken between
    -5 and -35 dB and doubled (T30)."""
    click = np.zeros(RATE_HZ // 10, dtype=np.float32)
    click[0] = 0.5
    tail = echo(click, 0.4, -20.0, seed=1).astype(float)
    decay = 10 * np.log10(np.cumsum(tail[::-1] ** 2)[::-1] / np.sum(tail**2) + 1e-12)
    start, end = (np.flatnonzero(decay < level)[0] for level in (-5, -35))
    assert 2 * (end - start) / RATE_HZ == pytest.approx(0.4, rel=0.1)


def test_babble_is_as_loud_as_one_voice() -> None:
    chance = np.random.default_rng(1)
    voices = [chance.standard_normal(RATE_HZ).astype(np.float32) * level for level in (0.01, 0.3)]
    sound = babble_of([voice.astype(np.float32) for voice in voices], 3.0, seed=2)
    assert len(sound) == 3 * RATE_HZ
    assert speech_dbfs(sound) == pytest.approx(-20.0, abs=0.5)
    assert gain(-20.0) == pytest.approx(0.1)
