"""A practice's own figures in the place of published ones, never without saying so."""

from collections.abc import Mapping
from dataclasses import replace

from voicelog.analysis.tables import Figure, Tables

_LARGEST = {"points": 10.0, "percent": 100.0, "degrees": 180.0, "SD": 10.0}


def with_own(tables: Tables, own: Mapping[str, tuple[float, str]]) -> Tables:
    """The tables with rules of these names set to a value, each for a reason.

    The published figure stays beside it. Raises ValueError when a unit has no such value.
    """
    rules = {**tables.rules}
    for name, (value, why) in own.items():
        published = rules[name]
        if not 0 < value <= _LARGEST[published.unit]:
            raise ValueError(f"{name} cannot be {value:g} {published.unit}")
        rules[name] = Figure(name, value, published.unit, "", "set by the practice", why, published)
    return replace(tables, rules=rules)
