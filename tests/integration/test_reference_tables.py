"""The reference tables that ship with the package: whole, sourced, and equal to what was collected.

The collected reference lies beside the repository and not in it. VOICELOG_SHARED names its folder;
where it is absent the comparisons with it are skipped.
"""

import csv
import os
import re
from importlib.resources import files
from pathlib import Path

import pytest

from voicelog.analysis.tables import Tables
from voicelog.data_files import reference_tables
from voicelog.data_files.reference_tables import load_tables
from voicelog.errors import ConfigurationError

SHARED = Path(os.environ.get("VOICELOG_SHARED", Path(__file__).parents[2].parent / "shared"))
REFERENCE = SHARED / "reference"
collected = pytest.mark.skipif(
    not REFERENCE.is_dir(), reason="the collected reference is not beside this repository"
)


@pytest.fixture(scope="module")
def tables() -> Tables:
    return load_tables()


def shipped(name: str) -> str:
    return (files("voicelog") / "reference" / name).read_text(encoding="utf-8")


def md_rows(name: str) -> list[list[str]]:
    """The cells of every table row of a collected page."""
    lines = (REFERENCE / name).read_text(encoding="utf-8").splitlines()
    return [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in lines
        if line.startswith("|")
    ]


@collected
@pytest.mark.parametrize("name", ["rom_reference.csv", "measurement_error.csv"])
def test_the_tables_of_degrees_are_the_collected_ones_letter_for_letter(name: str) -> None:
    assert shipped(name) == (REFERENCE / name).read_text(encoding="utf-8")


@collected
def test_every_pain_figure_stands_in_the_collected_page_with_its_status(tables: Tables) -> None:
    rows = md_rows("pain_change.md")
    for figure in csv.DictReader(shipped("pain_change.csv").splitlines()):
        mine = [row for row in rows if figure["source_key"] in row[0]]
        statuses = {row[-1] for row in mine}
        assert figure["status"] in statuses, figure
        value = f"{float(figure['value']):g}" if "-" not in figure["value"] else figure["value"]
        printed = " ".join(" ".join(row[2:]) for row in mine).replace(" to ", "-")
        numbers = {n.rstrip("0").rstrip(".") if "." in n else n for n in _numbers(printed)}
        assert set(_numbers(value)) <= numbers, figure


@collected
def test_every_figure_of_the_companion_scales_stands_in_the_collected_page() -> None:
    rows = md_rows("pain_change.md")
    for figure in csv.DictReader(shipped("scales.csv").splitlines()):
        tag = f"{figure['status']} ({figure['source_key']})"
        mine = [" ".join(row) for row in rows if row[-1] == tag]
        assert mine, figure
        numbers = set(_numbers(" ".join(mine)))
        wanted = {n for n in (figure["low"], figure["high"]) if n}
        assert {f"{float(n):g}" for n in wanted} <= {f"{float(n):g}" for n in numbers}, figure


@collected
def test_the_screen_and_the_stop_codes_are_those_of_the_collected_page(tables: Tables) -> None:
    page = (REFERENCE / "safety.md").read_text(encoding="utf-8")
    flags = re.findall(r"^\| (A\d+) \|", page, flags=re.MULTILINE)
    assert [item.id for item in tables.screen if item.kind == "refer first"] == flags
    codes = re.findall(r"^\| (STOP_\w+) \|", page, flags=re.MULTILINE)
    assert [rule.code for rule in tables.stops] == codes


@collected
def test_every_source_key_stands_in_the_collected_list_of_sources(tables: Tables) -> None:
    page = (REFERENCE / "sources.md").read_text(encoding="utf-8")
    assert [key for key in tables.sources if key not in page] == []


def test_every_figure_has_a_source_on_the_list_and_a_status(tables: Tables) -> None:
    cited = {row.source_key for row in tables.pain} | {row.source_key for row in tables.scales}
    cited |= {row.source_key for row in tables.errors} | {row.source_key for row in tables.ranges}
    cited |= {key for item in tables.screen for key in item.sources}
    cited |= {key for rule in tables.stops for key in rule.sources}
    assert cited <= tables.sources.keys()
    assert all(source.citation for source in tables.sources.values())
    for figure in tables.rules.values():
        sourceless = figure.status in ("inference", "common practice, no source")
        assert (figure.source_key in tables.sources) != sourceless


