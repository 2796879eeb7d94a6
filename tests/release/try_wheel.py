"""Tries a release as a stranger would: builds it, installs the wheel alone, and uses it.

    python tests/release/try_wheel.py [FOLDER]

Needs the extra "release" and a network for pip. It leaves in FOLDER (default: dist) the wheel, the
sdist and a CycloneDX bill of materials of what the wheel brings, prints each command with its
seconds by the clock and of computing, and ends with 1 at the first that fails. The tests are not
run here: the gate runs all of them against what pip installed.
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path

ROOT = Path(__file__).parents[2]
HOMES = ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "APPDATA", "LOCALAPPDATA")
SCRIPTS = "Scripts" if sys.platform == "win32" else "bin"
PYTHON = Path(sys.executable)
NOTHING: Mapping[str, str] = {}
ENTERS = "\n" * 20
"""Takes what stands first wherever something is asked."""


def run(
    *command: str | Path, cwd: Path = ROOT, own: Mapping[str, str] = NOTHING
) -> tuple[float, float]:
    """Run a command and show it; its seconds by the clock and of computing. Ends when it fails.

    Whoever runs it in `cwd` has nothing at home but what lies there.
    """
    home = {name: str(cwd) for name in HOMES} if cwd != ROOT else {}
    began, computed = time.perf_counter(), _computed()
    ran = subprocess.run(
        [str(part) for part in command], cwd=cwd, input=ENTERS, capture_output=True,
        text=True, check=False, env={**os.environ, **home, **own},
    )  # fmt: skip
    took = time.perf_counter() - began, _computed() - computed
    _tell(took, " ".join(str(part) for part in command))
    if ran.returncode:
        sys.exit(ran.stdout[-4000:] + ran.stderr[-4000:])
    return took


def _computed() -> float:
    """Seconds of computing by all programs run so far."""
    times = os.times()
    return times.children_user + times.children_system


def _tell(took: tuple[float, float], what: str) -> None:
    print(f"{took[0]:7.1f} s, computing {took[1]:5.1f} s  {what}", flush=True)


def main() -> None:
    """Build, check, install, use."""
    out = Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "dist").resolve()
    shutil.rmtree(out, ignore_errors=True)
    run(PYTHON, "-m", "build", "--outdir", out, ".")
    wheel, sdist = next(out.glob("*.whl")), next(out.glob("*.tar.gz"))
    run(PYTHON, "-m", "twine", "check", "--strict", wheel, sdist)
    run(PYTHON, "-m", "check_wheel_contents", wheel)
    with tempfile.TemporaryDirectory() as place:
        by_pip(Path(place), wheel)
        by_pipx(Path(place), wheel, out)


def by_pip(place: Path, wheel: Path) -> None:
    """An empty environment, to the first saved practice record and beyond it."""
    env = place / "env" / SCRIPTS
    folder = ("--data", place / "data")
    steps = (
        run(PYTHON, "-m", "venv", place / "env"),
        run(env / "python", "-m", "pip", "install", "--quiet", wheel),
        run(env / "voicelog", "setup", "--only", "practice", *folder, cwd=place),
    )
    total = sum(clock for clock, _ in steps), sum(computed for _, computed in steps)
    _tell(total, f"in all, to the first saved practice record: {len(steps)} commands")
    run(env / "voicelog", "compare", "last", *folder, cwd=place)
    run(env / "voicelog", "demo", cwd=place)
    run(env / "voicelog", "licences", "--full", cwd=place)


def by_pipx(place: Path, wheel: Path, out: Path) -> None:
    """The same as an application of its own; it holds what the wheel brings and nothing else."""
    own = {"PIPX_HOME": str(place / "pipx"), "PIPX_BIN_DIR": str(place / "applications")}
    run(PYTHON, "-m", "pipx", "install", wheel, own=own)
    command = place / "applications" / "voicelog"
    run(command, "--version", cwd=place)
    run(command, "setup", "--only", "practice", "--data", place / "other", cwd=place)
    bill = out / f"{wheel.name.split('-py3')[0]}.cdx.json"
    inside = place / "pipx" / "venvs" / "voicelog" / SCRIPTS / "python"
    form = (
        "--output-format",
        "JSON",
        "--output-file",
        bill,
        "--pyproject",
        ROOT / "pyproject.toml",
    )
    run(PYTHON, "-m", "cyclonedx_py", "environment", *form, inside)
    told = json.loads(bill.read_text(encoding="utf-8"))
    told["metadata"]["component"]["version"] = wheel.name.split("-")[1]  # a file of code has it
    bill.write_text(json.dumps(told, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
