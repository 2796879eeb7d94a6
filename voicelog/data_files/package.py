"""Where the data files of the project lie: in the installed package, or beside it in a clone."""

from pathlib import Path

from voicelog.errors import ConfigurationError

_HERE = Path(__file__).parents[1]


def package_path(name: str) -> Path:
    """The file or folder of that name under the project's top level, such as "grammar/en".

    Raises ConfigurationError when it is in neither place.
    """
    for root in (_HERE / "_data", _HERE.parent):
        if (root / name).exists():
            return root / name
    raise ConfigurationError(
        f"voicelog's own file {name} is missing from {_HERE}",
        kept="Records are not touched by this",
        do="Install voicelog again from a complete copy",
    )
