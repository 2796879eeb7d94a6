"""Reads the reference tables that ship with the package; the one place that opens them."""

import csv
import tomllib
from functools import cache
from importlib.resources import files
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from voicelog.analysis.tables import (
    ErrorRow,
    Figure,
    Fit,
    PainFigure,
    RangeRow,
    ScaleFigure,
    ScreenItem,
    Source,
    StopRule,
    Tables,
)
from voicelog.errors import ConfigurationError
from voicelog.records.coding import Code, Codes

_Row = dict[str, Any]
_Shape = TypeVar("_Shape")


@cache
def load_tables() -> Tables:
    """The tables, read and checked once.

    Raises ConfigurationError naming the file when one is missing or has a value that cannot be.
    """
    places = _Places()
    return Tables(
        rules={figure.name: figure for figure in _checked("rules.csv", Figure, _csv("rules.csv"))},
        pain=_checked("pain_change.csv", PainFigure, map(_pain, _csv("pain_change.csv"))),
        errors=_checked(
            "measurement_error.csv",
            ErrorRow,
            (_error(row, fit) for row in _csv("measurement_error.csv") for fit in places.fits(row)),
        ),
        ranges=_checked(
            "rom_reference.csv",
            RangeRow,
            (_range(row, fit) for row in _csv("rom_reference.csv") for fit in places.fits(row)),
        ),
        screen=_checked("screen.toml", ScreenItem, _toml("screen.toml")["item"]),
        stops=_checked("stops.toml", StopRule, _toml("stops.toml")["stop"]),
        scales=_checked("scales.csv", ScaleFigure, map(_blank_to_none, _csv("scales.csv"))),
        sources={
            source.key: source
            for source in _checked("sources.csv", Source, map(_source, _csv("sources.csv")))
        },
    )


@cache
def load_codes() -> Codes:
    """The published codes, read and checked once. Raises ConfigurationError."""
    return Codes(_checked("coding.csv", Code, _csv("coding.csv")))


class _Places:
    """Turns the joint and motion names of the published tables into those of the records."""

    def __init__(self) -> None:
        self._joints = _csv("joints.csv")
        self._motions = _csv("motions.csv")

    def fits(self, row: _Row) -> list[Fit]:
        """Every movement the row speaks about; none when the row is of no use to the records.

        Raises ConfigurationError when joint or motion has no name in the records.
        """
        joints = [j for j in self._joints if j["table_joint"] == row["joint"]]
        motions = [m for m in self._motions if m["table_motion"] == row["motion"]]
        if not joints or not motions:
            raise ConfigurationError(
                f"No name is known for {row['joint']} {row['motion']} of the reference tables",
                do="Add it to joints.csv or motions.csv in voicelog/reference",
            )
        return [
            Fit(
                joint=joint["joint"],
                motion=motion["motion"] or None,
                manner=motion["manner"] or None,
                position=motion["position"] or None,
                whole=joint["whole"] == "yes",
                note=motion["note"],
            )
            for joint in joints
            for motion in motions
            if motion["used"] == "yes"
        ]


def _error(row: _Row, fit: Fit) -> _Row:
    figure = row["mdc_deg"] or row["sem_deg"]
    return {
        **_blank_to_none(row),
        "fit": fit,
        "sem_deg": _span(row["sem_deg"])[1] if row["sem_deg"] else None,
        "mdc_deg": _span(row["mdc_deg"])[1] if row["mdc_deg"] else None,
        "span": _span(figure)[0] != _span(figure)[1],
        "n": row["n"],
    }


def _range(row: _Row, fit: Fit) -> _Row:
    kind, _, spread = row["sd_deg_or_ci"].removesuffix(" [memory]").partition(" ")
    low, _, high = spread.partition(" to ")
    return {
        **_blank_to_none(row),
        "fit": fit,
        "sd_deg": spread if kind == "SD" else None,
        "ci95_deg": (low, high) if kind == "CI95" else None,
        "spread_recalled": row["sd_deg_or_ci"].endswith("[memory]"),
        "n": row["n"],
    }


def _pain(row: _Row) -> _Row:
    low, high = _span(row["value"])
    return {**row, "low": low, "high": high, "mark": row["mark"] == "yes"}


def _source(row: _Row) -> _Row:
    return {**row, "key": row["source_key"]}


def _span(text: str) -> tuple[float, float]:
    """A figure such as "4.5", or a span such as "11-23"."""
    low, _, high = text.partition("-")
    return float(low), float(high or low)


def _blank_to_none(row: _Row) -> _Row:
    return {name: value if value != "" else None for name, value in row.items()}


def _checked(name: str, shape: type[_Shape], rows: Any) -> tuple[_Shape, ...]:
    try:
        return TypeAdapter(tuple[shape, ...]).validate_python(tuple(rows))  # type: ignore[valid-type]
    except (ValidationError, ValueError) as error:
        raise ConfigurationError(
            f"The reference table {name} has a value that cannot be used: {error}",
            do="Install voicelog again, or mend the file",
        ) from error


def _text(name: str) -> str:
    try:
        return (files("voicelog") / "reference" / name).read_text(encoding="utf-8")
    except OSError as error:
        raise ConfigurationError(
            f"The reference table {name} cannot be read", do="Install voicelog again"
        ) from error


def _csv(name: str) -> list[_Row]:
    return list(csv.DictReader(_text(name).splitlines()))


def _toml(name: str) -> _Row:
    return tomllib.loads(_text(name))
