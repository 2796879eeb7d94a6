"""A microphone that goes away and comes back, against a pretended sound card."""

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from typing import Any

import numpy as np
import pytest

from voicelog.audio.base import Block, Source
from voicelog.audio.devices import look_again
from voicelog.audio.microphone import Microphone
from voicelog.audio.returning import Returning, Waiting, slept_s
from voicelog.errors import AudioError

BLOCK = 480
BLOCK_S = 0.03
AWAY_S = 7.0


@dataclass
class Rig:
    """A card whose device comes back after `AWAY_S`, by a clock that only waiting moves."""

    card: Any
    now_s: float = 100.0
    changes: Callable[[], None] = lambda: None
    looks: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.card.sound = np.repeat(np.arange(1, 6, dtype=np.int16), BLOCK)
        self.card._terminate = lambda: self.looks.append("ended")
        self.card._initialize = lambda: self.looks.append("started")
        self.back_at_s = self.now_s + AWAY_S

    def sleep(self, seconds: float) -> None:
        self.now_s += seconds
        if self.now_s >= self.back_at_s:
            self.card.broken = False

    def make(self) -> Source:
        look_again(self.card)
        return Microphone(sounddevice=self.card)

    def blocks(self, after_return: int = 5) -> list[Block]:
        """Until so many blocks have come after it was back."""
        waiting = Waiting(clock=lambda: self.now_s, sleep=self.sleep)
        with Returning(self.make, waiting) as source:
            return list(self._some(source, after_return))

    def _some(self, source: Source, after_return: int) -> Iterator[Block]:
        blocks = iter(source)
        for block in blocks:
            yield block
            if block.gone is None and not block.lost_s:
                self.card.broken = True  # and cannot be opened again for a while
                self.changes()
            if block.lost_s:
                break
        yield from islice(blocks, after_return - 1)


@pytest.fixture
def rig(sound_card: Any) -> Rig:
    return Rig(sound_card)


def heard(blocks: list[Block]) -> list[int]:
    return [round(float(np.median(b.samples))) for b in blocks if b.gone is None]


def test_an_unplugged_microphone_is_heard_again_when_it_is_back(rig: Rig) -> None:
    blocks = rig.blocks()
    assert heard(blocks) == [1, 2, 3, 4, 5, 1, 2, 3, 4, 5]
    gone = [b for b in blocks if b.gone]
    assert all(len(b.samples) == 0 for b in gone)
    assert gone[0].gone is not None
    assert "is gone" in gone[0].gone.what
    assert gone[-1].gone is not None
    assert "cannot be opened" in gone[-1].gone.what
    assert rig.card.closed == 2


def test_the_gap_is_measured_and_places_in_the_sound_count_on_over_it(rig: Rig) -> None:
    blocks = rig.blocks()
    (first,) = [b for b in blocks if b.lost_s]
    assert AWAY_S <= first.lost_s <= AWAY_S + 1.5
    assert first.start_s == pytest.approx(5 * BLOCK_S + first.lost_s)
    starts = [b.start_s for b in blocks if b.gone is None]
    assert starts == sorted(starts)


def test_it_is_tried_once_a_second_and_the_keys_are_looked_at_four_times_a_second(
    rig: Rig,
) -> None:
    gone = [b for b in rig.blocks() if b.gone]
    assert len(gone) == pytest.approx(4 * AWAY_S, abs=4)
    assert rig.looks.count("started") == pytest.approx(AWAY_S, abs=3)


def slept_after_the_second_block(card: Any, slept_s: float) -> list[Block]:
    asleep = iter([50.0] * 3 + [50.0 + slept_s] * 9)  # at the start, then at each block
    card.sound = np.repeat(np.arange(1, 6, dtype=np.int16), BLOCK)
    waiting = Waiting(slept=lambda: next(asleep))
    with Returning(lambda: Microphone(sounddevice=card), waiting) as source:
        return list(islice(source, 5))


def test_a_closed_lid_is_told_although_the_microphone_goes_on(sound_card: Any) -> None:
    blocks = slept_after_the_second_block(sound_card, 3600.0)
    assert [block.lost_s for block in blocks] == [0, 0, 3600, 0, 0]
    starts = [block.start_s for block in blocks]
    assert starts == pytest.approx([0, 0.03, 3600.06, 3600.09, 3600.12])


def test_clocks_that_are_read_one_after_the_other_are_no_sleep(sound_card: Any) -> None:
    assert not any(block.lost_s for block in slept_after_the_second_block(sound_card, 0.4))


@pytest.mark.skipif(sys.platform != "linux", reason="the clocks of Linux")
def test_how_long_the_machine_slept_is_what_the_kernel_says() -> None:
    asleep_s = time.clock_gettime(time.CLOCK_BOOTTIME) - time.clock_gettime(time.CLOCK_MONOTONIC)
    assert slept_s() == pytest.approx(asleep_s, abs=0.5)


def test_another_sample_rate_after_the_return_changes_nothing_of_ours(rig: Rig) -> None:
    def other_rate() -> None:
        rig.card.rates_hz = {48_000}
        rig.card.sound = np.full(5 * 1440, 9, np.int16)

    rig.changes = other_rate
    blocks = rig.blocks(after_return=3)
    after = [b for b in blocks if b.gone is None][5:]
    assert [len(b.samples) for b in after] == [BLOCK, BLOCK, BLOCK]


def test_without_a_wish_the_device_that_is_usual_by_then_is_taken(rig: Rig) -> None:
    def switched() -> None:
        rig.card.devices[0]["max_input_channels"] = 0
        rig.card.default.device = [1, 2]

    rig.changes = switched
    opened: list[int] = []
    open_stream = rig.card.RawInputStream

    def noted(**settings: Any) -> Any:
        opened.append(settings["device"])
        return open_stream(**settings)

    rig.card.RawInputStream = noted
    rig.blocks()
    assert opened[0] == 0
    assert set(opened[1:]) == {1}


def test_a_sound_server_that_restarts_is_waited_for(rig: Rig) -> None:
    def gone_for_a_while() -> None:
        if rig.card.broken:
            raise rig.card.PortAudioError("Host API not found")
        rig.looks.append("started")

    rig.card._initialize = gone_for_a_while
    blocks = rig.blocks()
    assert heard(blocks) == [1, 2, 3, 4, 5, 1, 2, 3, 4, 5]
    troubles = {b.gone.what for b in blocks if b.gone}
    assert "The sound system cannot be reached (Host API not found)" in troubles


def test_a_microphone_that_is_not_there_at_the_start_is_an_error(rig: Rig) -> None:
    rig.card.broken = True
    with pytest.raises(AudioError, match="cannot be opened"), Returning(rig.make):
        pass
