"""What is measured while a day of listening passes: memory, computing, delay, sound."""

import gc
import os
import sys
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability.sound_day import HOUR_S, Card  # noqa: E402
from voicelog.audio.base import Block  # noqa: E402
from voicelog.dialogue.state import State  # noqa: E402
from voicelog.listening.happenings import Happening  # noqa: E402


@dataclass(frozen=True, slots=True)
class Used:
    """What a process uses of the machine: memory in MB, and seconds computed so far."""

    memory_mb: float
    computed_s: float


def used_by(pid: int) -> Used:
    """What this process uses now, by proc(5); raises OSError where there is none."""
    facts = Path(f"/proc/{pid}")
    pages = int((facts / "statm").read_text().split()[1])
    ticks = (facts / "stat").read_text().rpartition(")")[2].split()[11:13]
    return Used(
        pages * os.sysconf("SC_PAGE_SIZE") / 2**20,
        sum(map(int, ticks)) / os.sysconf("SC_CLK_TCK"),
    )


@dataclass
class Day:
    """What is measured while it passes; by the machine's clock it is over at `over_at_s`."""

    card: Card
    engine_pid: int
    over_at_s: float
    heard_s: float = 0.0
    missing_s: float = 0.0
    gone: int = 0
    back: int = 0
    saved: int = 0
    trouble: int = 0
    delays_ms: list[tuple[float, float]] = field(default_factory=list)
    used: list[tuple[float, Used, Used]] = field(default_factory=list)

    def watch(self, happening: Happening) -> None:
        """Count what happens."""
        facts = happening.facts
        if happening.kind in ("lost", "back"):
            self.missing_s += float(str(facts["seconds"]))
        if "latency_ms" in facts:
            self.delays_ms.append((self.card.played_s, float(str(facts["latency_ms"]))))
        self.gone += happening.kind == "gone"
        self.back += happening.kind == "back"
        self.saved += happening.kind == "saved"
        self.trouble += happening.kind == "trouble"

    def level(self, block: Block, state: State, speaking: bool) -> None:
        """A block was listened to."""
        if block.gone is None:
            self.heard_s += block.duration_s
            self.card.taken()
        every_s = self.card.hours * HOUR_S / 48
        if not self.used or self.card.played_s - self.used[-1][0] >= every_s:
            gc.collect()
            self.used.append((self.card.played_s, used_by(os.getpid()), used_by(self.engine_pid)))

    def work(self, from_s: float, to_s: float) -> float:
        """Seconds computed, by both processes, for a second of sound of this part of the day."""
        rows = [row for row in self.used if from_s <= row[0] <= to_s]
        computed_s = [row[1].computed_s + row[2].computed_s for row in rows]
        return (computed_s[-1] - computed_s[0]) / (rows[-1][0] - rows[0][0])
