"""The microphone against a pretended sound card: choosing it, losing sound, losing the device."""

import subprocess
import sys
from typing import Any

import numpy as np
import pytest

from voicelog.audio.base import Block
from voicelog.audio.devices import choose_device, list_devices, load_sounddevice
from voicelog.audio.microphone import Microphone
from voicelog.errors import AudioError

BLOCK_S = 0.03
BLOCK = 480


def listen(microphone: Microphone) -> tuple[list[Block], str]:
    blocks: list[Block] = []
    try:
        with microphone:
            for block in microphone:
                blocks.append(block)
    except AudioError as error:
        return blocks, str(error)
    pytest.fail("a pretended microphone ends by being unplugged")


def numbered(blocks: int) -> Any:
    """Sound whose samples tell which block they belong to."""
    return np.repeat(np.arange(1, blocks + 1, dtype=np.int16), BLOCK)


def test_an_unplugged_microphone_is_noticed_after_its_last_sound(sound_card: Any) -> None:
    sound_card.sound = numbered(5)
    blocks, message = listen(Microphone(sounddevice=sound_card))
    assert [int(b.samples[0]) for b in blocks] == [1, 2, 3, 4, 5]
    assert message.startswith("The microphone Lapel microphone is gone")
    assert "kept as unconfirmed" in message
    assert "Plug it in again" in message
    assert sound_card.closed == 1


def test_a_microphone_that_falls_silent_but_stays_open_counts_as_gone(sound_card: Any) -> None:
    sound_card.sound, sound_card.hangs = numbered(2), True
    blocks, message = listen(Microphone(sounddevice=sound_card, patience_s=0.05))
    assert len(blocks) == 2
    assert "is gone" in message


def test_missing_sound_is_measured_by_the_time_stamps(sound_card: Any) -> None:
    sound_card.sound, sound_card.missing, sound_card.flagged = numbered(10), {4, 5, 6}, {7}
    blocks, _ = listen(Microphone(sounddevice=sound_card))
    lost = [b for b in blocks if b.lost_s]
    assert [int(b.samples[0]) for b in lost] == [8]
    assert lost[0].lost_s == pytest.approx(3 * BLOCK_S)
    assert lost[0].start_s == pytest.approx(7 * BLOCK_S)


def test_an_overflow_without_time_stamps_counts_as_one_block_at_least(sound_card: Any) -> None:
    sound_card.sound, sound_card.flagged, sound_card.stamps = numbered(6), {3}, False
    blocks, _ = listen(Microphone(sounddevice=sound_card))
    assert [b.lost_s for b in blocks if b.lost_s] == [pytest.approx(BLOCK_S)]


def test_a_long_hole_is_noticed_even_when_the_driver_keeps_quiet(sound_card: Any) -> None:
    sound_card.sound, sound_card.missing = numbered(30), set(range(5, 20))
    blocks, _ = listen(Microphone(sounddevice=sound_card))
    assert sum(b.lost_s for b in blocks) == pytest.approx(15 * BLOCK_S)


def test_sound_that_nobody_fetched_in_time_is_counted_as_lost(sound_card: Any) -> None:
    sound_card.sound, sound_card.waits_after = numbered(2_105), 2_100
    with Microphone(sounddevice=sound_card) as microphone:
        blocks = iter(microphone)
        sound_card.waiting.wait(timeout=10)
        heard = [next(blocks) for _ in range(10)]
        sound_card.go_on.set()
        heard += [next(blocks) for _ in range(1_995)]
    assert [int(b.samples[0]) for b in heard] == [*range(1, 2_001), *range(2_101, 2_106)]
    assert [b.lost_s for b in heard if b.lost_s] == [pytest.approx(100 * BLOCK_S)]


def test_what_the_tool_itself_said_is_dropped_and_the_clock_goes_on(sound_card: Any) -> None:
    sound_card.sound, sound_card.waits_after = numbered(12), 10
    with Microphone(sounddevice=sound_card) as microphone:
        blocks = iter(microphone)
        assert next(blocks).start_s == 0
        sound_card.waiting.wait(timeout=10)
        microphone.drop_unread()
        sound_card.go_on.set()
        after = next(blocks)
    assert int(after.samples[0]) == 11
    assert after.start_s == pytest.approx(10 * BLOCK_S)
    assert after.lost_s == 0


def test_a_card_that_refuses_says_what_to_do(sound_card: Any) -> None:
    sound_card.broken = True
    _, message = listen(Microphone("lapel", sounddevice=sound_card))
    assert "Lapel microphone cannot be opened (Invalid sample rate)" in message
    assert "choose another microphone" in message


def test_a_machine_without_microphone_says_so(sound_card: Any) -> None:
    sound_card.devices = sound_card.devices[2:]
    assert listen(Microphone(sounddevice=sound_card))[1].startswith("No microphone was found")


def test_a_device_is_chosen_by_number_by_words_or_by_default(sound_card: Any) -> None:
    devices = list_devices(sound_card)
    assert choose_device(devices, None, "input").number == 0
    assert choose_device(devices, 1, "input").name == "Webcam microphone"
    assert choose_device(devices, "1", "input").name == "Webcam microphone"
    assert choose_device(devices, "WEB mic", "input").number == 1
    assert choose_device(devices, None, "output").name == "Earpiece"


@pytest.mark.parametrize(
    ("wanted", "problem"), [("microphone", "More than one"), ("desk", "No"), (2, "No")]
)
def test_a_doubtful_choice_is_refused_with_the_candidates(
    sound_card: Any, wanted: int | str, problem: str
) -> None:
    with pytest.raises(AudioError) as caught:
        choose_device(list_devices(sound_card), wanted, "input")
    assert caught.value.what == f'{problem} microphone fits "{wanted}"'
    assert "0: Lapel microphone (Pretend); 1: Webcam microphone (Pretend)" in caught.value.do


def test_a_full_name_wins_over_names_that_contain_it(sound_card: Any) -> None:
    sound_card.devices[1]["name"] = "Lapel microphone, second"
    assert choose_device(list_devices(sound_card), "lapel microphone", "input").number == 0


def test_a_machine_without_portaudio_learns_which_package_to_install() -> None:
    try:
        import sounddevice  # noqa: F401
    except OSError:
        pass
    else:
        pytest.skip("PortAudio is installed here")
    with pytest.raises(AudioError, match="libportaudio2") as caught:
        load_sounddevice()
    assert isinstance(caught.value.__cause__, OSError)
    with pytest.raises(AudioError, match="PortAudio is missing"), Microphone():
        pass


def test_every_module_imports_without_the_sound_library() -> None:
    script = (
        "import sys, pkgutil, importlib; sys.modules['sounddevice'] = None\n"
        "import voicelog.audio, voicelog.speech\n"
        "for package in (voicelog.audio, voicelog.speech):\n"
        "    for module in pkgutil.iter_modules(package.__path__, package.__name__ + '.'):\n"
        "        print(importlib.import_module(module.name).__name__)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert done.stderr == ""
    assert {"voicelog.audio.microphone", "voicelog.speech.spoken"} <= set(done.stdout.split())
