"""`voicelog compare`: each trial of a visit beside its own baseline."""

import json
import sys
from typing import Annotated, cast, get_args

import typer
from rich.console import Console

from voicelog.analysis.reference_range import Person, Sex
from voicelog.analysis.side_difference import side_differences
from voicelog.analysis.sift import Occasion
from voicelog.cli.compare_view import Said, compare_view
from voicelog.cli.options import DataFolder, house, kept_store, one_of
from voicelog.cli.ranges_view import Movements, ranges_view, sides_view
from voicelog.telling.data import findings_data, side_data
from voicelog.visits import find_visit


def compare(
    visit: Annotated[
        str, typer.Argument(help='A visit, "last", or a client\'s code for the newest one.')
    ] = "last",
    as_json: Annotated[
        bool, typer.Option("--json", help="One JSON object instead of tables, for scripts.")
    ] = False,
    sex: Annotated[
        str | None, typer.Option("--sex", help="F or M: also show published ranges.")
    ] = None,
    age: Annotated[
        int | None,
        typer.Option("--age", help="Years: also show published ranges.", min=0, max=120),
    ] = None,
    data: DataFolder = None,
) -> None:
    """Set each trial beside its baseline: the change, the published error, what eased.

    It tells a change within one visit, never the effect of a treatment.

    Example: voicelog compare last
    """
    if sex is not None:
        one_of(sex, get_args(Sex), "--sex")
    person = None if sex is None and age is None else Person(cast(Sex | None, sex), age)
    built = house(data)
    store = kept_store(built)
    try:
        found = find_visit(store, visit)
        records, waiting = store.records(found.visit_id), store.unconfirmed(found.visit_id)
        findings = built.findings(store, found, waiting=True)
    finally:
        store.close()
    occasion = Occasion(found.client, found.visit_id)
    sides = side_differences(occasion, records, built.comparer.errors)
    if as_json:
        whole = {
            "visit": found.model_dump(mode="json"),
            **findings_data(findings, built.language),
            "sides": [side_data(each, built.language) for each in sides],
        }
        sys.stdout.write(json.dumps(whole, ensure_ascii=False, indent=2) + "\n")
    else:
        console = Console(highlight=False)
        compare_view(console, found, Said(records, waiting), findings, built.language)
        sides_view(console, sides, built.language)
        if person is not None:
            ranges_view(
                console,
                Movements(tuple(records), person, built.tables.ranges),
                built.language,
            )
