"""What a practice has made its own beside the records: words and settings, kept with a backup.

They hold nothing of a client and are not encrypted.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from voicelog.errors import GrammarError
from voicelog.exports.files import whole_file
from voicelog.settings.fields import Settings
from voicelog.settings.places import settings_file
from voicelog.store.own_files import make_folder
from voicelog.words.file import THE_LINE, load_own_words

WORDS, SETTINGS, PRACTITIONERS = "words", "settings.toml", "practitioners"


@dataclass(frozen=True, slots=True)
class BroughtBack:
    """Words that were put back, words that differ from those here, and settings; by file. Of words
    that cannot be read, why."""

    words: tuple[Path, ...] = ()
    other_words: tuple[Path, ...] = ()
    settings: tuple[Path, ...] = ()
    unread: tuple[GrammarError, ...] = ()


def beside_backup(backup: Path) -> Path:
    """The folder beside a backup that holds them."""
    return backup.with_name(f"{backup.name}.practice")


def carry(settings: Settings, backup: Path) -> tuple[Path, ...]:
    """Copy words and settings beside a backup; where they are now. Raises ExportError."""
    carried = []
    for file, name in _own(settings):
        copy = beside_backup(backup) / name
        _copy(file, copy)
        carried.append(copy)
    return tuple(carried)


def bring_back(settings: Settings, backup: Path) -> BroughtBack:
    """Put the words of a backup where there are none for their language; what is here stays.

    Words that cannot be read are not put back: with them nothing could be heard any more. Settings
    are only named: they may say where records, models and devices of another machine are. Raises
    ExportError.
    """
    folder = beside_backup(backup)
    back, other, unread = [], [], []
    for copy in sorted((folder / WORDS).glob("*.toml")):
        file = settings.data_folder / WORDS / copy.name
        if error := _mistake(copy):
            unread.append(error)
        elif not file.exists():
            _copy(copy, file)
            back.append(file)
        elif file.read_bytes() != copy.read_bytes():
            other.append(copy)
    own = (folder / SETTINGS, *sorted((folder / PRACTITIONERS).glob("*.toml")))
    there = tuple(each for each in own if each.exists())
    return BroughtBack(tuple(back), tuple(other), there, tuple(unread))


def _mistake(copy: Path) -> GrammarError | None:
    try:
        load_own_words(copy, f"{THE_LINE}, then: voicelog words import {copy}")
    except GrammarError as error:
        return error
    return None


def _copy(file: Path, to: Path) -> None:
    make_folder(to.parent)
    with whole_file(to) as copied:
        copied.write(file.read_bytes())


def _own(settings: Settings) -> Iterator[tuple[Path, Path]]:
    """Each file that is there, with its name in the backup."""
    general = settings_file()
    if general.is_file():
        yield general, Path(SETTINGS)
    for folder, name in (
        (settings.data_folder / WORDS, WORDS),
        (general.parent / PRACTITIONERS, PRACTITIONERS),
    ):
        for file in sorted(folder.glob("*.toml")):
            yield file, Path(name) / file.name
