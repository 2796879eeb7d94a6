"""A practice with records, plain or locked, and what can be read in its folder."""

from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from voicelog.records.content import Note
from voicelog.records.entry import Affirmation, Entry
from voicelog.store.base import Clip, Parcel
from voicelog.wiring import House

OLDER = Path(__file__).parents[1] / "data" / "older_stores"


NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


WORDS = (b"guarded at first", b"C-014", b"SOUND-OF-A-VOICE")


def filled(house: House) -> House:
    say(house, "e1")
    return house


def say(house: House, name: str) -> None:
    with closing(house.store()) as store:
        visit = store.open_visit("C-014", NINE)
        first = Entry(
            entry_id=name, visit_id=visit.visit_id, client="C-014", status="unconfirmed",
            content=Note(text="guarded at first"), spoken_at=NINE, at=NINE, by="AB",
        )  # fmt: skip
        store.append(first, [Clip(WORDS[2] * 500, "note", 2.0)])
        store.append(first.confirm(Affirmation(read_back="", by="key"), NINE))


def again(house: House) -> House:
    """The same as another start of the program sees it."""
    return House(house.settings)


def all_of(house: House) -> list[Parcel]:
    with closing(again(house).store()) as store:
        store.check()
        return [store.parcel(visit.visit_id) for visit in store.visits()]


def readable(folder: Path) -> set[bytes]:
    content = b"".join(file.read_bytes() for file in folder.rglob("*") if file.is_file())
    return {word for word in WORDS if word in content}
