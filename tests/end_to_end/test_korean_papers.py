"""What is handed over after a visit dictated in Korean; only the engine's words are scripted.

That a sheet is Korean is held against Unicode's own names of letters: every letter of it is
Hangul, none is Latin.
"""

import re
import unicodedata
from datetime import UTC, datetime, timedelta
from html.parser import HTMLParser
from types import ModuleType

import numpy as np
import pytest
import soundfile

from voicelog.audio.base import RATE_HZ
from voicelog.audio.endpointer import Endpointer
from voicelog.audio.sound_file import SoundFile
from voicelog.data_files.languages import language_folder, load_language
from voicelog.errors import ExportError
from voicelog.exports import load
from voicelog.exports.base import VisitRecords
from voicelog.grammar.hypothesis import HeardWord, Hypothesis, Reading
from voicelog.grammar.interpret import Bars
from voicelog.handover import Wish, hand_over
from voicelog.listening.edges import Edges
from voicelog.listening.hearing import Hearing
from voicelog.listening.live import Live
from voicelog.recognisers.scripted import ScriptedRecogniser
from voicelog.settings.fields import Settings
from voicelog.speech.printed import PrintedVoice
from voicelog.store.memory import MemoryStore
from voicelog.visits import open_visit, state_of
from voicelog.wiring import House

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
DICTATED = (
    "왼쪽 무릎 굽힘 기준 통증 사",
    "왼쪽 무릎 굽힘 견인 통증 칠",
    "운동 왼쪽 뒤꿈치 올리기 삼 세트 팔 회 오 초 유지 약한 밴드 힘 사",
    "지시 숨 내쉬기",
)


def heard(text: str) -> Hypothesis:
    words = tuple(HeardWord(w, 100 * i, 100 * i + 100, 0.99) for i, w in enumerate(text.split()))
    return Hypothesis((Reading(words),), 0.99, "scripted", "script", 0.0)


@pytest.fixture(scope="module")
def visit(tmp_path_factory: pytest.TempPathFactory, recordings: ModuleType) -> VisitRecords:
    """A visit in Korean, from the first word to what is handed over."""
    folder = tmp_path_factory.mktemp("papers")
    speech, _ = soundfile.read(recordings.load_manifest().recordings()[0].path, dtype="int16")
    quiet = np.random.default_rng(0).normal(0, 8, 2 * RATE_HZ).astype(np.int16)
    script = [text for dictation in DICTATED for text in (dictation, "확인")]
    sound = np.concatenate([quiet, *[speech, quiet] * len(script)])
    soundfile.write(folder / "visit.wav", sound, RATE_HZ)
    house = House(Settings(language="ko", data_folder=folder))
    store = MemoryStore()
    opened = open_visit(store, "C-014", START).visit
    edges = Edges(
        hearing=Hearing(ScriptedRecogniser(map(heard, script)), house.phrases, Bars()),
        store=store,
        voice=PrintedVoice(lambda text: None),
        clock=lambda s: START + timedelta(seconds=s),
    )
    Live(state_of(store, opened, house.setting), edges, Endpointer()).run(
        SoundFile(folder / "visit.wav")
    )
    return hand_over(house, store, store.visit(opened.visit_id), Wish())


class _Words(HTMLParser):
    """The words of a page, without its style sheet."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_data(self, data: str) -> None:
        if self.lasttag != "style":
            self.found.append(data)


def words_of(page: str) -> str:
    reader = _Words()
    reader.feed(page)
    return " ".join(" ".join(reader.found).split())


def scripts(text: str) -> set[str]:
    return {unicodedata.name(letter).split()[0] for letter in text if letter.isalpha()}


def test_all_that_was_dictated_was_saved(visit: VisitRecords) -> None:
    assert [entry.content.kind for entry in visit.records] == ["record", "record", "drill", "cue"]


def test_every_letter_of_the_home_sheet_is_korean(visit: VisitRecords) -> None:
    page = load("home_sheet_html").render(visit)
    assert isinstance(page, str)
    assert '<html lang="ko">' in page
    assert scripts(words_of(page)) == {"HANGUL"}


def test_the_home_sheet_says_dose_and_day_in_korean(visit: VisitRecords) -> None:
    page = load("home_sheet_html").render(visit)
    assert isinstance(page, str)
    told = words_of(page)
    assert "방문일: 2026년 3월 2일" in told
    assert "뒤꿈치 올리기, 왼쪽 8회씩 3세트. 5초 유지. 약한 밴드. 힘은 10 중 4." in told
    assert "숨 내쉬기" in told


def test_the_korean_sheet_holds_every_number_of_the_english_cautions() -> None:
    english, korean = (load_language(language_folder(code)).texts.home for code in ("en", "ko"))
    for ours, theirs in zip(english.stop, korean.stop, strict=True):
        assert sorted(re.findall(r"\d+", ours)) == sorted(re.findall(r"\d+", theirs))


@pytest.mark.parametrize("name", ["markdown", "html"])
def test_every_letter_of_a_note_is_korean_beside_codes_and_names(
    visit: VisitRecords, name: str
) -> None:
    """With what the numbers say: a rise of pain, its threshold, the stop event, the next step."""
    page = load(name).render(visit)
    assert isinstance(page, str)
    told = words_of(page)
    for code in ("C-014", "UTC", visit.records[0].by):
        told = told.replace(code, "")
    told = re.sub(r"[A-Z]+2\d{3}", "", told)  # the keys of sources, such as CHILDS2005
    assert scripts(told) == {"HANGUL"}


def test_a_note_has_each_record_in_korean(visit: VisitRecords) -> None:
    note = load("markdown").render(visit)
    assert isinstance(note, str)
    assert "| 1 | 왼쪽 무릎 굽힘 | 기준 |  | 4 |  |  |  |" in note
    assert "- 뒤꿈치 올리기, 왼쪽: 8회씩 3세트, 5초 유지, 약한 밴드, 힘 4/10" in note
    assert "- 숨 내쉬기" in note


def test_a_note_says_in_korean_what_the_numbers_say(visit: VisitRecords) -> None:
    note = load("markdown").render(visit)
    assert isinstance(note, str)
    # Childs 2005: a rise of 2 points or more is beyond the usual error; here 4 to 7.
    assert "4에서 7, 높아짐, 통상적 오차를 넘음 - 멈추고 다시 살펴볼 것" in note
    assert "2점 (CHILDS2005, 원문 확인)" in note
    assert "의 중단 사유 (통증 4에서 7): 어떻게 했는지 기록이 없습니다." in note
    assert "사전 안전 확인 기록이 없습니다." in note


@pytest.mark.parametrize(
    ("name", "instead"), [("home_sheet_pdf", "home_sheet_html"), ("pdf", "html")]
)
def test_a_print_that_lacks_the_letters_is_refused_and_says_what_to_take(
    visit: VisitRecords, name: str, instead: str
) -> None:
    with pytest.raises(ExportError, match="lacks signs of this language") as error:
        load(name).render(visit)
    assert f"Take the format {instead}," in str(error.value)
