"""The key of the records: where it comes from, in which order, and what is said about it."""

import os
import secrets
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

import platformdirs

from voicelog.errors import StoreError
from voicelog.store import drivers
from voicelog.store.drivers import FileKey
from voicelog.store.failures import explained, no_file_of, put_back
from voicelog.store.key_places import KeyFile, Keyring, Place
from voicelog.store.keys import Keys, NewKeys, keys_path, read_keys, waiting_keys, write_first_keys
from voicelog.store.wrapping import (
    SECRET_BYTES,
    Cost,
    KeptWay,
    WrongKey,
    new_file_key,
    new_recovery_key,
    unwrap_kept,
    wrap_kept,
)

PASSPHRASE = "VOICELOG_PASSPHRASE"
FEWEST_CHARACTERS = 15
"""What NIST SP 800-63B-4, section 3.1.1.2, asks of a password that stands alone."""
LOST_IS_LOST = (
    "A lost passphrase is lost: without it, or the recovery key on paper, nobody can open the"
    " records, and nobody can help."
)
_TRIES = 3
UNCHANGED = "Nothing was changed, and all records are in the file as they were"


class Person(Protocol):
    """Whoever sits at the terminal, if anybody does."""

    def ask(self, question: str) -> str | None:
        """A secret typed unseen; None when there is nobody to ask."""
        ...

    def tell(self, line: str) -> None:
        """Say one line."""
        ...


class Nobody:
    """No terminal: nothing can be asked, and nothing need be said."""

    def ask(self, question: str) -> str | None:
        """Nobody answers."""
        return None

    def tell(self, line: str) -> None:
        """Nobody listens."""


def places(store_file: Path) -> tuple[Place, ...]:
    """Where secrets are kept on this machine, best first; beside the records only where the
    user's configuration folder cannot be written."""
    return (
        Keyring(),
        KeyFile((platformdirs.user_config_path("voicelog") / "keys", store_file.parent)),
    )


