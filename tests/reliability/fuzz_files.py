"""Targets of fuzzing that take files: languages, settings, records, keys, archives, sound."""

import hashlib
import io
import json
import os
import shutil
import sys
from collections import deque
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from zipfile import ZipFile

import numpy as np
import soundfile

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability.fuzz_words import NINE, Run  # noqa: E402
from tests.reliability.mutation import damaged, damaged_toml  # noqa: E402
from voicelog.archive.reading import read_archive  # noqa: E402
from voicelog.archive.writing import MANIFEST, write_archive  # noqa: E402
from voicelog.audio.base import RATE_HZ  # noqa: E402
from voicelog.audio.clips import from_flac, to_flac  # noqa: E402
from voicelog.audio.sound_facts import describe  # noqa: E402
from voicelog.audio.sound_file import SoundFile  # noqa: E402
from voicelog.data_files.languages import language_folder, load_language  # noqa: E402
from voicelog.grammar.phrases import Phrases  # noqa: E402
from voicelog.records.content import Trial  # noqa: E402
from voicelog.records.entry import Affirmation, Entry  # noqa: E402
from voicelog.settings.fields import Settings  # noqa: E402
from voicelog.settings.loading import load_settings  # noqa: E402
from voicelog.settings.places import settings_file  # noqa: E402
from voicelog.store.base import Clip, Store  # noqa: E402
from voicelog.store.drivers import FileKey  # noqa: E402
from voicelog.store.keys import Keys, read_keys, write_keys  # noqa: E402
from voicelog.store.memory import MemoryStore  # noqa: E402
from voicelog.store.sqlite import SqliteStore  # noqa: E402
from voicelog.store.wrapping import Cost, WrongKey  # noqa: E402
from voicelog.wiring import House  # noqa: E402

