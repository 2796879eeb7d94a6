"""The licences of what voicelog stands on, read from the packages as they are installed."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement

from voicelog.data_files.package import package_path
from voicelog.errors import ConfigurationError

NAME = "voicelog"
_NOT_IN_ITS_PACKAGE = {"espeakng-loader": "carries eSpeak NG: GPL-3.0-or-later"}
"""What the makers say elsewhere, where a package says nothing."""
_FILE = re.compile(r"(licen[cs]e|copying|notice|authors)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Licensed:
    """An installed package, its licence as it names it, and the files that hold the words of it."""

    name: str
    version: str
    licence: str
    files: tuple[Path, ...]


def licensed() -> tuple[Licensed, ...]:
    """voicelog itself, then all it needs, directly or not, in the order of the alphabet.

    Raises ConfigurationError when it runs from a copy that was never installed.
    """
    found: dict[str, Distribution] = {}
    _walk(NAME, frozenset(), found)
    if NAME not in found:
        raise ConfigurationError(
            "This copy of voicelog was never installed, so its packages cannot be listed",
            do="Install it, in its folder: `python -m pip install .`",
        )
    own = found.pop(NAME)
    return tuple(map(_licensed, (own, *(one for _, one in sorted(found.items())))))


def recordings() -> str:
    """Where the recordings and reference tables come from, and their licences, as Markdown."""
    return package_path("audio_fixtures/README.md").read_text(encoding="utf-8")


def _walk(name: str, extras: frozenset[str], found: dict[str, Distribution]) -> None:
    key = _plain(name)
    known = key in found
    if known and not extras:
        return
    try:
        package = distribution(name)
    except PackageNotFoundError:
        return
    found[key] = package
    for text in package.requires or ():
        needed = Requirement(text)
        if _is_needed(needed, extras):
            _walk(needed.name, frozenset(needed.extras), found)


def _is_needed(needed: Requirement, extras: frozenset[str]) -> bool:
    if needed.marker is None:
        return True
    return any(needed.marker.evaluate({"extra": extra}) for extra in ("", *extras))


def _plain(name: str) -> str:
    """A name as PyPI compares it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def _licensed(package: Distribution) -> Licensed:
    files = tuple(_texts(package))
    return Licensed(package.metadata["Name"], package.version, _licence(package), files)


def _licence(package: Distribution) -> str:
    """The SPDX expression, else the classifiers, else the first line of the free field."""
    said: dict[str, list[str]] = {
        field: package.metadata.get_all(field) or []
        for field in ("License-Expression", "Classifier", "License")
    }
    if said["License-Expression"]:
        return said["License-Expression"][0]
    classed = [c.rpartition("::")[2].strip() for c in said["Classifier"] if _is_licence(c)]
    if classed:
        return ", ".join(classed)
    lines = "\n".join(said["License"]).strip().splitlines()
    return (
        lines[0]
        if lines
        else _NOT_IN_ITS_PACKAGE.get(_plain(package.metadata["Name"]), "see its files")
    )


def _is_licence(classifier: str) -> bool:
    return classifier.startswith("License ::")


def _texts(package: Distribution) -> Iterator[Path]:
    named = [file for file in package.files or () if _FILE.search(file.name)]
    beside = [file for file in named if ".dist-info" in file.parts[0]]
    inside = [file for file in named if len(file.parts) == 2 and file.suffix in ("", ".txt", ".md")]
    for file in beside or inside:
        path = Path(str(file.locate()))
        if path.is_file():
            yield path
