"""`voicelog compare`: each trial of a visit beside its own baseline."""

import json
import sys
from typing import Annotated

import typer
from rich.console import Console

from voicelog.analysis.as_data import findings_data
from voicelog.cli.compare_view import compare_view
from voicelog.cli.options import DataFolder, house
from voicelog.visits import find_visit


def compare(
    visit: Annotated[
        str, typer.Argument(help='A visit, "last", or a client\'s code for the newest one.')
    ] = "last",
    as_json: Annotated[
        bool, typer.Option("--json", help="One JSON object instead of tables, for scripts.")
    ] = False,
    data: DataFolder = None,
) -> None:
    """Set each trial beside its baseline: the change, the published error, what eased.

    It tells a change within one visit, never the effect of a treatment.

    Example: voicelog compare last
    """
    built = house(data)
    store = built.store()
    try:
        found = find_visit(store, visit)
        records = store.records(found.visit_id)
        findings = built.findings(store, found, waiting=True)
    finally:
        store.close()
    if as_json:
        whole = {"visit": found.model_dump(mode="json"), **findings_data(findings)}
        sys.stdout.write(json.dumps(whole, ensure_ascii=False, indent=2) + "\n")
    else:
        compare_view(Console(highlight=False), found, records, findings)
