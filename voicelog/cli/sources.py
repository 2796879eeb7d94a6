"""`voicelog sources`: the publications behind the keys that stand beside figures."""

from collections.abc import Iterator
from typing import Annotated

import typer

from voicelog.analysis.tables import Source, Status, Tables

_SURE: dict[Status, str] = {
    "seen": "looked up",
    "memory": "from memory",
    "inference": "worked out from other figures",
    "common practice, no source": "common practice",
}


def sources(
    keys: Annotated[
        list[str] | None, typer.Argument(help="Keys as they stand beside figures; without, all.")
    ] = None,
) -> None:
    """Name the publications behind the figures: what was taken from each, and how sure it is.

    Example: voicelog sources CHILDS2005
    """
    from voicelog.data_files.reference_tables import load_tables

    tables = load_tables()
    known = tables.sources
    for key in (asked.upper() for asked in keys or known):
        if key not in known:
            raise typer.BadParameter(
                f"no figure stands on {key!r}; without a key all are listed", param_hint="KEYS"
            )
        typer.echo("\n  ".join((key, *_told(known[key], tables))))


def _told(source: Source, tables: Tables) -> Iterator[str]:
    yield f"{source.citation}."
    taken = "; ".join(_taken(source.key, tables))
    yield f"Taken from it: {taken or 'nothing that a figure stands on'}."
    yield from (line for line in (source.note and f"{source.note}.", source.address) if line)


def _taken(key: str, tables: Tables) -> Iterator[str]:
    """What stands on a source, each kind with what it is about and how sure it is."""
    used: list[tuple[str, str, Status]] = [
        *(("threshold", f"{rule.value:g} {rule.unit}", rule.status)
          for rule in tables.rules.values() if rule.source_key == key),
        *(("change of pain", pain.population, pain.status)
          for pain in tables.pain if pain.source_key == key),
        *(("error of measuring", error.fit.joint, error.status)
          for error in tables.errors if error.source_key == key),
        *(("range of motion", row.fit.joint, row.status)
          for row in tables.ranges if row.source_key == key),
        *(("companion scale", scale.scale.upper(), scale.status)
          for scale in tables.scales if scale.source_key == key),
        *(("safety screen", f"question {item.id}", item.status)
          for item in tables.screen if key in item.sources),
        *(("sign to stop", stop.when, stop.status)
          for stop in tables.stops if key in stop.sources),
    ]  # fmt: skip
    for kind, status in dict.fromkeys((kind, status) for kind, _, status in used):
        abouts = dict.fromkeys(about for k, about, s in used if (k, s) == (kind, status))
        yield f"{kind} ({', '.join(abouts)}), {_SURE[status]}"
