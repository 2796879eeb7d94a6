"""How long `voicelog listen` takes to listen, and how much memory it needs: prints both.

    python tests/benchmarks/starting.py [STARTS]

Each start is a process of its own with a home of its own, on the recording of the demo's visit in
the place of a microphone. The clock runs from the command to the first block of sound, and on to
the first utterance that was judged, which the engine must have loaded for. The first start
compiles the networks; the others find them in the cache, as every start of a working day does.
Memory is what each of its processes holds then, with its part of what they share (Pss of proc(5),
so on Linux only).
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
_LISTEN = """
import sys, voicelog.listening.live as live
plain = live.Live._listen
def listen(self, block):
    live.Live._listen = plain
    print("listening", flush=True)
    plain(self, block)
live.Live._listen = listen
from voicelog.cli.app import main
sys.exit(main())
"""


def start(home: Path) -> tuple[float, float, dict[str, float]]:
    """Seconds to the first block and to the first judged utterance; megabytes by process."""
    sound = ROOT / "audio_fixtures" / "visit.flac"
    arguments = ["--client", "C-014", "--screen-later", "--events", "--audio", str(sound)]
    places = {"HOME": str(home), "XDG_CONFIG_HOME": "", "XDG_DATA_HOME": "", "XDG_CACHE_HOME": ""}
    began = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, "-c", _LISTEN, "listen", *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, **places, "PYTHONPATH": str(ROOT)},
        cwd=home,
        text=True,
    ) as process:
        assert process.stdout is not None
        listening_s = judged_s = 0.0
        for line in process.stdout:
            if line.startswith("listening"):
                listening_s = time.perf_counter() - began
            elif line.startswith("{"):
                judged_s = time.perf_counter() - began
                break
        memory = dict(_held(pid) for pid in _family(process.pid))
        process.kill()
    return listening_s, judged_s, memory


def _family(pid: int) -> list[int]:
    children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return [pid, *(member for child in children for member in _family(int(child)))]


def _held(pid: int) -> tuple[str, float]:
    """What a process is, and what it holds, in megabytes."""
    said = Path(f"/proc/{pid}/cmdline").read_text()
    role = "the tracker of shared memory" if "resource_tracker" in said else "the visit"
    role = "the engine" if "spawn_main" in said else role
    held = Path(f"/proc/{pid}/smaps_rollup").read_text().split("Pss:")[1]
    return role, int(held.split()[0]) / 1024


def main() -> None:
    """Print a line for the first start, and one for the others."""
    starts = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    with tempfile.TemporaryDirectory() as home:
        first, *others = [start(Path(home)) for _ in range(1 + starts)]
    print(f"First start: listening after {first[0]:.2f} s, first judgement {first[1]:.2f} s")
    for column, what in enumerate(("listening", "first judgement")):
        seconds = sorted((listening, judged)[column] for listening, judged, _ in others)
        print(
            f"{starts} more starts: {what} after {statistics.median(seconds):.2f} s at the median, "
            f"{seconds[0]:.2f} to {seconds[-1]:.2f}"
        )
    memory = others[-1][2]
    parts = ", ".join(f"{role} {held:.0f}" for role, held in memory.items())
    print(f"Memory: {sum(memory.values()):.0f} MB ({parts})")


if __name__ == "__main__":
    main()
