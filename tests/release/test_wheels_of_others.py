"""The second hearing is asked for where its packages have wheels, and nowhere else.

The wheels are those that the index lists: moonshine-voice 0.1.0 for manylinux_2_34 x86_64,
manylinux_2_31 and _2_34 aarch64, win_amd64 and macosx_15_0_arm64; onnxruntime 1.26 for these too,
and for Python 3.11 to 3.14. What a marker means is asked of `packaging`, which pip carries.
"""

import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

from voicelog.recognisers.usable_transcriber import RUNTIME, WEIGHTS

ROOT = Path(__file__).parents[2]
LINUX = "#1 SMP PREEMPT_DYNAMIC Debian 6.1.76-1 (2024-02-01)"
DARWIN = "Darwin Kernel Version {}.6.0: Mon Jul 14 11:30:29 PDT; root:xnu/RELEASE"
"""What `uname -v` says there (from memory)."""
WITH = [
    ("linux", "x86_64", "6.1.0-18-amd64", LINUX),
    ("linux", "x86_64", "5.15.153.1-microsoft-standard-WSL2", "#1 SMP Fri Mar 29 23:14:13 UTC"),
    ("linux", "aarch64", "6.6.31+rpt-rpi-v8", LINUX),
    ("win32", "AMD64", "11", "10.0.22631"),
    ("darwin", "arm64", "24.6.0", DARWIN.format(24)),
    ("darwin", "arm64", "25.1.0", DARWIN.format(25)),
]
WITHOUT = [
    ("linux", "armv7l", "6.6.31+rpt-rpi-v7", LINUX),
    ("linux", "i686", "6.1.0-18-686", LINUX),
    ("win32", "ARM64", "11", "10.0.26100"),
    ("darwin", "arm64", "23.6.0", DARWIN.format(23)),
    ("darwin", "arm64", "20.1.0", DARWIN.format(20)),
    ("darwin", "x86_64", "24.6.0", DARWIN.format(24)),
]
"""As sys.platform, and as the module platform names machine, release and version."""


def asked_for(system: tuple[str, str, str, str], python: str = "3.11") -> set[str]:
    """What voicelog asks for by a marker on such a machine."""
    names = ("sys_platform", "platform_machine", "platform_release", "platform_version")
    there: dict[str, str] = dict(zip(names, system, strict=True)) | {"python_version": python}
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    needed = [Requirement(text) for text in project["dependencies"]]
    return {
        f"{one.name}{one.specifier}" for one in needed if one.marker and one.marker.evaluate(there)
    }


BOTH = {str(Requirement(text)) for text in (WEIGHTS, RUNTIME)}
"""What voicelog itself tells to install, where it is missing."""


@pytest.mark.parametrize("system", WITH, ids=lambda one: f"{one[0]} {one[1]} {one[2]}")
def test_it_is_asked_for_where_there_are_wheels(system: tuple[str, str, str, str]) -> None:
    assert asked_for(system) == BOTH
    assert asked_for(system, "3.14") == BOTH


@pytest.mark.parametrize("system", WITHOUT, ids=lambda one: f"{one[0]} {one[1]} {one[2]}")
def test_elsewhere_it_is_not(system: tuple[str, str, str, str]) -> None:
    assert asked_for(system) == set()


def test_nor_for_a_python_that_onnx_runtime_has_no_wheel_for() -> None:
    assert all(asked_for(system, "3.15") == set() for system in (*WITH, *WITHOUT))
