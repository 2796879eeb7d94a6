"""The licences are those that the installed packages name (core metadata, PEP 621 and PEP 639)."""

import re
import tomllib
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.version import Version
from typer.testing import CliRunner

from voicelog import __version__
from voicelog.cli.app import app
from voicelog.licences import Licensed, licensed
from voicelog.recognisers.transcriber import weights_folder

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def found() -> dict[str, Licensed]:
    try:
        distribution("voicelog")
    except PackageNotFoundError:
        pytest.skip("this copy of voicelog was never installed")
    return {one.name.lower().replace("_", "-"): one for one in licensed()}


def test_everything_that_is_asked_for_is_listed(found: dict[str, Licensed]) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [Requirement(text) for text in project["dependencies"]]
    here = [one for one in asked if one.marker is None or one.marker.evaluate()]
    named = {one.name.lower().replace("_", "-") for one in here}
    assert named <= set(found)
    assert "markupsafe" in found, "what only a dependency asks for is listed as well"
    assert "pytest" not in found, "what only the tests need is not"


def test_voicelog_comes_first_with_its_own(found: dict[str, Licensed]) -> None:
    first = next(iter(found.values()))
    assert (first.name, first.version, first.licence) == ("voicelog", __version__, "MIT")


def test_known_licences_are_read_right(found: dict[str, Licensed]) -> None:
    """As PyPI shows them: numpy and Flask name BSD terms, requests Apache 2.0."""
    assert "BSD" in found["flask"].licence
    assert "BSD" in found["numpy"].licence
    assert "Apache" in found["requests"].licence
    assert "GPL-3.0" in found["espeakng-loader"].licence
    assert all(one.licence for one in found.values())


def test_the_second_hearing_is_named_with_the_words_of_its_licences(
    found: dict[str, Licensed],
) -> None:
    """Both name MIT; ONNX Runtime keeps its words beside its code."""
    if weights_folder() is None:
        pytest.skip("there is no second hearing on this system")
    for name, holder in (("moonshine-voice", "Moonshine AI"), ("onnxruntime", "Microsoft")):
        assert "MIT" in found[name].licence
        words = "".join(file.read_text(encoding="utf-8") for file in found[name].files)
        assert re.search(rf"Copyright \(c\)\s+{holder}|Copyright \(c\) 2025 {holder}", words)
    assert "protobuf" in found


def test_the_full_text_holds_every_file_and_the_recordings(found: dict[str, Licensed]) -> None:
    done = CliRunner().invoke(app, ["licences", "--full"])
    assert done.exit_code == 0
    assert "Redistribution and use in source and binary forms" in done.output
    assert "CMU ARCTIC" in done.output
    assert "Moonshine AI" in done.output


def test_the_version_is_told() -> None:
    done = CliRunner().invoke(app, ["--version"])
    assert done.output.strip() == __version__


def test_the_changes_begin_with_this_version() -> None:
    versions = re.findall(r"^## (.+)$", CliRunner().invoke(app, ["changes"]).output, re.MULTILINE)
    assert versions[0] == __version__
    assert versions == sorted(versions, key=Version, reverse=True)
