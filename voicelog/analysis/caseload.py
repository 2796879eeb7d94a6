"""How often each direction eased over a caseload, per joint, beside the rule of thumb.

One movement of one client counts once, by the latest visit that had enough to say: visits of the
same person are not independent. Only counts leave this module, never a client's code.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from voicelog.analysis.comparison import VisitComparisons
from voicelog.analysis.direction import Eased, directions
from voicelog.analysis.movement import Movement
from voicelog.analysis.tables import Figure
from voicelog.analysis.wilson import Share, share
from voicelog.records.visit import PRACTICE

ALL_JOINTS = "all joints"


@dataclass(frozen=True, slots=True)
class JointShares:
    """The shares at one joint. `eased` is over movements with enough to say.

    `gap_of_one_way` is the share of gap among movements that eased in exactly one direction: the
    figure the rule of thumb speaks about.
    """

    joint: str
    clients: int
    movements: int
    not_enough: int
    eased: Mapping[Eased, Share]
    gap_of_one_way: Share
    rule_of_thumb: Figure


def caseload(
    visits: Iterable[VisitComparisons], rules: Mapping[str, Figure]
) -> tuple[JointShares, ...]:
    """The shares for all joints together, then for each joint by name; `visits` in any order.
    Practice does not count."""
    latest: dict[tuple[str, Movement], tuple[bool, datetime, Eased]] = {}
    for visit in visits:
        if visit.at is None or visit.occasion.client == PRACTICE:
            continue
        for found in directions(visit.comparisons):
            key = (visit.occasion.client, found.movement)
            says = (found.eased is not Eased.NOT_ENOUGH, visit.at, found.eased)
            latest[key] = max(latest.get(key, says), says)
    by_joint: dict[str, list[tuple[str, Eased]]] = defaultdict(list)
    for (client, movement), (_, _, eased) in latest.items():
        by_joint[movement.joint].append((client, eased))
        by_joint[ALL_JOINTS].append((client, eased))
    order = sorted(by_joint, key=lambda joint: (joint != ALL_JOINTS, joint))
    return tuple(_shares(joint, by_joint[joint], rules["gap_share"]) for joint in order)


def _shares(joint: str, found: list[tuple[str, Eased]], rule_of_thumb: Figure) -> JointShares:
    counts = Counter(eased for _, eased in found)
    decided = len(found) - counts[Eased.NOT_ENOUGH]
    one_way = counts[Eased.GAP] + counts[Eased.COMPRESSION]
    return JointShares(
        joint=joint,
        clients=len({client for client, _ in found}),
        movements=len(found),
        not_enough=counts[Eased.NOT_ENOUGH],
        eased={
            eased: share(counts[eased], decided) for eased in Eased if eased is not Eased.NOT_ENOUGH
        },
        gap_of_one_way=share(counts[Eased.GAP], one_way),
        rule_of_thumb=rule_of_thumb,
    )
