"""Two visits in Korean: one whole, and one of which some needs a second look."""

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from tests.said import Said
from voicelog.corrections.room import Room
from voicelog.records.entry import Affirmation
from voicelog.settings.fields import Settings
from voicelog.store.base import Store
from voicelog.wiring import House

KNEE = {"kind": "record", "side": "left", "joint": "knee", "motion": "flexion"}
NAMES = (
    "voicelog", "voicelog listen --client C-014", "voicelog desk", "C-014", "kim", "lee", "SEM",
    "csv", "fhir", "home sheet html", "home sheet pdf", "html", "json", "jsonl", "markdown", "pdf",
)  # fmt: skip


FIRST = (
    Said("first", {**KNEE, "phase": "baseline", "range_deg": 80, "pain": 6},
         "왼쪽 무릎 굽힘 기준 팔십 도 통증 육"),
)  # fmt: skip
SECOND = (
    Said("baseline", {**KNEE, "phase": "baseline", "range_deg": 90, "pain": 4,
                       "manner": "active", "by_default": ["manner"]},
          "왼쪽 무릎 굽힘 기준 구십 도 통증 사"),
    Said("gap", {**KNEE, "phase": "gap", "onset_deg": 95, "pain": 7, "quality": ["sharp"]},
          "견인 통증 칠", sure={"pain": 0.48}, others=("견인 통증 일",)),
    Said("compression", {**KNEE, "phase": "compression", "range_deg": 100, "pain": 2},
          "압박 백 도 통증 이"),
    Said("retest", {**KNEE, "phase": "retest", "range_deg": 95, "pain": 3,
                     "outcome": "pain free rep", "instrument": "visual"},
          "재검사 통증 삼", affirmed=False),
    Said("half", {"kind": "record", "side": "right", "joint": "shoulder", "pain": 5},
          "오른쪽 어깨 통증 오", affirmed=False),
    Said("drill", {"kind": "drill", "name": "heel raise", "side": "left", "sets": 3, "reps": 8,
                    "band": "light"}, "운동 왼쪽 뒤꿈치 올리기 삼 세트 팔 회 약한 밴드"),
    Said("note", {"kind": "note", "text": "오른쪽 무릎 뻣뻣, 통증 4"}, "메모"),
)  # fmt: skip


@pytest.fixture(scope="session")
def korean_visits() -> Callable[[Store], str]:
    """Fills a store with two visits of C-014 in Korean, and gives the id of the second."""

    def fill(store: Store) -> str:
        began = datetime(2026, 2, 23, 9, 0, tzinfo=UTC)
        for days, every in ((0, FIRST), (7, SECOND)):
            visit = store.open_visit("C-014", began + timedelta(days=days))
            for number, said in enumerate(every, start=1):
                at = visit.started_at + timedelta(minutes=number)
                entry, clips = said.entry(visit, at)
                store.append(entry, clips)
                if said.affirmed:
                    yes = Affirmation(read_back=said.text, by="voice")
                    store.append(entry.confirm(yes, at + timedelta(seconds=4)))
            store.end_visit(visit.visit_id, visit.started_at + timedelta(minutes=30))
        return visit.visit_id

    return fill


@pytest.fixture(scope="module")
def korean_room(
    tmp_path_factory: pytest.TempPathFactory, korean_visits: Callable[[Store], str]
) -> Room:
    """A practice that works in Korean, with the two visits in its store."""
    folder = tmp_path_factory.mktemp("korean")
    house = House(Settings(language="ko", data_folder=folder, practitioner="lee"))
    store = house.store()
    korean_visits(store)
    store.close()
    return Room(house, lambda: datetime(2026, 3, 2, 18, 0, tzinfo=UTC))


@pytest.fixture(scope="session")
def english_in() -> Callable[..., list[str]]:
    """The runs of Latin letters in a text, beside what is called the same in every language: the
    program and its commands, codes of clients and of stop events, formats, and keys of sources."""

    def found(text: str, *names: str) -> list[str]:
        text = re.sub(r"\b[A-Z]+(\d{4}[A-Z]?|(_[A-Z0-9]+)+)\b", " ", text)
        for name in sorted((*NAMES, *names), key=len, reverse=True):
            text = re.sub(rf"(?<![A-Za-z]){re.escape(name)}(?![A-Za-z])", " ", text)
        return re.findall(r"[A-Za-z]{2,}", text)

    return found
