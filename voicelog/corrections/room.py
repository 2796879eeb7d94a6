"""What desk and terminal work with: the house, the store, and the reader of typed lines."""

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from threading import Lock

from voicelog.corrections.changes import Changes
from voicelog.corrections.typed import Typed, applied
from voicelog.records.content import AnyContent
from voicelog.shorthand import Shorthand, Suggestion
from voicelog.store.base import Store
from voicelog.store.keys import keys_path
from voicelog.wiring import House


@dataclass
class Room:
    """Shared by everything that puts records right. `clock` gives the time, with its zone."""

    house: House
    clock: Callable[[], datetime]
    _shorthand: Shorthand | None = None
    _reading: Lock = field(default_factory=Lock)

    @contextmanager
    def store(self) -> Iterator[Store]:
        """The store, opened for one thing to do; one object serves one thread only."""
        if self.house.file_key is None and keys_path(self.house.settings.store_file).exists():
            self.use(House(self.house.settings))  # it was encrypted meanwhile; nobody is asked
        store = self.house.store()
        try:
            yield store
        finally:
            store.close()

    def use(self, house: House) -> None:
        """Work with another house from now on, such as one with a word more."""
        with self._reading:
            self.house, self._shorthand = house, None

    def changes(self, store: Store) -> Changes:
        """Changes in the name of the practitioner of the settings."""
        return Changes(store, self.house.language, self.house.settings.practitioner, self.clock)

    def warm_up(self) -> None:
        """Load what takes seconds, before anybody waits for it.

        All of it stays for good, so the garbage collector need not walk through it again and
        again, which would hold up every sixth page or so for a tenth of a second.
        """
        with self._reading:
            self._reader()
        _ = self.house.phrases.trees, self.house.comparer, self.house.plausible, self.house.codes
        gc.collect()
        gc.freeze()

    def read(self, line: str, content: AnyContent | None) -> Typed:
        """What a typed line makes of the content."""
        with self._reading:
            reading = self._reader().read(line)
        return applied(line, reading, content, self.house.language)

    def suggest(self, text: str) -> tuple[Suggestion, ...]:
        """What a note says of slots."""
        with self._reading:
            return self._reader().suggest(text)

    def _reader(self) -> Shorthand:
        if self._shorthand is None:
            self._shorthand = Shorthand(self.house.language)
        return self._shorthand