def test_a_question_or_stop_without_a_source_is_marked_as_from_memory(tables: Tables) -> None:
    assert all(item.sources or item.status == "memory" for item in tables.screen)
    assert all(rule.sources or rule.status == "memory" for rule in tables.stops)


def test_every_row_names_a_movement_of_the_records_or_says_why_not(tables: Tables) -> None:
    motions = list(csv.DictReader(shipped("motions.csv").splitlines()))
    unused = {row["table_motion"] for row in motions if row["used"] == "no"}
    assert all(row["note"] for row in motions if row["used"] == "no")
    for name, rows in (
        ("measurement_error.csv", tables.errors),
        ("rom_reference.csv", tables.ranges),
    ):
        printed = list(csv.DictReader(shipped(name).splitlines()))
        wanted = [row["source_key"] for row in printed if row["motion"] not in unused]
        assert {row.source_key for row in rows} == set(wanted)


def test_every_error_row_has_a_figure_and_every_motion_is_one_that_is_dictated(
    tables: Tables,
) -> None:
    assert all(row.sem_deg is not None or row.mdc_deg is not None for row in tables.errors)
    fits = [row.fit for row in tables.errors] + [row.fit for row in tables.ranges]
    assert all("_" not in (fit.motion or "") for fit in fits)


def test_a_span_is_read_at_its_upper_end(tables: Tables) -> None:
    konor = [row for row in tables.errors if row.source_key == "KONOR2012"]
    assert [(row.sem_deg, row.mdc_deg, row.span) for row in konor] == [
        (1.4, 3.8, True),
        (2.8, 7.7, True),
    ]


def test_a_spread_from_memory_beside_a_mean_that_was_seen_keeps_its_mark(tables: Tables) -> None:
    marked = {row.source_key for row in tables.ranges if row.spread_recalled}
    assert marked == {"CDC_JOINTROM_2ND"}


def test_a_negative_mean_keeps_its_sign(tables: Tables) -> None:
    means = {row.source_key: row.mean_deg for row in tables.ranges if row.mean_deg < 0}
    assert means == {"WALKER1984_NW": -4.0, "ZWERUS2019": -2.0}


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("rules.csv", "name,value,unit,source_key,status\nx,two,points,,seen\n", "rules.csv"),
        ("rules.csv", "name,value,unit,source_key,status\nx,2,points,,rumour\n", "rules.csv"),
        (
            "measurement_error.csv",
            "joint,motion,method,rater,sem_deg,mdc_deg,confidence,n,source_key,status\n"
            "wing,flexion,goniometer,intra,,4,90,30,X,seen\n",
            "No name is known for wing flexion",
        ),
        (
            "measurement_error.csv",
            "joint,motion,method,rater,sem_deg,mdc_deg,confidence,n,source_key,status\n"
            "knee,flexion,goniometer,intra,,about four,90,30,X,seen\n",
            "measurement_error.csv",
        ),
    ],
)
def test_a_damaged_table_is_refused_with_its_name(
    monkeypatch: pytest.MonkeyPatch, name: str, text: str, said: str
) -> None:
    read = reference_tables._text
    monkeypatch.setattr(
        reference_tables, "_text", lambda asked: text if asked == name else read(asked)
    )
    load_tables.cache_clear()
    try:
        with pytest.raises(ConfigurationError, match=re.escape(said)):
            load_tables()
    finally:
        load_tables.cache_clear()


def test_a_missing_table_is_refused_with_what_to_do() -> None:
    with pytest.raises(ConfigurationError, match=r"nothing\.csv cannot be read\. Install"):
        reference_tables._text("nothing.csv")


def _numbers(text: str) -> list[str]:
    return re.findall(r"\d+(?:\.\d+)?", text)
