"""What a practice has set for manner, position and instrument, where nobody said another."""

from collections.abc import Mapping
from typing import get_args

from voicelog.records.content import Habit, Trial

Defaults = Mapping[str, Mapping[Habit, str]]
"""By joint, or "all" for every joint; an empty value means none."""
EVERY_JOINT = "all"
HABITS: tuple[Habit, ...] = get_args(Habit)


def defaults_for(trial: Trial, defaults: Defaults) -> dict[Habit, str]:
    """The slots of the trial that are open and have a default. Those of its joint go before those
    of all joints; an instrument counts only where there is an angle."""
    if trial.joint is None:
        return {}
    own = {**defaults.get(EVERY_JOINT, {}), **defaults.get(trial.joint, {})}
    return {
        slot: own[slot]
        for slot in HABITS
        if getattr(trial, slot) is None and own.get(slot) and (slot != "instrument" or trial.angles)
    }
