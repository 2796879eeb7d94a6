"""Confidence interval of a share that was counted.

Wilson EB. Probable inference, the law of succession, and statistical inference. J Am Stat Assoc
1927;22:209-212 (from memory; the formula is held to a reference library in the tests).
"""

from dataclasses import dataclass
from math import sqrt

from voicelog.analysis.range_error import Z95


@dataclass(frozen=True, slots=True)
class Share:
    """`count` out of `total`, and its 95 % interval; all three shares lie between 0 and 1.

    With nothing counted the share is None and the interval is the whole of 0 to 1.
    """

    count: int
    total: int
    share: float | None
    low: float
    high: float


def share(count: int, total: int, z: float = Z95) -> Share:
    """The share with its Wilson score interval at `z` standard deviations.

    Raises ValueError unless 0 <= count <= total.
    """
    if not 0 <= count <= total:
        raise ValueError(f"{count} out of {total} is no share")
    if total == 0:
        return Share(0, 0, None, 0.0, 1.0)
    p = count / total
    centre = p + z * z / (2 * total)
    spread = z * sqrt(p * (1 - p) / total + z * z / (4 * total * total))
    scale = 1 + z * z / total
    low, high = (centre - spread) / scale, (centre + spread) / scale
    return Share(count, total, p, max(0.0, low), min(1.0, high))
