"""The wheel: it carries what it needs, the packaging tools find no fault, and it works alone.

The outside checks are `twine check` and `check-wheel-contents`. `tests/release/try_wheel.py` does
the slower part by hand: an empty environment by pip and by pipx, and a bill of materials.
"""

import os
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
EPOCH = "1767225600"
ENTERS = "\n" * 20
"""Takes what stands first wherever something is asked."""


def done(*command: str, cwd: Path = ROOT, **environment: str) -> str:
    """Run a command that must succeed; what it printed."""
    ran = subprocess.run(
        [sys.executable, *command],
        capture_output=True,
        text=True,
        cwd=cwd,
        env=os.environ | environment,
        input=ENTERS,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return ran.stdout + ran.stderr


def build(kind: str, folder: Path, source: Path = ROOT) -> Path:
    command = ("-m", "hatchling", "build", "-t", kind, "-d", str(folder))
    done(*command, cwd=source, SOURCE_DATE_EPOCH=EPOCH)
    (file,) = folder.iterdir()
    return file


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    pytest.importorskip("hatchling", reason="hatchling is not installed")
    return build("wheel", tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def sdist(tmp_path_factory: pytest.TempPathFactory) -> Path:
    pytest.importorskip("hatchling", reason="hatchling is not installed")
    return build("sdist", tmp_path_factory.mktemp("sdist"))


def test_it_carries_the_words_the_tables_and_the_licences(wheel: Path) -> None:
    inside = set(zipfile.ZipFile(wheel).namelist())
    words = {p.relative_to(ROOT) for p in (ROOT / "grammar").rglob("*.*") if p.is_file()}
    assert {f"voicelog/_data/{path.as_posix()}" for path in words} <= inside
    package = [p for p in (ROOT / "voicelog").rglob("*") if p.is_file() and p.suffix != ".pyc"]
    assert {path.relative_to(ROOT).as_posix() for path in package} <= inside
    assert "voicelog/_data/audio_fixtures/README.md" in inside
    assert any(name.endswith("licenses/LICENSE") for name in inside)
    assert not [name for name in inside if name.startswith(("tests", "grammar", "audio"))]


def test_the_source_carries_all_that_the_same_wheel_is_made_from(
    wheel: Path, sdist: Path, tmp_path: Path
) -> None:
    with tarfile.open(sdist) as file:
        file.extractall(tmp_path, filter="data")
    (unpacked,) = tmp_path.iterdir()
    assert all((unpacked / name).exists() for name in ("LICENSE", "tests", "audio_fixtures"))
    assert build("wheel", tmp_path / "again", unpacked).read_bytes() == wheel.read_bytes()


def test_the_packaging_tools_find_no_fault(wheel: Path, sdist: Path) -> None:
    pytest.importorskip("twine", reason="twine is not installed")
    pytest.importorskip("check_wheel_contents", reason="check-wheel-contents is not installed")
    done("-m", "twine", "check", "--strict", str(wheel), str(sdist))
    done("-m", "check_wheel_contents", str(wheel))


def test_the_same_source_gives_the_same_wheel(
    wheel: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    again = build("wheel", tmp_path_factory.mktemp("again"))
    assert again.read_bytes() == wheel.read_bytes()


def test_it_works_alone(wheel: Path, tmp_path: Path, dictation: Path) -> None:
    """Unpacked by itself, far from the working copy, to the first saved practice record."""
    alone = tmp_path / "alone"
    zipfile.ZipFile(wheel).extractall(alone)
    own = {
        "PYTHONPATH": str(alone), "VOICELOG_SETTINGS": str(tmp_path / "settings.toml"),
        "VOICELOG_DATA_FOLDER": str(tmp_path / "data"),
    }  # fmt: skip
    where = done("-c", "import voicelog; print(voicelog.__file__)", cwd=tmp_path, **own)
    assert where.startswith(str(alone))
    practice = ("setup", "--only", "practice", "--audio", str(dictation))
    assert "One record is saved" in done("-m", "voicelog", *practice, cwd=tmp_path, **own)
    assert "PRACTICE" in done("-m", "voicelog", "compare", "last", "--json", cwd=tmp_path, **own)
