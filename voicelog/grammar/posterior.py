"""What is known before an utterance: the movement that carries over, and which angles it can have.

The sound and what is known are weighed as probabilities: a value outside the plausible range costs
`UNLIKELY_NATS`, so it gives way to a reading of nearly the same sound, and still wins when it was
said clearly.
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


@dataclass(frozen=True, slots=True)
class Prior:
    """What is known before an utterance. `carried` is the last trial of the visit."""

    carried: Trial | None = None
    plausible: PlausibleRange = field(default_factory=lambda: MappingProxyType({}))

    def log_weight(self, intent: Intent) -> float:
        """The natural logarithm of how likely such a dictation is, against a usual one."""
        said = (intent.slots.get(slot) for slot in ("range_deg", "onset_deg"))
        angles = [angle for angle in said if isinstance(angle, int)]
        if not angles:
            return 0.0
        joint = intent.slots.get("joint") or (self.carried and self.carried.joint)
        motion = intent.slots.get("motion") or (self.carried and self.carried.motion)
        low, high = self.plausible.get((str(joint), str(motion)), (0, 180))
        return -UNLIKELY_NATS * sum(not low <= angle <= high for angle in angles)
