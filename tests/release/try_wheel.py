"""Tries a release as a stranger would: builds it, installs the wheel alone, and uses it.

    python tests/release/try_wheel.py [FOLDER]

Needs the extra "release" and a network for pip. It leaves in FOLDER (default: dist) the wheel, the
sdist and a CycloneDX bill of materials of what the wheel brings, prints each command with its
seconds, and ends with 1 at the first that fails.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
HOMES = ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "APPDATA", "LOCALAPPDATA")
TESTED = (
    "tests/unit",
    "tests/contract",
    "tests/end_to_end/test_help.py",
    "tests/end_to_end/test_demo_visit.py",
)
"""Tests that need nothing but the installed package and the recordings."""


def run(*command: str | Path, cwd: Path = ROOT) -> float:
    """Run a command, show it with its seconds, and stop when it fails.

    Whoever runs it in `cwd` has nothing at home but what lies there.
    """
    home = {name: str(cwd) for name in HOMES} if cwd != ROOT else {}
    began = time.perf_counter()
    ran = subprocess.run(
        [str(part) for part in command], cwd=cwd, stdin=subprocess.DEVNULL, capture_output=True,
        text=True, check=False, env=os.environ | home,
    )  # fmt: skip
    took = time.perf_counter() - began
    print(f"{took:7.1f} s  {' '.join(str(part) for part in command)}", flush=True)
    if ran.returncode:
        sys.exit(ran.stdout[-4000:] + ran.stderr[-4000:])
    return took


def main() -> None:
    """Build, check, install, use, test."""
    out = Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "dist").resolve()
    shutil.rmtree(out, ignore_errors=True)
    python = sys.executable
    run(python, "-m", "build", "--outdir", out, ".")
    wheel, sdist = next(out.glob("*.whl")), next(out.glob("*.tar.gz"))
    run(python, "-m", "twine", "check", "--strict", wheel, sdist)
    run(python, "-m", "check_wheel_contents", wheel)
    with tempfile.TemporaryDirectory() as place:
        stranger(Path(place), wheel, out)


def stranger(place: Path, wheel: Path, out: Path) -> None:
    """An empty environment, to the first saved practice record, and the tests in it."""
    took = run(sys.executable, "-m", "venv", place / "env")
    env = place / "env" / ("Scripts" if sys.platform == "win32" else "bin")
    took += run(env / "python", "-m", "pip", "install", "--quiet", wheel)
    folder = ("--data", place / "data")
    took += run(env / "voicelog", "setup", "--only", "practice", *folder, cwd=place)
    print(f"{took:7.1f} s  from an empty folder to the first saved practice record, 3 commands")
    run(env / "voicelog", "compare", "last", *folder, cwd=place)
    run(env / "voicelog", "demo", cwd=place)
    run(env / "voicelog", "licences", "--full", cwd=place)
    bill = out / f"{wheel.name.split('-py3')[0]}.cdx.json"
    run(
        sys.executable,
        "-m",
        "cyclonedx_py",
        "environment",
        "--of",
        "JSON",
        "-o",
        bill,
        env / "python",
    )
    run(env / "python", "-m", "pip", "install", "--quiet", f"{wheel}[test]")
    # Without the package beside them, the tests can only meet the installed one.
    for name in ("tests", "audio_fixtures"):
        shutil.copytree(ROOT / name, place / "away" / name)
    shutil.copy(ROOT / "pyproject.toml", place / "away")
    run(env / "python", "-m", "pytest", "-q", *TESTED, cwd=place / "away")


if __name__ == "__main__":
    main()