@dataclass(frozen=True)
class Lock:
    """The lock of the store at `store_file`."""

    store_file: Path
    person: Person
    places: tuple[Place, ...]
    cost: Cost = field(default_factory=Cost)

    def key(self, *, encrypted: bool) -> FileKey | None:
        """The key of the store, or None for a plain one; a new store gets one if `encrypted`.

        A store that is there stays what it is. Raises StoreError when no way in is open, or its
        place cannot be used.
        """
        with explained(self.store_file):
            keys = read_keys(keys_path(self.store_file)) or self._finished_keys()
            if keys is not None:
                if not self.store_file.exists():
                    told = no_file_of(self.store_file)
                    self.person.tell(f"{told.what}. New records are begun under them. {told.do}.")
                return self.opened(keys)
            if not self.store_file.exists():
                if told_back := put_back(self.store_file):
                    self.person.tell(f"New records are begun. {told_back}.")
                return self._first_key() if encrypted else None
            if encrypted and self.store_file.stat().st_size:
                self.person.tell(
                    f"The records in {self.store_file} are not encrypted. To encrypt them:"
                    f' voicelog safe lock --data "{self.store_file.parent}"'
                )
            return None

    def opened(self, keys: Keys) -> FileKey:
        """The key, from the environment, this machine, or the person. Raises StoreError."""
        given = os.environ.get(PASSPHRASE)
        if given and keys.typed:
            try:
                return keys.opened_by(given)
            except WrongKey as error:
                raise self._refused(f"The passphrase in {PASSPHRASE} does not open") from error
        for way in keys.kept:
            secret = self._place(way).get(way.name)
            if secret is not None:
                try:
                    return unwrap_kept(way, secret)
                except WrongKey as error:
                    where = self._place(way).where(way.name)
                    raise self._refused(f"The key in {where} does not open") from error
        return self._asked(keys)

    def new_keys(self, key: FileKey) -> NewKeys:
        """The ways into a new file: from the environment, else the keyring, else what the person
        types, else a key file. Raises StoreError when nothing can be kept anywhere."""
        given = os.environ.get(PASSPHRASE)
        if given:
            return NewKeys(Keys(ways=()).with_typed("passphrase", given, key, self.cost))
        keyring, *others = self.places
        kept = self._kept_in(keyring, key)
        if kept is None:
            alone = "a key on this machine opens them instead"
            passphrase = chosen_passphrase(self.person, alone)
            if passphrase:
                typed = Keys(ways=()).with_typed("passphrase", passphrase, key, self.cost)
                return self.with_recovery(typed, key)
            kept = next(filter(None, (self._kept_in(place, key) for place in others)), None)
        if kept is None:
            raise StoreError(
                "The key of the records can be kept nowhere on this machine",
                kept="Nothing was written",
                do=f"Set {PASSPHRASE}, or choose a folder for the records that can be written",
            )
        return NewKeys(Keys(ways=(kept,)))

    def with_recovery(self, keys: Keys, key: FileKey) -> NewKeys:
        """The same with a new recovery key in place of the one there was."""
        recovery = new_recovery_key()
        return NewKeys(keys.with_typed("recovery key", recovery, key, self.cost), recovery)

    def show_recovery(self, made: NewKeys) -> None:
        """Tell a new recovery key, once: it is kept nowhere. Only after the keys are written, so
        that nobody puts one away that opens nothing."""
        if made.recovery is not None:
            self.person.tell(
                f"Recovery key: {made.recovery}\nPrint it or write it down, and keep it apart from"
                " this machine. It is shown this once; it opens the records when the passphrase is"
                " lost."
            )

    def describe(self, keys: Keys) -> str:
        """Which ways in there are, in words."""
        typed = [way.by for way in keys.typed]
        kept = [
            f"a key on this same machine ({self._place(way).where(way.name)}): whoever has this"
            " account has the records"
            for way in keys.kept
        ]
        return " and by ".join([*typed, *kept])

    def forget_kept(self, keys: Keys) -> None:
        """Take the secrets of these ways out of this machine."""
        for way in keys.kept:
            self._place(way).remove(way.name)

    def _first_key(self) -> FileKey:
        key = new_file_key()
        made = self.new_keys(key)
        try:
            is_first = write_first_keys(keys_path(self.store_file), made.keys)
        except OSError:
            self.forget_kept(made.keys)
            raise
        if not is_first:
            self.forget_kept(made.keys)
            first = read_keys(keys_path(self.store_file))
            assert first is not None
            return self.opened(first)
        self.show_recovery(made)
        self.person.tell(f"The records will be encrypted; they open by {self.describe(made.keys)}.")
        return key

    def _finished_keys(self) -> Keys | None:
        """The keys of a store whose encryption broke off just before they took their place."""
        waiting = waiting_keys(self.store_file)
        if waiting.exists() and not drivers.is_plain(self.store_file):
            waiting.replace(keys_path(self.store_file))
        return read_keys(keys_path(self.store_file))

    def _kept_in(self, place: Place, key: FileKey) -> KeptWay | None:
        name, secret = secrets.token_hex(8), secrets.token_bytes(SECRET_BYTES)
        return wrap_kept(place.by, name, secret, key) if place.put(name, secret) else None

    def _place(self, way: KeptWay) -> Place:
        return next(place for place in self.places if place.by == way.by)

    def _asked(self, keys: Keys) -> FileKey:
        for _ in range(_TRIES if keys.typed else 0):
            typed = self.person.ask("Passphrase or recovery key")
            if typed is None:
                break
            try:
                return keys.opened_by(typed)
            except WrongKey:
                self.person.tell("That does not open the records.")
        else:
            if keys.typed:
                raise self._refused("What was typed does not open")
        missing = " and ".join(self._place(way).where(way.name) for way in keys.kept)
        raise StoreError(
            f"The records file {self.store_file} is locked"
            + (f", and its key is missing: {missing}" if missing else ""),
            kept=UNCHANGED,
            do=f"Set {PASSPHRASE} to the passphrase or the recovery key, or run it at a terminal"
            if keys.typed
            else "Put that key back, or restore a backup that has a passphrase or recovery key",
        )

    def _refused(self, what: str) -> StoreError:
        return StoreError(
            f"{what} the records file {self.store_file}",
            kept=UNCHANGED,
            do="Try again, mind capital letters and the keyboard, or use the recovery key",
        )


def chosen_passphrase(person: Person, alone: str) -> str | None:
    """A new passphrase, typed twice; None when there is nobody, or Enter alone is pressed. `alone`
    says what happens then."""
    fewest = f"{FEWEST_CHARACTERS} characters or more"
    question = f"New passphrase for the records, {fewest}\n(Enter alone: {alone})"
    while (first := person.ask(question)) is not None:
        if not first:
            return None
        if len(first) < FEWEST_CHARACTERS:
            person.tell(f"Too short: four or five words make {FEWEST_CHARACTERS} characters.")
        elif person.ask("The same again") == first:
            return first
        else:
            person.tell("The two are not the same.")
    return None
