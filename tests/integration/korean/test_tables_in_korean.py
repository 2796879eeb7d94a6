"""Every table that a therapist sees in the terminal, in Korean.

Left in English on purpose are names of published marks and remarks beside single figures: they are
quoted from their source.
"""

import io
import re
import sys
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

import pytest
from rich.console import Console

from voicelog.cheat_sheet import html
from voicelog.cli.app import main
from voicelog.cli.review import Review
from voicelog.corrections.room import Room
from voicelog.dialogue.safety_screen import Answer
from voicelog.errors import SafetyError
from voicelog.safety_screen import Answers, check_before_trials, keep_answers
from voicelog.store.base import Store
from voicelog.store.memory import MemoryStore
from voicelog.store.sqlite import SqliteStore

Run = Callable[..., str]
COMMANDS = ("voicelog screen C-014", "voicelog screen", "voicelog review last")


@pytest.fixture(scope="module")
def quoted(korean_room: Room) -> tuple[str, ...]:
    """What published figures are called in their sources."""
    tables = korean_room.house.tables
    pains = [words for mark in tables.pain for words in (mark.statistic, mark.population)]
    scales = [words for mark in tables.scales for words in (mark.statistic, mark.region)]
    return (*pains, *scales)


@pytest.fixture
def run(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    korean_visits: Callable[[Store], str],
) -> Run:
    """Type a command in a Korean practice that holds the two visits."""
    for name, value in (
        ("VOICELOG_SETTINGS", str(tmp_path / "settings.toml")),
        ("VOICELOG_DATA_FOLDER", str(tmp_path)),
        ("VOICELOG_PRACTITIONER", "lee"),
        ("VOICELOG_LANGUAGE", "ko"),
        ("COLUMNS", "200"),
    ):
        monkeypatch.setenv(name, value)
    store = SqliteStore(tmp_path / "records.sqlite")
    korean_visits(store)
    store.close()

    def typed(*arguments: str, keys: str = "") -> str:
        monkeypatch.setattr(sys, "argv", ["voicelog", *arguments])
        monkeypatch.setattr(sys, "stdin", io.StringIO(keys))
        capsys.readouterr()
        with suppress(SystemExit):
            main()
        out, err = capsys.readouterr()
        return f"{out}\n{err}".replace(str(tmp_path), "")

    return typed


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("compare", "last"), "완화된 방향"),
        (("compare", "last", "--sex", "F", "--age", "30"), "발표된 범위, 무릎 굽힘"),
        (("progress", "C-014"), "방문 2회"),
        (("progress", "C-014", "--marks"), "발표된 기준값"),
        (("caseload",), "한 방향에서만 완화된 것"),
        (("visits",), "고객"),
        (("visits", "C-099"), "기록이 아직 없습니다"),
        (("find", "왼쪽", "무릎", "견인"), "왼쪽 무릎, 굽힘, 견인"),
        (("find", "무릎"), "메모, 오른쪽 무릎"),
        (("find", "없는말"), "담은 기록이 없습니다"),
        (("screen", "C-014", "--show"), "사전 안전 확인"),
        (("scale", "C-014", "change", "--rating", "3"), "변화 평가 +3"),
    ],
)
def test_a_table_is_korean(
    run: Run,
    quoted: tuple[str, ...],
    english_in: Callable[..., list[str]],
    arguments: tuple[str, ...],
    told: str,
) -> None:
    shown = run(*arguments)
    assert told in shown
    assert english_in(shown, *quoted, *COMMANDS) == []


@pytest.mark.parametrize("form", ["markdown", "home_sheet_html", "csv", "json"])
def test_a_file_that_is_handed_over_is_told_of_in_korean(
    run: Run, tmp_path: Path, english_in: Callable[..., list[str]], form: str
) -> None:
    shown = run("export", "last", "--format", form, "-o", str(tmp_path / "file"))
    assert "파일에 썼습니다: /file. 파일은 금고를 떠나" in shown
    assert english_in(shown, "file") == []


