"""JSON (RFC 8259; times as in ISO 8601 and RFC 3339, with their offset), and CSV (RFC 4180), read
back by the standard library.
"""

import json
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.made_up_visit import (
    EMPTY,
    RECORDS,
    VISIT,
    WHOLE,
    WITH_UNCONFIRMED,
    entry,
    made,
    one,
    table,
    text_of,
)
from voicelog.records.content import Drill, Note, Trial
from voicelog.records.entry import Entry
from voicelog.records.visit import Visit


def test_the_object_holds_every_record_as_it_was_kept() -> None:
    found = json.loads(text_of("json", WITH_UNCONFIRMED))
    assert list(found) == [
        *("schema_version", "caution", "visit", "records", "unconfirmed", "findings"),
    ]
    assert found["findings"] is None
    assert found["schema_version"] == 1
    assert Visit.model_validate_json(json.dumps(found["visit"])) == VISIT
    kept = [Entry.model_validate_json(json.dumps(record)) for record in found["records"]]
    assert tuple(kept) == RECORDS
    assert [r["entry_id"] for r in found["unconfirmed"]] == ["e10"]


def test_times_are_iso_8601_with_their_offset() -> None:
    found = json.loads(text_of("json", WHOLE))
    assert found["visit"]["started_at"] == "2026-03-02T09:00:00+01:00"
    for record in found["records"]:
        for name in ("spoken_at", "at"):
            assert datetime.fromisoformat(record[name]).utcoffset() == timedelta(hours=1)


def test_the_table_has_one_row_for_each_record_and_units_in_its_header() -> None:
    text = text_of("csv", WITH_UNCONFIRMED)
    found = table(text)
    assert [row["entry_id"] for row in found] == [f"e{n}" for n in range(1, 11)]
    assert [row["status"] for row in found] == ["confirmed"] * 9 + ["unconfirmed"]
    assert {"range_deg", "hold_s", "pain"} <= set(found[0])
    first, drill, note = found[0], found[3], found[8]
    assert (first["range_deg"], first["onset_deg"], first["pain"]) == ("15", "12", "6")
    assert first["quality"] == "sharp; pinching"
    assert first["spoken_at"] == "2026-03-02T09:01:00+01:00"
    assert first["heard"] == "words 1"
    assert (drill["name"], drill["hold_s"], drill["pain"]) == ("banded heel glide", "5", "")
    assert (note["text"], note["checked"]) == ("slept badly", "true")
    assert found[4]["affirmed_by"] == "desk"
    assert found[9]["affirmed_by"] == ""


def test_lines_end_and_quotes_double_as_rfc_4180_says() -> None:
    text = text_of("csv", one(Note(text='she said "ow", then\nlaughed')))
    assert '"she said ""ow"", then\nlaughed"' in text
    header, rest = text.split("\r\n", 1)
    assert header.startswith("status,visit_id,client,entry_id")
    assert rest.endswith("\r\n")
    assert table(text_of("csv", EMPTY)) == []


# The signs: OWASP, "CSV Injection", and OWASP ASVS 5.0, requirement 1.2.10.
@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r", "\n", "\0", "  =", "＝"])
def test_no_cell_can_start_a_formula(sign: str) -> None:
    nasty = f"{sign}cmd|' /C calc'!A1"
    for content in (Note(text=nasty), Drill(name=nasty), Trial(quality=(nasty, "sharp"))):
        text = text_of("csv", made(VISIT, (entry(content, 1, by=nasty),)))
        (row,) = table(text)
        cells = [cell for cell in row.values() if "calc" in cell]
        assert len(cells) == 2
        assert all(cell.startswith(f"'{nasty}") for cell in cells)


@given(st.text(max_size=30))
def test_any_text_comes_back_from_its_cell(text: str) -> None:
    (row,) = table(text_of("csv", one(Note(text=text))))
    assert row["text"] in (text, f"'{text}")
    assert not row["text"].lstrip().startswith(("=", "+", "-", "@"))
