"""What the pages of the desk say: the list, a visit, what is handed over."""

import re
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import html5lib
import pytest

from voicelog.desk.app import make_app
from voicelog.exports import formats
from voicelog.records.content import Note
from voicelog.store.base import Clip

VISIT = "2026-03-02-1"
ENTRIES = f"/visits/{VISIT}/entries"


@pytest.mark.parametrize(
    "path", ["/visits", f"/visits/{VISIT}", f"/visits/{VISIT}?open=gap", "/locked", "/nothing"]
)
def test_pages_are_valid_html(desk: Any, path: str) -> None:
    """By html5lib, which implements the parsing algorithm of the HTML standard."""
    html5lib.HTMLParser(strict=True).parse(desk.get(path).text)


def test_visits_are_listed_and_filtered_without_a_code_in_the_address(desk: Any) -> None:
    store = desk.house.store()
    for day in range(3, 40):
        store.open_visit(f"C-{day:03}", datetime(2026, 3, 1, 9, tzinfo=UTC) + timedelta(days=day))
    store.close()
    first = desk.get("/visits").text
    assert "38 visits, page 1 of 2" in first
    assert first.index("C-039") < first.index("C-038")
    answer = desk.post("/visits", {"client": "c-01", "since": "2026-03-13", "until": "2026-03-16"})
    assert answer.headers["Location"] == "/visits"
    shown = re.findall(r"<strong>([^<]+)", desk.get("/visits").text)
    assert shown == ["C-015", "C-014", "C-013", "C-012"]
    assert "Older" not in desk.get("/visits?page=7").text


def test_a_day_that_is_none_is_said_and_changes_nothing(desk: Any) -> None:
    answer = desk.post("/visits", {"since": "yesterday"})
    assert answer.status_code == 422
    assert "yesterday is no date" in answer.text
    assert desk.get("/visits").status_code == 200


def test_a_visit_shows_what_needs_a_look_first(desk: Any) -> None:
    text = desk.get(f"/visits/{VISIT}").text
    assert desk.cards(f"/visits/{VISIT}") == ["retest", "half", "gap", "note", "baseline", "drill"]
    assert "4 of 6 need a look" in text
    assert "48 % sure" in text
    assert "missing: motion, trial" in text
    assert "gap trial sixty degrees pain three" in text


def test_comparisons_and_direction_stand_beside_the_records(desk: Any) -> None:
    text = desk.get(f"/visits/{VISIT}").text
    assert "Pain 6 to 0 (6 lower, 100 %): lower, beyond usual error" in text
    assert "Left ankle dorsiflexion: not enough to say. Missing: a compression trial" in text


def test_sound_is_served_as_it_was_kept(desk: Any) -> None:
    store = desk.house.store()
    kept = store.clips("gap")[0].flac
    store.close()
    answer = desk.get(f"{ENTRIES}/gap/sound/0")
    assert (answer.mimetype, answer.data) == ("audio/flac", kept)
    assert answer.data.startswith(b"fLaC")  # RFC 9639, section 6


def test_a_lost_and_a_damaged_clip_are_said_and_the_rest_works(desk: Any) -> None:
    with sqlite3.connect(desk.house.settings.store_file) as file:
        file.execute("DELETE FROM clip WHERE entry_id = 'baseline'")
        file.execute("UPDATE clip SET flac = x'664c6143' WHERE entry_id = 'gap'")
    file.close()
    text = desk.get(f"/visits/{VISIT}").text
    assert len(desk.cards(f"/visits/{VISIT}")) == 6
    assert "No sound is kept with this one" in text
    assert "This sound clip is damaged" in text
    assert desk.get(f"{ENTRIES}/baseline/sound/0").status_code == 404


def test_markup_in_words_and_notes_stays_words(desk: Any) -> None:
    nasty = "<img src=x onerror=alert(1)>\"'><script>alert(2)</script>"
    store = desk.house.store()
    note = store.history("note")[0]
    own = {"entry_id": "nasty", "content": Note(text=nasty), "why": nasty, "by": nasty}
    heard = note.evidence[0].model_copy(update={"text": nasty, "alternatives": (nasty,)})
    store.append(note.model_copy(update={**own, "evidence": (heard,)}), (Clip(b"", nasty, 1.0),))
    store.close()
    shown = desk.get(f"/visits/{VISIT}").text
    shown += desk.post(f"{ENTRIES}/gap/type", {"line": nasty, "seen": 2}).text
    shown += desk.post(f"{ENTRIES}/gap/pick", {"number": nasty, "seen": 2}).text
    desk.post("/visits", {"client": nasty})
    shown += desk.get("/visits").text
    assert "<img" not in shown
    assert "<script>" not in shown
    assert "&lt;img src=x onerror=alert(1)&gt;" in shown


@pytest.mark.parametrize("name", formats())
def test_every_format_is_one_button(desk: Any, name: str) -> None:
    assert f"/visits/{VISIT}/export/{name}" in desk.get(f"/visits/{VISIT}").text
    answer = desk.get(f"/visits/{VISIT}/export/{name}")
    assert answer.status_code == 200
    assert answer.headers["Content-Disposition"].startswith(f"attachment; filename={VISIT}")
    assert answer.data


def test_what_was_not_affirmed_is_handed_over_only_when_asked_for(desk: Any) -> None:
    assert '"retest"' not in desk.get(f"/visits/{VISIT}/export/json").text
    assert '"retest"' in desk.get(f"/visits/{VISIT}/export/json?unconfirmed=yes").text


def test_the_shipped_pages_are_in_the_package() -> None:
    folder = Path(make_app.__code__.co_filename).parent
    assert {"desk.css", "desk.js", "desk.svg"} == {p.name for p in (folder / "static").iterdir()}
