"""Taking an archive in. Every part is checked before its first line counts; nothing in it is ever
unpacked to disk, and a name or a size that no archive of ours has is refused."""

import hashlib
import re
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar
from zipfile import BadZipFile, ZipFile

from pydantic import BaseModel, ValidationError

from voicelog.archive.writing import (
    FACTS,
    MANIFEST,
    FactLine,
    Manifest,
    Sound,
    VersionLine,
    VisitLine,
)
from voicelog.errors import StoreError
from voicelog.records.facts import ClientFact
from voicelog.store.base import Clip, Parcel, Store, Taken

Line = TypeVar("Line", bound=BaseModel)

MOST_BYTES = 256 * 2**20
"""No part of an archive is larger: a visit's lines and a clip are thousands of times smaller."""

_VISIT_ID = re.compile(r"\d{4}-\d{2}-\d{2}-\d{1,6}")
_ENTRY_ID = re.compile(r"[A-Za-z0-9_-]{1,64}")
"""Ids become file names and addresses of pages, so no others come in."""
_NAME = re.compile(r"facts\.jsonl|visits/\d{6,9}\.jsonl|clips/\d{6,9}\.flac")


def read_archive(path: Path, store: Store) -> Taken:
    """Take in everything an archive holds, or nothing.

    What the store has already, to the letter, is passed over. Raises StoreError when the file is
    no archive or is damaged, or when the store has something else under the same id.
    """
    with _explained(path), ZipFile(path) as zipped:
        archive = _Archive(zipped)
        return store.take_in(archive.parcels(), archive.facts())


class _Archive:
    def __init__(self, zipped: ZipFile) -> None:
        self._zipped = zipped
        names = [entry.filename for entry in zipped.infolist()]
        if MANIFEST not in names:
            raise _Unfit("it is no archive of voicelog")
        self._parts = Manifest.model_validate_json(self._content(MANIFEST)).parts
        strange = [name for name in names if name != MANIFEST and not _NAME.fullmatch(name)]
        if strange or sorted(names) != sorted([MANIFEST, *self._parts]):
            raise _Unfit("it holds parts that do not belong there")

    def parcels(self) -> Iterator[Parcel]:
        for name in sorted(self._parts):
            if name.startswith("visits/"):
                yield self._parcel(name)

    def facts(self) -> Iterator[ClientFact]:
        for line in self._checked(FACTS).splitlines():
            yield FactLine.model_validate_json(line).fact

    def _parcel(self, name: str) -> Parcel:
        first, *rest = self._checked(name).splitlines()
        visit = VisitLine.model_validate_json(first).visit
        versions = [VersionLine.model_validate_json(line) for line in rest]
        ids = (version.entry.entry_id for version in versions)
        if not _VISIT_ID.fullmatch(visit.visit_id) or not all(map(_ENTRY_ID.fullmatch, ids)):
            raise _Unfit(f"{name} has an id that no record has")
        return Parcel(
            visit,
            tuple(version.entry for version in versions),
            {
                (v.entry.entry_id, v.entry.version): tuple(map(self._clip, v.sound))
                for v in versions
                if v.sound
            },
        )

    def _clip(self, sound: Sound) -> Clip:
        return Clip(self._checked(sound.file), sound.text, sound.duration_s)

    def _checked(self, name: str) -> bytes:
        """A part that is what the manifest says. Raises _Unfit when it is not."""
        part = self._parts.get(name)
        if part is None:
            raise _Unfit(f"{name} is missing")
        content = self._content(name)
        if len(content) != part.bytes or hashlib.sha256(content).hexdigest() != part.sha256:
            raise _Unfit(f"{name} has changed since it was written")
        return content

    def _content(self, name: str) -> bytes:
        if self._zipped.getinfo(name).file_size > MOST_BYTES:
            raise _Unfit(f"{name} is too large to be true")
        return self._zipped.read(name)


class _Unfit(ValueError):
    """Why a file is not what it should be."""


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    """Turn everything a wrong or damaged file can raise into StoreError, keeping the cause."""
    try:
        yield
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise _refused(path, f"it cannot be read: {reason}") from error
    except BadZipFile as error:
        raise _refused(path, "it is no archive of voicelog, or is damaged") from error
    except _Unfit as error:
        raise _refused(path, str(error)) from error
    except ValidationError as error:
        raise _refused(path, "one of its lines is no record of this version") from error
    except (EOFError, KeyError, NotImplementedError, RuntimeError, ValueError, zlib.error) as error:
        raise _refused(path, "it is damaged") from error


def _refused(path: Path, reason: str) -> StoreError:
    return StoreError(
        f"The file {path} was not taken in: {reason}",
        kept="Nothing was written, and what was saved before is still there",
        do="Take a file that `voicelog archive` wrote",
    )
