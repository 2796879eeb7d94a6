"""A whole client or the whole practice as one file, and back again, identical to the byte.

The file is a zip: `visits/NNNNNN.jsonl` holds one visit and every version of its entries, as the
store has them; `facts.jsonl` the safety screens and scales; `clips/` the sound, when it was asked
for; `manifest.json` the SHA-256 of every other part. Nothing in it has a time of its own, so the
same records make the same file.
"""

import hashlib
import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, get_args
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from pydantic import BaseModel, ConfigDict

from voicelog.errors import StoreError
from voicelog.exports.files import new_file
from voicelog.records.entry import Entry
from voicelog.records.facts import ClientFact
from voicelog.records.visit import Visit
from voicelog.store.base import Clip, Parcel, Store

MANIFEST = "manifest.json"
FACTS = "facts.jsonl"
_EPOCH = (1980, 1, 1, 0, 0, 0)
"""The earliest time that a zip knows."""


class _Line(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Sound(_Line):
    """One clip of a version, and the file in the archive that holds it."""

    file: str
    text: str
    duration_s: float


class VisitLine(_Line):
    """The first line of a visit's file."""

    line: Literal["visit"] = "visit"
    visit: Visit


class VersionLine(_Line):
    """One version of an entry, with its sound."""

    line: Literal["version"] = "version"
    entry: Entry
    sound: tuple[Sound, ...] = ()


class FactLine(_Line):
    """Something on file about a client beside the visits."""

    fact: ClientFact


class Part(_Line):
    """What the manifest says about one part."""

    sha256: str
    bytes: int


class Manifest(_Line):
    """What an archive holds. `client` is None for a whole practice."""

    voicelog_archive: Literal[1] = 1
    client: str | None
    sound: bool
    parts: dict[str, Part]


@dataclass
class Archived:
    """What was written, for the person who asked."""

    visits: int = 0
    versions: int = 0
    clips: int = 0
    facts: int = 0


def write_archive(
    store: Store, path: Path, client: str | None, *, sound: bool, over: bool = False
) -> Archived:
    """Write everything kept of a client, or of all when None, into one file.

    `over` takes the place of a file that is there. Raises StoreError when nothing is kept,
    ExportError when the file cannot be written; then no half file is left.
    """
    clients = [code for code in store.clients() if client in (None, code)]
    if not clients:
        raise StoreError(
            "Nothing is on record yet" if client is None else f"Nothing is on record for {client}",
            kept="Nothing was written",
            do="Look at the list of clients with: voicelog visits",
        )
    with new_file(path, over=over) as file, ZipFile(file, "w") as zipped:
        writer = _Writer(zipped, sound)
        for number, visit in enumerate(store.visits(client), start=1):
            writer.visit(number, store.parcel(visit.visit_id))
        writer.facts(store, clients)
        writer.manifest(client)
    return writer.done


@dataclass
class _Writer:
    zipped: ZipFile
    sound: bool
    done: Archived = field(default_factory=Archived)
    parts: dict[str, Part] = field(default_factory=dict)

    def visit(self, number: int, parcel: Parcel) -> None:
        lines: list[_Line] = [VisitLine(visit=parcel.visit)]
        for version in parcel.versions:
            clips = parcel.clips.get((version.entry_id, version.version), ())
            kept = tuple(self._clip(clip) for clip in clips) if self.sound else ()
            lines.append(VersionLine(entry=version, sound=kept))
        self._put(f"visits/{number:06}.jsonl", _lines(lines))
        self.done.visits += 1
        self.done.versions += len(parcel.versions)

    def facts(self, store: Store, clients: list[str]) -> None:
        lines = [
            FactLine(fact=fact)
            for client in clients
            for kind in get_args(ClientFact)
            for fact in store.facts(client, kind)
        ]
        self._put(FACTS, _lines(lines))
        self.done.facts = len(lines)

    def manifest(self, client: str | None) -> None:
        manifest = Manifest(client=client, sound=self.sound, parts=self.parts)
        text = json.dumps(manifest.model_dump(mode="json"), indent=2, ensure_ascii=False)
        self._write(MANIFEST, f"{text}\n".encode())

    def _clip(self, clip: Clip) -> Sound:
        self.done.clips += 1
        name = f"clips/{self.done.clips:06}.flac"
        self._put(name, clip.flac)
        return Sound(file=name, text=clip.text, duration_s=clip.duration_s)

    def _put(self, name: str, content: bytes) -> None:
        self.parts[name] = Part(sha256=hashlib.sha256(content).hexdigest(), bytes=len(content))
        self._write(name, content)

    def _write(self, name: str, content: bytes) -> None:
        entry = ZipInfo(name, _EPOCH)
        entry.external_attr = 0o600 << 16
        packed = ZIP_STORED if name.endswith(".flac") else ZIP_DEFLATED
        self.zipped.writestr(entry, content, packed)


def _lines(lines: list[_Line] | list[FactLine]) -> bytes:
    return "".join(f"{line.model_dump_json()}\n" for line in lines).encode()
