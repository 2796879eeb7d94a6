"""The formats that programs read, held against their published schemas and outside readers.

JSON Schema: jsonschema (draft 2020-12). CSV: the frictionless framework and pandas.
"""

import csv as stdlib_csv
import io
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas
import pytest
from frictionless import Resource, Schema
from jsonschema import Draft202012Validator

from voicelog.errors import ExportError
from voicelog.exports import load
from voicelog.exports.base import VisitRecords
from voicelog.exports.csv import COLUMNS
from voicelog.exports.schema import published, schema_text
from voicelog.handover import Wish
from voicelog.records.content import Drill, Note
from voicelog.records.entry import Entry

Filled = tuple[Any, Any]


@pytest.fixture
def everything(filled: Filled) -> VisitRecords:
    practice, visit = filled
    found: VisitRecords = practice.hand_over(visit, Wish(unconfirmed=True))
    return found


def text_of(name: str, visit: VisitRecords) -> str:
    content = load(name).render(visit)
    assert isinstance(content, str)
    return content


def validator(name: str) -> Draft202012Validator:
    schema = json.loads(schema_text(name))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema, format_checker=Draft202012Validator.FORMAT_CHECKER)


def test_every_line_fits_the_published_schema(everything: VisitRecords) -> None:
    lines = [json.loads(line) for line in text_of("jsonl", everything).splitlines()]
    assert [line["line"] for line in lines] == ["visit", *["record"] * 10, "unconfirmed"]
    for line in lines:
        validator("jsonl").validate(line)
    kept = [Entry.model_validate_json(json.dumps(line["record"])) for line in lines[1:-1]]
    assert tuple(kept) == everything.records


def test_the_object_fits_the_published_schema(everything: VisitRecords) -> None:
    validator("json").validate(json.loads(text_of("json", everything)))
    validator("json").validate(json.loads(text_of("json", replace(everything, findings=None))))


@pytest.mark.parametrize(
    ("where", "value"),
    [
        (("record", "content", "pain"), 11),
        (("record", "content", "range_deg"), "12"),
        (("record", "content", "side"), "up"),
        (("record", "spoken_at"), None),
        (("record", "status"), "perhaps"),
        (("line",), "something"),
        (("more",), 1),
    ],
)
def test_the_schema_refuses_what_no_record_can_hold(
    everything: VisitRecords, where: tuple[str, ...], value: object
) -> None:
    line = json.loads(text_of("jsonl", everything).splitlines()[1])
    *path, last = where
    place = line
    for name in path:
        place = place[name]
    place[last] = value
    assert not validator("jsonl").is_valid(line)


def test_a_format_without_a_schema_says_which_have_one() -> None:
    assert published() == ("csv", "json", "jsonl")
    with pytest.raises(ExportError, match="no schema of its own") as caught:
        schema_text("pdf")
    assert "csv, json, jsonl" in caught.value.do


def odd(everything: VisitRecords) -> VisitRecords:
    """With a formula, a line break, quotes and a comma among the words."""
    first, second = everything.records[:2]
    records = (
        first.model_copy(update={"content": Note(text='=1+1, "ow"\nthen')}),
        second.model_copy(update={"content": Drill(name="@sum(a1)", sets=2)}),
        *everything.records[2:],
    )
    return replace(everything, records=records)


@pytest.mark.parametrize("change", [lambda v: v, odd, lambda v: replace(v, records=())])
def test_frictionless_takes_the_table_with_its_schema(
    everything: VisitRecords, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, change: Any
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("visit.csv").write_bytes(text_of("csv", change(everything)).encode())
    Path("visit.schema.json").write_text(schema_text("csv"), encoding="utf-8")
    resource = Resource(path="visit.csv", schema=Schema.from_descriptor("visit.schema.json"))
    report = resource.validate()
    assert report.valid, report.flatten(["rowNumber", "fieldName", "message"])


def test_frictionless_refuses_a_table_with_an_impossible_value(
    everything: VisitRecords, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    rows = list(stdlib_csv.reader(io.StringIO(text_of("csv", everything), newline="")))
    rows[1][COLUMNS.index("pain")] = "11"
    with Path("visit.csv").open("w", encoding="utf-8", newline="") as file:
        stdlib_csv.writer(file).writerows(rows)
    Path("visit.schema.json").write_text(schema_text("csv"), encoding="utf-8")
    resource = Resource(path="visit.csv", schema=Schema.from_descriptor("visit.schema.json"))
    found = resource.validate().flatten(["rowNumber", "fieldName", "type"])
    assert found == [[2, "pain", "constraint-error"]]


def test_the_schema_describes_every_column_and_no_other() -> None:
    fields = json.loads(schema_text("csv"))["fields"]
    assert tuple(field["name"] for field in fields) == COLUMNS


def test_pandas_reads_numbers_as_numbers_and_times_as_times(everything: VisitRecords) -> None:
    table = pandas.read_csv(io.StringIO(text_of("csv", everything)))
    assert len(table) == 11
    assert table["pain"].dropna().tolist() == [6, 3, 2, 2, 1, 9]
    assert table["range_deg"].max() == 120
    spoken = pandas.to_datetime(table["spoken_at"])
    assert spoken.is_monotonic_increasing
    assert str(spoken.dt.tz) == "UTC+01:00"
    trials = table[table["kind"] == "record"]
    assert trials["onset_deg"].notna().tolist() == [True, True, False, False, False, False]
