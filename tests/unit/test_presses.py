"""A press counts once, however the contact behaves and however long the key is held."""

import pytest

from voicelog.listening.presses import Key, Presses


def counted(*pressed: tuple[Key, float]) -> list[tuple[Key, float]]:
    """Those of the presses, each with its second, that count."""
    seconds = iter([at_s for _, at_s in pressed])
    presses = Presses(lambda: next(seconds))
    for key, _ in pressed:
        presses.put(key)
    return [(press.key, press.at_s) for press in iter(presses.take, None)]


@pytest.mark.parametrize("key", ["affirm", "negative", "pause"])
def test_a_contact_that_bounces_is_pressed_once(key: Key) -> None:
    assert counted((key, 5.0), (key, 5.02), (key, 5.04)) == [(key, 5.0)]


@pytest.mark.parametrize(("delay_s", "rate_hz"), [(0.25, 30), (0.5, 30), (0.66, 25), (0.5, 2.5)])
def test_a_pedal_that_is_held_down_is_pressed_once(delay_s: float, rate_hz: float) -> None:
    """Delays and rates of repeating keys as Linux, X.org and Windows come with (from memory)."""
    repeats = [("pause", 1 + delay_s + n / rate_hz) for n in range(int(3 * rate_hz))]
    assert counted(("pause", 1.0), *repeats) == [("pause", 1.0)]  # type: ignore[arg-type]


def test_the_same_answer_to_a_second_question_counts() -> None:
    assert len(counted(("negative", 5.0), ("negative", 6.0))) == 2


def test_another_key_in_between_makes_it_another_press() -> None:
    pressed: list[tuple[Key, float]] = [("pause", 5.0), ("affirm", 5.3), ("pause", 5.6)]
    assert counted(*pressed) == pressed
