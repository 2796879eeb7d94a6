"""A practice at home with somebody at its terminal, and how its records open."""

from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from voicelog.safekeeping.unlocking import Lock
from voicelog.settings.fields import Settings
from voicelog.store.keys import keys_path, read_keys
from voicelog.store.wrapping import Cost
from voicelog.wiring import House

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


WORDS = "four or five long words"


@dataclass
class Somebody:
    """Types these answers, one for each question, and hears what is said."""

    answers: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)

    def ask(self, question: str) -> str | None:
        self.asked.append(question)
        return self.answers.pop(0)

    def tell(self, line: str) -> None:
        self.told.append(line)


def house(home: Path, person: Somebody | None = None) -> House:
    """As the command line builds it, but with guesses that cost next to nothing."""
    settings = Settings(data_folder=home, encrypted=True)
    made = House(settings) if person is None else House(settings, person)
    lock = Lock(settings.store_file, made.person, made.lock.places, Cost(log2_n=4))
    made.__dict__["lock"] = lock
    return made


def write(built: House) -> None:
    with closing(built.store()) as store:
        store.open_visit("C-014", NINE)


def reads(built: House) -> bool:
    with closing(built.store()) as store:
        return [visit.client for visit in store.visits()] == ["C-014"]


def ways(home: Path) -> list[str]:
    keys = read_keys(keys_path(home / "records.sqlite"))
    assert keys is not None
    return [way.by for way in keys.ways]