def test_own_activities_are_told_in_korean(
    run: Run, quoted: tuple[str, ...], english_in: Callable[..., list[str]]
) -> None:
    for scores in ("467", "578"):
        own = zip(("계단", "컵 들기", "잠"), scores, strict=True)
        options = [part for name, s in own for part in ("--activity", name, "--score", s)]
        shown = run("scale", "C-014", "function", *options)
    shown += run("progress", "C-014")
    assert "평균 6.67 (10점 만점), 계단 5, 컵 들기 7, 잠 8" in shown
    assert english_in(shown, *quoted) == []


def test_the_safety_screen_is_asked_in_korean(
    run: Run, english_in: Callable[..., list[str]]
) -> None:
    answers = ["what", "y", *["n"] * 11, "y 무릎", *["n"] * 14, "y"]
    shown = run("screen", "C-014", keys="".join(f"{each}\n" for each in answers))
    assert "대답을 보관했습니다" in shown
    assert "네 무릎" in shown
    cleared = ("--clearance", "무릎은 괜찮음", "--by", "김", "--on", f"{datetime.now():%Y-%m-%d}")
    shown += run("screen", "C-014", *cleared)
    assert "허가를 기록했습니다" in shown
    shown += run("screen", "C-014", keys="n\n")
    assert "중간에 끊겼습니다" in shown
    assert english_in(shown, *COMMANDS) == []


@pytest.mark.parametrize("answers", [{}, {"A1": "yes"}, {"A1": "no"}])
def test_trials_before_the_screen_are_refused_in_korean(
    korean_room: Room, english_in: Callable[..., list[str]], answers: dict[str, Answer]
) -> None:
    house, store = korean_room.house, MemoryStore()
    keep_answers(store, "C-014", Answers(answers), "lee", datetime(2026, 3, 2, tzinfo=UTC))
    with pytest.raises(SafetyError) as refused:
        check_before_trials(house.screen(store, "C-014"), "C-014", house.language, later=False)
    assert "아무것도 기록하지 않았습니다" in str(refused.value)
    options = ("--screen-later", "--clearance", "--by", "--on")
    assert english_in(str(refused.value), *COMMANDS, *options) == []


def test_the_cheat_sheet_is_korean(
    run: Run, korean_room: Room, english_in: Callable[..., list[str]]
) -> None:
    page = html.render(korean_room.house.language)
    told = re.sub("<style>.*?</style>|<[^>]*>", " ", page, flags=re.DOTALL)
    assert "말할 수 있는 것" in told
    assert english_in(told + run("phrases")) == []


class _Silent:
    def play(self, samples: object, rate_hz: int) -> None:
        pass


def test_a_visit_is_put_right_in_korean(
    korean_room: Room,
    korean_visits: Callable[[Store], str],
    english_in: Callable[..., list[str]],
) -> None:
    store = MemoryStore()
    visit_id = korean_visits(store)
    console = Console(file=io.StringIO(), width=200, highlight=False)
    lines = (
        *("h", "l", "a", "u", "a", "d", "x", "", "왼쪽 무릎 굽힘 견인 통증 삼", "a", "u", "a"),
        *(
            "통증 삼 뭐라고",
            "99",
            "통증 2",
            "x",
            "g 99",
            "g 5",
            "d",
            "d 다른 사람",
            "a",
            "g 4",
            "k",
            "= 새 내용",
            "a",
        ),
        *("r 오른쪽 무릎 굽힘 기준 통증 4", "a", "그냥", "g 2", "a", "k", "=", "p", "x", "q"),
    )
    Review(korean_room, store, visit_id, _Silent(), console).run(lines)
    assert isinstance(console.file, io.StringIO)
    shown = console.file.getvalue()
    for told in (
        "살펴볼 다음 기록",
        "저장함: 왼쪽 무릎",
        "다시 확인을 기다림",
        "앞의 제안은 저장하지 않았습니다",
        "제외함",
        "새 기록으로 저장함",
    ):
        assert told in shown, told
    assert english_in(shown, "WHY") == []
