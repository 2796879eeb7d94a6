"""What is known before an utterance: the movement that carries over, which angles it can have, and
which it had in this visit.

The sound and what is known are weighed as probabilities: an angle outside the plausible range costs
`UNLIKELY_NATS`, one far from all of this visit `FAR_NATS`, so it gives way to a reading of nearly
the same sound ("sixteen" and "sixty"), and still wins when it was said clearly. Pain is weighed by
its sound alone: what was said before must not draw towards itself the very number whose change
she is looking for.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from voicelog.grammar.parse import Intent
from voicelog.records.content import Trial

PlausibleRange = Mapping[tuple[str, str], tuple[int, int]]
"""For a joint and motion, the lowest and highest angle in degrees taken without asking back."""
UNLIKELY_NATS = 3.0
"""Log-odds against an angle outside the plausible range: about 1 in 20 (common practice, no
source)."""

FAR_DEG, FAR_NATS = 40, 1.5
"""An angle so many degrees from every one that the movement had in this visit, and the log-odds
against it: about 1 in 5. Both common practice, no source: "sixteen" and "sixty" lie 44 degrees
apart, and two trials of a visit seldom so much."""


@dataclass(frozen=True, slots=True)
class Prior:
    """What is known before an utterance. `carried` is the trial whose movement it takes on where it
    names none, `corrected` the one that a correction would be of. `earlier` are all trials of the
    visit whose records stand. `yes_or_no` is whether one was just asked for in so many words."""

    carried: Trial | None = None
    earlier: tuple[Trial, ...] = ()
    plausible: PlausibleRange = field(default_factory=lambda: MappingProxyType({}))
    yes_or_no: bool = False
    corrected: Trial | None = None

    def log_weight(self, intent: Intent) -> float:
        """The natural logarithm of how likely such a dictation is, against a usual one."""
        said = (intent.slots.get(slot) for slot in ("range_deg", "onset_deg"))
        angles = [angle for angle in said if isinstance(angle, int)]
        from_before = self.corrected if intent.command == "correction" else self.carried
        side, joint, motion = (
            intent.slots.get(slot) or getattr(from_before, slot, None)
            for slot in ("side", "joint", "motion")
        )
        low, high = self.plausible.get((str(joint), str(motion)), (0, 180))
        unlikely = sum(not low <= angle <= high for angle in angles)
        known = self._angles((side, joint, motion))
        far = sum(all(abs(angle - other) >= FAR_DEG for other in known) for angle in angles)
        return -UNLIKELY_NATS * unlikely - (FAR_NATS * far if known else 0.0)

    def _angles(self, movement: tuple[object, ...]) -> list[int]:
        """All angles that were saved for a movement in this visit, in degrees."""
        return [
            angle
            for trial in self.earlier
            if (trial.side, trial.joint, trial.motion) == movement
            for angle in trial.angles
        ]