KEY = FileKey(bytes(range(48)))
PASSPHRASE = "made up for fuzzing"
CHEAPEST = Cost(log2_n=1, r=1, p=1)
TONE = (8000 * np.sin(np.arange(RATE_HZ // 4) / 6)).astype(np.int16)


def fill(store: Store) -> None:
    """Two visits with a few records, one waiting, and sound."""
    yes = Affirmation(read_back="pain four", by="voice")
    for day in range(2):
        at = NINE + timedelta(days=day)
        visit = store.open_visit("C-014", at)
        for number in range(4):
            first = Entry(
                entry_id=f"d{day}e{number}", visit_id=visit.visit_id, client="C-014",
                status="unconfirmed", content=Trial(side="left", joint="ankle", pain=number),
                spoken_at=at, at=at, by="AB",
            )  # fmt: skip
            store.append(first, [Clip(to_flac(TONE), "left ankle pain", 0.25)])
            if number:
                store.append(first.confirm(yes, at))
        store.end_visit(visit.visit_id, at)


def settings(folder: Path) -> Run:
    """The settings file."""
    good = "\n".join(
        f"{name} = {json.dumps(field.default)}"
        for name, field in Settings.model_fields.items()
        if isinstance(field.default, str | int | bool)
    )
    path = folder / "settings.toml"

    def run(chance: Random) -> None:
        os.environ["VOICELOG_SETTINGS"] = str(path)
        path.write_bytes(damaged_toml(good, chance).encode("utf-8", "surrogateescape"))
        load_settings()

    assert settings_file()
    return run


def grammar_files(folder: Path) -> Run:
    """One file of a language at a time, and what is built from it when it can be read."""
    copied = folder / "en"
    shutil.copytree(language_folder(), copied)
    files = sorted(copied.glob("*.toml"))
    good = {file: file.read_text(encoding="utf-8") for file in files}

    def run(chance: Random) -> None:
        file = chance.choice(files)
        file.write_bytes(damaged_toml(good[file], chance).encode("utf-8", "surrogateescape"))
        try:
            language = load_language(copied)
            if chance.random() < 0.2:
                Phrases(language)
        finally:
            file.write_text(good[file], encoding="utf-8")

    return run


def _store_files(folder: Path, key: FileKey | None) -> Run:
    good_path, path = folder / "good.sqlite", folder / "bad.sqlite"
    store = SqliteStore(good_path, key=key)
    fill(store)
    store.close()
    good = good_path.read_bytes()

    def run(chance: Random) -> None:
        for old in folder.glob("bad.sqlite*"):
            old.unlink()
        path.write_bytes(damaged(good, chance, near=chance.choice((100, 4096, 0))))
        opened = SqliteStore(path, wait_s=0.1, key=key)
        try:
            _read_all(opened)
        finally:
            opened.close()

    return run


def _read_all(store: SqliteStore) -> None:
    for visit in store.visits():
        store.parcel(visit.visit_id)
        store.unconfirmed(visit.visit_id)
        for entry in store.records(visit.visit_id):
            store.clips(entry.entry_id)
    store.clients()
    store.check()
    store.open_visit("C-015", datetime(2026, 4, 1, tzinfo=UTC))


def plain_store(folder: Path) -> Run:
    """A file of records that is not encrypted, where damage reaches every table."""
    return _store_files(folder, None)


def encrypted_store(folder: Path) -> Run:
    """A file of records as it is kept."""
    return _store_files(folder, KEY)


def keys_file(folder: Path) -> Run:
    """The file of keys beside it, read, and tried with its passphrase unless that is made dear."""
    path = folder / "records.sqlite.keys"
    keys = Keys(ways=()).with_typed("passphrase", PASSPHRASE, KEY, CHEAPEST)
    write_keys(path, keys)
    good = path.read_text(encoding="utf-8")

    def run(chance: Random) -> None:
        path.write_bytes(damaged_toml(good, chance).encode("utf-8", "surrogateescape"))
        found = read_keys(path)
        if found and all(way.cost.log2_n < 8 for way in found.typed):
            with suppress(WrongKey):  # what `Lock` asks again for
                found.opened_by(PASSPHRASE)

    return run


def archives(folder: Path) -> Run:
    """An archive to import: its bytes, or a part of it with the checksum made to fit."""
    path = folder / "archive.zip"
    filled = MemoryStore()
    fill(filled)
    write_archive(filled, path, None, sound=True)
    good = path.read_bytes()

    def run(chance: Random) -> None:
        whole = chance.random() < 0.4
        path.write_bytes(damaged(good, chance) if whole else _refitted(good, chance))
        read_archive(path, MemoryStore())

    return run


def _refitted(good: bytes, chance: Random) -> bytes:
    with ZipFile(io.BytesIO(good)) as zipped:
        parts = {name: zipped.read(name) for name in zipped.namelist()}
    name = chance.choice([*parts, *(n for n in parts if n.endswith(".jsonl"))])
    text = damaged_toml(parts[name].decode("utf-8", "surrogateescape"), chance)
    parts[name] = text.encode("utf-8", "surrogateescape")
    if name != MANIFEST:
        manifest = json.loads(parts[MANIFEST])
        part = manifest["parts"][name]
        part["sha256"] = hashlib.sha256(parts[name]).hexdigest()
        part["bytes"] = len(parts[name])
        parts[MANIFEST] = json.dumps(manifest).encode()
    made = io.BytesIO()
    with ZipFile(made, "w") as zipped:
        for each, content in parts.items():
            zipped.writestr(each, content)
    return made.getvalue()


def _sound(folder: Path, suffix: str, rate_hz: int, channels: int) -> Run:
    path = folder / f"sound{suffix}"
    soundfile.write(path, np.repeat(TONE[:, None], channels, axis=1), rate_hz)
    good = path.read_bytes()

    def run(chance: Random) -> None:
        path.write_bytes(damaged(good, chance, near=64))
        if chance.random() < 0.5:
            describe(path)
        with SoundFile(path) as source:
            deque(source, maxlen=0)

    return run


def wav(folder: Path) -> Run:
    """A WAV file as a recording of a visit."""
    return _sound(folder, ".wav", 44_100, 2)


def flac(folder: Path) -> Run:
    """A FLAC file as a recording of a visit."""
    return _sound(folder, ".flac", 16_000, 1)


def clips(folder: Path) -> Run:
    """A clip kept with a record."""
    good = to_flac(TONE)

    def run(chance: Random) -> None:
        from_flac(damaged(good, chance, near=64))

    return run


def networks(folder: Path) -> Run:
    """The cache of compiled networks, which must be made anew rather than fail."""
    from voicelog.grammar.automaton import Automaton, Compiler
    from voicelog.recognisers.network_cache import NetworkCache

    tree = House(Settings(data_folder=folder)).phrases.trees["command"]
    made = Compiler().compiled(tree)
    cache = NetworkCache(folder)
    cache.get("command", lambda: made)
    (file,) = folder.glob("*.json")
    good = file.read_text(encoding="utf-8")

    def run(chance: Random) -> None:
        file.write_bytes(damaged_toml(good, chance).encode("utf-8", "surrogateescape"))
        assert isinstance(cache.get("command", lambda: made), Automaton)

    return run
